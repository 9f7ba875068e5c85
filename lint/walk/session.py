"""One person at one terminal, walking: every step reads what others wrote, then writes one entry."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any

from lint.rig.person import same_person
from lint.walk.answer import GO, NO_GO, NOT_APPLICABLE, Answer
from lint.walk.basis import Basis, Digest
from lint.walk.change import Change, answered, change_between
from lint.walk.entry import (
    ALL_CLEAR,
    ANOTHER_DAY,
    ANSWER,
    BEGUN,
    CHANGED,
    CURE,
    IN_POLL,
    KEPT,
    NOTE,
    POLL,
    REOPENED,
    RESUMED,
    SEEN,
    SIGNATURE,
    SIGNED,
    THUNDER,
    Entry,
    Log,
    MovedOnError,
    is_quick,
    overtaken,
    times,
    typed_by,
)
from lint.walk.given import Given, about, is_reason, judged
from lint.walk.items import Item
from lint.walk.latest import Latest, Opening, age, latest_walk, open_beside
from lint.walk.meanwhile import AnsweredMeanwhileError, ChangedMeanwhileError, NotCompleteError
from lint.walk.resuming import of_another_day, place_lost
from lint.walk.rig_then import told_since
from lint.walk.signoff import Verdict, reasons_against, signed_body
from lint.walk.state import replay
from lint.walk.thunder import holds_by_walk, shared
from lint.walk.walked import what_is_walked


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
        self._last_read = 0  # the last entry of the log that was looked at, of whatever walk
        self._news: list[Entry] = []
        self._has_weather = False  # whether another walk of the house heard thunder, or released it
        self.basis = basis
        self.walk = 0
        self.by = ""
        self.signs_with = ""  # the public key that a signature over the sign-off is made with, where one is
        self.state = replay(self.basis.plan, ())

    # -- begin -------------------------------------------------------------------------------------------------

    def latest(self) -> Latest | None:
        """Return how the latest walk of this rig and checklist stands, or None where there was none."""
        return latest_walk(self._log, self.basis, self._now())

    def open_beside(self) -> list[Entry]:
        """Return the beginnings of today's walks of this rig by other checklists that nobody has signed yet."""
        return open_beside(self._log, self.basis, self._now())

    def go_stands(self) -> bool:
        """Whether the latest walk was signed go, and on the rig as it is now."""
        latest = self.latest()
        signed = latest.signed_go if latest is not None else None
        return signed is not None and signed.body["rig_digest"] == self.basis.rig_digest

    def open(self, by: str, fresh: bool = False, again: bool = False, role: str | None = None) -> Opening:
        """Resume today's unfinished walk of this rig, or begin one.

        `fresh` begins one in any case; `again` goes on with one that was signed go.
        """
        self.by = by
        while True:
            seen = self._log.last()
            latest = self.latest()
            goes_on = latest is not None and (again or (latest.is_todays and latest.signed_go is None))
            if latest is not None and goes_on and not fresh:
                return self._resume(latest, role)
            try:
                begun = self._log.append(
                    None, BEGUN, {**self._who(), **what_is_walked(self.basis, self._digest)}, after=seen
                )
            except MovedOnError:  # another terminal begins at this very moment: look again
                continue
            self.walk, self._entries, self._last_read = begun.walk, [begun], begun.seq
            self._replay()
            self._share_thunder()
            left = latest.begun if latest is not None and latest.signed_go is None else None
            return Opening(begun, False, left=left)

    def _share_thunder(self) -> None:
        """Take over what is held, and released, in the other walks of this house: it thunders on all of them."""
        self._has_weather = False
        holds = holds_by_walk(self._log.entries(kinds=(THUNDER, ALL_CLEAR)))
        others = [rows[-1] for walk, rows in holds.items() if walk != self.walk]
        while others and (entry := shared(self.state.thunder_holds, others, self._now())) is not None:
            self._append(*entry)

    def _resume(self, latest: Latest, role: str | None) -> Opening:
        self.walk, self._entries = latest.begun.walk, self._log.entries(latest.begun.walk)
        last = self._entries[-1]
        self._last_read = last.seq
        away = age(last, self._now())
        change = self._note_change()
        restart = [] if self._reopen_old(self._now()) else place_lost(self.state, role, self.by, away)
        item = self.state.next_item(role)
        self._append(RESUMED, {"at_item": item.key if item else None})
        self._share_thunder()
        return Opening(latest.begun, True, change, restart=restart)

    def _reopen_old(self, now: datetime) -> bool:
        """Have asked again what was answered on another day and may be otherwise by now; say whether anything was."""
        old = of_another_day(self.basis.template, self.state, now)
        if old:
            keys = [item.key for item in old]
            self._news.append(self._append(REOPENED, {"items": keys, "because": ANOTHER_DAY}))
        return bool(old)

    def _who(self) -> dict[str, Any]:
        return {"by": self.by, **times(self._now())}

    def _append(self, kind: str, body: dict[str, Any], require: Callable[[], None] | None = None) -> Entry:
        """Write one entry on top of all that was read; `require` looks again where somebody else was quicker."""
        while True:
            self._catch_up()
            if require is not None:
                require()
            try:
                entry = self._log.append(
                    self.walk, kind, {**self._who(), **typed_by(self.by, body)}, after=self._last_read
                )
            except MovedOnError:
                continue
            self._entries.append(entry)
            self._last_read = entry.seq
            self.state.take(entry)
            return entry

    def _catch_up(self) -> None:
        found = self._log.entries(after=self._last_read)
        if found:
            others = [entry for entry in found if entry.walk == self.walk]
            self._entries += others
            self._news += others
            self._last_read = found[-1].seq
            self._has_weather |= any(entry.kind in (THUNDER, ALL_CLEAR) for entry in found if entry.walk != self.walk)
            for entry in others:
                self.state.take(entry)

    def _replay(self) -> None:
        self.state = replay(self.basis.plan, self._entries)

    def _note_change(self) -> Change | None:
        """Write down what changed since the walk last stood on a rig, if anything did."""
        self._replay()
        last = next(entry for entry in reversed(self._entries) if entry.kind in (BEGUN, CHANGED))
        now = {**what_is_walked(self.basis, self._digest), "told": told_since(last.body, self.basis.checked.resolved)}
        change = change_between(last.body, now, answered(self._entries))
        if change is not None:
            self._append(CHANGED, now)
        return change

    def refresh(self) -> Change | None:
        """Read what others answered and, where the files changed, the rig again; return what that changed.

        Raises CannotReadError where the rig or the checklist can't be read any more.
        """
        self._catch_up()
        if self._has_weather:
            self._share_thunder()
        self._reopen_old(datetime.fromisoformat(self._entries[-1].body["local"]))  # a walk left open overnight
        if self.basis.is_current:
            return None
        self.basis = self._load()
        return self._note_change()

    def news(self) -> list[Entry]:
        """Return what others have written since this was last asked."""
        found, self._news = self._news, []
        return found

    def told(self, answer: Answer) -> None:
        """Leave an answer out of the news: it was told."""
        self._news = [entry for entry in self._news if entry.seq != answer.seq]

    # -- steps -------------------------------------------------------------------------------------------------

    def answer(self, item: Item, given: Given, by: str = "", together_with: str = "") -> Answer:
        """Write down one answer, of this session's person or `by`, or of two together. A measured value is judged here.

        Raises AnsweredMeanwhileError where somebody else was first (but a no-go is written down in any case and wins
        over what was said meanwhile, unless the second look is still due: it may be that), and ValueError for an
        answer that lacks what it must say, or a second look by the one who looked first. Raises NotCompleteError for a
        completion call over what is not settled.
        """
        body = {"item": item.key, "role": item.role, "asked": item.asked, **judged(item, given), "by": by or self.by}
        if together_with:
            body["together_with"] = together_with
        was = self.state.answers.get(item.key)

        def require() -> None:
            if item.is_call and (left := self.state.waits(item.phase)):
                raise NotCompleteError(left)
            now = self.state.answers.get(item.key)
            if now is None or (was is not None and was.seq == now.seq):
                return
            second = self.state.second_due(item)
            if body["answer"] != NO_GO or (second is not None and not same_person(now.by, body["by"])):
                raise AnsweredMeanwhileError(now, is_told=second is None)

        self._require_another(item, body)
        return Answer.of(self._append(ANSWER, body, require))

    def accept(self, item: Item, by: str, why: str) -> Answer:
        """Write down that the lead takes a measured value as it is, though it is outside its limits.

        Raises ValueError where nothing is to be accepted, or what nothing starts without, which nobody accepts, and
        AnsweredMeanwhileError where another value was measured meanwhile than the lead was shown.
        """
        was = self.state.answers.get(item.key)
        if item.killer or item.second_of or was is None or was.answer != NO_GO or was.value is None:
            raise ValueError("only a measured no-go is accepted, and nothing that must be right before the start")
        if not is_reason(why):
            raise ValueError("it needs a reason, with a word in it")
        given = {"answer": GO, "value": was.value, "seen": was.seen, "reason": f"accepted: {why}", "after_ms": None}
        body = {"item": item.key, "role": item.role, "asked": item.asked, **given, "about": about(item, ()), "by": by}

        def require() -> None:
            now = self.state.answers.get(item.key)
            if now is not None and now.seq != was.seq:
                raise AnsweredMeanwhileError(now, is_told=True)

        return Answer.of(self._append(ANSWER, body, require))

    def _require_another(self, item: Item, body: Mapping[str, Any]) -> None:
        first = self.state.answers.get(item.second_of)
        is_look = body["answer"] in (GO, NO_GO) or (body["answer"] == NOT_APPLICABLE and body.get("looked", False))
        if item.second_of and is_look and (first is None or same_person(first.by, body["by"])):
            raise ValueError("a second look is another person's, after the first")
        if same_person(body["by"], body.get("together_with", "")):
            raise ValueError("two look together, not one")

    def words(self, item: Item, seen: str, parts: Sequence[str] = (), by: str = "") -> None:
        """Write down what was seen of a no-go that was written down before the words were given."""
        self._append(SEEN, {"item": item.key, "seen": seen, "about": about(item, parts), "by": by or self.by})

    def reopen(self, items: Sequence[Item]) -> None:
        """Have items asked again, though they were answered."""
        self._append(REOPENED, {"items": [item.key for item in items]})

    def cure(self, item: Item, text: str, by: str = "") -> None:
        """Write down what was done about a no-go; it stays a no-go until it is answered again."""
        self._append(CURE, {"item": item.key, "cure": text, "by": by or self.by})

    def poll_cure(self, role: str, text: str) -> None:
        """Write down what was done about what a role said no-go to in the poll."""
        self._append(CURE, {"item": f"{IN_POLL}/{role}", "cure": text})

    def note(self, item: Item | None, text: str, by: str = "") -> None:
        """Write down a note, about an item or the walk."""
        self._append(NOTE, {"item": item.key if item else None, "note": text, "by": by or self.by})

    def keep(self, items: Sequence[Item]) -> None:
        """Write down that what others answered, or long ago, was not asked again."""
        self._append(KEPT, {"items": [item.key for item in items]})

    def thunder(self, releases: str = "") -> None:
        """Write down that thunder was heard: the walk is held until `releases` ends it (else the lead or who heard)."""
        hold, moment = self.state.thunder_hold, times(self._now())
        who = hold.releases if hold else releases or self.basis.checked.resolved.rig.crew.get("lead", "") or self.by
        self._append(THUNDER, {"heard_utc": moment["utc"], "heard_local": moment["local"], "releases": who})

    def all_clear(self, by: str) -> None:
        """Release the thunder hold. Raises ValueError for anybody but the one named, and before the time is over."""
        self._share_thunder()

        def require() -> None:
            hold = self.state.thunder_hold
            if hold is None:
                raise ValueError("no thunder hold stands any more")
            if against := hold.against_release(by, self._now()):
                raise ValueError(against)

        self._append(ALL_CLEAR, {"by": by}, require)

    def poll(self, role: str, answer: str, said: str) -> None:
        """Write down what a role said in the poll."""
        person = self.basis.checked.resolved.rig.crew.get(role, "")
        self._append(POLL, {"role": role, "answer": answer, "said": said, "person": person})

    # -- sign-off ----------------------------------------------------------------------------------------------

    def reasons(self) -> list[str]:
        """Return why a go can't be signed now."""
        return reasons_against(self.basis, self.state)

    def sign(self, lead: str, wants_go: bool, told: Sequence[str] | None = None) -> Entry:
        """Sign the walk: a go where nothing stands against it and the lead says so, else a no-go with the reasons.

        `told` are the reasons that the lead was shown. Raises ChangedMeanwhileError where they are others by now, or
        the rig turns out to have changed.
        """
        if not self.basis.is_current and (change := self.refresh()) is not None:  # a file saved as it was is the same
            raise ChangedMeanwhileError(change)
        if self._reopen_old(self._now()):
            raise ChangedMeanwhileError(None)
        while True:
            self._catch_up()
            if self._has_weather:
                self._share_thunder()
            reasons = self.reasons()
            if told is not None and reasons != list(told):
                raise ChangedMeanwhileError(None)
            if not wants_go and not reasons:
                reasons = [f"The lead, {lead}, said no-go"]
            verdict = Verdict(NO_GO if reasons else GO, reasons)
            body = signed_body(self.basis, self.state, verdict, self.corrections, self.quick_answers)
            entry = self._sign_on_top({**body, "lead": lead, "signed_with": self.signs_with or None})
            if entry is not None:
                return entry

    def _sign_on_top(self, body: dict[str, Any]) -> Entry | None:
        """Write the signature unless somebody answered meanwhile: it speaks of what was read, and of nothing else."""
        read = self._last_read

        def require() -> None:
            if self._last_read != read:
                raise MovedOnError

        try:
            return self._append(SIGNED, body, require)
        except MovedOnError:
            return None

    def add_signature(self, signature: dict[str, str]) -> Entry:
        """Write down a signature over the seal of a sign-off."""
        return self._append(SIGNATURE, dict(signature))

    @property
    def entries(self) -> Sequence[Entry]:
        """What is written down of this walk so far."""
        return self._entries

    @property
    def is_overtaken(self) -> bool:
        """Whether a no-go came after the walk was signed go."""
        return overtaken(self._entries) is not None

    @property
    def corrections(self) -> int:
        """How many answers were replaced by a later one to the same item."""
        return len(self.state.given) - len({answer.item for answer in self.state.given})

    @property
    def quick_answers(self) -> int:
        """How many answers came faster than a person can look."""
        return sum(map(is_quick, self._entries))
