"""Turning to any item, answered or not: by its number in a list, by its place (`3.2`), or by words of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from lint.walk.items import Item
from lint.walk.keys import key_and_rest
from lint.walk.state import State, visible

if TYPE_CHECKING:
    from lint.walk.terminal import Walker

MOST_FOUND = 12
MOST_NAMED = 3
_PLACE = re.compile(r"([0-9]{1,3})\.([0-9]{1,3})")


def items_for(state: State, text: str, role: str | None) -> list[Item]:
    """Return the items that a place (phase and item, `3.2`) or words mean; a second look is found by its first.

    A call is found where its words are nothing else's.
    """
    mine = [item for item in visible(state.plan, role) if not item.second_of]
    if place := _PLACE.fullmatch(text):
        phase, number = int(place[1]) - 1, int(place[2]) - 1
        rows = [item for item in visible(state.plan, role) if item.phase == phase]
        return [rows[number]] if 0 <= number < len(rows) else []
    words = text.casefold().split()
    found = [item for item in mine if words and all(word in item.challenge.casefold() for word in words)]
    return [item for item in found if not item.is_call] or found


def pick_any(walker: Walker, text: str) -> Item | None:
    """Find an item by its place or by words, and ask which where there are several; None where none is picked."""
    screen = walker.screen
    text = text or screen.ask("Which item? Words of it, or its place, such as 3.2 (Enter: none) ")
    if not text:
        return None
    found = items_for(walker.session.state, text, walker.role)
    if not found:
        others = items_for(walker.session.state, text, None) if walker.role else []
        whose = "; ".join(f"{item.challenge.partition(': ')[0]} ({item.role})" for item in others[:MOST_NAMED])
        screen.say(f"That is asked at another terminal: {whose}." if whose else f"No item here has “{text}” in it.")
        return None
    if len(found) == 1:
        return found[0] if may_ask(walker, found[0]) else None
    if len(found) > MOST_FOUND:
        screen.say(f"{len(found)} items have that; these are the first {MOST_FOUND}. More words find fewer.")
    return pick(walker, found[:MOST_FOUND])


def pick(walker: Walker, items: Sequence[Item]) -> Item | None:
    """List items and ask for the number of one."""
    if not items:
        walker.screen.say("Nothing else is open here.")
        return None
    walker.show.items(items)
    line = walker.screen.ask("Number to answer it now, Enter to go on: ")
    return numbered(walker, line, items)


def numbered(walker: Walker, line: str, items: Sequence[Item]) -> Item | None:
    """Return the item of a number in a list that was shown, where it may be asked now; else None, with why."""
    if line.isdecimal() and 1 <= int(line) <= len(items):
        picked = items[int(line) - 1]
        return picked if may_ask(walker, picked) else None
    action, text = key_and_rest(line)
    if action == "open":
        return pick_any(walker, text)
    if line:
        walker.screen.say(f"“{line}” is no number of this list.")
    return None


def may_ask(walker: Walker, item: Item) -> bool:
    """Whether an item may be picked now; where it waits for a killer item, say which."""
    guard = walker.session.state.held_back_by(item)
    if guard is not None:
        why = "nothing starts without" if walker.session.state.is_guard(guard) else "before it comes"
        walker.screen.say(f"That waits: {why} “{guard.challenge}” ({guard.role}).")
    return guard is None


def aside(walker: Walker, line: str) -> bool:
    """Do what may be done between two items: open, back, note, progress, thunder, help; whether the line was that."""
    action, text = key_and_rest(line)
    if action in ("open", "back"):
        turn_to(walker, action, text)
    elif action == "note":
        text = text or walker.words("Note: ")
        if text:
            walker.kept(lambda: walker.session.note(None, text))
            walker.screen.write("  Note recorded.")
    elif action == "progress":
        walker.show.progress()
    elif action == "thunder":
        walker.thunder(text)
    elif action == "help":
        walker.show.help()
    else:
        return False
    return True


def turn_to(walker: Walker, action: str, text: str) -> None:
    """Answer anew, out of turn: `open` any item by words or place (what is unsettled, without), `back` the last one."""
    if action == "back":
        last = walker.session.state.last_answered(walker.role)
        item = next((each for each in last if not each.second_of and not each.is_call), None)
    else:
        left = walker.show.unsettled()[:MOST_FOUND]
        item = pick(walker, left) if left and not text else pick_any(walker, text)
    if item is not None:
        walker.ask(item, may_leave=True)
