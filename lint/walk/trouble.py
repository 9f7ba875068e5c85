"""Where an item is no go: what helps to find the fault, and what was done about it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from lint.walk.items import Item
from lint.walk.keys import WORDS
from lint.walk.screen import StoppedError

if TYPE_CHECKING:
    from lint.walk.terminal import Walker

_NOTHING = frozenset(("nothing", "yet", "none", "no", "not", "nil", "so", "far", "said"))


def after_no_go(walker: Walker, item: Item, person: str, parts: Sequence[str]) -> bool:
    """Offer what helps to find the fault, and note what was done about it; False to look again at once."""
    signals = _signals(walker, item, parts)
    is_measured = item.measure is not None  # a low battery is no fault to be hunted
    for command in filter(None, map(walker.aids.hunt, signals) if walker.aids and not is_measured else ()):
        walker.screen.say(f"To find it step by step, at another terminal: {command}", "  ")
    offer = "l: its path, " if signals else ""
    while True:
        cure = walker.screen.ask(f"  What was done about it? ({offer}Enter: nothing yet) ")
        action = WORDS.get(cure.casefold())
        if action == "trace" and signals:
            _show_traces(walker, signals)
        elif action == "stop":
            raise StoppedError
        elif action is not None:
            walker.screen.say(f"“{cure}” is a key, and here words are asked for; q stops.", "  ")
        else:
            break
    if not is_done(cure):
        waiting = len(walker.session.state.waiting_on(item))
        and_what = f", and {waiting} item{'s wait' if waiting != 1 else ' waits'} for it" if waiting else ""
        walker.screen.say(f"It stays a no-go until it is answered again (o lists it){and_what}.", "  ")
        return not item.killer  # a killer is shown again, with what can be done about it
    _keep_cure(walker, item, cure, person)
    walker.screen.say("Cure recorded. Look again:", "  ")
    return bool(item.second_of)  # after a second look that differs, the first person looks again


def ask_cure(walker: Walker, item: Item, person: str) -> None:
    """Ask what was done about an item that was a no-go, whoever said so and however long ago, and is a go now."""
    cure = walker.words("  What was it, or what was done about it? (Enter: not said) ")
    if is_done(cure):
        _keep_cure(walker, item, cure, person)
        walker.screen.say("Cure recorded.", "  ")


def is_done(cure: str) -> bool:
    """Whether words say that something was done, and not that nothing was."""
    return bool(set(re.findall(r"\w+", cure.casefold())) - _NOTHING)


def _keep_cure(walker: Walker, item: Item, cure: str, person: str) -> None:
    """Write a cure down with the item; that of a second look stands with the first."""
    first = walker.session.state.plan.by_key.get(item.second_of, item)
    walker.kept(lambda: walker.session.cure(first, cure, person))


def _signals(walker: Walker, item: Item, parts: Sequence[str]) -> list[str]:
    """Return the signals that an item, or these parts of it, is about; none where nothing could trace them."""
    subjects = [item.subject.parts[part] for part in parts] or [item.subject]
    return [subject.signal for subject in subjects if subject.signal and walker.aids is not None]


def _show_traces(walker: Walker, signals: Sequence[str]) -> None:
    for signal in signals:
        walker.screen.write(walker.aids.trace(signal) if walker.aids is not None else "")


def show_path(walker: Walker, item: Item, part: str) -> None:
    """Show the path of an item's signal, or of that of one of its parts."""
    parts = item.subject.parts
    signals = _signals(walker, item, [part] if part in parts else [])
    _show_traces(walker, signals)
    if not signals and any(one.signal for one in parts.values()):
        walker.screen.say(f"The path of which number? Such as l {next(iter(parts))}")
    elif not signals:
        walker.screen.say("No one signal belongs to this item.")
