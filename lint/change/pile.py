"""What is told of the changes so far, and what is left to tell: every change is told once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

from lint.change.compare import Change
from lint.resolve.resolved import ResolvedRig

# The parts of a rig in the order in which a crew meets them.
PARTS = ("The chain", "On stage", "Console patch", "Phantom power and gain", "Mixes", "Outputs", "Waivers", "The rest")


class Told(NamedTuple):
    """One thing that changed: in words, with its consequences, and as data."""

    part: str
    words: str
    follows: tuple[str, ...]
    changes: tuple[Change, ...]

    def as_data(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "part": self.part,
            "words": self.words,
            "consequences": list(self.follows),
            "changes": [change.as_data() for change in self.changes],
        }


class Pile:
    """The changes that are not told yet, and those that are."""

    def __init__(self, old: ResolvedRig, new: ResolvedRig, changes: Iterable[Change]) -> None:
        self.old = old
        self.new = new
        self.left: list[Change] = list(changes)
        self.told: list[Told] = []
        self.shifted: set[str] = set()  # the boxes whose shift of slots is told

    def take(self, wanted: Callable[[Change], bool]) -> list[Change]:
        """Take the changes that are wanted off the pile."""
        taken = [change for change in self.left if wanted(change)]
        self.left = [change for change in self.left if not wanted(change)]
        return taken

    def take_field(self, section: str, row: str, field: str | None) -> list[Change]:
        """Take one change off the pile, if it is there."""
        return self.take(lambda change: (change.section, change.row, change.field) == (section, row, field))

    def take_sends_of(self, address: str) -> list[Change]:
        """Take the sends of a channel that is gone off the pile."""
        console, _, number = address.partition("/channel/")
        rows = {f"{mix.name} from channel {number}" for mix in self.old.rig.mixes.values() if mix.console == console}
        return self.take(lambda change: change.section == "sends" and change.row in rows and change.field is None)

    def tell(self, part: str, words: str, changes: Sequence[Change], follows: Iterable[str] = ()) -> None:
        """Tell changes that were taken."""
        self.told.append(Told(part, words, tuple(follows), tuple(changes)))
