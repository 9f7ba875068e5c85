"""The walk that was last, and how a session began from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from lint.walk.answer import GO
from lint.walk.basis import Basis
from lint.walk.change import Change
from lint.walk.entry import BEGUN, SIGNED, Entry, Log, overtaken, signs_off
from lint.walk.items import Item
from lint.walk.walked import event_date

# An unfinished walk that nobody touched for longer is another day's, unless the rig says the same date of event.
STALE_AFTER = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class Latest:
    """The latest walk of this rig and checklist: how it stands, and whether it is today's.

    `overtaken` is the no-go that came after it was signed go: it is not signed go any more.
    """

    begun: Entry
    signed_go: Entry | None
    is_todays: bool
    overtaken: Entry | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """How a session began: the first entry of the walk, whether it is resumed, what changed, what was left alone.

    `restart` are the answered items of the phase under way, where somebody else goes on with it, or after too long.
    """

    begun: Entry
    resumed: bool
    change: Change | None = None
    left: Entry | None = None
    restart: Sequence[Item] = ()


def latest_walk(log: Log, basis: Basis, now: datetime) -> Latest | None:
    """Return how the latest walk of this rig and checklist stands, or None where there was none."""
    wanted = (basis.rig, basis.template.name)
    begun = [row for row in log.entries(kinds=(BEGUN,)) if (row.body["rig"], row.body["checklist"]) == wanted]
    if not begun:
        return None
    entries = log.entries(begun[-1].walk)
    signed = next((entry for entry in reversed(entries) if entry.kind == SIGNED), None)
    is_go = signed is not None and signed.body["verdict"] == GO
    late = overtaken(entries)
    return Latest(begun[-1], signed if is_go and late is None else None, _is_todays(entries, basis, now), late)


def open_beside(log: Log, basis: Basis, now: datetime) -> list[Entry]:
    """Return the beginnings of today's walks of this rig by other checklists that nobody has signed yet."""
    last: dict[str, Entry] = {}
    for begun in log.entries(kinds=(BEGUN,)):
        if begun.body["rig"] == basis.rig and begun.body["checklist"] != basis.template.name and signs_off(begun.body):
            last[begun.body["checklist"]] = begun
    walks = [log.entries(begun.walk) for begun in last.values()]
    return [
        entries[0]
        for entries in walks
        if _is_todays(entries, basis, now) and not any(entry.kind == SIGNED for entry in entries)
    ]


def _is_todays(entries: Sequence[Entry], basis: Basis, now: datetime) -> bool:
    day = entries[0].body.get("event_date")
    return age(entries[-1], now) < STALE_AFTER or (day is not None and day == event_date(basis))


def age(entry: Entry, now: datetime) -> timedelta:
    """Return how long ago something was recorded."""
    return now - datetime.fromisoformat(entry.body["utc"])
