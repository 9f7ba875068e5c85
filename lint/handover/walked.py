"""What the walks tell the next crew: what failed and its cure, what keeps failing, and who did what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from lint.record.recurring import looked_back
from lint.record.walks import PastWalk
from lint.rig.person import each_once, person_key, same_person
from lint.walk.answer import GO, HOLD, NO_GO, NOT_APPLICABLE
from lint.walk.entry import ANSWER, CURE, IN_POLL, NOTE, POLL, SEEN, SIGNED, Entry, entered, second_due
from lint.walk.items import CALL


@dataclass(frozen=True)
class Failure:
    """An item that was a no-go: what was seen, what was done about it, and whether it was a go in the end."""

    item: str
    challenge: str
    seen: str
    cure: str
    by: str
    settled: bool
    about: tuple[str, ...] = ()


@dataclass(frozen=True)
class Recurring:
    """An item that failed in several of the last `of` walks, with their dates, oldest first, and the last cure."""

    challenge: str
    dates: tuple[str, ...]
    of: int
    cure: str


@dataclass(frozen=True)
class Found:
    """What a hunt found: when, of which rig, what was amiss with what, the fault, its cure, and who hunted.

    Where it found nothing (`is_found`) these are how it ended, with what is suspected, and what is to be done. `mended`
    says who said since that it is mended, or that all is put back, and when.
    """

    on: str
    rig: str
    about: str
    symptom: str
    found: str
    cure: str
    by: str
    is_found: bool
    mended: str = ""


def hunts_since(hunts: Iterable[Entry], walks: Sequence[PastWalk], done: Mapping[int, Entry]) -> list[Found]:
    """Return what hunts found since the last ten walks began, from their records (`lint/record/hunts.py`).

    One that found nothing is left out once a later one of the same thing found the fault. `done` are the records of
    what was put back or mended since, by the number of the hunt's.
    """
    since = next((walk.begun[:10] for walk in looked_back(walks)), "")
    rows = [row for row in (_found(hunt, done.get(hunt.seq)) for hunt in hunts) if row.on >= since]
    settled = {(row.about, row.symptom): index for index, row in enumerate(rows) if row.is_found}
    return [row for index, row in enumerate(rows) if row.is_found or settled.get((row.about, row.symptom), -1) < index]


def _found(entry: Entry, done: Entry | None) -> Found:
    on, body = entry.body["local"][:10], entry.body
    words = body["rig"], body["about"], body["symptom"], body["found"], body["cure"], body["by"]
    mended = f"{done.body['by']}, {done.body['local'][:16].replace('T', ' ')}" if done is not None else ""
    return Found(on, *words, bool(body["cause"]), mended)


def failures(walk: PastWalk) -> list[Failure]:
    """Return what was a no-go in a walk, in the order in which it was first seen."""
    found: dict[str, Failure] = {}
    for entry in walk.entries:
        body = entry.body
        if entry.kind == ANSWER and body["answer"] == NO_GO:
            seen = body["seen"] or ""
            challenge, about = body["asked"]["challenge"], tuple(body.get("about", ()))
            found[body["item"]] = Failure(body["item"], challenge, seen, "", body["by"], False, about)
        elif entry.kind == ANSWER:
            # What two give together is the answer of both looks.
            keys = [body["item"], *([f"second/{body['item']}"] if body.get("together_with") else [])]
            for key in filter(found.__contains__, keys):
                found[key] = replace(found[key], settled=body["answer"] != HOLD)
        elif entry.kind == POLL:
            key, said = f"{IN_POLL}/{body['role']}", body["said"]
            if body["answer"] == NO_GO:
                found[key] = Failure(key, f"The {body['role']}'s word in the poll: go", said, "", body["by"], False)
            elif key in found:
                found[key] = replace(found[key], settled=True)
        elif entry.kind == SEEN and body["item"] in found:
            found[body["item"]] = replace(found[body["item"]], seen=body["seen"])
        elif entry.kind == CURE:
            for key in filter(found.__contains__, (body["item"], f"second/{body['item']}")):
                found[key] = replace(found[key], cure=body["cure"])
    # Whoever looks second may read this as well.
    blind = second_due(walk.entries) if walk.verdict is None else {}
    return [replace(row, settled=False) if row.item in blind else row for row in found.values()]


def not_seen_go_since(walks: Sequence[PastWalk], told: Iterable[int]) -> list[tuple[PastWalk, Failure]]:
    """Return what failed in a walk that is not told of and was in no later walk seen go, oldest first.

    What was put right in its own walk is kept as well, for ten walks: whether a cure holds is seen a week later. An
    answer counts for an item of the same key, or for one about the same things in the rig.
    """
    left_out = set(told)
    kept: dict[str, tuple[PastWalk, Failure]] = {}
    for walk in walks:
        for entry in walk.entries:
            if entry.kind in (ANSWER, POLL) and entry.body["answer"] == GO:
                key = entry.body["item"] if entry.kind == ANSWER else f"{IN_POLL}/{entry.body['role']}"
                seen = _key(key), set(entry.body.get("about", ()))
                kept = {key: row for key, row in kept.items() if not _is_seen(row[1], *seen)}
        for failure in failures(walk):
            kept[_key(failure.item)] = (walk, failure)
    looked = {walk.number for walk in looked_back(walks)}
    return [
        (walk, failure)
        for walk, failure in kept.values()
        if walk.number not in left_out and (not failure.settled or walk.number in looked)
    ]


def _key(item: str) -> str:
    return item.removeprefix("second/")


def _is_seen(failure: Failure, item: str, about: set[str]) -> bool:
    return _key(failure.item) == item or (bool(failure.about) and set(failure.about) <= about)


def recurring(walks: Sequence[PastWalk]) -> list[Recurring]:
    """Return what failed in more than one of the last ten walks, the most frequent first."""
    looked = looked_back(walks)
    times: dict[str, list[tuple[str, Failure]]] = {}
    for walk in looked:
        for failure in failures(walk):
            if failure.item.startswith(f"{IN_POLL}/"):  # each time it may be something else
                continue
            times.setdefault(failure.item, []).append((walk.begun[:10], failure))
    often = [rows for rows in times.values() if len(rows) > 1]
    often.sort(key=len, reverse=True)
    return [
        Recurring(
            rows[-1][1].challenge,
            tuple(day for day, _ in rows),
            len(looked),
            next((row.cure for _, row in reversed(rows) if row.cure), ""),
        )
        for rows in often
    ]


def who_did_what(walk: PastWalk, crew: Mapping[str, str]) -> list[str]:
    """Return a line a person: roles by the rig file, items answered and for whom, polled as, signed."""
    given = [entry.body for entry in walk.entries if entry.kind == ANSWER]
    names = [name for body in given for name in (body["by"], body.get("together_with", "")) if name]
    answered: dict[
        str, dict[str, str]
    ] = {}  # by person, what was answered and for which role; a second answer is none more
    for body in given:
        for name in filter(None, (body["by"], body.get("together_with", ""))):
            answered.setdefault(person_key(name), {})[body["item"]] = body["role"]
    polls = {entry.body["role"]: entry.body for entry in walk.entries if entry.kind == POLL}
    signed = {entry.body["lead"]: entry.body for entry in walk.entries if entry.kind == SIGNED}
    typed = [body.get("entered_by") or body["by"] for body in (*polls.values(), *signed.values())]
    lines = []
    for person in each_once((*crew.values(), *names, *signed, *typed)):
        roles = [role for role, who in crew.items() if same_person(who, person)]
        items = answered.get(person_key(person), {})
        parts = [_answered_words(items, roles) + _typed_words(given, person)] if items else []
        parts += [_polled_words(polls[role], person) for role in roles if role in polls]
        parts += _entered_words([body for role, body in polls.items() if role not in roles], person)
        parts += [f"signed{entered(body, lead)}" for lead, body in signed.items() if same_person(person, lead)]
        named = f"{person} ({', '.join(roles)})" if roles else person
        lines.append(f"{named}: {', '.join(parts) or 'nothing recorded'}")
    return lines


def _typed_words(given: Sequence[Mapping[str, Any]], person: str) -> str:
    """Say for how many of a person's answers somebody else was at the keys, and who: a second look is told so."""
    others = [body["entered_by"] for body in given if same_person(body["by"], person) and body.get("entered_by")]
    others = [name for name in others if not same_person(name, person)]
    return f" ({len(others)} entered by {', '.join(each_once(others))})" if others else ""


