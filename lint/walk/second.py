"""Who looks: at a second look somebody else, asked for anew in each phase; after a difference both, together."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from lint.rig.person import is_name, may_be_same, person_key, same_person
from lint.walk.answer import GO, HOLD, NO_GO, WAITING, Answer
from lint.walk.asked import Asked
from lint.walk.given import Given
from lint.walk.items import Item
from lint.walk.keys import WORDS
from lint.walk.meanwhile import AnsweredMeanwhileError
from lint.walk.screen import StoppedError
from lint.walk.state import HOLDS_AT_PHASE_END, HOLDS_AT_WALK_END

if TYPE_CHECKING:
    from lint.walk.terminal import Walker

# What may be said instead of a name.
_INSTEAD = ("not-applicable", "hold", "stop", "sign", "open", "thunder")
_AND = re.compile(r"\s+and\s+|\s*[,&+]\s*", re.IGNORECASE)


class Lookers:
    """Who looks at an item, at one terminal: its own person, a second one, or two together."""

    def __init__(self, walker: Walker) -> None:
        self._walker = walker
        self._second = ""
        self._asked_in = -1  # the phase that the second person was last asked for in
        self._last = ""  # whoever answered last, to say when it is another's turn again

    def who(self, item: Item) -> tuple[str, str]:
        """Return who looks at an item, and who looks with them; no names where it was answered some other way."""
        if item.second_of:
            person, together = self._second_person(item), ""
        elif (second := self._walker.session.state.differs.get(item.key)) is not None:
            person, together = self._both(item, second)
        else:
            person, together = self._walker.session.by, ""
            if not self._is_back(item, person):
                return "", ""
        self._last = together or person  # after a look together the second is still here
        return person, together

    def _is_back(self, item: Item, person: str) -> bool:
        """Whether the terminal's own person has it; asked by name before what they answered first would be shown."""
        walker, screen = self._walker, self._walker.screen
        state, show = walker.session.state, walker.show
        answer = state.answers.get(item.key)
        if answer is not None and same_person(answer.by, person) and show.is_blind(item):
            screen.write("")
            screen.say(f"A second look is still due at: {item.challenge.partition(': ')[0]}")
            screen.say(
                f"Whoever gives it is not shown what {person} answered: hand the terminal back to {person} first."
            )
            line = screen.ask(f"{person} types their name (Enter: leave it for now): ")
            if WORDS.get(line.casefold()) == "stop":
                raise StoppedError
            if not same_person(line, person):
                return False
            show.handed_to(person)
        if self._last and not same_person(self._last, person):
            screen.say(f"Back to {person}.")
            if not any(map(state.second_due, state.plan.items)):  # nothing is left that is not to be seen
                show.handed_to(person)
        return True

    def _second_person(self, item: Item) -> str:
        state = self._walker.session.state
        first = state.answers.get(item.second_of)
        taken = first.by if first is not None else ""
        is_still_here = item.phase == self._asked_in and same_person(self._last, self._second)
        if is_still_here and not same_person(self._second, taken):  # else the terminal has to be handed over first
            return self._second
        screen = self._walker.screen
        offer = next(
            (name for name in (self._walker.session.by, self._second) if name and not same_person(name, taken)), ""
        )
        self._walker.show.handed_to("")
        screen.clear()  # what the first said may still stand there
        screen.write("")
        screen.say(f"A second look is due at: {item.challenge.partition(': ')[0]}")
        screen.say("Hand over to somebody who was not told the first answer.")
        screen.say(screen.listed("x: there is nobody", "h: later", "q: stop"))
        screen.forget_typed()  # an Enter that was typed ahead is nobody's name
        enter = f" (Enter: {offer})" if offer else ""
        before = state.answers.get(item.key)
        while True:
            line = screen.ask(f"Name of the second person{enter}: ") or offer
            if self._is_past(item, before):  # the prompt may have stood there while the look was given elsewhere
                return ""
            action = WORDS.get(line.partition(" ")[0].casefold())
            if action in _INSTEAD:
                if self._walker.take(item, line) is not None:
                    return ""
            elif same_person(line, taken):
                screen.say(f"“{line}” looked first and is not a second person; it takes another pair of eyes.")
            elif action is None and may_be_same(line, taken) and not self._is_another(line, taken):
                continue
            elif is_name(line) and action is None:
                self._second, self._asked_in = line, item.phase
                self._walker.show.handed_to(line)
                return line
            else:
                screen.say(f"“{line}” is not a second person." if line else "A name is needed here, or x or h.")

    def _is_another(self, name: str, taken: str) -> bool:
        """Ask whether somebody whose name is another's cut short is somebody else."""
        said = self._walker.screen.ask(f"{taken} looked first. Is {name} another person? y is yes: ")
        return said.casefold() in ("y", "yes")

    def _is_past(self, item: Item, before: Answer | None) -> bool:
        """Whether a second look is given meanwhile, due no more, or asked otherwise by now; say so."""
        walker = self._walker
        walker.refresh()
        state = walker.session.state
        if state.plan.by_key.get(item.key) != item:
            walker.screen.say("What is asked there has changed meanwhile; nothing was recorded here.")
        elif state.answers.get(item.key) != before or state.status(item) == WAITING:
            walker.screen.say("Somebody has looked there meanwhile; nothing was recorded here.")
        else:
            return False
        return True

    def ask_anew(self) -> None:
        """Forget who looks second, such as a name typed wrongly: it is asked for again."""
        self._asked_in = -1

    def _both(self, item: Item, second: Answer) -> tuple[str, str]:
        """Say what each saw, and ask who looks again together."""
        walker, screen = self._walker, self._walker.screen
        first = walker.session.state.answers[item.key]
        looks = self._looks(first, second)
        screen.write("")
        screen.say(f"{'Two' if len(looks) == 2 else len(looks)} people saw different things at: {item.challenge}")
        for answer in looks:
            screen.say(walker.show.answer_words(answer), f"  {answer.by}: ", "    ")
        screen.say("Look again, both together, and give one answer. Until then it is a no-go.")
        screen.say(screen.listed("or one of them and another name", "h: later", "q: stop"))
        screen.forget_typed()
        both = f"{first.by} and {second.by}"
        while True:
            line = screen.ask(f"Who looks, together? (Enter: {both}) ")
            names = [name for name in _AND.split(line) if name] if line else [first.by, second.by]
            action = WORDS.get(line.partition(" ")[0].casefold())
            walker.refresh()
            if walker.session.state.differs.get(item.key) != second:
                screen.say("That was settled, or looked at anew, meanwhile; nothing was recorded here.")
                return "", ""
            if action == "hold":  # a hold would take the place of what was seen
                screen.say("Left for later: it stays a no-go until both have looked again (o lists it).", "  ")
                walker.leaving.add(item.key)
                return "", ""
            if action in _INSTEAD:
                if walker.take(item, line) is not None:
                    return "", ""
            elif len(names) == 2 and all(map(is_name, names)) and not same_person(*names):
                if any(same_person(name, looked) for name in names for looked in (first.by, second.by)):
                    return names[0], names[1]
                screen.say(f"{first.by} or {second.by} must be one of the two: they know what they saw.")
            else:
                screen.say(f"“{line}” is not two people; expected two names, such as {both}.")

    def _looks(self, first: Answer, second: Answer) -> list[Answer]:
        """Return the first look and the latest of each who looked after it, the one that counts last."""
        given = [each for each in self._walker.session.state.given if each.item == second.item and each.seq > first.seq]
        latest = {person_key(each.by): each for each in given if each.answer in (GO, NO_GO) or each.is_look}
        others = [each for each in latest.values() if each.seq != second.seq and not same_person(each.by, second.by)]
        return [first, *others, second]


