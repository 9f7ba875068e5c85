"""The fewest output changes at one setting of the selectors, where destinations want different signals of one output.

Feeds and plugs then depend on each other, and what is cheapest at one output may cost more at another. So the changes
are searched, deepest count first bounded (iterative deepening, A*: Korf 1985): whatever is wrong first must be put
right by one of a few changes, and the outputs still wrong are a bound on what is still to come.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from lint.plan.feeding import console_of
from lint.rig.address import OutputPoint, Signal, Socket

if TYPE_CHECKING:
    from lint.plan.outputs import Banks, Hang, OutputSide

MOST_STEPS = 4000  # looked at for one cure; beyond, the answer is not proved
Feeds = Mapping[OutputPoint, Signal | None]
Places = Mapping["Hang", tuple[Socket, ...]]
# What hangs there, at which socket, what that carries, and what is wanted; None twice for a plug too many.
Wrong = tuple["Hang", Socket, OutputPoint | None, Signal | None]


class TooLongError(Exception):
    """The search was given up."""


class OutputSearch:
    """A search for changes that put every output right; `most` bounds their number."""

    def __init__(self, side: OutputSide, banks: Banks, steps: int) -> None:
        """Search at one setting, in at most that many steps."""
        self.side = side
        self.banks = banks
        self.steps = steps
        self.points = {socket: side.point(socket, banks) for hang in side.hangs for socket in hang.sockets}
        self.open = {row[0]: side.point(row[0], banks) for row in side.rows(1, banks)}
        self.points |= self.open
        self.blank = self._blank()
        self.frozen = [hang for hang in side.hangs if len(hang.sockets) > 1]
        wide_wrong = any(hang in self.frozen for hang, *_ in self._wrong({}, {}))
        if self.frozen and (wide_wrong or min(Counter(self.blank.values()).values(), default=0) < len(side.hangs)):
            self.blank, self.frozen = {}, []

    def _blank(self) -> dict[Socket, str]:
        """Return the sockets that stand for each other, with their consoles: nothing hangs on what they carry.

        While there are enough of them, moving a row of plugs that is right gains nothing: it costs as many changes as
        it has plugs, and each socket that it leaves saves at most one.
        """
        feeding, held = self.side.feeding, {self.points[socket] for hang in self.side.hangs for socket in hang.sockets}
        carried = Counter(self.open.values())
        wanted = {wish for hang in self.side.hangs for wants in hang.wants for wish in wants}
        return {
            socket: console_of(point)
            for socket, point in self.open.items()
            if point is not None and carried[point] == 1 and point not in held and feeding.is_alone(point)
            and feeding.sent(point, {}) not in wanted
        }  # fmt: skip

    def fewest(self, most: int) -> tuple[Feeds, Places] | None:
        """Return changes that right everything, the fewest there are, or None where `most` are not enough.

        Raises TooLongError where that could not be settled.
        """
        for bound in range(most + 1):
            found = self._within(bound, {}, {})
            if found is not None:
                return found
        return None

    def _within(self, bound: int, feeds: Feeds, places: Places) -> tuple[Feeds, Places] | None:
        self.steps -= 1
        if self.steps < 0:
            raise TooLongError
        wrong = list(self._wrong(feeds, places))
        if not wrong:
            return feeds, places
        if self._least(wrong, feeds) > bound:
            return None
        hang, _, point, wish = wrong[0]
        for more_feeds, more_places, cost in self._ways(hang, point, wish, feeds, places):
            if cost <= bound:
                found = self._within(bound - cost, more_feeds, more_places)
                if found is not None:
                    return found
        return None

    def _least(self, wrong: Sequence[Wrong], feeds: Feeds) -> int:
        """Return how many changes it takes at least to right all of them.

        A change of what is sent rights one tree of outputs, a moved plug one socket. And what must leave a dead socket
        and is sent nowhere else takes a change of what is sent on top, unless one that is counted already sends it.
        """
        feeding = self.side.feeding
        trees = {feeding.root(point) if point is not None else socket for _, socket, point, _ in wrong}
        adrift = {wish for _, _, point, wish in wrong if point is None and wish is not None}
        if adrift:
            adrift -= {wish for _, _, point, wish in wrong if point is not None}
            adrift -= {feeding.sent(point, feeds) for point in self.open.values() if point is not None}
        return len(trees) + len(adrift)

    def _wrong(self, feeds: Feeds, places: Places) -> Iterator[Wrong]:
        """Yield what is not right: a signal that is not the wanted one, or a socket with two plugs in it."""
        taken: dict[Socket, Hang] = {}
        for hang in sorted(self.side.hangs, key=lambda hang: hang in places):
            for index, socket in enumerate(places.get(hang, hang.sockets)):
                point = self.points[socket]
                if taken.setdefault(socket, hang) is not hang and hang.movable:
                    other = taken[socket]
                    yield (other if hang in places else hang), socket, None, None
                sent = self.side.feeding.sent(point, feeds) if point is not None else None
                for wish in hang.wants[index]:
                    if wish != sent:
                        yield hang, socket, point, wish

    def _ways(
        self, hang: Hang, point: OutputPoint | None, wish: Signal | None, feeds: Feeds, places: Places
    ) -> Iterator[tuple[Feeds, Places, int]]:
        """Yield every change that could put this one thing right: at its output, at what that follows, or its plug."""
        feeding = self.side.feeding
        here = point
        while wish is not None and here is not None and here not in feeds:
            if feeding.can_send(here, wish):
                yield {**feeds, here: wish}, places, 1
            here = feeding.parent.get(here)
        if hang.movable and hang not in places and hang not in self.frozen:
            for row in self._rows(hang, places):
                yield feeds, {**places, hang: row}, len(row)

    def _rows(self, hang: Hang, places: Places) -> Iterator[tuple[Socket, ...]]:
        used = {socket for row in places.values() for socket in row}
        consoles: set[str] = set()
        for row in self.side.rows(len(hang.sockets), self.banks):
            if row == hang.sockets:
                continue
            if row[0] in self.blank and len(row) == 1:
                console = self.blank[row[0]]
                if row[0] in used or console in consoles:
                    continue
                consoles.add(console)
            yield row