def _polled_words(body: Mapping[str, Any], person: str) -> str:
    said = f"{body['answer'].replace('-', ' ')} in the poll as {body['role']}"
    typed = entered(body, person)
    return f"{said}{typed}" if typed else f"said {said}"


def _entered_words(polls: Sequence[Mapping[str, Any]], person: str) -> list[str]:
    """Say which roles' words in the poll somebody typed in without having the role."""
    roles = [body["role"] for body in polls if same_person(str(body.get("entered_by") or body["by"]), person)]
    return [f"entered the poll for {', '.join(roles)}"] if roles else []


@dataclass(frozen=True)
class NotApplicable:
    """What was said not to apply in a signed walk, for one reason, and by whom."""

    reason: str
    by: str
    items: tuple[str, ...]


def not_applicable(walk: PastWalk) -> list[NotApplicable]:
    """Return what was said not to apply in a signed walk, by reason and who said it; second looks and calls apart."""
    found: dict[tuple[str, str], list[str]] = {}
    for row in walk.signed_body.get("answers", ()):
        if row["answer"] == NOT_APPLICABLE and not row.get("second_of") and not row["item"].startswith(CALL):
            by = f"{row['by']} and {row['together_with']}" if row.get("together_with") else row["by"]
            found.setdefault((row["reason"] or "no reason given", by), []).append(row["challenge"])
    return [NotApplicable(reason, by, tuple(items)) for (reason, by), items in found.items()]


