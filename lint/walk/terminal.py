"""The walk at a terminal: one item at a time, each answer on disk before the next is asked."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from lint.read.problem import CannotReadError
from lint.rig.person import is_name, same_person
from lint.walk.answer import GO, HOLD, NO_GO, NOT_APPLICABLE, OPEN, WAITING, Answer
from lint.walk.asked import Asked
from lint.walk.calls import Calls
from lint.walk.change import Change
from lint.walk.closing import close_walk, lead_name
from lint.walk.display import Display
from lint.walk.entry import Entry, LogError
from lint.walk.given import Given, is_reason
from lint.walk.items import Item
from lint.walk.keys import WORDS, keys_line, number, parts_and_words, worded
from lint.walk.meanwhile import AnsweredMeanwhileError, NotCompleteError
from lint.walk.picking import pick, pick_any
from lint.walk.screen import Screen, StoppedError
from lint.walk.second import Lookers, as_second_look, tell_put_off
from lint.walk.session import Session
from lint.walk.state import visible
from lint.walk.trouble import after_no_go, ask_cure, show_path
from lint.walk.waiting import SignNow, held_by_thunder, must_wait, waits

Result = TypeVar("Result")
MOST_PERCENT = 100
# What pushes the item's caution off the screen: it is said in full again after it.
_FILLS_SCREEN = ("open", "help", "trace", "progress", "note")


@dataclass(frozen=True, slots=True)
class Aids:
    """What helps to find a fault: a signal's trace, the command that hunts it or nothing, what earlier walks saw."""

    trace: Callable[[str], str]
    hunt: Callable[[str], str]
    earlier: Mapping[str, str] = field(default_factory=dict)


