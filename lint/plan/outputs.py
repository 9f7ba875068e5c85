"""The cures on the output side: what the console sends where, which plugs move, which selectors are turned.

Where outputs are too few, who comes first is by rank: one end of a rank outweighs all of lower ones together.

What a socket carries is what the console sends at one point: the socket itself on a console, the slot that a box's
selector (or its place in the chain) gives it otherwise. Several sockets may carry one point.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import chain, combinations, product

from lint.plan.branch import Most
from lint.plan.distance import Carrying, Stage
from lint.plan.feeding import Feeding, Wish, Wishes, console_of, sender_of
from lint.plan.hangs import Hang, hangs_of, worth
from lint.plan.intent import Intent
from lint.plan.islands import islands
from lint.plan.moves import Move
from lint.plan.outsearch import OutputSearch, Places
from lint.resolve.chain import bank_slots
from lint.resolve.dark import unlit
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import OutputPoint, Signal, Slot, Socket

MOST_STATES = 300  # settings and states of a search looked at for one cure; beyond, the answer is not proved
MOST_TIES = 60  # states that are solved only for shorter ways, once no fewer changes are possible
Banks = Mapping[str, str]
Feeds = Mapping[OutputPoint, Signal | None]


@dataclass(frozen=True)
class OutputCure:
    """What is done on the output side; `proved` says that nothing with fewer changes does as much.

    `unmet` is the worth of all wishes that stay unmet, and of harm; 0 where all is right. `toll` is what the ways that
    plugs are carried count for beside the changes, `carried` among equally many.
    """

    feeds: Mapping[OutputPoint, Signal | None] = field(default_factory=dict)
    moves: Mapping[Hang, tuple[Socket, ...]] = field(default_factory=dict)
    banks: Banks = field(default_factory=dict)
    unmet: int = 0
    proved: bool = True
    toll: int = 0
    carried: int = 0

    @property
    def changes(self) -> int:
        """How many outputs are patched anew, plugs moved and selectors turned."""
        return len(self.feeds) + sum(len(hang.sockets) for hang in self.moves) + len(self.banks)

    def as_moves(self) -> list[Move]:
        """The plugs that move, one a socket."""
        return [
            Move(hang.plug + (f" (plug {index + 1})" if len(ends) > 1 else ""), start, end, bool(hang.amplifiers))
            for hang, ends in self.moves.items()
            for index, (start, end) in enumerate(zip(hang.sockets, ends, strict=True))
        ]


class OutputSide:
    """The outputs of a changed rig, and what each is to carry."""

    def __init__(
        self,
        rig: ResolvedRig,
        intent: Intent,
        dead: Collection[str] = (),
        settled: Collection[str] = (),
        way: Callable[[Socket, Socket], int] | None = None,
        toll: Callable[[Socket, Socket], int] | None = None,
        mute: Collection[Signal] = (),
    ) -> None:
        """Take the outputs; `way` says how far a plug is carried (less than FARTHEST): of equal changes the nearest.

        `toll` says how many changes it counts for, beside the one of the move, that a plug is carried there; `mute` are
        signals on which nothing plays any more: what is to carry them comes last.
        """
        self.rig = rig
        self.dead = dead
        self.unlit = unlit(rig)
        self.settled = settled
        self.hangs = hangs_of(rig, intent, dead, mute)
        self.feeding = Feeding(rig, dead)
        plugs = sum(len(hang.sockets) for hang in self.hangs)
        self.carrying = Carrying(way or Stage(rig).far, plugs)
        self.toll = toll or (lambda _start, _end: 0)
        self._tolls: dict[Socket, int] = {}
        self._consoles: Collection[str] | None = None  # of an island

    def point(self, socket: Socket, banks: Banks) -> OutputPoint | None:
        """Return where the console sends what a socket carries, some selectors turned; None: nothing gets there."""
        rig, device = self.rig, self.rig.rig.devices[socket.device]
        if not rig.has_socket(socket) or socket.device in self.dead or socket.device in self.unlit:
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

    def by_console(self) -> OutputCure:
        """Leave the plugs: change what the console sends and turn selectors, by the fewest changes."""
        if len(self.islands) > 1:
            return _together([island.by_console() for island in self.islands])
        best = self._sending({})
        for tried, banks in enumerate(self._settings()):
            if _rank(best) <= (0, len(banks), 0):
                break
            if tried == MOST_STATES:
                return replace(best, proved=False)
            best = min(best, self._sending(banks), key=_rank)
        return best

    def _sending(self, banks: Banks) -> OutputCure:
        """Leave the plugs, some selectors turned: change what the console sends, at the fewest outputs."""
        return self._cure({}, banks, proved=True)

    def by_plugs(self) -> OutputCure:
        """Leave console and selectors: the fewest plugs move so that as many destinations as can be are right."""
        if len(self.islands) > 1:
            return _together([island.by_plugs() for island in self.islands])
        places, proved = OutputSearch(self, {}, may_send=False).best(Most(MOST_STATES, MOST_TIES))
        assert places is not None  # every plug where it is, at the worst
        return self._cure(places, {}, proved, may_send=False)

    def by_fewest(self) -> OutputCure:
        """Send, plug and turn selectors as it takes the fewest changes of all these.

        Turned selectors are tried one, two, three ... at a time, as long as that can still be fewer, or as few with
        less to carry.
        """
        if len(self.islands) > 1:
            return _together([island.by_fewest() for island in self.islands])
        left, ties = MOST_STATES, MOST_TIES
        best = self._sending({})
        for banks in chain([{}], self._settings()):
            if _rank(best) <= (0, len(banks), 0):
                break
            if left <= 0:
                return replace(best, proved=not best.unmet and len(banks) >= best.changes + best.toll)
            best = min(best, self._sending(banks), key=_rank)
            left -= 1
            more = self._least(banks) - best.changes - best.toll if not best.unmet else -1
            if more > 0 or (more == 0 and (not best.carried or ties <= 0)):
                continue
            search = OutputSearch(self, banks)
            known = search.worth(best.unmet, best.changes + best.toll - len(banks), best.carried)
            places, proved = search.best(Most(left if more else ties, MOST_TIES), known)
            if places is not None:
                best = min(best, self._cure(places, banks, proved=True), key=_rank)
            if more == 0:  # nothing fewer was to be had there
                ties -= search.solved
                continue
            left -= search.solved
            if not proved:
                return replace(best, proved=False)
        return best

    @cached_property
    def islands(self) -> list[OutputSide]:
        """The sides of the consoles that share nothing; one where a plug may have to make room wherever it finds some.

        No plug that wants something goes where its signals are not, and none of the others needs its place.
        """
        consoles = [console.name for console in self.rig.rig.consoles]
        if self._consoles is not None or not all(any(hang.wants) for hang in self.hangs if hang.movable):
            return [self]
        at = {hang: self._touched(hang) for hang in self.hangs}
        copied = ({console_of(point), console_of(origin)} for point, origin in self.feeding.parent.items())
        groups = islands(consoles, [*filter(None, at.values()), *copied])
        return [self._of(group, [hang for hang in self.hangs if at[hang] & group]) for group in groups]

    def without(self, hang: Hang) -> OutputSide:
        """Return the side once something is taken off its outputs."""
        side = copy(self)
        for name in ("islands", "working"):
            side.__dict__.pop(name, None)
        side.hangs = [each for each in self.hangs if each != hang]
        return side

    def unmet(self, cure: OutputCure) -> list[Hang]:
        """Return what does not get all that it is to carry once a cure is done."""
        return [
            hang
            for hang in self.hangs
            for socket, wants in zip(cure.moves.get(hang, hang.sockets), hang.wants, strict=True)
            if wants
            and (
                (point := self.point(socket, cure.banks)) is None
                or {want.signal for want in wants} != {self.feeding.sent(point, cure.feeds)}
            )
        ]

    def has_sender(self, hang: Hang) -> bool:
        """Whether a console that works has anything that it is to carry."""
        return any(sender_of(self.rig, want.signal) not in self.dead for wants in hang.wants for want in wants)

    def _touched(self, hang: Hang) -> set[str]:
        """Return the consoles that send to where something hangs, or have what it wants."""
        points = (self.point(socket, {}) for socket in hang.sockets)
        at = {console_of(point) for point in points if point is not None}
        at |= {box.link.device for s in hang.sockets if (box := self.rig.boxes.get(s.device)) is not None}
        return at | {sender_of(self.rig, want.signal) for wants in hang.wants for want in wants}

    def _of(self, consoles: frozenset[str], hangs: list[Hang]) -> OutputSide:
        side = copy(self)
        for name in ("islands", "working"):
            side.__dict__.pop(name, None)
        side.hangs, side._consoles = hangs, consoles
        return side

    # -- how -------------------------------------------------------------------------------------------------------

    def _cure(self, places: Places, banks: Banks, proved: bool, may_send: bool = True) -> OutputCure:
        feeds, unmet = self.sent_to(places, banks, may_send)
        moves = {hang: row for hang, row in places.items() if row != hang.sockets}
        return OutputCure(feeds, moves, banks, unmet, proved, self.tolls(places), self.carried(places))

    def carried(self, places: Places) -> int:
        """Return what it counts for that plugs are carried to their places."""
        return sum(
            self.carrying.count(start, end, hang in self.working)
            for hang, row in places.items()
            for start, end in zip(hang.sockets, row, strict=True)
        )

    @cached_property
    def working(self) -> frozenset[Hang]:
        """What gets all that it is to carry where it hangs."""
        return frozenset(
            hang
            for hang in self.hangs
            if all(
                (point := self.point(socket, {})) is not None
                and {want.signal for want in wants} <= {self.feeding.sent(point, {})}
                for socket, wants in zip(hang.sockets, hang.wants, strict=True)
            )
        )

    def tolls(self, places: Places) -> int:
        """Return how many changes the ways count for that plugs are carried to their places."""
        legs = (leg for hang, row in places.items() for leg in zip(hang.sockets, row, strict=True))
        return sum(self.toll(start, end) for start, end in legs if start != end)

    def _least(self, banks: Banks) -> int:
        """Return how many changes a setting takes at the least: one rights no more than one tree of outputs."""
        wrong: set[OutputPoint | Socket] = set()
        toll = 0
        for hang in self.hangs:
            for socket, wants in zip(hang.sockets, hang.wants, strict=True):
                point = self.point(socket, banks)
                if point is None and wants:
                    wrong.add(socket)
                    toll += self._least_toll(socket)
                elif point is not None and any(want.signal != self.feeding.sent(point, {}) for want in wants):
                    wrong.add(self.feeding.root(point))
        return len(banks) + len(wrong) + toll

    def _least_toll(self, socket: Socket) -> int:
        """Return what it counts for at the least that a plug leaves a socket that nothing gets to."""
        if socket not in self._tolls:
            gone = {*self.dead, *self.unlit}
            lives = socket.device not in gone and self.rig.is_reached(socket.device)
            ends = (Socket(name, "out", 1) for name in self.rig.rig.devices if lives or name != socket.device)
            self._tolls[socket] = min((self.toll(socket, end) for end in ends), default=0)
        return self._tolls[socket]

    def _wrong_consoles(self) -> set[str]:
        """Return the consoles whose signals are missing somewhere as things are; all where a plug wants nothing.

        What wants nothing may have to make room, and go where a selector is to be turned for it.
        """
        if not all(any(hang.wants) for hang in self.hangs if hang.movable):
            return {console.name for console in self.rig.rig.consoles}
        return {
            sender_of(self.rig, want.signal)
            for hang in self.hangs
            for socket, wants in zip(hang.sockets, hang.wants, strict=True)
            for want in wants
            if (point := self.point(socket, {})) is None or want.signal != self.feeding.sent(point, {})
        }

    def _settings(self) -> Iterator[Banks]:
        """Yield combinations of selectors to turn, fewest first: on the chains of consoles whose signals are missing.

        Only sockets of its own console carry a signal. Where none of a console's signals is missing, all that wants
        them hangs rightly on its sockets, and what hangs elsewhere wants nothing that they carry: a turn only costs.
        """
        wrong = self._wrong_consoles()
        used = dict.fromkeys(socket.device for hang in self.hangs for socket in hang.sockets)
        others = {
            name: [at for at in self.rig.device(name).model.outputs.selector if at != self.rig.device(name).output_bank]
            for name in used
            if (box := self.rig.boxes.get(name)) is not None and box.link.device in wrong
            if name not in self.settled and name not in self.dead
        }
        for count in range(1, len(others) + 1):
            for names in combinations(others, count):
                yield from (dict(zip(names, at, strict=True)) for at in product(*(others[name] for name in names)))

    def wishes(self, places: Places, banks: Banks) -> Wishes:
        """Return what is wanted at each point where something hangs, some of it in other places than now."""
        wishes: dict[OutputPoint, list[Wish]] = {}
        for hang in self.hangs:
            for socket, wants in zip(places.get(hang, hang.sockets), hang.wants, strict=True):
                point = self.point(socket, banks)
                if point is not None:
                    wishes.setdefault(point, []).extend(wants)
        return wishes

    def sent_to(self, places: Places, banks: Banks, may_send: bool = True) -> tuple[Feeds, int]:
        """Return the fewest outputs to change for plugs in places, and the worth of the wishes that stay unmet."""
        wishes = self.wishes(places, banks)
        adrift = sum(map(worth, chain.from_iterable(hang.wants for hang in self.hangs)))
        adrift -= sum(map(worth, wishes.values()))
        if may_send:
            feeds, unmet = self.feeding.fewest(wishes)
            return feeds, unmet + adrift
        sent = {point: self.feeding.sent(point, {}) for point in wishes}
        wrong = sum(want.worth for point, wants in wishes.items() for want in wants if want.signal != sent[point])
        return {}, wrong + adrift + sum(self.feeding.harm(sent[point], wants) for point, wants in wishes.items())

    def _sockets(self, banks: Banks | None = None) -> Iterator[Socket]:
        for device in self.rig.rig.devices.values():
            for number in range(1, device.model.outputs.count + 1):
                socket = Socket(device.name, "out", number)
                point = self.point(socket, banks or {})
                if point is not None and (self._consoles is None or console_of(point) in self._consoles):
                    yield socket

    def rows(self, width: int, banks: Banks) -> list[tuple[Socket, ...]]:
        """Return every row of neighbouring sockets that something gets to."""
        return list(self._rows_of(dict.fromkeys(self._sockets(banks)), width))

    def _rows_of(self, sockets: Collection[Socket], width: int) -> Iterator[tuple[Socket, ...]]:
        """Yield every row of neighbouring sockets of a width."""
        for socket in sockets:
            row = tuple(socket._replace(number=socket.number + step) for step in range(width))
            if all(step in sockets for step in row):
                yield row


def _together(cures: Sequence[OutputCure]) -> OutputCure:
    """Return the cures of all islands as one."""
    return OutputCure(
        {point: signal for cure in cures for point, signal in cure.feeds.items()},
        {hang: row for cure in cures for hang, row in cure.moves.items()},
        {name: bank for cure in cures for name, bank in cure.banks.items()},
        sum(cure.unmet for cure in cures),
        all(cure.proved for cure in cures),
        sum(cure.toll for cure in cures),
        sum(cure.carried for cure in cures),
    )


def _rank(cure: OutputCure) -> tuple[int, int, int]:
    return cure.unmet, cure.changes + cure.toll, cure.carried
