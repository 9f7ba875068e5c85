"""Completion calls that can't be said yet: what is open in their phase is named, and can be turned to.

A call over an open item would tell everybody that a part is done which is not: reference/checklist-design.md 1.2 (6)
and 1.5, what is put off comes back under its name.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from lint.walk.answer import HOLD, NO_GO, OPEN
from lint.walk.items import Item
from lint.walk.keys import key_and_rest
from lint.walk.picking import aside, may_ask
from lint.walk.screen import StoppedError

if TYPE_CHECKING:
    from lint.walk.terminal import Walker


class Calls:
    """The calls that one walker passes by: each is told of once for what keeps it back."""

    def __init__(self, walker: Walker) -> None:
        self._walker = walker
        self._told: set[str] = set()

    def is_unsaid(self, item: Item) -> bool:
        """Say which call before an item is not said, over what, and ask; whether to look again. Raises StoppedError.

        A single role is told by `must_wait`, since a phase is not its own.
        """
        walker, screen = self._walker, self._walker.screen
        state = walker.session.state
        calls = [each for each in state.plan.items if each.is_call and each.phase < item.phase]
        unsaid = [each.phase for each in calls if state.status(each) == OPEN] if walker.role is None else []
        lefts = [[each for each in state.waits(phase) if state.status(each) in (NO_GO, HOLD)] for phase in unsaid]
        known = {*self._told, *walker.leaving}  # whoever leaves a no-go was told what it holds back
        left = next((rows for rows in lefts if {each.key for each in rows} - known), [])
        if not left:
            return False
        self._told |= {each.key for each in left}
        screen.write("")
        completion = state.plan.phases[left[0].phase].completion
        screen.say(f"“{completion}” is not said now, for what is not settled there:")
        walker.show.items(left)
        line = screen.ask(screen.listed("number: answer it now", "Enter: go on without the call", "q: stop "))
        if key_and_rest(line)[0] == "stop":
            raise StoppedError
        if line.isdecimal() and 1 <= int(line) <= len(left):
            if may_ask(walker, left[int(line) - 1]):
                walker.ask(left[int(line) - 1], may_leave=True)
        elif line and not aside(walker, line):
            screen.say(f"“{line}” is no answer here; o lists what is open at any item.")
        return bool(line)
