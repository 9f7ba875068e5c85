"""What it costs to have plugs of a changed rig in its sockets: channels that stay wrong, moves, changes of patch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property

from lint.plan.assign import LazyCosts, assigned
from lint.plan.branch import CHANGE
from lint.plan.distance import Carrying, Stage
from lint.plan.intent import Intent
from lint.plan.legs import Way, is_supplied
from lint.plan.plug import Placed, Places, Plug, Price
from lint.plan.powering import ANYHOW, Powering, Standing
from lint.plan.sockets import Sockets
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Slot, Socket
from lint.rig.rig import Channel


class Plugging(Sockets):
    """What it costs to have the plugs of a changed rig in its sockets."""

    def __init__(self, before: ResolvedRig, rig: ResolvedRig, intent: Intent, dead: Collection[str] = ()) -> None:
        super().__init__(before, rig, intent, dead)
        self.known: dict[object, int] | None = None  # what plugs cost in sockets, for a search
        self.may_wake = False  # whether phantom power may be switched otherwise for what has another leg

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

    @cached_property
    def powering(self) -> Powering:
        """What phantom power is to the plugs, and the switches that sockets share."""
        heard = {plug: self.listeners.get((plug.source, plug.leg), ()) for plug in self.plugs}
        asking = {
            plug: any(channel.phantom == "on" for channel in rows) and not self.minds(plug)
            for plug, rows in heard.items()
        }
        return Powering(self.rig, asking, self.columns)

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

        def weighed(plug: Plug, sockets: Iterable[Socket]) -> list[int]:
            only = on.get(plug, (plug.socket,) if plug in self.pinned else None)
            works, lost, far = plug in self.working, self.never * unit, self.carrying.count
            return [
                self.cost_in(plug, at, price, standing) * unit
                + (lost if only is not None and at not in only else 0)
                + (far(plug.socket, at, works) if at.device else 0)
                for at in sockets
            ]

        def costs_of(row: int) -> list[int]:
            plug, columns = self.plugs[row], self.columns
            costs = [self._deaf(plug) * unit] * len(columns)
            good = list(self.columns_for(plug))
            for column, cost in zip(good, weighed(plug, map(columns.__getitem__, good)), strict=True):
                costs[column] = cost
            return costs

        # Plugs that are right where they are start there, so that the work goes by what is wrong, not by the rig.
        at_home = (row for row, plug in enumerate(self.plugs) if not any(weighed(plug, (plug.socket,))))
        right = {row: self.column_of[self.plugs[row].socket] for row in at_home}
        costs = LazyCosts(len(self.plugs), costs_of)
        found = assigned(costs, right, CHANGE * unit)
        places = {plug: self.columns[column] for plug, column in zip(self.plugs, found.column_of, strict=True)}
        least = sum(cost for plug, socket in places.items() for cost in weighed(plug, (socket,)))

        def more_on(plug: Plug, device: str) -> int:
            row = self.plugs.index(plug)
            prices = [
                costs[row][column] - found.row_price[row] - found.column_price[column]
                for column in self.columns_on.get(device, ())
            ]
            return min(prices, default=self.never * unit)

        return Placed({plug: at if at.device else plug.socket for plug, at in places.items()}, least, more_on)

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
        if not standing.ways and plug.source not in self.splits:
            return self._cost_in(plug, socket, price, standing, self.listeners.get((plug.source, plug.leg), ()))
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
        for channel in listeners:  # noqa: SIM110 - asked of every plug and socket: any() takes some times as long
            if socket in self.points[channel.console]:
                return True
        return False
