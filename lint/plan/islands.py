"""Consoles that have nothing to do with each other: what is planned at one leaves the other as it is.

Of each island by itself a plan is as exact as of all together, and takes work by its size alone.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable


def islands(consoles: Iterable[str], joined: Iterable[Collection[str]]) -> list[frozenset[str]]:
    """Return the consoles in groups: those of each collection of `joined` are in one."""
    group_of = {console: {console} for console in consoles}
    for names in joined:
        whole = set().union(*(group_of[name] for name in names))
        group_of |= dict.fromkeys(whole, whole)
    return list(dict.fromkeys(frozenset(group) for group in group_of.values()))
