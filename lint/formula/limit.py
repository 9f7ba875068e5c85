"""Held against a limit: unrounded, with room for nothing but the noise of floating-point sums."""

from __future__ import annotations

NOISE = 1e-9
_MOST_PLACES = 9


def exceeds(value: float, limit: float) -> bool:
    """Whether a value is more than its limit, by more than the noise of a sum of floats."""
    return value - limit > NOISE * max(abs(value), abs(limit), 1.0)


def falls_short(value: float, least: float) -> bool:
    """Whether a value is less than it must at least be, by more than that noise."""
    return exceeds(least, value)


def reaches(value: float, limit: float) -> bool:
    """Whether a value is its limit or more."""
    return not falls_short(value, limit)


def told_apart(value: float, limit: float, places: int) -> str:
    """Write a value to `places` decimals, or to as many more as show that it is not its limit: 16.0043 beside 16."""
    while places < _MOST_PLACES and exceeds(abs(value - limit), 0) and round(value, places) == round(limit, places):
        places += 1
    return f"{value:.{places}f}"
