"""Where a walk stands: replayed from its entries, never kept anywhere else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lint.walk.entry import ANSWER, CHANGED, CURE, POLL, SIGNED, Entry
from lint.walk.items import Item, Plan

GO = "go"
NO_GO = "no-go"
HOLD = "hold"
NOT_APPLICABLE = "not-applicable"
OPEN = "open"
ANSWERS = (GO, NO_GO, HOLD, NOT_APPLICABLE)
# How often a held item comes back by itself: at the end of its phase, and at the end of the walk.
HOLDS_AT_PHASE_END = 1
HOLDS_AT_WALK_END = 2


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer as recorded: who gave it when, and what was asked, whole."""

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

    @classmethod
    def of(cls, entry: Entry) -> Answer:
        """Read an answer from its entry."""
        body = entry.body
        words = [body[key] for key in ("item", "answer", "value", "seen", "reason", "by", "utc", "local", "asked")]
        return cls(entry.seq, *words)


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


@dataclass(frozen=True)
class State:
    """Where a walk stands.

    `answers` are those that count, by item; `outdated` are the latest answers to what is no longer asked in the same
    words. `holds` counts how often an item was held in a row, `cures` has what was noted after its last no-go.
    """

    plan: Plan
    answers: Mapping[str, Answer] = field(default_factory=dict)
    outdated: Mapping[str, Answer] = field(default_factory=dict)
    holds: Mapping[str, int] = field(default_factory=dict)
    cures: Mapping[str, str] = field(default_factory=dict)
    polls: Mapping[str, PollAnswer] = field(default_factory=dict)
    given: Sequence[Answer] = ()
    last_change: int = 0
    last_signed: Entry | None = None

    def status(self, item: Item) -> str:
        """Return go, no-go, hold, not-applicable or open."""
        answer = self.answers.get(item.key)
        return answer.answer if answer else OPEN

    def with_status(self, *wanted: str, role: str | None = None) -> list[Item]:
        """Return the items of some statuses, in order; of one role or all."""
        return [item for item in visible(self.plan, role) if self.status(item) in wanted]

    @property
    def is_finished(self) -> bool:
        """Whether it was signed go: a no-go may be cured, and the walk goes on."""
        return self.last_signed is not None and self.last_signed.body["verdict"] == GO

    def next_item(self, role: str | None = None) -> Item | None:
        """Return what is asked next, or None where only held and no-go items are left, or nothing.

        A phase at a time: first what nothing starts without, again and again while it is a no-go; then what is open,
        what was held once, and the completion call. After the last phase what
        was held twice comes back once more, and the calls that waited for it.
        """
        mine = visible(self.plan, role)
        for phase in range(len(self.plan.phases)):
            rows = [item for item in mine if item.phase == phase]
            if (found := self._next_in_phase(rows, phase)) is not None:
                return found
        return next((item for item in mine if self.holds.get(item.key) == HOLDS_AT_WALK_END), None)

    def _next_in_phase(self, rows: Sequence[Item], phase: int) -> Item | None:
        work = [item for item in rows if not item.is_call]
        killers = [item for item in work if item.killer]
        for status in (OPEN, NO_GO):  # nothing starts without them: the rest of the phase waits for their go
            for item in killers:
                if self.status(item) == status:
                    return item
        for item in work:
            if self.status(item) == OPEN:
                return item
        for item in rows:
            if self.holds.get(item.key) == HOLDS_AT_PHASE_END:
                return item
        whole = [item for item in self.plan.items if item.phase == phase and not item.is_call]
        waits = any(self.status(item) in (OPEN, HOLD) for item in whole)
        return next((item for item in rows if item.is_call and self.status(item) == OPEN and not waits), None)

    def last_answered(self, role: str | None = None) -> list[Item]:
        """Return the items with an answer that counts, the latest given first."""
        mine = [item for item in visible(self.plan, role) if item.key in self.answers]
        return sorted(mine, key=lambda item: self.answers[item.key].seq, reverse=True)

    def poll_counts(self, role: str) -> bool:
        """Whether the role's word in the poll still counts: nothing was answered, changed or signed after it."""
        signed = self.last_signed.seq if self.last_signed else 0
        return role in self.polls and self.polls[role].seq > max(self.last_change, signed)


def visible(plan: Plan, role: str | None) -> Sequence[Item]:
    """Return the items of one role, or all."""
    return plan.items if role is None else [item for item in plan.items if item.role == role]


def replay(plan: Plan, entries: Iterable[Entry]) -> State:
    """Return where a walk stands after its entries.

    An answer counts only where what is asked today is what was asked then: so a changed rig opens the items that it
    touches again and keeps every other.
    """
    latest: dict[str, Answer] = {}
    holds: dict[str, int] = {}
    cures: dict[str, str] = {}
    polls: dict[str, PollAnswer] = {}
    given: list[Answer] = []
    last_change, signed = 0, None
    for entry in entries:
        if entry.kind == ANSWER:
            answer = Answer.of(entry)
            repeated = answer.answer == HOLD and _same(latest.get(answer.item), answer)
            holds[answer.item] = holds.get(answer.item, 0) + 1 if repeated else int(answer.answer == HOLD)
            latest[answer.item] = answer
            given.append(answer)
            if answer.answer == NO_GO:
                cures.pop(answer.item, None)
            last_change = entry.seq
        elif entry.kind == CURE:
            cures[entry.body["item"]] = entry.body["cure"]
        elif entry.kind == CHANGED:
            last_change = entry.seq
        elif entry.kind == POLL:
            body = entry.body
            words = [body[key] for key in ("role", "answer", "said", "person", "by", "utc")]
            polls[body["role"]] = PollAnswer(entry.seq, *words)
        elif entry.kind == SIGNED:
            signed = entry
    counting, outdated = _sorted_out(plan, latest)
    held = {key: times for key, times in holds.items() if key in counting and times}
    return State(plan, counting, outdated, held, cures, polls, given, last_change, signed)


def _same(before: Answer | None, answer: Answer) -> bool:
    return before is not None and before.answer == answer.answer and before.asked == answer.asked


def _sorted_out(plan: Plan, latest: Mapping[str, Answer]) -> tuple[dict[str, Answer], dict[str, Answer]]:
    counting: dict[str, Answer] = {}
    outdated: dict[str, Answer] = {}
    for key, answer in latest.items():
        item = plan.by_key.get(key)
        (counting if item is not None and item.asked == answer.asked else outdated)[key] = answer
    return counting, outdated
