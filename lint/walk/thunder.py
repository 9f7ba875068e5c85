"""A thunder hold: everybody under cover until thirty minutes after the last thunder, and one named person's word.

US National Weather Service: wait thirty minutes after the last thunder; each new one starts them again. Nobody can
waive it, and only the person named at its start releases it: reference/checklist-design.md 5.5.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

CLEAR_AFTER = timedelta(minutes=30)
NOTICE = (
    "Stop work and go into a closed building or a closed metal vehicle; not under a stage roof, a tent or a tree. "
    "Leave what is outdoors as it stands. Whoever is responsible for the event decides what it and the public do; "
    "this holds the walk alone."
)


@dataclass(frozen=True, slots=True)
class ThunderHold:
    """One hold: each thunder heard (UTC and local), who alone releases it, and when that was done (or empty)."""

    heard: Sequence[tuple[str, str]]
    releases: str
    released: str = ""

    @property
    def over_at(self) -> datetime:
        """The earliest moment of its release: thirty minutes after the latest thunder."""
        return max(datetime.fromisoformat(utc) for utc, _ in self.heard) + CLEAR_AFTER

    @property
    def words(self) -> str:
        """Say it in a line, for the closing list and the record."""
        first, last = self.heard[0][1][11:16], self.heard[-1][1][11:16]
        times = f"heard {first}" if len(self.heard) == 1 else f"first heard {first}, last {last}"
        if not self.released:
            return f"Thunder hold, {times}; only {self.releases} releases it"
        return f"Thunder hold, {times}; released {self.released[11:16]} by {self.releases}"


def heard(holds: Sequence[ThunderHold], body: Mapping[str, Any]) -> list[ThunderHold]:
    """Return the holds after one more thunder: it begins a hold, or goes on with the one that stands."""
    moment = (body["heard_utc"], body["heard_local"])
    if holds and not holds[-1].released:
        return [*holds[:-1], replace(holds[-1], heard=(*holds[-1].heard, moment))]
    return [*holds, ThunderHold((moment,), body["releases"])]


def released(holds: Sequence[ThunderHold], body: Mapping[str, Any]) -> list[ThunderHold]:
    """Return the holds after the last one was released; where there is none, nothing is."""
    return [*holds[:-1], *(replace(hold, released=body["local"]) for hold in holds[-1:])]


def standing(holds: Sequence[ThunderHold]) -> ThunderHold | None:
    """Return the hold that stands, if one does."""
    return holds[-1] if holds and not holds[-1].released else None


def left_standing(bodies: Iterable[tuple[bool, Mapping[str, Any]]]) -> ThunderHold | None:
    """Return the hold that an earlier walk ended in, from its thunders (True) and releases (False)."""
    holds: list[ThunderHold] = []
    for is_thunder, body in bodies:
        holds = heard(holds, body) if is_thunder else released(holds, body)
    return standing(holds)
