"""Phantom switches that several sockets share, in the search for where plugs go: what it is worth who meets whom."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from lint.resolve.phantom import BARRED, INDIFFERENT, NEEDED, Switch, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket

if TYPE_CHECKING:
    from lint.plan.inputs import Places, Plug

Standing = Mapping[Switch, str]  # NEEDED for on, BARRED for off; a switch that is not named is for everybody
ANYHOW: Standing = {}


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
        """What phantom power is to each plug; one whose channels have it off misses it wherever it goes."""
        found = {plug: phantom_need(self.rig.rig.sources[plug.source]) for plug in self.asking}
        idle = {plug for plug, need in found.items() if need == NEEDED and not self.asking[plug]}
        return found | dict.fromkeys(idle, INDIFFERENT)

    def standing(self, places: Places) -> Standing:
        """Return how the switches stand: off where anything hangs on them that must not have it."""
        if not self.switches:
            return ANYHOW
        hung = {self.switches[at] for plug, at in places.items() if at in self.switches and self.needs[plug] == BARRED}
        return {switch: BARRED if switch in hung else NEEDED for switch in self.switches.values()}

    def is_starved(self, plug: Plug, socket: Socket, standing: Standing) -> bool:
        """Whether a plug would miss phantom power in a socket."""
        return self._meets(socket, standing) == BARRED and self.needs[plug] == NEEDED

    def is_harmed(self, plug: Plug, socket: Socket, standing: Standing) -> bool:
        """Whether a plug would get phantom power in a socket that it must not have."""
        return self._meets(socket, standing) == NEEDED and self.needs[plug] == BARRED

    def _meets(self, socket: Socket, standing: Standing) -> str | None:
        return standing.get(self.switches[socket]) if standing and socket in self.switches else None
