"""Phantom power in the search for where plugs go: who meets whom on a switch that sockets share."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cached_property
from typing import NamedTuple

from lint.plan.legs import Way
from lint.plan.plug import Places, Plug
from lint.resolve.phantom import BARRED, INDIFFERENT, NEEDED, Switch, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket


class Standing(NamedTuple):
    """How shared switches stand: NEEDED for on, BARRED for off; one that is not named is for everybody.

    `unlit` are those that no channel switches on: they harm nobody, and nobody has power by another's channel there.
    `by` says of split sources which way they are heard; one that is not named may still be heard by any.
    """

    ways: Mapping[Switch, str]
    unlit: frozenset[Switch] = frozenset()
    by: Mapping[str, Way] = {}


ANYHOW = Standing({})


class Powering:
    """What phantom power is to plugs, and the switches that sockets share."""

    def __init__(self, rig: ResolvedRig, asking: Mapping[Plug, bool], sockets: Collection[Socket]) -> None:
        """Take the plugs, each with whether it has to have phantom power by a channel's own, and where they may be."""
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
        """What phantom power is to each plug; one for which nobody asks has it by another leg, or misses it anyhow."""
        found = {plug: phantom_need(self.rig.rig.sources[plug.source]) for plug in self.asking}
        idle = (plug for plug, need in found.items() if need == NEEDED and not self.asking[plug])
        return found | dict.fromkeys(idle, INDIFFERENT)

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
        return self.is_barred(socket, standing) and self.needs[plug] == NEEDED

    def is_harmed(self, plug: Plug, socket: Socket, standing: Standing) -> bool:
        """Whether a plug would get phantom power in a socket that it must not have."""
        return self._meets(socket, standing) == NEEDED and self.needs[plug] == BARRED

    def is_barred(self, socket: Socket, standing: Standing) -> bool:
        """Whether phantom power must stay off at a socket."""
        return self._meets(socket, standing) == BARRED

    def is_carried(self, socket: Socket, standing: Standing) -> bool:
        """Whether a plug would have phantom power in a socket by the channels of others on the same switch."""
        switch = self.switches.get(socket)
        return switch is not None and standing.ways.get(switch) != BARRED and switch not in standing.unlit

    def stands(self, socket: Socket, standing: Standing) -> tuple[str | None, bool]:
        """Return all that a plug in a socket has of how the switches stand."""
        if socket not in self.switches:
            return None, False
        return self._meets(socket, standing), self.is_carried(socket, standing)

    def is_surely_on(self, socket: Socket, standing: Standing) -> bool:
        """Whether a plug has phantom power in a socket by the channels of others, wherever all else goes."""
        return self.is_carried(socket, standing) and self._meets(socket, standing) == NEEDED

    def _meets(self, socket: Socket, standing: Standing) -> str | None:
        return standing.ways.get(self.switches[socket]) if standing.ways and socket in self.switches else None
