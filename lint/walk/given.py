"""What somebody answers, and how it is judged before it is written down."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from lint.walk.answer import GO, HOLD, NO_GO, NOT_APPLICABLE
from lint.walk.items import Item

_WORD = re.compile(r"[^\W\d_]{3,}")
_NO_REASON = frozenset(("skip", "skipped", "skipping", "later", "next", "pass", "not", "applicable"))


@dataclass(frozen=True, slots=True)
class Given:
    """What somebody answers. A measured item takes a value, a no-go what was seen, not applicable a reason.

    `parts` are the numbers that a no-go is about, of an item over several. `words_later`: a no-go is written down at
    once, and what was seen follows. `unseen`: nobody looked, such as where there is nobody for a second look.
    """

    answer: str
    value: Decimal | None = None
    seen: str | None = None
    reason: str | None = None
    after_ms: int | None = None
    parts: Sequence[str] = ()
    words_later: bool = False
    unseen: bool = False


def is_reason(text: str) -> bool:
    """Whether a reason says anything: it has a word of three letters at least, that does not only say to skip it."""
    return any(word.casefold() not in _NO_REASON for word in _WORD.findall(text))


def judged(item: Item, given: Given) -> dict[str, Any]:
    """Return the body of an answer, its measured value judged.

    Raises ValueError.
    """
    answer, seen = given.answer, given.seen
    if item.measure is not None and given.value is not None:
        answer = GO if item.measure.allows(given.value) else NO_GO
        seen = None if answer == GO else f"{given.value} {item.measure.unit}, expected {item.measure}"
    if item.measure is not None and given.value is None and answer == GO:
        raise ValueError(f"{item.key} takes a measured value")
    if answer == NO_GO and not seen and not given.words_later:
        raise ValueError("a no-go says what was seen")
    if answer == NOT_APPLICABLE and not is_reason(given.reason or ""):
        raise ValueError("not applicable needs a reason, with a word in it")
    if answer not in (GO, NO_GO, HOLD, NOT_APPLICABLE):
        raise ValueError(f"{answer!r} is no answer")
    value = None if given.value is None else str(given.value)
    return {
        "answer": answer,
        "value": value,
        "seen": seen,
        "reason": given.reason,
        "after_ms": given.after_ms,
        "about": about(item, given.parts),
        **({"looked": not given.unseen} if item.second_of else {}),
    }


def about(item: Item, named: Sequence[str]) -> list[str]:
    """Return the rig addresses that an answer is about: those of the named parts, where it names any."""
    subject = item.subject
    parts = [subject.parts[part].about for part in named if part in subject.parts]
    return list(dict.fromkeys([*subject.about, *(address for addresses in parts for address in addresses)]))
