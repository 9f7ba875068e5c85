"""Resolving: from what is cabled and patched to the real path of every signal."""
