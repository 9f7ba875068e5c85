"""A few names, and how many more: for what is left out of a check."""

from __future__ import annotations

from collections.abc import Iterable, Sized

MOST_NAMED = 3


def s(rows: Sized, one: str = "", many: str = "s") -> str:
    """Return the ending of a word for one row, or for several."""
    return one if len(rows) == 1 else many


def named(names: Iterable[str]) -> str:
    """Return a few names, and the number of the others."""
    every = list(dict.fromkeys(names))
    if len(every) > MOST_NAMED:
        every = [*every[: MOST_NAMED - 1], f"{len(every) - MOST_NAMED + 1} more"]
    return " and ".join(filter(None, (", ".join(every[:-1]), every[-1])))
