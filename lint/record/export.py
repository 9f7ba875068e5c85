"""The walks for other programs: whole as JSON, the answers as a table in CSV."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import asdict
from io import StringIO
from typing import Any

from lint.page.plain import guarded
from lint.record.hunts import HUNT
from lint.record.ledger import Proof
from lint.record.put_back import PUT_BACK
from lint.record.received import RECEIVED
from lint.record.recurring import Recurring
from lint.record.walks import PastWalk
from lint.walk.entry import ANSWER, CURE, Entry, second_due, words_later

FORMAT = 1
DUE = "second look due"
COLUMNS = (
    "walk", "rig", "event", "checklist", "entry", "utc", "local", "by", "role", "item", "challenge", "answer", "value",
    "unit", "seen", "reason", "together_with", "about", "cure", "verdict", "seal", "after_ms", "entered_by",
)  # fmt: skip


def as_data(
    walks: Sequence[PastWalk],
    proof: Proof,
    often: Sequence[Recurring],
    beside: Sequence[Entry] = (),
    odd: Sequence[str] = (),
) -> dict[str, Any]:
    """Return everything as plain data for JSON: the proof, what is odd, each walk whole, what fails again and again.

    `beside` are the records of no walk: handovers that were said back, hunts between two walks, and what was put back
    after one.
    """
    return {
        "format": FORMAT,
        "proof": {
            "holding": proof.holding,
            "broken": asdict(proof.broken) if proof.broken else None,
            "last_seal": proof.last_seal,
        },
        "odd": list(odd),
        "walks": [asdict(walk) for walk in walks],
        "recurring": [asdict(row) for row in often],
        "received": [asdict(entry) for entry in beside if entry.kind == RECEIVED],
        "hunts": [asdict(entry) for entry in beside if entry.kind in (HUNT, PUT_BACK)],
    }


def as_csv(walks: Sequence[PastWalk]) -> str:
    """Return one row for each answer; a cell that a spreadsheet would calculate begins with an apostrophe."""
    target = StringIO(newline="")
    writer = csv.writer(target, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for walk in walks:
        later = words_later(walk.entries)
        blind = set(second_due(walk.entries).values()) if walk.verdict is None else set()
        cures = {entry.body["item"]: entry.body["cure"] for entry in walk.entries if entry.kind == CURE}
        for entry in walk.entries:
            if entry.kind != ANSWER:
                continue
            body, asked = {**entry.body, **later.get(entry.seq, {})}, entry.body["asked"]
            if entry.seq in blind:  # whoever looks second may read this as well
                body |= {"answer": DUE, "value": None, "seen": None, "reason": None}
            row = {
                **body,
                "walk": walk.number,
                "rig": walk.rig,
                "event": walk.event,
                "checklist": walk.checklist,
                "entry": entry.seq,
                "challenge": asked["challenge"],
                "unit": asked["measure"]["unit"] if asked["measure"] else None,
                "together_with": body.get("together_with"),
                "about": " ".join(body.get("about", ())),
                "cure": cures.get(body["item"]) if body["answer"] == "no-go" else None,
                "verdict": walk.verdict,
                "seal": entry.seal,
                "entered_by": body.get("entered_by"),
            }
            values = ("" if row.get(column) is None else str(row[column]) for column in COLUMNS)
            writer.writerow([guarded(value) for value in values])
    return target.getvalue()
