"""A role that could go ahead of others, or has nothing to answer until they have: it says so and waits."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from lint.walk.answer import OPEN
from lint.walk.items import Item
from lint.walk.keys import WORDS
from lint.walk.picking import aside
from lint.walk.screen import MARKS, StoppedError
from lint.walk.template import Safety
from lint.walk.thunder import NOTICE

if TYPE_CHECKING:
    from lint.walk.terminal import Walker


class SignNow(Exception):  # noqa: N818 - a turn of the way, not a mistake
    """Raised where the lead asks for the sign-off before everything is answered."""


def held_by_thunder(walker: Walker) -> bool:
    """Whether a thunder hold stands; say so and ask what to do. Raises SignNow and StoppedError."""
    hold, screen = walker.session.state.thunder_hold, walker.screen
    if hold is None:
        return False
    local = hold.over_at.astimezone(datetime.fromisoformat(hold.heard[-1][1]).tzinfo)
    screen.write("")
    screen.rule()
    screen.say(f"{screen.marked(MARKS['hold'], hold.words)}, and not before {local:%H:%M}.")
    walker.show.safety(Safety("WARNING", NOTICE))
    signs = "s: sign a no-go" if walker.role in (None, "lead") else ""
    screen.say(screen.listed("thunder: heard again", "c: all clear", "Enter: look again", signs, "q: stop"))
    screen.forget_typed()
    line = screen.ask("> ")
    action = WORDS.get(line.casefold())
    if action == "thunder":
        walker.thunder()
    elif action == "stop":
        raise StoppedError
    elif action == "sign" and signs:
        raise SignNow
    elif line.casefold() in ("c", "clear", "all clear"):
        _all_clear(walker)
    elif line:
        screen.say(f"“{line}” is no answer here; c asks for your name, to release the hold.")
    return True


def _all_clear(walker: Walker) -> None:
    name = walker.screen.ask("Your name, to release the hold (Enter: do not): ")
    if not name:
        return
    try:
        walker.kept(lambda: walker.session.all_clear(name))
    except ValueError as error:
        walker.screen.say(f"Not released: {error}.")
    else:
        walker.screen.write("  All clear recorded.")


def must_wait(walker: Walker, item: Item) -> bool:
    """Say where a role would go ahead of a phase that others have not finished; return whether to look again."""
    state = walker.session.state
    late = None if walker.role is None else state.unfinished_phase(item.phase)
    if late is None or item.phase <= walker.goes_ahead:
        return False
    screen, phase = walker.screen, state.plan.phases[late]
    screen.write("")
    title = state.plan.phases[item.phase].title
    screen.say(f"“{phase.title}” is not complete, and the {walker.role}'s next item is in “{title}”.")
    screen.say(f"Still open there: {walker.show.waits_by_role(late) or walker.show.with_crew('lead') + ', the call'}")
    line = screen.ask("Enter: look again · a: go ahead all the same · o, b, t, p: as ever · q: stop ").casefold()
    if line in ("q", "quit", "stop"):
        raise StoppedError
    aside(walker, line)
    if line in ("a", "ahead"):
        walker.goes_ahead = item.phase
        walker.kept(lambda: walker.session.note(None, f"the {walker.role} goes ahead to “{title}”"))
    return line not in ("a", "ahead")


def waits(walker: Walker) -> bool:
    """Whether a role with nothing to answer now waits for others, or for a no-go to be cured; say so and ask."""
    state, screen = walker.session.state, walker.screen
    held_back = [item for item in state.with_status(OPEN, role=walker.role) if state.held_back_by(item) is not None]
    late = state.unfinished_phase(len(state.plan.phases)) if walker.role == "lead" else None
    is_late = late is not None and bool(state.with_status(OPEN))
    if walker.role is None or not (held_back or is_late):
        return False
    screen.write("")
    if held_back:
        walker.show.waiting(held_back)
    elif late is not None:
        title = state.plan.phases[late].title
        screen.say(f"Nothing for the lead now. Open in “{title}”: {walker.show.waits_by_role(late)}")
    signs = "s: sign off now (a no-go)" if walker.role == "lead" else ""
    line = screen.ask(screen.listed("Enter: look again", "o, b, t, p: as ever", signs, "q: stop ")).casefold()
    if line in ("q", "quit", "stop"):
        raise StoppedError
    if line in ("s", "sign") and signs:
        raise SignNow
    aside(walker, line)
    walker.leaving.clear()
    return True
