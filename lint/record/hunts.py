"""The hunts that a ledger holds: what was found, for the handover and for the likelihoods of the next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from lint.hunt.draft import STALE_S
from lint.hunt.hunt import CARRY_ON, Hunt
from lint.hunt.learn import Found
from lint.hunt.terminal import to_leave
from lint.page.layout import counted
from lint.record.ledger import Ledger
from lint.walk.entry import BEGUN, SIGNED, Entry, overtaken, signs_off, times

HUNT = "hunt"
MOST_TOLD = 6
KEEP_OFF = "smoke, water, heat or a tingle was met there: touch nothing until a licensed electrician has seen it"


def past_hunts(ledger: Ledger) -> list[Entry]:
    """Return the records of hunts, oldest first. Raises RecordError."""
    return ledger.entries(kinds=(HUNT,))


def found_before(entries: Sequence[Entry]) -> list[Found]:
    """Return what was found, from the records of hunts; those that found nothing teach nothing."""
    rows = (entry.body for entry in entries)
    return [Found(body["symptom"], body["cause"], body["part"]) for body in rows if body["cause"]]


def of_the_same(entries: Sequence[Entry], rig: str, about: str, symptom: str, now: datetime) -> Iterator[Entry]:
    """Yield the records of hunts of the same thing for the same trouble, the latest first; none of another day's."""
    for entry in reversed(entries):
        body = entry.body
        age_s = (now - datetime.fromisoformat(body["utc"])).total_seconds()
        if (body["rig"], body["about"], body["symptom"]) == (rig, about, symptom) and age_s <= STALE_S:
            yield entry


def is_of(entry: Entry, hunt: Hunt) -> bool:
    """Whether a record is that of a hunt: of the very same answers."""
    told: bool = entry.body.get("answers") == [[answer.key, answer.said] for answer in hunt.answers]
    return told


def record_hunt(ledger: Ledger, rig: str, about: str, hunt: Hunt, by: str, now: datetime) -> Entry:
    """Write down a hunt, into the rig's unfinished walk where there is one.

    Where one of the same thing was stopped, or found nothing, a moment ago it goes on from that (`goes_on_from`), in
    the same record. One that was stopped or found nothing has no `part` and no `cause`, and says in `found` what it
    left. What a stopped one leaves to be put back, or kept off, stands in `put_back`, and in `to_mend` what another was
    put in the place of, and what was done. Raises RecordError.
    """
    found = hunt.found
    latest = next(of_the_same(past_hunts(ledger), rig, about, hunt.symptom, now), None)
    before = latest if latest is not None and not latest.body["cause"] else None
    body: Mapping[str, Any] = {
        "by": by,
        **times(now),
        "rig": rig,
        "about": about,
        "symptom": hunt.symptom,
        "cause": found.cause.name if found else "",
        "part": found.part.name if found else "",
        "found": found.words if found else _left_words(hunt),
        "cure": found.filled(found.cause.cure) if found else _still_to_do(hunt),
        "questions": len(hunt.answers),
        "answers": [[answer.key, answer.said] for answer in hunt.answers],
        **({"put_back": back} if (back := KEEP_OFF if hunt.is_stopped else to_leave(hunt.question)) else {}),
        **({"to_mend": f"{found.words}: {found.filled(found.cause.cure)}"} if found and found.cause.swap else {}),
        **({"goes_on_from": before.seq} if before is not None else {}),
    }
    walk = _open_walk(ledger, rig)
    if walk is None and before is not None and all(row.kind == HUNT for row in ledger.entries(before.walk)):
        walk = before.walk
    return ledger.append(walk, HUNT, body)


def _left_words(hunt: Hunt) -> str:
    """Say how a hunt ended that found nothing."""
    if hunt.is_stopped:
        return "smoke, water, heat or a tingle: nothing more may be touched"
    if hunt.unmended is not None:
        return f"found and not mended: {hunt.unmended.words}"
    looked = counted(len(hunt.answers) - 1, "answer")
    words = [f"not found after {looked}"]
    if hunt.seen is not None:
        words.append(f"seen to be wrong, and not known whether its cure helps: {hunt.seen.words}")
    if hunt.mended_in_vain:
        words.append(f"wrong and put right, but not the fault: {_some(hunt.mended_in_vain)}")
    if hunt.is_reopened:
        words.append("everything was cleared once, so an answer was wrong or there are two faults")
    elif hunt.ruled_out:
        words.append(f"ruled out, if only one thing has failed: {_some(hunt.ruled_out)}")
    if hunt.unseen:
        words.append(f"not looked at or not settled: {_some([row.words for row in hunt.unseen])}")
    return "; ".join(words)


def _some(rows: Sequence[str]) -> str:
    """Return the first of some, and how many more there are."""
    more = f" and {len(rows) - MOST_TOLD} more" if len(rows) > MOST_TOLD else ""
    return ", ".join(rows[:MOST_TOLD]) + more


def _still_to_do(hunt: Hunt) -> str:
    if hunt.is_stopped:
        return "keep away from it until a licensed electrician has seen it"
    if hunt.seen is not None:
        return "go through with that cure, and hunt it again if it does not help"
    return hunt.unmended.filled(CARRY_ON) if hunt.unmended is not None else "hunt it again"


def _open_walk(ledger: Ledger, rig: str) -> int | None:
    """Return the latest walk of a rig if it is not signed go; None begins a record of its own."""
    begun = [entry for entry in ledger.entries(kinds=(BEGUN,)) if entry.body["rig"] == rig and signs_off(entry.body)]
    if not begun:
        return None
    entries = ledger.entries(begun[-1].walk)
    signed = [entry for entry in entries if entry.kind == SIGNED]
    is_go = bool(signed) and signed[-1].body["verdict"] == "go" and overtaken(entries) is None
    return None if is_go else begun[-1].walk
