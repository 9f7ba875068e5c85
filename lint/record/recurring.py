"""What fails again and again: the same socket, source or box no-go in several of the last walks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lint.record.walks import PastWalk
from lint.walk.entry import ANSWER, CURE, Entry, words_later

LAST_WALKS = 10
# Once is a bad day.
LEAST_WALKS = 2


@dataclass(frozen=True, slots=True)
class Failure:
    """One no-go: the walk, its day, what was asked and seen, and the cure that was noted last (or empty)."""

    walk: int
    day: str
    challenge: str
    seen: str
    cure: str


@dataclass(frozen=True, slots=True)
class Recurring:
    """Rig addresses that failed together in `walks` (their numbers), of the last `of` walks."""

    addresses: Sequence[str]
    walks: Sequence[int]
    of: int
    failures: Sequence[Failure]


def looked_back(walks: Sequence[PastWalk], last: int = LAST_WALKS) -> list[PastWalk]:
    """Return the last walks that anything was answered in, close-downs apart: so far history and handover look back."""
    return [walk for walk in walks if walk.answered and walk.signs_off][-last:]


def recurring(walks: Sequence[PastWalk], last: int = LAST_WALKS) -> list[Recurring]:
    """Return what failed in at least two of the last walks that anything was answered in, the most often first.

    Addresses that failed in exactly the same answers, as a source and its socket, are told as one.
    """
    looked = looked_back(walks, last)
    by_address: dict[str, list[tuple[PastWalk, Entry]]] = {}
    for walk in looked:
        later = words_later(walk.entries)
        for told in walk.entries:
            entry = replace(told, body={**told.body, **later[told.seq]}) if told.seq in later else told
            if entry.kind == ANSWER and entry.body["answer"] == "no-go":
                for address in _addresses(entry):
                    by_address.setdefault(address, []).append((walk, entry))
    together: dict[tuple[int, ...], list[str]] = {}
    for address, found in by_address.items():
        together.setdefault(tuple(entry.seq for _, entry in found), []).append(address)
    made = []
    for addresses in together.values():
        found = by_address[addresses[0]]
        numbers = sorted({walk.number for walk, _ in found})
        if len(numbers) >= LEAST_WALKS:
            made.append(Recurring(addresses, numbers, len(looked), [_failure(walk, entry) for walk, entry in found]))
    return sorted(made, key=lambda row: (-len(row.walks), row.addresses))


def _addresses(entry: Entry) -> Sequence[str]:
    """Return what a no-go is about; where it is about no place in the rig, what was looked at."""
    about: Sequence[str] = entry.body.get("about", ())
    return about or [entry.body["asked"]["challenge"].partition(": ")[0]]


def _failure(walk: PastWalk, entry: Entry) -> Failure:
    body = entry.body
    keys = (body["item"], body["item"].removeprefix("second/"))
    cures = [
        each.body["cure"]
        for each in walk.entries
        if each.kind == CURE and each.seq > entry.seq and each.body["item"] in keys
    ]
    return Failure(
        walk.number, body["local"][:10], body["asked"]["challenge"], body["seen"] or "", cures[-1] if cures else ""
    )
