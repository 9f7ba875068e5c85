"""What the rules about sound exposure share: planned stretches, and the plan turned down."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from lint.formula.limit import NOISE
from lint.rig.plant import Exposure

LAW = (
    "Local law decides what is allowed, and what has to be done from which level on. Hearing that is lost does not come "
    "back; hearing protection counts only as that law says. This is worked out from the plan: measure on the day."
)


def stretches(rows: Iterable[Exposure]) -> list[tuple[float, float]]:
    """Return (level in dBA, hours) of each planned stretch."""
    return [(row.level_dba, row.hours) for row in rows]


def tenth_up(db: float) -> float:
    """Return decibels to the next tenth upwards: by how much it must at least be turned down."""
    return math.ceil(db * 10 - NOISE) / 10


def next_tenth(db: float) -> float:
    """Return decibels to the tenth above: by how much it must be turned down where the limit itself is too loud."""
    return (math.floor(db * 10 + NOISE) + 1) / 10


def turned_down(rows: Iterable[Exposure], by_db: float) -> list[dict[str, Any]]:
    """Return the rows of the plan as a file writes them, each `by_db` lower."""
    return [
        ({"what": row.what} if row.what else {})
        | {"level_dba": round(max(row.level_dba - by_db, 0), 6), "hours": row.hours}
        for row in rows
    ]
