"""What phantom power allows where: who needs it, who must be kept from it, and how sockets share a switch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import LINE_KINDS, Source

NEEDED, BARRED, INDIFFERENT = "needed", "barred", "indifferent"


def phantom_need(source: Source) -> str:
    """Return whether a source needs phantom power, must be kept from it, or does not mind it."""
    if source.connection != "balanced" or source.powering == "parallel":
        return BARRED
    if source.needs_phantom:
        return NEEDED
    return BARRED if source.kind == "ribbon-microphone" or source.kind in LINE_KINDS else INDIFFERENT


class Switch(NamedTuple):
    """A phantom switch that acts on several sockets at once: the device and its first socket number."""

    device: str
    first: int


class Switches:
    """The phantom switches that free sockets hang on, and how they must stand for what stays plugged in there.

    `state` has NEEDED (it is on), BARRED (it must stay off) or nothing for a switch that may still go either way.
    """

    def __init__(self, rig: ResolvedRig, staying: Mapping[Socket, str], sockets: Iterable[Socket]) -> None:
        self.of: dict[Socket, Switch] = {}
        self.none: set[Socket] = set()
        self.state: dict[Switch, str] = {}
        for socket in sockets:
            inputs = rig.rig.devices[socket.device].model.inputs
            if inputs.phantom == "none":
                self.none.add(socket)
            elif inputs.phantom == "groups":
                group = inputs.phantom_group(socket.number)
                switch = self.of[socket] = Switch(socket.device, group.start)
                members = [Socket(socket.device, "in", number) for number in group]
                needs = {phantom_need(rig.rig.sources[staying[one]]) for one in members if one in staying}
                if NEEDED in needs or BARRED in needs:
                    self.state[switch] = NEEDED if NEEDED in needs else BARRED

    def cost(self, socket: Socket, need: str, state: Mapping[Switch, str]) -> int | None:
        """Return 0, 1 where a source would have power that it does not need, or None where it can't go there."""
        if socket in self.none:
            return None if need == NEEDED else 0
        stands = state.get(self.of[socket]) if socket in self.of else None
        if stands is None or stands == need:
            return 0
        if need == INDIFFERENT:
            return 1 if stands == NEEDED else 0
        return None
