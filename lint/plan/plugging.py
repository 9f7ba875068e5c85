"""What it costs to have plugs of a changed rig in its sockets: channels that stay wrong, moves, changes of patch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property

from lint.plan.assign import LazyCosts, assigned
from lint.plan.branch import CHANGE
from lint.plan.distance import Carrying, Stage
from lint.plan.intent import ChannelKey, Intent
from lint.plan.legs import Way, is_supplied, splits_of
from lint.plan.plug import Placed, Places, Plug, Price
from lint.plan.powering import ANYHOW, Powering, Standing
from lint.resolve.dark import unlit
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import InputPoint, Slot, Socket
from lint.rig.rig import Channel


class Plugging:
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
                leg = self._leg(before, wanted, key)
                self.listeners.setdefault((wanted, leg), []).append(rig.rig.channels[key])
        self.usable = frozenset(self._usable())
        self.splits = splits_of(before, rig, self.listeners, lambda at, console: self.point(at, console) is not None)
        self.pinned: Collection[Plug] = ()  # plugs that stay where they are
        self.known: dict[object, int] | None = None  # what plugs cost in sockets, for a search
        self.may_wake = False  # whether phantom power may be switched otherwise for what has another leg

    def _leg(self, before: ResolvedRig, source: str, channel: ChannelKey) -> int:
        """Return which plug of a source a channel is fed by: the one that it hears, else the first that it can.

        Where its console hears none of them, one that no other console hears either.
        """
        sockets, console = self.rig.rig.sources[source].sockets, channel[0]
        if (at := before.arrivals[channel].socket) in sockets:
            return sockets.index(at)
        there = [at for at in sockets if before.has_socket(at)]
        heard = [at for at in there if before.input_point(at, console)]
        deaf = [at for at in there if not before.is_reached(at.device)]
        return sockets.index(next(iter((*heard, *deaf)), sockets[0]))

    def _usable(self) -> list[Socket]:
        """Return every input socket that works and that some living console hears."""
        rig = self.rig
        gone = {*self.dead, *unlit(rig)}
        found = [socket for socket in rig.slot_of if socket.device not in gone]
        for console in rig.rig.consoles:
            if console.name not in gone:
                found += [Socket(console.name, "in", number + 1) for number in range(console.model.inputs.count)]
        return [socket for socket in found if not rig.is_dead(socket)]

    def point(self, socket: Socket, console: str) -> InputPoint | None:
        """Return what a console patches from to hear a socket, or None where it can't."""
        return self.rig.input_point(socket, console) if socket in self.usable else None

    @cached_property
    def heard(self) -> Mapping[ChannelKey, Socket | None]:
        """The socket that each channel listens to today."""
        return {key: arrival.socket for key, arrival in self.rig.arrivals.items()}

    def single_price(self, channel: Channel, socket: Socket) -> int | None:
        """Return what it takes that a channel by itself listens to a socket; None where it can't."""
        if self.heard[channel.key] == socket:
            return 0
        return CHANGE if self.point(socket, channel.console) is not None else None

    # -- plugs and where they may be -----------------------------------------------------------------------------------

    @cached_property
    def columns(self) -> list[Socket]:
        """Where plugs may be: where they are, those sockets somebody listens to, and the free ones."""
        taken = {plug.socket for plug in self.plugs}
        heard = {self.heard[channel.key] for rows in self.listeners.values() for channel in rows}
        targets = sorted(socket for socket in self.usable if socket in heard or socket not in taken)
        sockets = list(dict.fromkeys((*(plug.socket for plug in self.plugs), *targets)))
        spare = len(self.plugs) - len(taken | set(targets))
        return [*sockets, *(Socket("", "in", number) for number in range(max(0, spare)))]  # no place: unplugged

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

    def _columns_for(self, plug: Plug) -> Iterable[int]:
        """Return the columns of which a plug may be any good: its own, and those that who waits for it can hear."""
        if plug in self.pinned:
            return (self.column_of[plug.socket],)
        plugs = self.halves[plug.source] if self.minds(plug) else (plug,)
        consoles = {console for each in plugs for console in self.consoles(each)}
        if not consoles:
            return range(len(self.columns))
        return {self.column_of[plug.socket], *(column for name in consoles for column in self._heard_by(name))}

    def _heard_by(self, console: str) -> list[int]:
        """Return the columns that a console can be patched from."""
        if console not in self._hearing:
            columns = enumerate(self.columns)
            self._hearing[console] = [column for column, at in columns if self.point(at, console) is not None]
        return self._hearing[console]

    @cached_property
    def pairs(self) -> Mapping[str, tuple[Plug, Plug]]:
        """The plugs of both halves of each stereo pair."""
        first = {plug.source: plug for plug in self.plugs if not plug.leg}
        rows = (row for row in self.rig.rig.pairs.values() if row.left in first and row.right in first)
        return {row.name: (first[row.left], first[row.right]) for row in rows}

    @cached_property
    def halves(self) -> Mapping[str, tuple[Plug, ...]]:
        """The plugs of each split source."""
        found: dict[str, tuple[Plug, ...]] = {}
        for plug in self.plugs:
            if plug.source in self.splits:
                found[plug.source] = (*found.get(plug.source, ()), plug)
        return found

    def waiting(self, plug: Plug) -> Sequence[Channel]:
        """Return the channels that wait for a plug, or may."""
        split = self.splits.get(plug.source)
        return self.listeners.get((plug.source, plug.leg), ()) if split is None else split.all_heard(plug.leg)

    def consoles(self, plug: Plug) -> set[str]:
        """Return the consoles that wait for a plug, or may."""
        return {channel.console for channel in self.waiting(plug)}

    @cached_property
    def working(self) -> frozenset[Plug]:
        """The plugs that all who wait for them hear where they are; those that nobody waits for among them."""
        home = {plug: plug.socket for plug in self.plugs}
        crowded, standing = self.crowded(home), self.powering.standing(home)
        silent = {name for name, split in self.splits.items() if split.minds and not self._is_powered(name, standing)}

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

    def crowded(self, places: Places) -> set[Socket]:
        """Return the sockets that have more than one plug: no patch gives a channel one of them alone."""
        return {socket for socket, plugs in Counter(places.values()).items() if plugs > 1}

    def _is_powered(self, name: str, standing: Standing) -> bool:
        """Whether a source has phantom power by any plug at a switch that may stay on."""
        there = (at for at in self.rig.rig.sources[name].sockets if self.rig.has_socket(at))
        return any(is_supplied(self.rig, at) and not self.powering.is_barred(at, standing) for at in there)

    # -- phantom power -------------------------------------------------------------------------------------------------

    @cached_property
    def powering(self) -> Powering:
        """What phantom power is to the plugs, and the switches that sockets share."""
        heard = {plug: self.listeners.get((plug.source, plug.leg), ()) for plug in self.plugs}
        asking = {
            plug: any(channel.phantom == "on" for channel in rows) and not self.minds(plug)
            for plug, rows in heard.items()
        }
        return Powering(self.rig, asking, self.columns)

    def minds(self, plug: Plug) -> bool:
        """Whether phantom power of a plug goes by all plugs of its source."""
        return plug.source in self.splits and self.splits[plug.source].minds

    def best_ways(self, places: Places, price: Price, standing: Standing) -> Mapping[str, Way]:
        """Return how each split source is heard best with the plugs in their places."""
        by = dict(standing.by)
        for name, plugs in self.halves.items():
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

    # -- what it costs -------------------------------------------------------------------------------------------------

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
            away = socket not in on[plug] if plug in on else plug in self.pinned and socket != plug.socket
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

    def cost_in(self, plug: Plug, socket: Socket, price: Price, standing: Standing = ANYHOW) -> int:
        """Return what it costs to have a plug in a socket: channels that stay wrong, the move, changes of patch.

        Of a split source that may be heard in several ways it is the least that any of them costs. Where that is looked
        up (`known`), the price of a channel is the same throughout.
        """
        if self.known is None:
            return self._least_in(plug, socket, price, standing)
        key = plug, socket, id(standing.by.get(plug.source)), self.powering.stands(socket, standing)
        if key not in self.known:
            self.known[key] = self._least_in(plug, socket, price, standing)
        return self.known[key]

    def _least_in(self, plug: Plug, socket: Socket, price: Price, standing: Standing) -> int:
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
        is_silent = plug.needs_phantom and not self.minds(plug) and not self.rig.phantom.is_able(socket)
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
        listeners = way.heard[plug.leg]
        if not self.minds(plug):
            return self._cost_in(plug, socket, price, standing, listeners)
        if way.powers is None:
            return self._cost_in(plug, socket, lambda *_: None, standing, listeners)  # nothing comes to them
        power = self._powered(plug, socket, price, standing, way)
        return self._cost_in(plug, socket, price, standing, listeners) + power

    def _powered(self, plug: Plug, socket: Socket, price: Price, standing: Standing, way: Way) -> int:
        """Return what it costs more that a plug gives its source phantom power, or that another does, as in a way."""
        split, listeners = self.splits[plug.source], way.heard[plug.leg]
        is_lit, is_carried = self.lights(listeners, socket, price), self.powering.is_carried(socket, standing)
        if way.powers == plug.leg:
            if not self.rig.phantom.is_able(socket) or self.powering.is_barred(socket, standing):
                return self._deaf(plug)
            if is_lit or is_carried:
                return 0
            return self.waking if self._wakes(listeners, socket, price) else self._deaf(plug)
        if not split.once or not (is_lit or self.powering.is_surely_on(socket, standing)):
            return 0
        # From both ends it is as wrong as a channel, or a change where this end can be off.
        return CHANGE if self.may_wake and split.may_rest[plug.leg] else self.worth[plug.source]

    def _deaf(self, plug: Plug) -> int:
        """Return what it costs to have a plug that somebody waits for moved to where nobody hears it."""
        return self.worth.get(plug.source, 0) * len(self.waiting(plug)) + self.never + CHANGE

    def _hears(self, listeners: Iterable[Channel], socket: Socket) -> bool:
        """Whether any of those who wait for a plug can be patched from a socket."""
        return any(self.point(socket, console) is not None for console in {channel.console for channel in listeners})
