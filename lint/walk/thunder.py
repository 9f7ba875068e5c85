"""A thunder hold: everybody under cover until thirty minutes after the last thunder, and one named person's word.

US National Weather Service: wait thirty minutes after the last thunder; each new one starts them again. Nobody can
waive it, and only the person named at its start releases it: reference/checklist-design.md 5.5.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from lint.rig.person import same_person
from lint.walk.entry import ALL_CLEAR, THUNDER, Entry

CLEAR_AFTER = timedelta(minutes=30)
# A hold that nobody released, of a walk that was left as it stood: no thunder of today's.
FORGOTTEN_AFTER = timedelta(hours=24)
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

    def against_release(self, by: str, now: datetime) -> str:
        """Say why somebody can't release it at a moment, in words, or nothing where they can."""
        if not same_person(by, self.releases):
            return f"only {self.releases} releases this hold"
        if now < self.over_at:
            minutes = -(-int((self.over_at - now).total_seconds()) // 60)
            return f"not before {self.over_at.astimezone(now.tzinfo):%H:%M}, in {minutes} min"
        return ""


def heard(holds: Sequence[ThunderHold], body: Mapping[str, Any]) -> list[ThunderHold]:
    """Return the holds after one more thunder: it begins a hold, or goes on with the one that stands."""
    moment = (body["heard_utc"], body["heard_local"])
    if holds and moment in holds[-1].heard:  # two terminals took it over at once
        return list(holds)
    if holds and not holds[-1].released:
        return [*holds[:-1], replace(holds[-1], heard=(*holds[-1].heard, moment))]
    return [*holds, ThunderHold((moment,), body["releases"])]


def released(holds: Sequence[ThunderHold], body: Mapping[str, Any]) -> list[ThunderHold]:
    """Return the holds after the last one was released; where there is none, nothing is."""
    return [*holds[:-1], *(replace(hold, released=body["local"]) for hold in holds[-1:])]


def standing(holds: Sequence[ThunderHold]) -> ThunderHold | None:
    """Return the hold that stands, if one does."""
    return holds[-1] if holds and not holds[-1].released else None


def holds_by_walk(entries: Iterable[Entry]) -> Mapping[int, Sequence[ThunderHold]]:
    """Return the holds of each walk, from the thunders and releases of them all."""
    found: dict[int, Sequence[ThunderHold]] = {}
    for entry in entries:
        take = heard if entry.kind == THUNDER else released
        found[entry.walk] = take(found.get(entry.walk, ()), entry.body)
    return found


def shared(
    own: Sequence[ThunderHold], others: Iterable[ThunderHold], now: datetime
) -> tuple[str, dict[str, str]] | None:
    """Return the next thunder or release of other walks that a walk has still to take over, as its entry; or None.

    It thunders on every list alike. A release counts here where it was said by the one who releases the hold here,
    and after every thunder that was heard here.
    """
    mine = standing(own)
    known = {moment for hold in own for moment in hold.heard}
    for hold in others:
        for utc, local in hold.heard if not hold.released else ():
            if (utc, local) not in known and now - datetime.fromisoformat(utc) < FORGOTTEN_AFTER:
                who = mine.releases if mine else hold.releases
                return THUNDER, {"heard_utc": utc, "heard_local": local, "releases": who}
        if mine and hold.released and same_person(hold.releases, mine.releases) and {*mine.heard} <= {*hold.heard}:
            return ALL_CLEAR, {"by": hold.releases}
    return None