def tell_put_off(walker: Walker, item: Item) -> None:
    """Say what waits for an item that was held, or a second look put off, and when it comes back."""
    state = walker.session.state
    waiting = len(state.waiting_on(item))
    if state.next_item(walker.role, walker.leaving) == item:
        back = "Nothing else can be asked before it. Where that takes long, stop here (q): the same command comes back"
    elif state.times_held(item) == HOLDS_AT_PHASE_END:
        back = "It comes back at the end of this phase"
    elif state.times_held(item) == HOLDS_AT_WALK_END:
        back = "It comes back at the end of the walk"
    else:
        back = "It stays in the list of what keeps a go away (o)"
    if item.second_of or waiting:
        what = "The second look is put off" if item.second_of else "Held"
        wait = "1 item waits" if waiting == 1 else f"{waiting} items wait"
        walker.screen.say(f"{what}, and {wait} for it. {back}.", "  ")
    elif state.next_item(walker.role, walker.leaving) == item:
        walker.screen.say("Nothing else is left to ask before it, so here it is again. q stops here.", "  ")


def as_second_look(walker: Walker, asked: Asked, given: Given, error: AnsweredMeanwhileError) -> tuple[Asked, Answer]:
    """Take what was answered unaware of another's answer as the second look, which it is.

    Raises AnsweredMeanwhileError where it can't be: somebody's own answer, a hold.
    """
    second = walker.session.state.second_due(asked.item)
    is_look = given.answer != HOLD and not same_person(error.answer.by, asked.person)
    if second is None or not is_look:
        if given.answer != NO_GO:
            raise error
        second = asked.item  # a no-go wins in any case
    else:
        walker.screen.say(
            f"{error.answer.by} has looked here too: yours, given unaware of it, is the second look.", "  "
        )
    return replace(asked, item=second), walker.kept(lambda: walker.session.answer(second, given, asked.person))
