"""Sheets: what is pinned to the wall, worked out from the checked rig."""
