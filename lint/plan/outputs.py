"""The cures on the output side: what the console sends where, which plugs move, which selectors are turned.

What a socket carries is what the console sends at one point: the socket itself on a console, the slot that a box's
selector (or its place in the chain) gives it otherwise. Several sockets may carry one point.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations, islice, product
from typing import NamedTuple

from lint.plan.assign import assign
from lint.plan.distance import FARTHEST, far
from lint.plan.feeding import Feeding, Wishes
from lint.plan.intent import Intent
from lint.plan.moves import Move
from lint.plan.outsearch import MOST_STEPS, OutputSearch, TooLongError
from lint.resolve.chain import bank_slots
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import OutputPoint, Signal, Slot, Socket

MOST_SETTINGS = 3000  # selector positions, or places of rows of plugs, that are tried together at most
Banks = Mapping[str, str]


class Hang(NamedTuple):
    """What hangs on the same sockets: destinations (and amplifiers) that one plug, or one row of plugs, feeds.

    `wants` has what each socket is to carry, by every destination that says so; `movable` is false where others hang
    on some of its sockets but not all, and where it has no power.
    """

    names: tuple[str, ...]
    amplifiers: tuple[str, ...]
    sockets: tuple[Socket, ...]
    wants: tuple[tuple[Signal, ...], ...]
    movable: bool


@dataclass(frozen=True)
class OutputCure:
    """What is done on the output side; `proved` says that nothing with fewer changes does as much."""

    feeds: Mapping[OutputPoint, Signal | None] = field(default_factory=dict)
    moves: Mapping[Hang, tuple[Socket, ...]] = field(default_factory=dict)
    banks: Banks = field(default_factory=dict)
    unmet: int = 0
    proved: bool = True

    @property
    def changes(self) -> int:
        """How many outputs are patched anew, plugs moved and selectors turned."""
        return len(self.feeds) + sum(len(hang.sockets) for hang in self.moves) + len(self.banks)

    def as_moves(self) -> list[Move]:
        """The plugs that move, one a socket."""
        return [
            Move(" and ".join(hang.names) + (f" (plug {index + 1})" if len(ends) > 1 else ""), start, end)
            for hang, ends in self.moves.items()
            for index, (start, end) in enumerate(zip(hang.sockets, ends, strict=True))
        ]


class OutputSide:
    """The outputs of a changed rig, and what each is to carry."""

    def __init__(
        self, rig: ResolvedRig, intent: Intent, dead: Collection[str] = (), settled: Collection[str] = ()
    ) -> None:
        self.rig = rig
        self.dead = dead
        self.settled = settled
        self.hangs = _hangs(rig, intent, dead)
        self.feeding = Feeding(rig, dead)
        self._steps = MOST_STEPS

    def point(self, socket: Socket, banks: Banks) -> OutputPoint | None:
        """Return where the console sends what a socket carries, some selectors turned; None: nothing gets there."""
        rig, device = self.rig, self.rig.rig.devices[socket.device]
        if not rig.has_socket(socket) or socket.device in self.dead:
            return None
        if device.model.chain is None:
            return socket
        box = rig.boxes.get(socket.device)
        if box is None or box.link.device in self.dead:
            return None
        slots, outputs = box.output_slots, device.model.outputs
        if outputs.by_selector:
            bank = banks.get(socket.device, device.output_bank)
            if bank not in outputs.selector:
                return None
            slots = bank_slots(outputs, bank)
        number = slots[socket.number - 1]
        return Slot(box.link, number) if number <= rig.chains[box.link].capacity else None

    # -- the three cures -------------------------------------------------------------------------------------------

    def by_console(self, banks: Banks | None = None) -> OutputCure:
        """Leave plugs and selectors: change what the console sends, at the fewest outputs."""
        feeds, unmet = self.feeding.fewest(self._wishes(self.hangs, banks or {}))
        return OutputCure(feeds, banks=banks or {}, unmet=unmet + self._adrift(self.hangs, banks or {}))

    def by_plugs(self) -> OutputCure:
        """Leave console and selectors: the fewest plugs move so that as many destinations as can be are right."""
        wide = [hang for hang in self.hangs if len(hang.sockets) > 1 and hang.movable]
        best: tuple[tuple[int, int, int], dict[Hang, tuple[Socket, ...]]] | None = None
        ways = product(*(self._wide_places(hang) for hang in wide))  # first of all, every row where it is
        for places in islice(ways, MOST_SETTINGS):
            chosen = dict(zip(wide, places, strict=True))
            sockets = [socket for place in places for socket in place]
            if len(set(sockets)) < len(sockets):
                continue
            found = self._singles_placed(chosen)
            if best is None or found[0] < best[0]:
                best = found
        assert best is not None  # where nothing is wide there is one way to place it all
        moves = {hang: place for hang, place in best[1].items() if place != hang.sockets}
        return OutputCure(moves=moves, unmet=best[0][0], proved=next(ways, None) is None)

    def by_fewest(self) -> OutputCure:
        """Send, plug and turn selectors as it takes the fewest changes in all.

        With the selectors as they are, a change of what is sent at an output rights all that hangs on it, and a moved
        plug only itself: so plugs move only where two want different signals of one output, or where nothing gets to.
        Turned selectors are tried one, two, three ... at a time, as long as that can still be fewer.
        """
        best = self._at({}, None)
        proved = best.proved
        for tried, banks in enumerate(self._settings()):
            if (best.unmet, best.changes) <= (0, len(banks)):
                break
            if tried == MOST_SETTINGS:
                proved = False
                break
            found = self._at(banks, best)
            proved &= found.proved
            if (found.unmet, found.changes) < (best.unmet, best.changes):
                best = found
        return replace(best, proved=proved)

    # -- how -------------------------------------------------------------------------------------------------------

    def _settings(self) -> Iterator[Banks]:
        """Yield combinations of selectors to turn, fewest first."""
        used = dict.fromkeys(socket.device for hang in self.hangs for socket in hang.sockets)
        others = {
            name: [at for at in self.rig.device(name).model.outputs.selector if at != self.rig.device(name).output_bank]
            for name in used
            if name in self.rig.boxes and name not in self.settled and name not in self.dead
        }
        for count in range(1, len(others) + 1):
            for names in combinations(others, count):
                yield from (dict(zip(names, at, strict=True)) for at in product(*(others[name] for name in names)))

    def _at(self, banks: Banks, best: OutputCure | None) -> OutputCure:
        """Return the cure with the fewest changes at one setting of the selectors; no worse one than `best` matters."""
        cure = self.by_console(banks)
        if not cure.unmet:
            return cure
        moves = self._losers_placed(cure.feeds, banks)
        placed = [hang._replace(sockets=moves.get(hang, hang.sockets)) for hang in self.hangs]
        feeds, unmet = self.feeding.fewest(self._wishes(placed, banks))
        found = OutputCure(feeds, moves, banks, unmet + self._adrift(placed, banks), proved=False)
        rival = min((one for one in (best, found) if one is not None), key=lambda one: (one.unmet, one.changes))
        most = rival.changes - len(banks) - 1 if not rival.unmet else len(self.hangs)
        search = OutputSearch(self, banks, self._steps)
        try:
            fewer = search.fewest(most)
        except TooLongError:
            return found
        finally:
            self._steps = search.steps
        if fewer is not None:
            return OutputCure(*fewer, banks)
        return replace(found, proved=not rival.unmet)

    def _wishes(self, hangs: Iterable[Hang], banks: Banks) -> Wishes:
        """Return what is wanted at each point where something hangs."""
        wishes: dict[OutputPoint, list[Signal]] = {}
        for hang in hangs:
            for socket, wants in zip(hang.sockets, hang.wants, strict=True):
                point = self.point(socket, banks)
                if point is not None:
                    wishes.setdefault(point, []).extend(wants)
        return wishes

    def _adrift(self, hangs: Iterable[Hang], banks: Banks) -> int:
        """Count what is wanted at sockets where nothing gets to."""
        return sum(
            len(wants)
            for hang in hangs
            for socket, wants in zip(hang.sockets, hang.wants, strict=True)
            if self.point(socket, banks) is None
        )

    def _wrong(
        self, hang: Hang, place: Sequence[Socket], feeds: Mapping[OutputPoint, Signal | None], banks: Banks
    ) -> int:
        """Count what would be wrong with what hangs there if its plugs were in a place."""
        wrong = 0
        for socket, wants in zip(place, hang.wants, strict=True):
            point = self.point(socket, banks)
            sent = self.feeding.sent(point, feeds) if point is not None else None
            wrong += sum(want != sent for want in wants)
        return wrong

    def _free(self) -> list[Socket]:
        """Return every output socket that something gets to and nothing hangs on."""
        taken = {socket for hang in self.hangs for socket in hang.sockets}
        taken |= {socket for amplifier in self.rig.rig.amplifiers.values() for socket in amplifier.sockets}
        return [socket for socket in self._sockets() if socket not in taken]

    def _sockets(self, banks: Banks | None = None) -> Iterator[Socket]:
        for device in self.rig.rig.devices.values():
            for number in range(1, device.model.outputs.count + 1):
                socket = Socket(device.name, "out", number)
                if self.point(socket, banks or {}) is not None:
                    yield socket

    def rows(self, width: int, banks: Banks) -> list[tuple[Socket, ...]]:
        """Return every row of neighbouring sockets that something gets to and no lone amplifier hangs on."""
        hung = {socket for hang in self.hangs for socket in hang.sockets}
        lone = {s for amplifier in self.rig.rig.amplifiers.values() for s in amplifier.sockets} - hung
        open_sockets = [s for s in self._sockets(banks) if s not in lone]
        return list(self._rows_of(dict.fromkeys(open_sockets), width))

    def _rows_of(self, sockets: Collection[Socket], width: int) -> Iterator[tuple[Socket, ...]]:
        """Yield every row of neighbouring sockets of a width."""
        for socket in sockets:
            row = tuple(socket._replace(number=socket.number + step) for step in range(width))
            if all(step in sockets for step in row):
                yield row

    def _wide_places(self, hang: Hang) -> list[tuple[Socket, ...]]:
        """Return where a row of plugs may go: where it is, or wherever it is right."""
        standing = {s for other in self.hangs if not other.movable for s in other.sockets}
        every = set(self._sockets()) - standing
        rows = sorted(self._rows_of(every, len(hang.sockets)))
        return [hang.sockets, *(row for row in rows if row != hang.sockets and not self._wrong(hang, row, {}, {}))]

    def _singles_placed(
        self, chosen: Mapping[Hang, tuple[Socket, ...]]
    ) -> tuple[tuple[int, int, int], dict[Hang, tuple[Socket, ...]]]:
        """Place the single plugs around rows that have their places; return (wrong, moved, distance) and the places."""
        barred = {socket for place in chosen.values() for socket in place}
        barred |= {socket for hang in self.hangs if not hang.movable for socket in hang.sockets}
        singles = [hang for hang in self.hangs if hang.movable and hang not in chosen]
        fixed = {s for a in self.rig.rig.amplifiers.values() for s in a.sockets} - {h.sockets[0] for h in singles}
        open_sockets = [socket for socket in self._sockets() if socket not in barred and socket not in fixed]
        own = [hang.sockets[0] for hang in singles if hang.sockets[0] not in barred]
        columns: list[Socket | None] = list(dict.fromkeys((*own, *open_sockets)))
        columns += [None] * len(singles)  # no place: unplugged, never chosen where any other is left
        tally = [(sum(self._wrong(h, p, {}, {}) for h, p in chosen.items()), 0, 0)]
        tally += [(0, len(h.sockets), far(self.rig, h.sockets[0], p[0])) for h, p in chosen.items() if p != h.sockets]
        rows = [[self._single_cost(hang, column) for column in columns] for hang in singles]
        most_far = FARTHEST * (len(self.hangs) + 1)
        scale = most_far * (len(self.hangs) + 1)
        picked = assign([[wrong * scale + moved * most_far + away for wrong, moved, away in row] for row in rows])
        places = dict(chosen)
        for hang, column, row in zip(singles, picked, rows, strict=True):
            socket = columns[column]
            places[hang] = hang.sockets if socket is None else (socket,)
            tally.append(row[column])
        wrong, moved, away = (sum(column) for column in zip(*tally, strict=True))
        return (wrong, moved, away), places

    def _single_cost(self, hang: Hang, socket: Socket | None) -> tuple[int, int, int]:
        if socket is None:
            return 1000 * (1 + len(hang.wants[0])), 1, 0
        moved = socket != hang.sockets[0]
        return self._wrong(hang, (socket,), {}, {}), int(moved), far(self.rig, hang.sockets[0], socket)

    def _losers_placed(
        self, feeds: Mapping[OutputPoint, Signal | None], banks: Banks
    ) -> dict[Hang, tuple[Socket, ...]]:
        """Find free sockets for what is still wrong once the console has changed what it can."""
        losers = [hang for hang in self.hangs if hang.movable and self._wrong(hang, hang.sockets, feeds, banks)]
        free = dict.fromkeys(self._free())
        carried = {self.point(socket, banks) for hang in self.hangs if hang not in losers for socket in hang.sockets}
        moves: dict[Hang, tuple[Socket, ...]] = {}
        for hang in sorted(losers, key=lambda hang: -len(hang.sockets)):
            rows = list(self._rows_of(free, len(hang.sockets)))
            options = [(self._move_cost(hang, row, feeds, banks, carried), row) for row in rows]
            cost, row = min(options, default=((1, 0, 0), ()))
            if row and not cost[0]:
                moves[hang] = row
                carried |= {self.point(socket, banks) for socket in row}
                for socket in row:
                    del free[socket]
        return moves

    def _move_cost(
        self,
        hang: Hang,
        row: tuple[Socket, ...],
        feeds: Mapping[OutputPoint, Signal | None],
        banks: Banks,
        carried: Collection[OutputPoint | None],
    ) -> tuple[int, int, int]:
        """Return (wrong, outputs to patch anew, distance) of plugs moved to a free row."""
        wrong = patched = 0
        for socket, wants in zip(row, hang.wants, strict=True):
            point = self.point(socket, banks)
            if point is None or len(set(wants)) > 1:
                wrong += 1
            elif wants and self.feeding.sent(point, feeds) != wants[0]:
                patched += 1
                wrong += point in carried or not self.feeding.can_send(point, wants[0])
        return wrong, patched, far(self.rig, hang.sockets[0], row[0])


def _hangs(rig: ResolvedRig, intent: Intent, dead: Collection[str]) -> list[Hang]:
    """Return what hangs on the outputs, the same sockets together; what has no power is left where it is."""
    by_sockets: dict[tuple[Socket, ...], list[str]] = {}
    for name, destination in rig.rig.destinations.items():
        by_sockets.setdefault(destination.sockets, []).append(name)
    uses: dict[Socket, int] = {}
    for sockets in by_sockets:
        for socket in sockets:
            uses[socket] = uses.get(socket, 0) + 1
    hangs = []
    for sockets, names in by_sockets.items():
        wants = tuple(
            tuple(intent.outputs[name, i] for name in names if (name, i) in intent.outputs and name not in dead)
            for i in range(len(sockets))
        )
        amplifiers = [entry for entry in rig.rig.amplifiers.values() if set(entry.sockets) & set(sockets)]
        alone = all(uses[socket] == 1 for socket in sockets) and all(a.sockets == sockets for a in amplifiers)
        movable = alone and dead_free(names, dead)
        hangs.append(Hang(tuple(names), tuple(a.name for a in amplifiers), sockets, wants, movable))
    return hangs


def dead_free(names: Iterable[str], dead: Collection[str]) -> bool:
    """Whether none of them is dead."""
    return not any(name in dead for name in names)
