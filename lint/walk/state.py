"""Where a walk stands: replayed from its entries, never kept anywhere else."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from lint.walk import thunder
from lint.walk.answer import GO, HOLD, NO_GO, NOT_APPLICABLE, OPEN, WAITING, Answer, PollAnswer
from lint.walk.entry import (
    ALL_CLEAR,
    ANSWER,
    BEGUN,
    CHANGED,
    CURE,
    IN_POLL,
    POLL,
    REOPENED,
    SEEN,
    SIGNED,
    THUNDER,
    Entry,
)
from lint.walk.items import SECOND, Item, Plan
from lint.walk.thunder import ThunderHold

# How often a held item comes back by itself: at the end of its phase, and at the end of the walk.
HOLDS_AT_PHASE_END = 1
HOLDS_AT_WALK_END = 2
_POLLED = ("role", "answer", "said", "person", "by", "utc")


@dataclass
class State:
    """Where a walk stands, after each of its entries.

    `answers` are those that count, by item: what is asked today is what was asked then, so that a changed rig opens the
    items that it touches again and keeps every other. `outdated` are the latest answers to what is to be asked again.
    `differs` has, by item, the answer of a second person who saw something else. `cures` has what was noted after its
    last no-go, `uncured` the items whose last look was a no-go, and nothing was noted of what was done about it.
    """

    plan: Plan
    answers: dict[str, Answer] = field(default_factory=dict)
    outdated: dict[str, Answer] = field(default_factory=dict)
    differs: dict[str, Answer] = field(default_factory=dict)
    cures: dict[str, str] = field(default_factory=dict)
    uncured: set[str] = field(default_factory=set)
    polls: dict[str, PollAnswer] = field(default_factory=dict)
    given: list[Answer] = field(default_factory=list)
    thunder_holds: list[ThunderHold] = field(default_factory=list)
    last_change: int = 0
    last_signed: Entry | None = None
    _latest: dict[str, Answer] = field(default_factory=dict, repr=False)
    _listed: dict[str, str] = field(default_factory=dict, repr=False)  # what was asked, by item: its digest
    _holds: dict[str, int] = field(default_factory=dict, repr=False)  # in a row, also of what no longer counts
    _blocked: dict[tuple[int, bool], Item | None] = field(default_factory=dict, repr=False, compare=False)

    # -- what is written down ----------------------------------------------------------------------------------

    def take(self, entry: Entry) -> None:
        """Take the next entry of the walk into account."""
        body = entry.body
        self._blocked.clear()
        if entry.kind in (ANSWER, CHANGED, REOPENED, THUNDER, ALL_CLEAR):
            self.last_change = entry.seq
        if entry.kind == ANSWER:
            self._answer(Answer.of(entry))
        elif entry.kind in (BEGUN, CHANGED):
            self._list(body["items"])
        elif entry.kind == REOPENED:
            for key in body["items"]:
                self._reopen(key)
            self._unsay_calls(range(len(self.plan.phases)))
        elif entry.kind == SEEN:
            self._words(body["item"], body["seen"])
        elif entry.kind == CURE:
            self.cures[body["item"]] = body["cure"]
            self.uncured.discard(body["item"])
        elif entry.kind == POLL:
            self._poll(PollAnswer(entry.seq, *(body[key] for key in _POLLED)))
        elif entry.kind == THUNDER:
            self.thunder_holds = thunder.heard(self.thunder_holds, body)
        elif entry.kind == ALL_CLEAR:
            self.thunder_holds = thunder.released(self.thunder_holds, body)
        elif entry.kind == SIGNED:
            self.last_signed = entry

    def _list(self, rows: Iterable[Mapping[str, Any]]) -> None:
        """Open again, for good, what is asked otherwise than before: a rig changed back was another till then."""
        before, self._listed = self._listed, {row["item"]: row["digest"] for row in rows}
        for key, digest in self._listed.items():
            if before and before.get(key) != digest:  # also where it was gone in between
                self._reopen(key)
        self._unsay_calls(range(len(self.plan.phases)))

    def _answer(self, answer: Answer) -> None:
        key = answer.item
        repeated = answer.answer == HOLD and _same(self._latest.get(key), answer)
        self._holds[key] = self._holds.get(key, 0) + 1 if repeated else int(answer.answer == HOLD)
        self.given.append(answer)
        first = key.removeprefix(f"{SECOND}/")
        if answer.answer == NO_GO:
            self.cures.pop(first, None)
            self.uncured.add(first)
        elif answer.answer != HOLD:
            self.uncured.discard(first)
        self._put(key, answer)
        if answer.together_with:  # it is the second person's answer too
            second = f"{SECOND}/{key}"
            both = replace(answer, item=second, by=answer.together_with, together_with=answer.by, looked=True)
            self._put(second, both)
        item = self.plan.by_key.get(key)
        self._unsay_calls(() if item is None else (item.phase, len(self.plan.phases) - 1))

    def _unsay_calls(self, phases: Iterable[int]) -> None:
        """Have completion calls said anew where what they speak of is open, held or a no-go again."""
        for call in self._calls:
            if call.phase in phases and call.key in self.answers and self.waits(call.phase):
                self._reopen(call.key)

    def _poll(self, said: PollAnswer) -> None:
        self.polls[said.role] = said
        if said.answer == NO_GO:
            self.cures.pop(f"{IN_POLL}/{said.role}", None)

    def _words(self, key: str, seen: str) -> None:
        """Take in what was seen of a no-go that was written down without it."""
        answer = self._latest.get(key)
        if answer is None or answer.answer != NO_GO:
            return
        told = replace(answer, seen=seen)
        for given in (self._latest, self.answers, self.outdated):
            if given.get(key) == answer:
                given[key] = told
        self.given = [told if each is answer else each for each in self.given]
        self._compare_looks(key)

    def _put(self, key: str, answer: Answer) -> None:
        self._latest[key] = answer
        item = self.plan.by_key.get(key)
        counts = item is not None and item.asked == answer.asked
        (self.outdated if counts else self.answers).pop(key, None)
        (self.answers if counts else self.outdated)[key] = answer
        self._compare_looks(key)

    def _reopen(self, key: str) -> None:
        self._holds.pop(key, None)
        if key in self._latest:
            self.answers.pop(key, None)
            self.outdated[key] = self._latest.pop(key)
            self._compare_looks(key)

    def _compare_looks(self, key: str) -> None:
        """Compare the two looks that `key` is one of: a second one older than the first no longer counts."""
        item = self.plan.by_key.get(key)
        first_key = (item.second_of if item is not None else "") or key
        second_key = f"{SECOND}/{first_key}"
        self.differs.pop(first_key, None)
        first, second = self.answers.get(first_key), self.answers.get(second_key)
        if second is None:
            return
        if first is None or first.seq > second.seq or first.answer not in (GO, NOT_APPLICABLE):
            self.outdated[second_key] = self.answers.pop(second_key)
        elif second.answer != first.answer and (second.answer in (GO, NO_GO) or second.is_look):
            self.differs[first_key] = second

    @property
    def _calls(self) -> Iterable[Item]:
        return (item for item in self.plan.items if item.is_call)

    # -- where it stands ---------------------------------------------------------------------------------------

    @property
    def thunder_hold(self) -> ThunderHold | None:
        """The thunder hold that stands, if one does."""
        return thunder.standing(self.thunder_holds)

    def times_held(self, item: Item) -> int:
        """Return how often in a row an item was held, where it is held now."""
        return self._holds.get(item.key, 0) if item.key in self.answers else 0

    def status(self, item: Item) -> str:
        """Return go, no-go, hold, not-applicable, open, or waiting for a second look that can't come yet."""
        if item.key in self.differs:
            return NO_GO
        if item.second_of in self.differs:
            return WAITING
        answer = self.answers.get(item.key)
        if answer is not None:
            return answer.answer
        first = self.answers.get(item.second_of)
        is_early = item.second_of and (first is None or first.answer not in (GO, NOT_APPLICABLE))
        return WAITING if is_early else OPEN

    def owes_cure(self, item: Item) -> bool:
        """Whether a go would leave untold what was done about it: a no-go or two who saw different things."""
        is_open = item.key in self.differs and item.key not in self.cures
        return is_open or (item.second_of or item.key) in self.uncured

    def owes_poll_cure(self, role: str) -> bool:
        """Whether a role's last word in the poll was a no-go, and nothing was noted of what was done about it."""
        said = self.polls.get(role)
        return said is not None and said.answer == NO_GO and f"{IN_POLL}/{role}" not in self.cures

    def second_due(self, item: Item) -> Item | None:
        """Return the second look that an answered item waits for, or None: until then its answer is not to be told."""
        second = self.plan.by_key.get(f"{SECOND}/{item.key}")
        is_due = second is not None and self.status(second) in (OPEN, HOLD) and item.key in self.answers
        return second if is_due else None

    def seen(self, item: Item) -> str:
        """Return what was seen of a no-go item, by the first person or the second."""
        second = self.differs.get(item.key)
        if second is not None:
            said = f"not applicable, {second.reason}" if second.is_look else second.seen or second.answer
            return f"{said} (second look, by {second.by})"
        return self.answers[item.key].seen or "no words yet"

    def with_status(self, *wanted: str, role: str | None = None) -> list[Item]:
        """Return the items of some statuses, in order; of one role or all."""
        return [item for item in visible(self.plan, role) if self.status(item) in wanted]

    @property
    def is_finished(self) -> bool:
        """Whether it was signed go: a no-go may be cured, and the walk goes on."""
        return self.last_signed is not None and self.last_signed.body["verdict"] == GO

    def next_item(self, role: str | None = None, leaving: Container[str] = ()) -> Item | None:
        """Return what is asked next, or None where only held and no-go items are left, what waits for them, or nothing.

        A phase at a time: first what nothing starts without, again and again while it is a no-go (but those that the
        walker is `leaving`); then what is open, what was held once, and the completion call. After the last phase what
        was held twice comes back once more, and the calls that waited for it.
        """
        mine = visible(self.plan, role)
        for phase in range(len(self.plan.phases)):
            rows = [item for item in mine if item.phase == phase]
            if (found := self._next_in_phase(rows, phase, leaving)) is not None:
                return found
        return next((item for item in mine if self.times_held(item) == HOLDS_AT_WALK_END), None)

    def _next_in_phase(self, rows: Sequence[Item], phase: int, leaving: Container[str]) -> Item | None:
        work = [item for item in rows if not item.is_call]
        killers = [item for item in work if item.killer]
        guards = [item for item in work if self.is_guard(item)]
        for due, status in ((killers, OPEN), (killers, NO_GO), (guards, OPEN), (work, OPEN)):
            for item in due:
                if self.status(item) == status and item.key not in leaving and self.held_back_by(item) is None:
                    return item
        for item in rows:
            if self.times_held(item) == HOLDS_AT_PHASE_END:
                return item
        call = next((item for item in rows if item.is_call and self.status(item) == OPEN), None)
        return None if self.waits(phase) else call

    def is_guard(self, item: Item) -> bool:
        """Whether nothing starts without this item: a killer, or the second look at one."""
        return item.killer or (item.second_of in self.plan.by_key and self.plan.by_key[item.second_of].killer)

    def held_back_by(self, item: Item) -> Item | None:
        """Return the killer item, of whatever role and phase, that an item waits for; None where it may be answered."""
        if item.is_call or self.status(item) not in (OPEN, HOLD):
            return None
        found = self._phase_guard(item) or self._first_unsettled(self.plan.guards.single.get(item.key, ()))
        loud = self.plan.guards.loud.get(item.phase, ())
        return found or next((step for step in loud if self.status(step) in (OPEN, HOLD)), None)

    def waiting_on(self, guard: Item) -> list[Item]:
        """Return what is not answered and waits for an item, for others too or not, or for a step that waits for it."""
        rows = [item for item in self.plan.items if not item.is_call and self.status(item) in (OPEN, HOLD)]
        found = [item for item in rows if guard in self._guards(item)]
        keys = {item.key for item in found}
        loud = self.plan.guards.loud
        return [item for item in rows if item.key in keys or any(one.key in keys for one in loud.get(item.phase, ()))]

    def _guards(self, item: Item) -> list[Item]:
        guards = self.plan.guards
        inside = () if self.is_guard(item) else guards.inside.get(item.phase, ())
        before = (*guards.before.get(item.phase, ()), *guards.loud.get(item.phase, ()))
        return [*before, *inside, *guards.single.get(item.key, ())]

    def _phase_guard(self, item: Item) -> Item | None:
        """Return what the whole phase of an item waits for: as long as nothing is written down, that is the same."""
        key = (item.phase, self.is_guard(item))
        if key not in self._blocked:
            guards = self.plan.guards
            found = self._first_unsettled(guards.before.get(item.phase, ()))
            inside = () if key[1] else guards.inside.get(item.phase, ())
            self._blocked[key] = found or self._first_unsettled(inside)
        return self._blocked[key]

    def _first_unsettled(self, guards: Iterable[Item]) -> Item | None:
        return next((each for each in guards if self.status(each) in (OPEN, NO_GO, HOLD)), None)

    def wordless(self, role: str | None = None) -> list[Item]:
        """Return what was said to be a no-go without what was seen."""
        mine = [item for item in visible(self.plan, role) if item.key in self.answers]
        return [item for item in mine if (answer := self.answers[item.key]).answer == NO_GO and not answer.seen]

    def standing(self) -> list[Item]:
        """Return the killer items that are a no-go: what nothing starts without."""
        return [item for item in self.with_status(NO_GO) if self.is_guard(item)]

    def waits(self, phase: int) -> list[Item]:
        """Return what the completion call of a phase waits for: nobody says it over what is open, held or a no-go.

        The last call says that everybody is ready: it waits for every phase, and for the calls of the others.
        """
        is_last = phase == len(self.plan.phases) - 1
        rows = [item for item in self.plan.items if not item.is_call and (is_last or item.phase == phase)]
        rows += [call for call in self._calls if is_last and call.phase != phase]
        return [item for item in rows if self.status(item) in (OPEN, HOLD, NO_GO)]

    def unfinished_phase(self, before: int) -> int | None:
        """Return the first phase before a number whose completion call was not said, or None."""
        return next((call.phase for call in self._calls if call.phase < before and self.status(call) == OPEN), None)

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
    """Return where a walk stands after its entries."""
    state = State(plan)
    for entry in entries:
        state.take(entry)
    return state


def _same(before: Answer | None, answer: Answer) -> bool:
    return before is not None and before.answer == answer.answer and before.asked == answer.asked
