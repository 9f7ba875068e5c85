"""What may be answered, and an answer as it is recorded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lint.walk.entry import Entry

GO = "go"
NO_GO = "no-go"
HOLD = "hold"
NOT_APPLICABLE = "not-applicable"
OPEN = "open"
ANSWERS = (GO, NO_GO, HOLD, NOT_APPLICABLE)
# A second look waits until there is a first answer to look after.
WAITING = "waiting"


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer as recorded: who gave it when, and what was asked, whole.

    `together_with` is the other of two who looked again together, after they had seen different things. `looked`: of a
    second look, whether somebody did look; else it is said why nobody does.
    """

    seq: int
    item: str
    answer: str
    value: str | None
    seen: str | None
    reason: str | None
    by: str
    utc: str
    local: str
    asked: Mapping[str, Any]
    together_with: str = ""
    looked: bool = False

    @classmethod
    def of(cls, entry: Entry) -> Answer:
        """Read an answer from its entry."""
        body = entry.body
        words = [body[key] for key in ("item", "answer", "value", "seen", "reason", "by", "utc", "local", "asked")]
        # Older records do not tell whether anybody looked: then a second look that does not apply is none.
        late = {"together_with": body.get("together_with", ""), "looked": body.get("looked", False)}
        return cls(entry.seq, *words, **late)

    @property
    def people(self) -> str:
        """Who gave it: one name, or the two who looked together."""
        return f"{self.by} and {self.together_with}" if self.together_with else self.by

    @property
    def is_look(self) -> bool:
        """Whether a second look that was said not to apply is what somebody saw, and not that nobody was there."""
        return self.looked and self.answer == NOT_APPLICABLE


@dataclass(frozen=True, slots=True)
class PollAnswer:
    """What one role said in the poll."""

    seq: int
    role: str
    answer: str
    said: str
    person: str
    by: str
    utc: str
