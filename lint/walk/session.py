"""One person at one terminal, walking: every step reads what others wrote, then writes one entry."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from lint.walk.basis import Basis, Digest
from lint.walk.change import Change, asked_list, change_between
from lint.walk.entry import ANSWER, BEGUN, CHANGED, CURE, NOTE, POLL, RESUMED, SIGNED, Entry, Log, times
from lint.walk.items import Item
from lint.walk.signoff import QUICK_MS, Verdict, reasons_against, signed_body
from lint.walk.state import GO, HOLD, NO_GO, NOT_APPLICABLE, Answer, replay

# An unfinished walk that nobody touched for longer is another day's, unless the rig says the same date of event.
STALE_AFTER = timedelta(hours=24)


class AnsweredMeanwhileError(Exception):
    """Raised where somebody else answered the item while it was on this screen; nothing was recorded."""

    def __init__(self, answer: Answer) -> None:
        super().__init__(f"{answer.by} answered this meanwhile: {answer.answer}")
        self.answer = answer


class ChangedMeanwhileError(Exception):
    """Raised where the rig or the checklist changed on the way to the signature; nothing was signed."""

    def __init__(self, change: Change | None) -> None:
        super().__init__("the rig or the checklist has changed")
        self.change = change


@dataclass(frozen=True, slots=True)
class Given:
    """What somebody answers. A measured item takes a value, a no-go what was seen, not applicable a reason."""

    answer: str
    value: Decimal | None = None
    seen: str | None = None
    reason: str | None = None
    after_ms: int | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """How a session began: the first entry of the walk, whether it is resumed, what changed, what was left alone."""

    begun: Entry
    resumed: bool
    change: Change | None
    left: Entry | None


class Session:
    """A walk in progress. Every method that writes returns when the entry is on disk.

    Raises what the log raises, and CannotReadError where the rig can no longer be read.
    """

    def __init__(
        self, log: Log, basis: Basis, load: Callable[[], Basis], digest: Digest, now: Callable[[], datetime]
    ) -> None:
        """Walk on `basis`; `load` reads the files again once they have changed."""
        self._log = log
        self._load = load
        self._digest = digest
        self._now = now
        self._entries: list[Entry] = []
        self.basis = basis
        self.walk = 0
        self.by = ""
        self.state = replay(self.basis.plan, ())

    # -- begin -------------------------------------------------------------------------------------------------

    def unfinished(self) -> Entry | None:
        """Return the first entry of the latest walk of this rig and checklist, if that is not signed go."""
        wanted = (self.basis.rig, self.basis.template.name)
        begun = [
            entry
            for entry in self._log.entries(kinds=(BEGUN,))
            if (entry.body["rig"], entry.body["checklist"]) == wanted
        ]
        if not begun:
            return None
        signed = self._log.entries(begun[-1].walk, kinds=(SIGNED,))
        return None if signed and signed[-1].body["verdict"] == GO else begun[-1]

    def _is_todays(self, begun: Entry) -> bool:
        last = self._log.entries(begun.walk)[-1]
        age = self._now() - datetime.fromisoformat(last.body["utc"])
        return age < STALE_AFTER or (
            begun.body["event_date"] is not None and begun.body["event_date"] == self._event_date
        )

    @property
    def _event_date(self) -> str | None:
        day = self.basis.checked.resolved.rig.event.date
        return day.isoformat() if day else None

    def open(self, by: str, fresh: bool = False) -> Opening:
        """Resume the unfinished walk of this rig, or begin one; `fresh` begins one in any case."""
        self.by = by
        found = self.unfinished()
        if found is None or fresh or not self._is_todays(found):
            begun = self._log.append(None, BEGUN, {**self._who(), **self._what()})
            self.walk, self._entries = begun.walk, [begun]
            self._replay()
            return Opening(begun, False, None, found)
        self.walk, self._entries = found.walk, self._log.entries(found.walk)
        change = self._note_change()
        item = self.state.next_item()
        self._append(RESUMED, {"at_item": item.key if item else None})
        return Opening(found, True, change, None)

    def _who(self) -> dict[str, Any]:
        return {"by": self.by, **times(self._now())}

    def _what(self) -> dict[str, Any]:
        basis = self.basis
        return {
            "rig": basis.rig,
            "event": basis.checked.resolved.rig.event.name,
            "event_date": self._event_date,
            "checklist": basis.template.name,
            "rig_digest": basis.rig_digest,
            "template_digest": basis.template_digest,
            "items": asked_list(basis.plan, self._digest),
        }

    def _append(self, kind: str, body: dict[str, Any]) -> Entry:
        entry = self._log.append(self.walk, kind, {**self._who(), **body})
        self._catch_up()
        return entry

    def _catch_up(self) -> None:
        self._entries += self._log.entries(self.walk, after=self._entries[-1].seq)
        self._replay()

    def _replay(self) -> None:
        self.state = replay(self.basis.plan, self._entries)

    def _note_change(self) -> Change | None:
        """Write down what changed since the walk last stood on a rig, if anything did."""
        self._replay()
        last = next(entry for entry in reversed(self._entries) if entry.kind in (BEGUN, CHANGED))
        change = change_between(last.body, self.basis, self._digest)
        if change is not None:
            self._append(CHANGED, self._what())
        return change

    def refresh(self) -> Change | None:
        """Read what others answered and, where the files changed, the rig again; return what that changed.

        Raises CannotReadError where the rig or the checklist can't be read any more.
        """
        self._catch_up()
        if self.basis.is_current:
            return None
        self.basis = self._load()
        return self._note_change()

    # -- steps -------------------------------------------------------------------------------------------------

    def answer(self, item: Item, given: Given) -> Answer:
        """Write down one answer. A measured value is judged here: out of its limits it is a no-go.

        Raises AnsweredMeanwhileError where somebody else was first, and ValueError for an answer that lacks what it
        must say.
        """
        was = self.state.answers.get(item.key)
        self._catch_up()
        now = self.state.answers.get(item.key)
        if now is not None and (was is None or was.seq != now.seq):
            raise AnsweredMeanwhileError(now)
        entry = self._append(ANSWER, {"item": item.key, "role": item.role, "asked": item.asked, **_judged(item, given)})
        return Answer.of(entry)

    def cure(self, item: Item, text: str) -> None:
        """Write down what was done about a no-go; it stays a no-go until it is answered again."""
        self._append(CURE, {"item": item.key, "cure": text})

    def note(self, item: Item | None, text: str) -> None:
        """Write down a note, about an item or the walk."""
        self._append(NOTE, {"item": item.key if item else None, "note": text})

    def poll(self, role: str, answer: str, said: str) -> None:
        """Write down what a role said in the poll."""
        person = self.basis.checked.resolved.rig.crew.get(role, "")
        self._append(POLL, {"role": role, "answer": answer, "said": said, "person": person})

    # -- sign-off ----------------------------------------------------------------------------------------------

    def reasons(self) -> list[str]:
        """Return why a go can't be signed now."""
        return reasons_against(self.basis, self.state)

    def sign(self, lead: str, wants_go: bool) -> Entry:
        """Sign the walk: a go where nothing stands against it and the lead says so, else a no-go with the reasons.

        Raises ChangedMeanwhileError where the rig turns out to have changed.
        """
        if not self.basis.is_current:
            raise ChangedMeanwhileError(self.refresh())
        self._catch_up()
        reasons = self.reasons()
        if not wants_go and not reasons:
            reasons = [f"The lead, {lead}, said no-go"]
        verdict = Verdict(NO_GO if reasons else GO, reasons)
        body = signed_body(self.basis, self.state, verdict, self.corrections, self.quick_answers)
        return self._append(SIGNED, {**body, "lead": lead})

    @property
    def corrections(self) -> int:
        """How many answers were replaced by a later one to the same item."""
        return len(self.state.given) - len({answer.item for answer in self.state.given})

    @property
    def quick_answers(self) -> int:
        """How many answers came faster than a person can look."""
        took = [entry.body["after_ms"] for entry in self._entries if entry.kind == ANSWER]
        return sum(ms is not None and ms < QUICK_MS for ms in took)


def _judged(item: Item, given: Given) -> dict[str, Any]:
    """Return the body of an answer, its measured value judged.

    Raises ValueError.
    """
    answer, seen = given.answer, given.seen
    if item.measure is not None and given.value is not None:
        answer = GO if item.measure.allows(given.value) else NO_GO
        seen = None if answer == GO else f"{given.value} {item.measure.unit}, expected {item.measure}"
    if item.measure is not None and given.value is None and answer == GO:
        raise ValueError(f"{item.key} takes a measured value")
    if answer == NO_GO and not seen:
        raise ValueError("a no-go says what was seen")
    if answer == NOT_APPLICABLE and not given.reason:
        raise ValueError("not applicable needs a reason")
    if answer not in (GO, NO_GO, HOLD, NOT_APPLICABLE):
        raise ValueError(f"{answer!r} is no answer")
    value = None if given.value is None else str(given.value)
    return {"answer": answer, "value": value, "seen": seen, "reason": given.reason, "after_ms": given.after_ms}