class Walker:
    """Asks the items of one session, of one role or all."""

    def __init__(self, session: Session, screen: Screen, role: str | None, aids: Aids | None = None) -> None:
        self.session = session
        self.screen = screen
        self.role = role
        self.aids = aids
        self.show = Display(session, screen, role, aids.earlier if aids is not None else {})
        self.signed: Entry | None = None
        self._turned_to: Item | None = None
        self._forward: list[Item] = []  # where Enter leads again, after steps back
        self._lookers = Lookers(self)
        self._calls = Calls(self)
        self.leaving: set[str] = set()  # killer items that stay a no-go for now
        self._no_second = ""
        self.goes_ahead = -1
        self._unreadable = ""  # what can't be read now, and was told

    def run(self) -> bool:
        """Walk on to the sign-off; return whether it was signed go.

        Raises StoppedError where the walker stops; every answer that was acknowledged is on disk.
        """
        while True:
            try:
                self.walk_items()
                signed = close_walk(self)
            except SignNow:
                signed = close_walk(self, now=True)
            if signed is not None:
                return signed

    def walk_items(self) -> None:
        """Ask whatever is to be asked next, or whatever the walker turned to, until nothing is left."""
        while True:
            self.refresh()
            if held_by_thunder(self):
                continue
            turned, self._turned_to = self._turned_to, None
            state = self.session.state
            self.leaving &= {item.key for item in state.standing()}
            item = turned or state.next_item(self.role, self.leaving)
            if item is None and waits(self):
                continue
            if item is None:
                return
            if turned is None and (must_wait(self, item) or self._calls.is_unsaid(item)):
                continue
            self.ask(item, may_leave=turned is not None or state.status(item) == NO_GO)

    def refresh(self) -> None:
        """Read what changed, on disk and in the files, and say so."""
        change = self.kept(self._reread)
        news = self.session.news()
        self.show.news.tell(news)
        if news or change is not None:
            self.screen.forget_typed()
        if change is not None:
            self.show.change(change)

    def _reread(self) -> Change | None:
        """Read what changed; a file that can't be read, such as one half saved, leaves the rig as it was."""
        try:
            change = self.session.refresh()
        except CannotReadError as error:
            if (told := str(error.problems[0])) != self._unreadable:
                self.screen.say(
                    f"Not read: {told}. The walk goes on with the rig as it was last read, and looks again at the "
                    "next answer."
                )
            self._unreadable = told
            return None
        self._unreadable = ""
        return change

    def kept(self, write: Callable[[], Result]) -> Result:
        """Read or write the record, again and again while it can't be. Raises StoppedError."""
        while True:
            try:
                return write()
            except LogError as error:
                self.screen.say(f"{self.screen.status('no-go')} Not recorded: {error}")
                if self.screen.ask("Enter: try again · q: stop here ").casefold() in ("q", "quit", "stop"):
                    raise StoppedError from None

    # -- one item ----------------------------------------------------------------------------------------------

    def ask(self, item: Item, may_leave: bool) -> None:
        """Show an item and ask until it is answered; Enter leaves an earlier answer where `may_leave`."""
        while True:
            person, together_with = self._lookers.who(item)
            if not person:
                return
            self.show.item(item, may_leave, person, together_with)
            shown = time.monotonic()
            done: bool | None = None
            while done is None:
                line = self.screen.ask("> ")
                if not line and may_leave and self.session.state.status(item) != OPEN:
                    self._turned_to = self._forward.pop() if self._forward else None
                    self.leaving.add(item.key)
                    return
                asked = Asked(item, person, round((time.monotonic() - shown) * 1000), together_with)
                done = self._take(asked, line)
            if done:
                return
            may_leave = True

    def take(self, item: Item, line: str) -> bool | None:
        """Take a line that answers an item otherwise than by looking at it, as `_take` does."""
        return self._take(Asked(item, self.session.by, 0, unseen=True), line)

    def _take(self, asked: Asked, line: str) -> bool | None:
        """Take one line: True when the item is done with, False to show it again, None to ask for another line."""
        item = asked.item
        word, _, rest = line.partition(" ")
        action = WORDS.get(word.casefold())
        if word.casefold() == "no" and not rest[:1].isdigit():  # “no light” is what is seen
            rest = line if rest else ""
        if action is None and item.measure is not None and number(line.removesuffix(item.measure.unit)) is not None:
            action, rest = "value", line
        if action is None:
            self.screen.say(f"“{line}” is no answer here; {keys_line(item)}" if line else keys_line(item))
            return None
        if action in _FILLS_SCREEN:
            self.show.forget_safety()
        try:
            return self._do[action](self, asked, rest.strip())
        except AnsweredMeanwhileError as error:
            self.screen.say(f"{error}. Your answer was not recorded.")
            self.session.told(error.answer)
            self.screen.forget_typed()
            return True
        except NotCompleteError as error:
            self.screen.say(f"The call was not recorded, {error}.")
            return True

    def _record(self, asked: Asked, given: Given) -> tuple[Asked, Answer]:
        """Write an answer down, with what was done where it was a no-go; return it with the item that it is of."""
        is_owed, left = self.session.state.owes_cure(asked.item), self.show.left
        try:
            answer = self.kept(lambda: self.session.answer(asked.item, given, asked.person, asked.together_with))
        except AnsweredMeanwhileError as error:
            asked, answer = as_second_look(self, asked, given, error)
        item = asked.item
        value = f" {answer.value} {item.measure.unit}" if item.measure and answer.value else ""
        self.screen.write(f"  {self.screen.status(answer.answer)}{value} recorded")
        if answer.answer == NO_GO and self.session.is_overtaken:
            self.screen.say("The GO that was signed counts no more: the lead signs anew once this is put right.", "  ")
        self.show.tell_more_left(left)
        self._forward.clear()
        self.leaving.discard(item.key)
        if is_owed and answer.answer == GO:
            ask_cure(self, item, asked.person)
        return asked, answer

    def _go(self, asked: Asked, rest: str) -> bool | None:
        if rest:
            self.screen.say(f"Go is said to one item at a time, without “{rest}”; t notes something.")
            return None
        if asked.item.measure is not None:
            self.screen.say(f"This item takes a value in {asked.item.measure.unit}, such as v 72.5")
            return None
        self._record(asked, Given(GO, after_ms=asked.after_ms))
        if asked.item.is_call:
            self.show.pace(asked.item.phase)
        return True

    def _value(self, asked: Asked, rest: str) -> bool | None:
        measure = asked.item.measure
        if measure is None:
            self.screen.say("Nothing is measured here; answer g or n.")
            return None
        text = rest or self.screen.ask(f"  Value in {measure.unit}: ")
        value = number(text.removesuffix(measure.unit))
        if value is None:
            self.screen.say(f"“{text}” is no number; this item takes a value in {measure.unit}, such as v 72.5")
            return None
        if measure.unit == "%" and not 0 <= value <= MOST_PERCENT:
            self.screen.say(f"{value} % can't be: a percentage goes from 0 to 100. Nothing was recorded.")
            return None
        asked, answer = self._record(asked, Given(GO, value, after_ms=asked.after_ms))
        return True if answer.answer == GO else after_no_go(self, asked.item, asked.person, ())

    def _no_go(self, asked: Asked, rest: str) -> bool | None:
        parts, seen = parts_and_words(rest, asked.item.subject.parts)
        if seen:
            words = worded(parts, seen)
            asked, _ = self._record(asked, Given(NO_GO, seen=words, after_ms=asked.after_ms, parts=parts))
        else:  # saved at once: whatever happens before the words are there, it is a no-go
            asked, _ = self._record(asked, Given(NO_GO, after_ms=asked.after_ms, parts=parts, words_later=True))
            return after_no_go(self, asked.item, asked.person, self.ask_words(asked.item, asked.person, parts))
        return after_no_go(self, asked.item, asked.person, parts)

    def ask_words(self, item: Item, person: str, parts: Sequence[str] = ()) -> Sequence[str]:
        """Ask what was seen of a no-go that is written down already; return the numbers that it is about."""
        known, seen = item.subject.parts, ""
        while not seen:
            which = "Which number, and what" if known and not parts else "What"
            line = self._needed(f"  {which} do you see, hear or read instead? ")
            parts, seen = parts_and_words(" ".join((*parts, line)), known)
        self.kept(lambda: self.session.words(item, worded(parts, seen), parts, person))
        self.screen.write("  Words recorded.")
        return parts

    def _trace(self, asked: Asked, rest: str) -> bool | None:
        show_path(self, asked.item, rest)
        return None

    def _hold(self, asked: Asked, rest: str) -> bool | None:
        if asked.item.is_call:
            self.screen.say("A completion call is not held: say it, or q to stop here.")
            return None
        waits_for = "somebody to look second" if asked.unseen else ""
        reason = rest or waits_for or self.words("  Held. What does it wait for? (Enter: not said) ")
        self._record(asked, Given(HOLD, reason=reason or None, after_ms=asked.after_ms))
        tell_put_off(self, asked.item)
        return True

    def _not_applicable(self, asked: Asked, rest: str) -> bool | None:
        if asked.item.is_call:
            self.screen.say("A call is said when all of it is settled, or it is not said: g or n.", "  ")
            return None
        is_second = bool(asked.item.second_of) and asked.unseen
        before = f" (Enter: {self._no_second})" if is_second and self._no_second else ""
        reason = rest or (self.screen.ask(f"  Why does it not apply?{before} ") or self._no_second if before else "")
        reason = reason or self._needed("  Why does it not apply? ")
        while not is_reason(reason):
            self.screen.say(f"“{reason}” says nothing; a reason needs at least one word of three letters.", "  ")
            reason = self._needed("  Why does it not apply? ")
        if is_second:
            self._no_second = reason
        self._record(asked, Given(NOT_APPLICABLE, reason=reason, after_ms=asked.after_ms, unseen=asked.unseen))
        return True

    def words(self, prompt: str) -> str:
        """Ask for words or nothing: a key alone is a key. Raises StoppedError."""
        while (action := WORDS.get((line := self.screen.ask(prompt)).casefold())) is not None:
            if action == "stop":
                raise StoppedError
            self.screen.say(f"“{line}” is a key, and here words are asked for; q stops.", "  ")
        return line

    def _needed(self, prompt: str) -> str:
        """Ask until something is said."""
        while not (text := self.words(prompt)):
            self.screen.say("A few words are needed here; they go into the record.", "  ")
        return text

    def _accept(self, asked: Asked, rest: str) -> bool | None:
        if self.role not in (None, "lead"):
            self.screen.say("Only the lead accepts what was measured.")
            return None
        if asked.item.killer or asked.item.second_of or asked.item.measure is None:
            self.screen.say("Only a measured no-go is accepted, and nothing that must be right before the start.")
            return None
        why = rest or self._needed("  Why is it acceptable today? ")
        lead = lead_name(self, "  Name of the lead who accepts it (Enter: do not): ")
        if not lead:
            return None
        try:
            self.kept(lambda: self.session.accept(asked.item, lead, why))
        except ValueError as error:
            self.screen.say(f"Not accepted: {error}.", "  ")
            return None
        self.screen.write(f"  {self.screen.status(GO)} recorded, as accepted by {lead}")
        return True

    def _who(self, asked: Asked, rest: str) -> bool | None:  # noqa: ARG002
        if not asked.item.second_of:
            self.screen.say("Only a second look asks for a name.")
            return None
        self._lookers.ask_anew()
        return False

    def _back(self, asked: Asked, rest: str) -> bool | None:  # noqa: ARG002
        """Turn to the item answered before; from there, to the one before that. Enter goes forward again.

        A second look is blind: back leads from it to that person's own second looks alone.
        """
        state = self.session.state
        answered = [
            item for item in state.last_answered(self.role) if bool(item.second_of) == bool(asked.item.second_of)
        ]
        if asked.item.second_of:
            answered = [item for item in answered if same_person(state.answers[item.key].by, asked.person)]
        at = answered.index(asked.item) if asked.item in answered else -1
        if at + 1 >= len(answered):
            self.screen.say(
                f"{asked.person} gave no second look before this; what the first person said is not shown now."
                if asked.item.second_of
                else "Nothing was answered before this."
            )
            return None
        if at >= 0:
            self._forward.append(asked.item)
        self._turned_to = answered[at + 1]
        return True

    def _open(self, asked: Asked, rest: str) -> bool | None:
        item, state = asked.item, self.session.state
        if rest:
            self._turned_to = pick_any(self, rest)
            return self._turned_to is not None
        every = self.show.unsettled()
        near = [each for each in every if each.phase <= item.phase or state.status(each) != OPEN]
        if len(near) < len(every):
            self.screen.say(f"{len(every) - len(near)} are open in later phases; p shows where.")
        later = sum(state.status(each) == WAITING for each in visible(state.plan, self.role))
        if later:
            self.screen.say(f"{later} second looks come after their first.")
        self._turned_to = pick(self, near)
        return self._turned_to is not None

    def _progress(self, asked: Asked, rest: str) -> bool | None:  # noqa: ARG002
        self.show.progress()
        return None

    def _note(self, asked: Asked, rest: str) -> bool | None:
        text = rest or self.words("  Note: ")
        if text:
            self.kept(lambda: self.session.note(asked.item, text, asked.person))
            self.screen.write("  Note recorded.")
        return None

    def _sign(self, asked: Asked, rest: str) -> bool | None:  # noqa: ARG002
        if self.role not in (None, "lead"):
            self.screen.say("The sign-off is the lead's.")
            return None
        raise SignNow

    def _thunder(self, asked: Asked, rest: str) -> bool | None:
        self.thunder(rest)
        self._turned_to = asked.item
        return True

    def thunder(self, releases: str = "") -> None:
        """Write down that thunder is heard."""
        self.kept(lambda: self.session.thunder(releases if is_name(releases) else ""))
        self.screen.write("  Thunder recorded.")

    def _help(self, asked: Asked, rest: str) -> bool | None:  # noqa: ARG002
        self.show.help(asked.item)
        return None

    def _stop(self, asked: Asked, rest: str) -> bool | None:  # noqa: ARG002
        raise StoppedError

    _do: dict[str, Callable[[Walker, Asked, str], bool | None]] = {  # noqa: RUF012 - never changed
        "go": _go, "value": _value, "no-go": _no_go, "hold": _hold, "not-applicable": _not_applicable,
        "trace": _trace, "back": _back, "open": _open, "progress": _progress, "note": _note, "sign": _sign,
        "thunder": _thunder, "who": _who, "accept": _accept, "help": _help, "stop": _stop,
    }  # fmt: skip
