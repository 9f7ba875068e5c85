"""The cures on the input side: which channels are patched anew and which plugs move, as few as can be.

Which socket a slot is depends on the cables alone. So a patch change puts right one channel and touches no other,
and a plug in a socket puts right the channels that listen there: what remains is to give every plug a socket of its
own at the least cost, an assignment problem, and its optimum is exact. What does not come out plug by plug, blocks of
patch that are turned and stereo pairs that are torn, `insearch.py` branches on.

The aims, one above another: as few channels as can be stay wrong, those that matter most first (one of a higher
priority outweighs all of lower ones together); then the fewest changes; then the fewest stereo pairs on two devices;
then the fewest plugs that work now and are moved all the same; then the shortest ways that plugs are carried.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from copy import copy
from functools import cached_property

from lint.plan.assign import LazyCosts, assigned
from lint.plan.branch import CHANGE
from lint.plan.distance import Carrying, Stage
from lint.plan.insearch import InputSearch
from lint.plan.intent import ChannelKey, Intent, receives
from lint.plan.islands import islands
from lint.plan.legs import Way, is_supplied, splits_of
from lint.plan.plug import InputCure, Placed, Places, Plug, Price
from lint.plan.powering import ANYHOW, Powering, Standing
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import InputPoint, Return, Slot, Socket
from lint.rig.rig import Channel


class InputSide:
    """The plugs, sockets and channels of a changed rig, and what each channel is to receive."""

    def __init__(self, before: ResolvedRig, rig: ResolvedRig, intent: Intent, dead: Collection[str] = ()) -> None:
        self.rig = rig
        self.dead = dead
        self.before = before
        self._hearing: dict[str, list[int]] = {}
        self.plugs = [
            Plug(source.name, leg, socket, source.needs_phantom)
            for source in rig.rig.sources.values()
            for leg, socket in enumerate(source.sockets)
        ]
        self.intent = {key: wanted for key, wanted in intent.channels.items() if key[0] not in dead}
        self.listeners: dict[tuple[str, int], list[Channel]] = {}
        for key, wanted in self.intent.items():
            if isinstance(wanted, str) and wanted in rig.rig.sources:
                leg = self._leg(before, wanted, key[0])
                self.listeners.setdefault((wanted, leg), []).append(rig.rig.channels[key])
        self.usable = frozenset(self._usable())
        self.splits = splits_of(
            before, rig, self.listeners, lambda socket, console: self.point(socket, console) is not None
        )
        self.may_wake = False  # whether phantom power may be switched otherwise for what has another leg

    def _leg(self, before: ResolvedRig, source: str, console: str) -> int:
        """Return which plug of a source a console is fed by: the first that it can hear."""
        sockets = self.rig.rig.sources[source].sockets
        heard = (leg for leg, at in enumerate(sockets) if before.has_socket(at) and before.input_point(at, console))
        return next(heard, 0)

    def _usable(self) -> list[Socket]:
        """Return every input socket that works and that some living console hears."""
        rig = self.rig
        found = [socket for socket in rig.slot_of if socket.device not in self.dead]
        for console in rig.rig.consoles:
            if console.name not in self.dead:
                found += [Socket(console.name, "in", number + 1) for number in range(console.model.inputs.count)]
        return [socket for socket in found if not rig.is_dead(socket)]

    def point(self, socket: Socket, console: str) -> InputPoint | None:
        """Return what a console patches from to hear a socket, or None where it can't."""
        return self.rig.input_point(socket, console) if socket in self.usable else None

    @cached_property
    def heard(self) -> Mapping[ChannelKey, Socket | None]:
        """The socket that each channel listens to today."""
        return {key: arrival.socket for key, arrival in self.rig.arrivals.items()}

    # -- the three cures -------------------------------------------------------------------------------------------

    def by_console(self) -> InputCure:
        """Leave every plug: patch each wrong channel from where its source is. Each needs a change of its own."""
        home = {plug: plug.socket for plug in self.plugs}
        side = copy(self)
        side.may_wake = True
        return self.hearing(side.best_ways(home, self.single_price, side.truly(home, self.single_price))).cure({})

    def by_plugs(self) -> InputCure:
        """Leave the console: the fewest plugs move so that as many channels as can be are right."""
        places, _, proved = self._searched(may_patch=False)
        moves = {plug: end for plug, end in places.items() if end != plug.socket}
        return InputCure(moves=moves, proved=proved)

    def by_fewest(self) -> InputCure:
        """Patch and plug as it takes the fewest changes of both."""
        places, by, proved = self._searched(may_patch=True)
        return self.hearing(by).cure(places, proved)

    def _searched(self, may_patch: bool) -> tuple[Places, Mapping[str, Way], bool]:
        """Return the best places, how split sources are heard then, and whether that is proved.

        Where all plugs are right they are where they are.
        """
        wrong = [island for island in self.islands if not island.working.issuperset(island.plugs)]
        found = [InputSearch(island, may_patch).best() for island in wrong]
        answers = [each.answer for each in found if each.answer is not None]
        places = {plug: end for answer in answers for plug, end in answer.places.items()}
        by = {name: way for answer in answers for name, way in answer.by.items()}
        return places, by, all(each.is_proved for each in found)

    def hearing(self, by: Mapping[str, Way]) -> InputSide:
        """Return the side with split sources heard by the plugs that are named."""
        side = copy(self)
        heard = {(name, leg): list(rows) for name, way in by.items() for leg, rows in enumerate(way.heard)}
        side.listeners = self.listeners | heard
        return side

    @cached_property
    def islands(self) -> list[InputSide]:
        """The sides of the consoles that share nothing: what is waited for at one is of no use in another's sockets.

        What nobody waits for may have to make room. Where its own console may have too little of it, all are one.
        """
        consoles = [console.name for console in self.rig.rig.consoles]
        at = {plug: self._consoles(plug) | self._hearers[plug.socket.device] for plug in self.plugs}
        for halves in (*self.pairs.values(), *self._halves.values()):
            at |= dict.fromkeys(halves, set().union(*(at[half] for half in halves)))
        groups = islands(consoles, [*filter(None, self._hearers.values()), *filter(None, at.values())])
        found = [self._of(group, [plug for plug in self.plugs if at[plug] & group]) for group in groups]
        return found if len(found) > 1 and all(island._has_room for island in found) else [self]

    @cached_property
    def _hearers(self) -> Mapping[str, set[str]]:
        """The consoles that hear anything of a device."""
        found: dict[str, set[str]] = {name: set() for name in self.rig.rig.devices}
        first = {socket.device: socket for socket in sorted(self.usable, reverse=True)}
        for device, socket in first.items():
            found[device] = {c.name for c in self.rig.rig.consoles if self.point(socket, c.name) is not None}
        return found

    @property
    def _has_room(self) -> bool:
        """Whether all that nobody waits for finds a socket, whatever the rest takes."""
        idle = [plug for plug in self.plugs if not self._consoles(plug)]
        free = len(self.usable) - len(self.usable.intersection(plug.socket for plug in self.plugs))
        return not idle or free >= len(idle) + len(self.plugs) - len(self.working)

    def _of(self, consoles: frozenset[str], plugs: list[Plug]) -> InputSide:
        side = copy(self)
        shared = ("rig", "dead", "before", "heard", "splits", "may_wake")
        side.__dict__ = {name: getattr(self, name) for name in shared} | {"_hearing": {}}
        legs = {(plug.source, plug.leg) for plug in plugs}
        side.plugs = plugs
        side.intent = {key: wanted for key, wanted in self.intent.items() if key[0] in consoles}
        side.listeners = {leg: heard for leg, heard in self.listeners.items() if leg in legs}
        side.usable = frozenset(socket for socket in self.usable if self._hearers[socket.device] & consoles)
        return side

    def single_price(self, channel: Channel, socket: Socket) -> int | None:
        """Return what it takes that a channel by itself listens to a socket; None where it can't."""
        if self.heard[channel.key] == socket:
            return 0
        return CHANGE if self.point(socket, channel.console) is not None else None

    def cure(self, places: Places, proved: bool = True) -> InputCure:
        """Return the cure that puts plugs in their places, and leaves those that are not named."""
        patched = self.patched({plug: places.get(plug, plug.socket) for plug in self.plugs})
        right = {
            key: point
            for key, wanted in self.intent.items()
            if (point := self.rig.rig.channels[key].patched_from) is not None
            and receives(self.rig.arrivals[key], wanted)
        }
        moves = {plug: end for plug, end in places.items() if end != plug.socket}
        # A block that is turned must not take along whom a plug comes to where it listens already.
        coming = ((c, end) for plug, end in moves.items() for c in self.listeners.get((plug.source, plug.leg), ()))
        met = {c.key: c.patched_from for c, end in coming if self.heard[c.key] == end and c.patched_from is not None}
        return InputCure(patched, moves, right | met | patched, proved)

    # -- how -------------------------------------------------------------------------------------------------------

    def patched(self, places: Places) -> dict[ChannelKey, InputPoint]:
        """Return the channels to patch anew once the plugs are in their places."""
        patched: dict[ChannelKey, InputPoint] = {}
        crowded = self._crowded(places)
        for plug, socket in places.items():
            for channel in self.listeners.get((plug.source, plug.leg), ()):
                point = self.point(socket, channel.console)
                if point is not None and self.heard[channel.key] != socket and socket not in crowded:
                    patched[channel.key] = point
        returns = {key: wanted for key, wanted in self.intent.items() if isinstance(wanted, Return)}
        return patched | {
            key: wanted for key, wanted in returns.items() if not receives(self.rig.arrivals[key], wanted)
        }

    def _crowded(self, places: Places) -> set[Socket]:
        """Return the sockets that have more than one plug: no patch gives a channel one of them alone."""
        return {socket for socket, plugs in Counter(places.values()).items() if plugs > 1}

    @cached_property
    def idle(self) -> int:
        """What it costs to unplug what nobody waits for: more than all changes together, in parts of a change."""
        return CHANGE * (2 * len(self.plugs) + 2 * len(self.intent) + 1)

    @cached_property
    def worth(self) -> Mapping[str, int]:
        """What a channel of each source costs that stays wrong: more than all of lower priorities, and all changes."""
        waiting: Counter[int] = Counter()
        for (source, _), channels in self.listeners.items():
            waiting[self.rig.rig.sources[source].priority] += len(channels)
        for source in self.splits:
            waiting[self.rig.rig.sources[source].priority] += 1  # for phantom power from both ends
        weight = self.idle * (len(self.plugs) + 1)
        by_priority = {}
        for priority, count in sorted(waiting.items(), reverse=True):
            by_priority[priority] = weight
            weight *= count + 1
        every = (*(source for source, _ in self.listeners), *self.splits)
        return {source: by_priority[self.rig.rig.sources[source].priority] for source in every}

    @cached_property
    def never(self) -> int:
        """What it costs to unplug what is heard: more than all else together."""
        counts = [(source, len(heard)) for (source, _), heard in self.listeners.items()]
        counts += [(source, 1) for source in self.splits]
        return sum(self.worth[source] * count for source, count in counts) + self.idle * len(self.plugs) + 1

    @cached_property
    def powering(self) -> Powering:
        """What phantom power is to the plugs, and the switches that sockets share."""
        heard = {plug: self.listeners.get((plug.source, plug.leg), ()) for plug in self.plugs}
        asking = {
            plug: any(channel.phantom == "on" for channel in rows) and not self._minds(plug)
            for plug, rows in heard.items()
        }
        return Powering(self.rig, asking, self.columns)

    def placed(
        self, price: Price, on: Mapping[Plug, Collection[Socket]] | None = None, standing: Standing = ANYHOW
    ) -> Placed:
        """Give every plug a socket of its own at the least cost, the nearest of equally good ones.

        `price` says what it takes that a channel listens to a socket, in parts of a change; `on` has plugs that must
        go to one of certain sockets, `standing` how switches stand.
        """
        on = on or {}
        unit = self.carrying.unit

        def cost(plug: Plug, socket: Socket) -> int:
            away = plug in on and socket not in on[plug]
            return self.cost_in(plug, socket, price, standing) + self.never * away

        def costs_of(row: int) -> list[int]:
            plug = self.plugs[row]
            costs = [self._deaf(plug) * unit] * len(self.columns)
            for column in self._columns_for(plug):
                socket = self.columns[column]
                costs[column] = cost(plug, socket) * unit + self.carried(plug, socket)
            return costs

        # Plugs that are right where they are start there, so that the work goes by what is wrong, not by the rig.
        right = {row: self.column_of[plug.socket] for row, plug in enumerate(self.plugs) if not cost(plug, plug.socket)}
        costs = LazyCosts(len(self.plugs), costs_of)
        found = assigned(costs, right, CHANGE * unit)
        places = {plug: self.columns[column] for plug, column in zip(self.plugs, found.column_of, strict=True)}
        least = sum(cost(plug, socket) * unit + self.carried(plug, socket) for plug, socket in places.items())

        def more_on(plug: Plug, device: str) -> int:
            row = self.plugs.index(plug)
            prices = [
                costs[row][column] - found.row_price[row] - found.column_price[column]
                for column in self.columns_on.get(device, ())
            ]
            return min(prices, default=self.never * unit)

        at_home = {plug: socket if socket.device else plug.socket for plug, socket in places.items()}
        return Placed(at_home, least, more_on)

    @cached_property
    def carrying(self) -> Carrying:
        """What it counts for that plugs are carried: over the stage as it was, whatever is cabled otherwise now."""
        return Carrying(Stage(self.before).far, len(self.plugs))

    def carried(self, plug: Plug, socket: Socket) -> int:
        """Return what it counts for that a plug is carried to a socket; one that lies unplugged goes nowhere."""
        return self.carrying.count(plug.socket, socket, plug in self.working) if socket.device else 0

    @cached_property
    def working(self) -> frozenset[Plug]:
        """The plugs that all who wait for them hear where they are; those that nobody waits for among them."""
        home = {plug: plug.socket for plug in self.plugs}
        crowded, standing = self._crowded(home), self.powering.standing(home)
        silent = {name for name, split in self.splits.items() if split.minds and not self._is_powered(name)}

        def is_right(plug: Plug) -> bool:
            heard = self.listeners.get((plug.source, plug.leg), ())
            if plug.source in silent:
                return False
            return not heard or (
                plug.socket in self.usable
                and not self.powering.is_starved(plug, plug.socket, standing)
                and plug.socket not in crowded
                and all(self.heard[channel.key] == plug.socket for channel in heard)
            )

        return frozenset(filter(is_right, self.plugs))

    @cached_property
    def column_of(self) -> Mapping[Socket, int]:
        """The place of each socket among the columns."""
        return {socket: column for column, socket in enumerate(self.columns)}

    @cached_property
    def columns_on(self) -> Mapping[str, list[int]]:
        """The columns of each device; of one that nobody hears those where plugs are: a pair is whole there too."""
        found: dict[str, list[int]] = {}
        for column, socket in enumerate(self.columns):
            if socket.device:
                found.setdefault(socket.device, []).append(column)
        return found

    @cached_property
    def pairs(self) -> Mapping[str, tuple[Plug, Plug]]:
        """The plugs of both halves of each stereo pair."""
        first = {plug.source: plug for plug in self.plugs if not plug.leg}
        rows = (row for row in self.rig.rig.pairs.values() if row.left in first and row.right in first)
        return {row.name: (first[row.left], first[row.right]) for row in rows}

    @cached_property
    def columns(self) -> list[Socket]:
        """Where plugs may be: where they are, those sockets somebody listens to, and the free ones."""
        taken = {plug.socket for plug in self.plugs}
        heard = {self.heard[channel.key] for rows in self.listeners.values() for channel in rows}
        targets = sorted(socket for socket in self.usable if socket in heard or socket not in taken)
        sockets = list(dict.fromkeys((*(plug.socket for plug in self.plugs), *targets)))
        spare = len(self.plugs) - len(taken | set(targets))
        return [*sockets, *(Socket("", "in", number) for number in range(max(0, spare)))]  # no place: unplugged

    # -- what it costs ---------------------------------------------------------------------------------------------

    def cost_in(self, plug: Plug, socket: Socket, price: Price, standing: Standing = ANYHOW) -> int:
        """Return what it costs to have a plug in a socket: channels that stay wrong, the move, changes of patch.

        Of a split source that may be heard in several ways it is the least that any of them costs.
        """
        if standing.ways and self.powering.is_harmed(plug, socket, standing):
            return self._deaf(plug)
        split = self.splits.get(plug.source)
        if split is None:
            return self._cost_in(plug, socket, price, standing, self.listeners.get((plug.source, plug.leg), ()))
        ways = (standing.by[plug.source],) if plug.source in standing.by else split.ways
        return min(self._cost_by(plug, socket, price, standing, way) for way in ways)

    def _cost_in(
        self, plug: Plug, socket: Socket, price: Price, standing: Standing, listeners: Sequence[Channel]
    ) -> int:
        moved = socket != plug.socket
        if not listeners:
            # Nobody waits for it: it may lie unplugged, but not be lost for nothing.
            return (0 if socket.device else self.idle) + CHANGE * moved
        is_silent = plug.needs_phantom and not self._minds(plug) and not self.rig.phantom.is_able(socket)
        if not self._hears(listeners, socket) or (moved and is_silent):
            # Whoever is heard today is not unplugged for another, whatever that would win.
            if moved and (not socket.device or self._hears(listeners, plug.socket)):
                return self._deaf(plug)
            return self.worth[plug.source] * len(listeners) + CHANGE * moved
        prices = [price(channel, socket) for channel in listeners]
        if standing.ways and self.powering.is_starved(plug, socket, standing) and prices.count(None) < len(prices):
            # It would be heard, had it phantom power.
            return self._deaf(plug) if moved else self.worth[plug.source] * len(listeners)
        return CHANGE * moved + sum(self.worth[plug.source] if each is None else each for each in prices)

    def _cost_by(self, plug: Plug, socket: Socket, price: Price, standing: Standing, way: Way) -> int:
        """Return what a plug of a split source costs in a socket, if it is heard in one way."""
        split, listeners = self.splits[plug.source], way.heard[plug.leg]
        if not split.minds:
            return self._cost_in(plug, socket, price, standing, listeners)
        if way.powers is None:
            return self._cost_in(plug, socket, _unheard, standing, listeners)
        cost = self._cost_in(plug, socket, price, standing, listeners)
        is_lit = self.lights(listeners, socket, price)
        is_carried = self.powering.is_carried(socket, standing)
        if way.powers == plug.leg:
            if not self.rig.phantom.is_able(socket) or self.powering.is_barred(socket, standing):
                return cost + self._deaf(plug)
            if is_lit or is_carried:
                return cost
            return cost + (self.waking if self._wakes(listeners, socket, price) else self._deaf(plug))
        if not split.once or not (is_lit or (is_carried and standing.ways)):
            return cost
        # Phantom power from both ends is as wrong as a channel, or a change where this end can be off.
        return cost + (CHANGE if self.may_wake and split.may_rest[plug.leg] else self.worth[plug.source])

    def best_ways(self, places: Places, price: Price, standing: Standing) -> Mapping[str, Way]:
        """Return how each split source is heard best with the plugs in their places."""
        by = dict(standing.by)
        for name, plugs in self._halves.items():
            if name not in by:
                costs = {
                    way: sum(self._cost_by(plug, places[plug], price, standing, way) for plug in plugs)
                    for way in self.splits[name].ways
                }
                by[name] = min(costs, key=costs.__getitem__)
        return by

    def truly(self, places: Places, price: Price, by: Mapping[str, Way] | None = None) -> Standing:
        """Return how the switches stand by what hangs on them now and by which channels they are on."""
        if not self.powering.switches:
            return Standing({}, by=by or {})
        lighting = None
        if self.splits:
            rows = ((plug, socket, self._listening(plug, by or {})) for plug, socket in places.items())
            lighting = [plug for plug, socket, heard in rows if self.lights(heard, socket, price)]
        return self.powering.standing(places, lighting)._replace(by=by or {})

    def _listening(self, plug: Plug, by: Mapping[str, Way]) -> Sequence[Channel]:
        if plug.source in by:
            return by[plug.source].heard[plug.leg]
        return self.listeners.get((plug.source, plug.leg), ())

    def lights(self, listeners: Iterable[Channel], socket: Socket, price: Price) -> bool:
        """Whether one of the channels that hear a plug in a socket switches phantom power on there."""
        return any(channel.phantom == "on" and price(channel, socket) is not None for channel in listeners)

    def _wakes(self, listeners: Iterable[Channel], socket: Socket, price: Price) -> bool:
        """Whether one of them may switch it on there."""
        if not self.may_wake:
            return False
        return any(price(c, socket) is not None and self._may_switch(c, socket) for c in listeners)

    def _may_switch(self, channel: Channel, socket: Socket) -> bool:
        """Whether a console has a hand in the phantom power of a socket: one that listens to another's link has not."""
        point = self.point(socket, channel.console)
        heard = point.port if isinstance(point, Slot) else None
        return heard is None or all(heard != split.listener for split in self.rig.rig.splits.values())

    @cached_property
    def waking(self) -> int:
        """The least part of a change that one source takes which is powered anew: a switch may do for several."""
        several = sum(split.minds for split in self.splits.values()) if self.powering.switches else 0
        return CHANGE // max(1, several)

    def _minds(self, plug: Plug) -> bool:
        """Whether phantom power of a plug goes by all plugs of its source."""
        return plug.source in self.splits and self.splits[plug.source].minds

    def _is_powered(self, name: str) -> bool:
        return any(is_supplied(self.rig, at) for at in self.rig.rig.sources[name].sockets if self.rig.has_socket(at))

    @cached_property
    def _halves(self) -> Mapping[str, tuple[Plug, ...]]:
        """The plugs of each split source."""
        found: dict[str, tuple[Plug, ...]] = {}
        for plug in self.plugs:
            if plug.source in self.splits:
                found[plug.source] = (*found.get(plug.source, ()), plug)
        return found

    def _deaf(self, plug: Plug) -> int:
        """Return what it costs to have a plug that somebody waits for moved to where nobody hears it."""
        return self.worth.get(plug.source, 0) * len(self.waiting(plug)) + self.never + CHANGE

    def waiting(self, plug: Plug) -> Sequence[Channel]:
        """Return the channels that wait for a plug, or may."""
        split = self.splits.get(plug.source)
        return self.listeners.get((plug.source, plug.leg), ()) if split is None else split.all_heard(plug.leg)

    def _consoles(self, plug: Plug) -> set[str]:
        return {channel.console for channel in self.waiting(plug)}

    def _hears(self, listeners: Iterable[Channel], socket: Socket) -> bool:
        """Whether any of those who wait for a plug can be patched from a socket."""
        return any(self.point(socket, console) is not None for console in {channel.console for channel in listeners})

    def _columns_for(self, plug: Plug) -> Iterable[int]:
        """Return the columns of which a plug may be any good: its own, and those that who waits for it can hear."""
        plugs = self._halves[plug.source] if self._minds(plug) else (plug,)
        consoles = {console for each in plugs for console in self._consoles(each)}
        if not consoles:
            return range(len(self.columns))
        return {self.column_of[plug.socket], *(column for name in consoles for column in self._heard_by(name))}

    def _heard_by(self, console: str) -> list[int]:
        """Return the columns that a console can be patched from."""
        if console not in self._hearing:
            columns = enumerate(self.columns)
            self._hearing[console] = [column for column, at in columns if self.point(at, console) is not None]
        return self._hearing[console]


def _unheard(channel: Channel, socket: Socket) -> None:
    """The price of a channel to which nothing comes."""
