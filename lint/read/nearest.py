"""The nearest known name to one that is not known: most wrong names are slips of the fingers."""

from __future__ import annotations

from collections.abc import Iterable


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name most like `name`, or None where none is near."""
    import difflib  # noqa: PLC0415 - only a file with a mistake in it needs this

    names = list(known)
    folded = {entry.casefold(): entry for entry in reversed(names)}
    found = difflib.get_close_matches(name.casefold()[:200], folded, n=1, cutoff=0.6)
    return folded[found[0]] if found else None


def did_you_mean(name: str, known: Iterable[str], most: int = 8) -> str:
    """Return '; did you mean X?', or the list of what is known where it is short, or nothing."""
    names = list(known)
    near = nearest(name, names)
    if near is not None:
        return f"; did you mean '{near}'?"
    if 0 < len(names) <= most:
        return f"; known here: {', '.join(names)}"
    return ""
