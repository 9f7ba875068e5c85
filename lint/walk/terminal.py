"""The walk at a terminal: one item at a time, each answer on disk before the next is asked."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from decimal import Decimal

from lint.walk.change import Change
from lint.walk.closing import close_walk
from lint.walk.entry import Entry
from lint.walk.items import Item
from lint.walk.screen import MARKS, Screen, StoppedError
from lint.walk.session import AnsweredMeanwhileError, Given, Session
from lint.walk.state import GO, HOLD, NO_GO, NOT_APPLICABLE, OPEN, Answer, visible
from lint.walk.template import Safety

MOST_LISTED = 12
MOST_DIGITS = 20
_PLAIN_NUMBER = re.compile(r"[-+]?[0-9]+(\.[0-9]+)?")
_WORDS = {
    "g": "go", "go": "go",
    "n": "no-go", "no": "no-go", "no-go": "no-go", "nogo": "no-go",
    "h": "hold", "hold": "hold",
    "x": "not-applicable", "na": "not-applicable", "n/a": "not-applicable",
    "v": "value", "value": "value",
    "b": "back", "back": "back",
    "o": "open", "open": "open",
    "t": "note", "note": "note",
    "s": "sign", "sign": "sign",
    "?": "help", "help": "help",
    "q": "stop", "quit": "stop", "stop": "stop",
}  # fmt: skip
_HELP = """\
g            go: the state is as the item says; look, touch, then answer
n WHAT       no-go: it is not; say what is seen, then what was done about it
v NUMBER     the measured value; it is judged by the item's limits
h WHY        hold: come back to it at the end of the phase; blocks the poll
x WHY        not applicable here, with the reason
b            back: answer the item before again; the old one stays on record
o            list what is open, held or no-go, and pick one
t TEXT       note something about this item
s            sign off now (while anything is open that records a no-go)
q            stop and leave; every answer is on disk, the same command resumes"""


class SignNow(Exception):  # noqa: N818 - a turn of the way, not a mistake
    """Raised where the lead asks for the sign-off before everything is answered."""


class Walker:
    """Asks the items of one session, of one role or all."""

    def __init__(self, session: Session, screen: Screen, role: str | None) -> None:
        self.session = session
        self.screen = screen
        self.role = role
        self.signed: Entry | None = None
        self._phase_shown = -1
        self._safety_shown = ""
        self._turned_to: Item | None = None
        self._back_from = ""

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
            turned, self._turned_to = self._turned_to, None
            item = turned or self.session.state.next_item(self.role)
            if item is None:
                return
            self.ask(item, may_leave=turned is not None)

    def refresh(self) -> None:
        """Read what changed, on disk and in the files, and say so."""
        change = self.session.refresh()
        if change is not None:
            self.tell_change(change)

    # -- one item ----------------------------------------------------------------------------------------------

    def ask(self, item: Item, may_leave: bool) -> None:
        """Show an item and ask until it is answered; Enter leaves an earlier answer where `may_leave`."""
        while True:
            self._show(item, may_leave)
            shown = time.monotonic()
            done: bool | None = None
            while done is None:
                line = self.screen.ask("> ")
                if not line and may_leave and self.session.state.status(item) != OPEN:
                    return
                done = self._take(item, line, round((time.monotonic() - shown) * 1000))
            if done:
                return
            may_leave = True

    def _take(self, item: Item, line: str, after_ms: int) -> bool | None:
        """Take one line: True when the item is done with, False to show it again, None to ask for another line."""
        word, _, rest = line.partition(" ")
        action = _WORDS.get(word.casefold())
        if action is None and item.measure is not None and _number(line.removesuffix(item.measure.unit)) is not None:
            action, rest = "value", line
        if action is None:
            self.screen.say(f"“{line}” is no answer here; {self._keys(item)}" if line else self._keys(item))
            return None
        try:
            return self._do[action](self, item, rest.strip(), after_ms)
        except AnsweredMeanwhileError as error:
            self.screen.say(f"{error}. Your answer was not recorded.")
            return True

    def _record(self, item: Item, given: Given) -> Answer:
        answer = self.session.answer(item, given)
        value = f" {answer.value} {item.measure.unit}" if item.measure and answer.value else ""
        self.screen.write(f"  {self.screen.status(answer.answer)}{value} recorded")
        return answer

    def _go(self, item: Item, rest: str, after_ms: int) -> bool | None:  # noqa: ARG002
        if item.measure is not None:
            self.screen.say(f"This item takes a value in {item.measure.unit}, such as v 72.5")
            return None
        self._record(item, Given(GO, after_ms=after_ms))
        return True

    def _value(self, item: Item, rest: str, after_ms: int) -> bool | None:
        if item.measure is None:
            self.screen.say("Nothing is measured here; answer g or n.")
            return None
        text = rest or self.screen.ask(f"  Value in {item.measure.unit}: ")
        value = _number(text.removesuffix(item.measure.unit))
        if value is None:
            self.screen.say(f"“{text}” is no number; this item takes a value in {item.measure.unit}, such as v 72.5")
            return None
        answer = self._record(item, Given(GO, value, after_ms=after_ms))
        return True if answer.answer == GO else self._after_no_go(item)

    def _no_go(self, item: Item, rest: str, after_ms: int) -> bool | None:
        seen = rest or self._needed("  What is seen instead? ")
        self._record(item, Given(NO_GO, seen=seen, after_ms=after_ms))
        return self._after_no_go(item)

    def _after_no_go(self, item: Item) -> bool:
        cure = self.screen.ask("  What was done about it? (Enter: nothing yet) ")
        if not cure:
            self.screen.say("It stays a no-go until it is answered again.", "  ")
            return True
        self.session.cure(item, cure)
        self.screen.say("Cure recorded. Look again:", "  ")
        return False

    def _hold(self, item: Item, rest: str, after_ms: int) -> bool | None:
        if item.is_call:
            self.screen.say("A completion call is not held: say it, or q to stop here.")
            return None
        self._record(item, Given(HOLD, reason=rest or None, after_ms=after_ms))
        return True

    def _not_applicable(self, item: Item, rest: str, after_ms: int) -> bool | None:
        reason = rest or self._needed("  Why does it not apply? ")
        self._record(item, Given(NOT_APPLICABLE, reason=reason, after_ms=after_ms))
        return True

    def _needed(self, prompt: str) -> str:
        """Ask until something is said."""
        while not (text := self.screen.ask(prompt)):
            self.screen.say("A few words are needed here; they go into the record.", "  ")
        return text

    def _back(self, item: Item, rest: str, after_ms: int) -> bool | None:  # noqa: ARG002
        """Turn to the item answered before; from there, to the one before that."""
        answered = self.session.state.last_answered(self.role)
        if self._back_from == item.key and item in answered:
            answered = answered[answered.index(item) + 1 :]
        else:
            answered = [each for each in answered if each != item]
        if not answered:
            self.screen.say("Nothing was answered before this.")
            return None
        self._turned_to = answered[0]
        self._back_from = answered[0].key
        return True

    def _open(self, item: Item, rest: str, after_ms: int) -> bool | None:  # noqa: ARG002
        every = [each for each in self.unsettled() if each != item]
        near = [each for each in every if each.phase <= item.phase or self.session.state.status(each) != OPEN]
        if len(near) < len(every):
            self.screen.say(f"{len(every) - len(near)} are open in later phases.")
        self._turned_to = self.pick(near)
        return self._turned_to is not None

    def _note(self, item: Item, rest: str, after_ms: int) -> bool | None:  # noqa: ARG002
        text = rest or self.screen.ask("  Note: ")
        if text:
            self.session.note(item, text)
            self.screen.write("  note recorded")
        return None

    def _sign(self, item: Item, rest: str, after_ms: int) -> bool | None:  # noqa: ARG002
        if self.role not in (None, "lead"):
            self.screen.say("The sign-off is the lead's.")
            return None
        raise SignNow

    def _help(self, item: Item, rest: str, after_ms: int) -> bool | None:  # noqa: ARG002
        self.screen.write(_HELP)
        return None

    def _stop(self, item: Item, rest: str, after_ms: int) -> bool | None:  # noqa: ARG002
        raise StoppedError

    _do: dict[str, Callable[[Walker, Item, str, int], bool | None]] = {  # noqa: RUF012 - never changed
        "go": _go, "value": _value, "no-go": _no_go, "hold": _hold, "not-applicable": _not_applicable,
        "back": _back, "open": _open, "note": _note, "sign": _sign, "help": _help, "stop": _stop,
    }  # fmt: skip

    # -- showing -----------------------------------------------------------------------------------------------

    def _keys(self, item: Item) -> str:
        first = "v value" if item.measure is not None else "g go"
        return f"{first}  n no-go  h hold  x not applicable  b back  o open  ? help  q stop"

    def _show(self, item: Item, may_leave: bool) -> None:
        state, screen = self.session.state, self.screen
        # The lead may turn to an item of another role: it is then shown in its place in the whole list.
        mine = visible(state.plan, self.role if item.role == self.role else None)
        rows = [each for each in mine if each.phase == item.phase]
        phase = state.plan.phases[item.phase]
        left = sum(state.status(each) == OPEN for each in mine)
        screen.write("")
        if item.phase != self._phase_shown:
            self._phase_shown = item.phase
            self._safety_shown = ""
            screen.rule()
            screen.say(screen.paint(phase.title, "strong") + f" ({phase.mode})")
        place = f"Phase {item.phase + 1} of {len(state.plan.phases)} · item {rows.index(item) + 1} of {len(rows)}"
        killer = " · nothing starts without this" if item.killer else ""
        screen.say(f"{place} · {left} open · {item.role}{killer}")
        if item.safety is not None:
            screen.write("")
            self._show_safety(item.safety)
        screen.write("")
        screen.write(screen.paint(screen.wrapped(item.challenge, "  ▶ ", "    "), "strong"))
        screen.write("")
        self._show_before(item, may_leave)
        screen.write(self._keys(item))

    def _show_safety(self, safety: Safety) -> None:
        """Show a safety note in full when it first comes up, and as a reminder while it is asked again and again."""
        again = safety.text == self._safety_shown
        self._safety_shown = safety.text
        text = "as above." if again else safety.text
        lines = self.screen.wrapped(text, f"  {safety.word}: ", "  ")
        self.screen.write(lines.replace(safety.word, self.screen.paint(safety.word, safety.word), 1))

    def _show_before(self, item: Item, may_leave: bool) -> None:
        state, screen = self.session.state, self.screen
        answer = state.answers.get(item.key)
        if answer is not None:
            leave = " Enter leaves it." if may_leave else ""
            screen.say(f"Answered before: {self.answer_words(answer)}.{leave}", "  ")
            if item.key in state.cures:
                screen.say(f"Cure: {state.cures[item.key]}", "  ")
        elif item.key in state.outdated:
            old = state.outdated[item.key]
            screen.say(f"Asked again: it was “{old.asked['challenge']}” when {old.by} answered {old.answer}.", "  ")

    def answer_words(self, answer: Answer) -> str:
        """Say an answer, with who and when."""
        detail = answer.seen or answer.reason or ""
        words = f"{self.screen.status(answer.answer)}" + (f" {answer.value}" if answer.value else "")
        return f"{words}{': ' + detail if detail else ''} (by {answer.by}, {answer.local[11:16]})"

    def unsettled(self) -> list[Item]:
        """Return what keeps a go away, for this role or all: no-go, held, open."""
        state = self.session.state
        return [item for status in (NO_GO, HOLD, OPEN) for item in state.with_status(status, role=self.role)]

    def pick(self, items: list[Item], prompt: str = "Number to answer it now, Enter to go on: ") -> Item | None:
        """List items and ask for the number of one."""
        if not items:
            self.screen.say("Nothing else is open here.")
            return None
        self.list_items(items)
        line = self.screen.ask(prompt)
        return items[int(line) - 1] if line.isdecimal() and 1 <= int(line) <= len(items) else None

    def list_items(self, items: list[Item]) -> None:
        """List items with their status, numbered."""
        state, width = self.session.state, len(str(len(items)))
        for number, item in enumerate(items, start=1):
            status = state.status(item)
            label = f"{number:>{width}} {MARKS[status]} {status}: "
            self.screen.say(item.challenge, label, " " * (width + 3))

    def tell_change(self, change: Change) -> None:
        """Say what a change of the files did to the walk."""
        screen = self.screen
        what = " and the ".join(name for name, is_so in (("rig", change.rig), ("checklist", change.template)) if is_so)
        screen.write("")
        screen.say(f"The {what} has changed since." if what else "What is asked has changed since.")
        for was, now in change.touched[:MOST_LISTED]:
            screen.say(
                f"was “{was}”, is now “{now}”" if was != now else f"another note or limit: “{now}”", "  ~ ", "    "
            )
        for challenge in change.came[:MOST_LISTED]:
            screen.say(challenge, "  + ", "    ")
        for challenge in change.went[:MOST_LISTED]:
            screen.say(challenge, "  - ", "    ")
        hidden = sum(max(0, len(rows) - MOST_LISTED) for rows in (change.touched, change.came, change.went))
        if hidden:
            screen.say(f"and {hidden} more", "    ")
        touched = bool(change.touched or change.came)
        screen.say("These are asked again; every other answer is kept." if touched else "Every other answer is kept.")
        self.tell_no_gos()

    def tell_no_gos(self) -> None:
        """Say which findings of the check keep a go away."""
        found = self.session.basis.no_gos
        if not found:
            return
        screen = self.screen
        screen.write("")
        screen.say(
            f"{screen.status('no-go')} The check of the rig file finds what must be put right. Walk on by all means;"
        )
        screen.say("a GO can't come of it until these are cured or waived in the rig file:")
        for finding in found[:MOST_LISTED]:
            screen.say(f"{finding.message} ({finding.rule})", "  ✗ ", "    ")
        if len(found) > MOST_LISTED:
            screen.say(f"and {len(found) - MOST_LISTED} more; `rigwalk check` tells all", "    ")


def _number(text: str) -> Decimal | None:
    """Read a measured value, with a point or a comma; None where it is no plain number of a sane length."""
    plain = text.strip().replace(",", ".").replace("−", "-")
    return Decimal(plain) if len(plain) <= MOST_DIGITS and _PLAIN_NUMBER.fullmatch(plain) else None
