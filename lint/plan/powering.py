"""Phantom power in the search for where plugs go: who meets whom on a shared switch, and who lives by whose leg."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from lint.plan.branch import CHANGE
from lint.plan.phantom import FED, need_at
from lint.plan.plug import Places, Plug
from lint.plan.waking import may_rest, may_wake
from lint.resolve.phantom import BARRED, INDIFFERENT, NEEDED, Switch, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel

Leg = tuple[str, int]  # a source and which of its plugs, counted from 0


class Standing(NamedTuple):
    """How shared switches stand: NEEDED for on, BARRED for off; one that is not named is for everybody.

    `unlit` are those that no channel switches on: they harm nobody, and nobody has power by another's channel there.
    """

    ways: Mapping[Switch, str]
    unlit: frozenset[Switch] = frozenset()


ANYHOW = Standing({})


class Living(NamedTuple):
    """The channels that hear a source by another leg, and are silent without the phantom power of this one.

    `wake` is the switch that could power it there instead, at a part of a change: `share`.
    """

    channels: int
    wake: Switch | None
    share: int


def living_by(
    before: ResolvedRig, rig: ResolvedRig, listeners: Mapping[Leg, Sequence[Channel]]
) -> Mapping[Leg, Living]:
    """Return what lives by each leg of the sources that have several: that of a source which was powered before."""
    split = [source for source in rig.rig.sources.values() if len(source.sockets) > 1]
    split = [source for source in split if phantom_need(source) == NEEDED]
    if not split:
        return {}
    powered = {entry.source.name for entry in before.phantom.fed if entry.live}
    found: dict[Leg, tuple[int, Switch | None]] = {}
    for source in split if powered else ():
        for leg in range(len(source.sockets)) if source.name in powered else ():
            rows = [
                (channel, at)
                for other, at in enumerate(source.sockets)
                for channel in (listeners.get((source.name, other), ()) if other != leg else ())
                if rig.arrivals[channel.key].socket == at and not is_supplied(rig, at)
            ]
            if rows:
                wakes = (rig.phantom.switch_at(at) for channel, at in rows if may_wake(rig, channel, at))
                found[source.name, leg] = len(rows), next(wakes, None)
    sharing = Counter(wake for _, wake in found.values())
    return {leg: Living(count, wake, CHANGE // sharing[wake]) for leg, (count, wake) in found.items()}


def is_supplied(rig: ResolvedRig, socket: Socket) -> bool:
    """Whether a channel that receives what it is meant to switches phantom power on at a socket."""
    supply = rig.phantom.supplies.get(rig.phantom.switch_at(socket))
    return supply is not None and supply.on


class Powering:
    """What phantom power is to plugs, and the switches that sockets share."""

    def __init__(self, rig: ResolvedRig, asking: Mapping[Plug, bool], sockets: Collection[Socket]) -> None:
        """Take the plugs, each with whether a channel that waits for it has phantom power on, and where they may be."""
        self.rig = rig
        self.asking = asking
        self.sockets = sockets

    @cached_property
    def switches(self) -> Mapping[Socket, Switch]:
        """The switches of those sockets that share theirs with others."""
        rig = self.rig
        there = (socket for socket in self.sockets if socket.device and rig.has_socket(socket))
        return {at: rig.phantom.switch_at(at) for at in there if rig.device(at.device).model.inputs.phantom == "groups"}

    @cached_property
    def needs(self) -> Mapping[Plug, str]:
        """What phantom power is to each plug; one whose channels have it off has it elsewhere, or misses it anyhow."""
        found = {plug: phantom_need(self.rig.rig.sources[plug.source]) for plug in self.asking}
        idle = [plug for plug, need in found.items() if need == NEEDED and not self.asking[plug]]
        at = {
            plug: need_at(self.rig, plug.source, self.rig.rig.sources[plug.source].sockets[plug.leg]) for plug in idle
        }
        return found | {plug: FED if need == FED else INDIFFERENT for plug, need in at.items()}

    @cached_property
    def fed(self) -> tuple[Plug, ...]:
        """The plugs that have their phantom power by another leg."""
        return tuple(plug for plug, need in self.needs.items() if need == FED)

    @cached_property
    def settled(self) -> frozenset[Plug]:
        """The plugs that have it by another leg alone whose switch may go off, should this one be powered too."""
        found = []
        for plug in self.fed:
            source = self.rig.rig.sources[plug.source]
            others = (at for leg, at in enumerate(source.sockets) if leg != plug.leg and self.rig.phantom.is_live(at))
            if all(may_rest(self.rig, source, at) for at in others):
                found.append(plug)
        return frozenset(found)

    def standing(self, places: Places, lighting: Collection[Plug] | None = None) -> Standing:
        """Return how the switches stand: off where anything hangs on them that must not have it.

        `lighting` are the plugs by whose channels switches are on, where that is known; else all are on.
        """
        if not self.switches:
            return ANYHOW
        hung = {self.switches[at] for plug, at in places.items() if at in self.switches and self.needs[plug] == BARRED}
        ways = {switch: BARRED if switch in hung else NEEDED for switch in self.switches.values()}
        if lighting is None:
            return Standing(ways)
        lit = {self.switches.get(places[plug]) for plug in lighting}
        return Standing(ways, frozenset(ways) - lit)

    def is_starved(self, plug: Plug, socket: Socket, standing: Standing) -> bool:
        """Whether a plug would miss phantom power in a socket."""
        return self._meets(socket, standing) == BARRED and self.needs[plug] == NEEDED

    def is_harmed(self, plug: Plug, socket: Socket, standing: Standing) -> bool:
        """Whether a plug would get phantom power in a socket that it must not have."""
        return self._meets(socket, standing) == NEEDED and self.needs[plug] == BARRED

    def is_twice(self, plug: Plug, socket: Socket, standing: Standing) -> bool:
        """Whether a plug that has phantom power by another leg would have it in a socket as well."""
        return self.needs[plug] == FED and self._meets(socket, standing) == NEEDED and self.is_carried(socket, standing)

    def is_carried(self, socket: Socket, standing: Standing) -> bool:
        """Whether a plug would have phantom power in a socket by the channels of others on the same switch."""
        switch = self.switches.get(socket)
        return switch is not None and standing.ways.get(switch) != BARRED and switch not in standing.unlit

    def _meets(self, socket: Socket, standing: Standing) -> str | None:
        return standing.ways.get(self.switches[socket]) if standing.ways and socket in self.switches else None
