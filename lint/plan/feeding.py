"""What the console sends at its outputs, and the fewest outputs to change so that every wish on them is met."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from lint.plan.ends import NEVER_IN_THE_HOUSE
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import OutputPoint, Signal, Socket


class Wish(NamedTuple):
    """What something is to carry, and what it counts for if it does not."""

    signal: Signal
    worth: int = 1


Wishes = Mapping[OutputPoint, Sequence[Wish]]
Sent = Signal | None
_UNMET = 1_000_000  # a wish that is not met counts for more than any number of changes
HARM = 10**12  # and a monitor mix where the house mix belongs for more than any number of wishes of any worth


def console_of(point: OutputPoint) -> str:
    """Return the console that an output belongs to."""
    return point.device if isinstance(point, Socket) else point.port.device


def sender_of(rig: ResolvedRig, signal: Signal) -> str:
    """Return the only console that can send a signal: no bus leads from one console to another."""
    return rig.rig.mixes[signal.name].console if signal.kind == "mix" else signal.name.rpartition("/")[0]


class Feeding:
    """The outputs of the consoles as a forest: an output that is `same_as` another hangs below it and follows it."""

    def __init__(self, rig: ResolvedRig, dead: Collection[str] = ()) -> None:
        self.rig = rig
        self.dead = dead
        self.parent: dict[OutputPoint, OutputPoint] = {
            point: origin
            for point in rig.rig.copies
            if (feed := rig.rig.feeds.get(point)) is not None and (origin := feed.copied_from) is not None
        }
        self.children: dict[OutputPoint, list[OutputPoint]] = {}
        for point, origin in self.parent.items():
            self.children.setdefault(origin, []).append(point)

    def sent(self, point: OutputPoint, feeds: Mapping[OutputPoint, Sent]) -> Sent:
        """Return what is sent at a point once some outputs are changed."""
        while point not in feeds and point in self.parent:
            point = self.parent[point]
        if point in feeds:
            return feeds[point]
        feed = self.rig.rig.feeds.get(point)
        return feed.signal if feed is not None else None

    def can_send(self, point: OutputPoint, signal: Signal) -> bool:
        """Whether the console of an output lives and has that signal."""
        return self.lives(point) and sender_of(self.rig, signal) == console_of(point)

    def harm(self, sent: Sent, wishes: Sequence[Wish]) -> int:
        """Return what it counts for that an audience would be given a monitor mix or the like: HARM for each wish."""
        if sent is None or sent.kind != "mix" or self._kind(sent) not in NEVER_IN_THE_HOUSE:
            return 0
        return HARM * sum(self._kind(wish.signal) == "house" for wish in wishes)

    def _kind(self, signal: Signal) -> str:
        return self.rig.rig.mixes[signal.name].kind if signal.kind == "mix" else signal.kind

    def lives(self, point: OutputPoint) -> bool:
        """Whether the console of an output works."""
        return console_of(point) not in self.dead

    def fewest(self, wishes: Wishes) -> tuple[dict[OutputPoint, Sent], int]:
        """Return the outputs to change, the fewest that meet the wishes worth most, and the worth of those unmet.

        What does `harm` counts for many. Exact, tree by tree: an output either follows (a change above it comes with
        it) or is changed itself, at the cost of one; the cheapest of both, from the leaves up.
        """
        feeds: dict[OutputPoint, Sent] = {}
        unmet = 0
        for root in dict.fromkeys(self.root(point) for point in wishes):
            cost, changes = _Tree(self, root, wishes).best(root, self.sent(root, {}))
            feeds.update(changes)
            unmet += cost // _UNMET
        return feeds, unmet

    def is_alone(self, point: OutputPoint) -> bool:
        """Whether an output follows none and none follows it."""
        return point not in self.parent and point not in self.children

    def root(self, point: OutputPoint) -> OutputPoint:
        """Return the output that a point follows in the end: itself, where it follows none."""
        while point in self.parent:
            point = self.parent[point]
        return point


class _Tree:
    """One output and all that follow it."""

    def __init__(self, feeding: Feeding, root: OutputPoint, wishes: Wishes) -> None:
        self.feeding = feeding
        self.wishes = wishes
        self.members = [root]
        for point in self.members:  # grows while it is walked
            self.members += feeding.children.get(point, ())
        self.signals = list(dict.fromkeys(wish.signal for point in self.members for wish in wishes.get(point, ())))
        self._known: dict[tuple[OutputPoint, Sent], tuple[int, dict[OutputPoint, Sent]]] = {}

    def best(self, point: OutputPoint, base: Sent) -> tuple[int, dict[OutputPoint, Sent]]:
        """Return the least cost of a tree whose root gets `base` unless it is changed, and the changes."""
        if (point, base) in self._known:
            return self._known[point, base]
        options = []
        for value in dict.fromkeys((base, *(s for s in self.signals if self.feeding.can_send(point, s)))):
            changes: dict[OutputPoint, Sent] = {} if value == base else {point: value}
            lives = self.feeding.lives(point)
            wishes = self.wishes.get(point, ())
            unmet = sum(wish.worth for wish in wishes if wish.signal != value or not lives)
            unmet += self.feeding.harm(value, wishes)
            cost = len(changes) + _UNMET * unmet
            for child in self.feeding.children.get(point, ()):
                below, more = self.best(child, value)
                cost += below
                changes.update(more)
            options.append((cost, changes))
        self._known[point, base] = min(options, key=lambda option: option[0])
        return self._known[point, base]
