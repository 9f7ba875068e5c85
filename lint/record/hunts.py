"""The hunts that a ledger holds: what was found, for the handover and for the likelihoods of the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from lint.hunt.hunt import Hunt
from lint.hunt.learn import Found
from lint.record.ledger import Ledger
from lint.walk.entry import BEGUN, SIGNED, Entry, signs_off, times

HUNT = "hunt"


def past_hunts(ledger: Ledger) -> list[Entry]:
    """Return the records of hunts, oldest first. Raises RecordError."""
    return ledger.entries(kinds=(HUNT,))


def found_before(entries: Sequence[Entry]) -> list[Found]:
    """Return what was found, from the records of hunts."""
    return [Found(entry.body["symptom"], entry.body["cause"], entry.body["part"]) for entry in entries]


def record_hunt(ledger: Ledger, rig: str, about: str, hunt: Hunt, by: str, now: datetime) -> Entry:
    """Write down a hunt that found its fault, into the rig's unfinished walk where there is one. Raises RecordError."""
    found = hunt.found
    assert found is not None
    body: Mapping[str, Any] = {
        "by": by,
        **times(now),
        "rig": rig,
        "about": about,
        "symptom": hunt.symptom,
        "cause": found.cause.name,
        "part": found.part.name,
        "found": found.words,
        "cure": found.filled(found.cause.cure),
        "questions": len(hunt.answers),
        "answers": [[answer.key, answer.said] for answer in hunt.answers],
    }
    return ledger.append(_open_walk(ledger, rig), HUNT, body)


def _open_walk(ledger: Ledger, rig: str) -> int | None:
    """Return the latest walk of a rig if it is not signed go; None begins a record of its own."""
    begun = [entry for entry in ledger.entries(kinds=(BEGUN,)) if entry.body["rig"] == rig and signs_off(entry.body)]
    if not begun:
        return None
    signed = ledger.entries(begun[-1].walk, kinds=(SIGNED,))
    return None if signed and signed[-1].body["verdict"] == "go" else begun[-1].walk
