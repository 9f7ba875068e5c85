"""What others did meanwhile, as it is told at a terminal.

Whoever may look second is told nothing of that item before: neither the first answer nor what was said about it, such
as its cure, which gives it away. That is kept back until the second look is in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from lint.walk.answer import GO, NO_GO
from lint.walk.entry import ALL_CLEAR, ANOTHER_DAY, ANSWER, CURE, NOTE, POLL, REOPENED, SEEN, SIGNED, THUNDER, Entry
from lint.walk.items import SECOND

if TYPE_CHECKING:
    from lint.walk.display import Display


class News:
    """Tells one terminal what others wrote, and keeps back what its reader is not to know yet."""

    def __init__(self, show: Display) -> None:
        self._show = show
        self._kept_back: list[Entry] = []

    def tell(self, entries: Sequence[Entry]) -> None:
        """Say what others have answered since: goes in a line, everything else one by one."""
        due = Counter(_who(entry) for entry in entries if entry.kind == ANSWER and self._is_blind(entry))
        waiting = [*self._kept_back, *entries]
        self._kept_back = [entry for entry in waiting if self._is_blind(entry)]
        goes: Counter[str] = Counter()
        for entry in (each for each in waiting if not self._is_blind(each)):
            if entry.kind == ANSWER and entry.body["answer"] == GO:
                goes[_who(entry)] += 1
            else:
                self._one(entry)
        for by, count in goes.items():
            self._show.screen.say(f"  {by}: {count} answered go meanwhile")
        for by, count in due.items():
            self._show.screen.say(f"  {by}: {count} answered meanwhile that a second person looks at next")

    def _is_blind(self, entry: Entry) -> bool:
        """Whether an entry speaks of an item that a second look is still due at, of somebody else than its first."""
        key = str(entry.body.get("item") or "").removeprefix(f"{SECOND}/")
        item = self._show.session.state.plan.by_key.get(key)
        return item is not None and self._show.is_blind(item)

    def _one(self, entry: Entry) -> None:
        screen, body = self._show.screen, entry.body
        if entry.kind == ANSWER:
            why = body["seen"] or body["reason"] or ("no words yet" if body["answer"] == NO_GO else "")
            words = f"{body['asked']['challenge']}: {screen.status(body['answer'])}" + (f", {why}" if why else "")
            screen.say(words, f"  {_who(entry)}: ", "    ")
        elif entry.kind == REOPENED and body.get("because") == ANOTHER_DAY:
            screen.say(
                f"! Answered on another day: {len(body['items'])} items and calls that nothing starts without, that "
                "drift by themselves or are switched on. They are asked again today; the rest is kept.",
                "  ",
            )
        elif entry.kind in _NEWS:
            screen.say(_NEWS[entry.kind].format(**body), f"  {_who(entry)}: ", "    ")


def _who(entry: Entry) -> str:
    role = entry.body.get("role")
    return f"{entry.body['by']} ({role})" if role else str(entry.body["by"])


_NEWS = {
    CURE: "cured, {cure}",
    SEEN: "sees, {seen}",
    NOTE: "note, {note}",
    POLL: "{answer} in the poll",
    REOPENED: "had a part asked again",
    THUNDER: "heard thunder",
    ALL_CLEAR: "released the thunder hold",
    SIGNED: "{lead} signed {verdict}",
}
