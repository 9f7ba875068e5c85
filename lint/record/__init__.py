"""The record: an append-only log of every walk, each entry sealed over the one before."""