def _answered_words(items: Mapping[str, str], roles: Sequence[str]) -> str:
    """Say how many items somebody answered, and for which roles where those are not just their own."""
    counts = Counter(items.values())
    words = f"answered {len(items)} item{'s' if len(items) != 1 else ''}"
    if set(counts) <= set(roles) and len(counts) == 1:
        return words
    return f"{words} for {', '.join(role if len(counts) == 1 else f'{role} ({counts[role]})' for role in counts)}"


def notes(walk: PastWalk) -> list[str]:
    """Return what was noted on the way, with who noted it."""
    return [f"{entry.body['note']} ({entry.body['by']})" for entry in walk.entries if entry.kind == NOTE]


def verdict_words(walk: PastWalk | None) -> str:
    """Say how a walk ended."""
    if walk is None:
        return "not walked"
    if walk.verdict is None:
        return "not signed"
    if walk.signature.fault:
        return "✗ NO-GO: the signature with a key is amiss"
    if walk.overtaken:
        return f"✗ NO-GO (✓ GO signed, overtaken by a no-go at {walk.overtaken[11:16]})"
    without = f", {walk.exceptions}" if walk.exceptions else ""
    told = f"✓ GO{without}" if walk.verdict == GO else "✗ NO-GO"
    return f"{told}; {walk.pace}" if walk.pace else told


def reasons(walk: PastWalk) -> Sequence[str]:
    """Return why a signed walk is a no-go."""
    if walk.signature.fault:
        return (_capital(walk.signature.fault), *walk.signed_body.get("reasons", ()))
    if walk.overtaken:
        return (
            f"A no-go came at {walk.overtaken[11:16]}, after the signature: the GO counts no more until signed anew",
        )
    return list(walk.signed_body["reasons"])


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def lacks(walk: PastWalk | None) -> list[str]:
    """Return what of safety a signature goes without: killer items, second looks, what the house's list leaves out."""
    body = walk.signed_body if walk is not None else {}
    return [
        *(f"Not applicable: {row}" for row in body.get("killers_not_applicable", ())),
        *(f"No second look: {row}" for row in body.get("no_second_look", ())),
        *(f"Accepted by the lead: {row}" for row in body.get("accepted", ())),
        *(f"This house's list leaves out: {row}" for row in body.get("left_out", ())),
    ]
