"""What a hunt left to be put back or mended, and who said since that it is done: told until then, of whatever rig."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from lint.record.hunts import HUNT
from lint.record.ledger import Ledger
from lint.walk.entry import Entry, times

PUT_BACK = "put-back"


class Left(NamedTuple):
    """What the hunt of record `of` left: the day, the rig, what was hunted for what, by whom, and how all goes back.

    Where it found something broken (`is_broken`), `back` is what that is and what was done about it on the day.
    """

    of: int
    on: str
    rig: str
    about: str
    symptom: str
    by: str
    back: str
    is_broken: bool

    @property
    def words(self) -> str:
        """Which hunt left it, and how it is put back, or what it found broken."""
        how = "found broken" if self.is_broken else "left"
        return f"{how} by the hunt of {self.about} ({self.symptom}) on {self.on} ({self.by}): {self.back}"


def left_open(entries: Sequence[Entry]) -> list[Left]:
    """Return what nobody has said to be put back or mended, oldest first, from the records of hunts and of that.

    Hunts that were recorded before this was kept say nothing of it.
    """
    done = {entry.body["of"] for entry in entries if entry.kind == PUT_BACK}
    rows = (entry for entry in entries if entry.kind == HUNT and entry.seq not in done)
    return [_left(entry) for entry in rows if entry.body.get("put_back") or entry.body.get("to_mend")]


def read_left(ledger: Ledger, up_to: int | None = None) -> list[Left]:
    """Return what a ledger says to be left, up to the number of a record. Raises RecordError."""
    return left_open(ledger.entries(kinds=(HUNT, PUT_BACK), up_to=up_to))


def record_put_back(ledger: Ledger, left: Left, by: str, now: datetime) -> Entry:
    """Write down that something is put back, or mended, under a number of its own. Raises RecordError."""
    ledger.require_whole()
    body = {"by": by, **times(now), "rig": left.rig, "of": left.of, "about": left.about, "put_back": left.back}
    return ledger.append(None, PUT_BACK, body)


def _left(entry: Entry) -> Left:
    body = entry.body
    words = body["rig"], body["about"], body["symptom"], body["by"], body.get("put_back") or body["to_mend"]
    return Left(entry.seq, body["local"][:10], *words, is_broken="to_mend" in body)
