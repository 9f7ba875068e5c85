"""What a stopped hunt left changed, and who said since that it is put back: told until then, whatever rig it was in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from lint.record.hunts import HUNT
from lint.record.ledger import Ledger
from lint.walk.entry import Entry, times

PUT_BACK = "put-back"


class Left(NamedTuple):
    """What the hunt of record `of` left: the day, the rig, what was hunted for what, by whom, and how all goes back."""

    of: int
    on: str
    rig: str
    about: str
    symptom: str
    by: str
    back: str

    @property
    def words(self) -> str:
        """Which hunt left it, and how it is put back."""
        return f"left by the hunt of {self.about} ({self.symptom}) on {self.on} ({self.by}): {self.back}"


def left_open(entries: Sequence[Entry]) -> list[Left]:
    """Return what nobody has said to be put back, oldest first, from the records of hunts and of what was put back.

    Hunts that were recorded before this was kept say nothing of it.
    """
    done = {entry.body["of"] for entry in entries if entry.kind == PUT_BACK}
    rows = (entry for entry in entries if entry.kind == HUNT and entry.body.get("put_back") and entry.seq not in done)
    return [_left(entry) for entry in rows]


def read_left(ledger: Ledger, up_to: int | None = None) -> list[Left]:
    """Return what a ledger says to be left, up to the number of a record. Raises RecordError."""
    return left_open(ledger.entries(kinds=(HUNT, PUT_BACK), up_to=up_to))


def record_put_back(ledger: Ledger, left: Left, by: str, now: datetime) -> Entry:
    """Write down that something is put back, under a number of its own. Raises RecordError."""
    ledger.require_whole()
    body = {"by": by, **times(now), "rig": left.rig, "of": left.of, "about": left.about, "put_back": left.back}
    return ledger.append(None, PUT_BACK, body)


def _left(entry: Entry) -> Left:
    body = entry.body
    words = body["rig"], body["about"], body["symptom"], body["by"], body["put_back"]
    return Left(entry.seq, body["local"][:10], *words)
