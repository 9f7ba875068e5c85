"""What phantom power allows where: who needs it, who must be kept from it, and how sockets share a switch."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import NamedTuple

from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import LINE_KINDS, Channel, Source

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


def switch_at(rig: ResolvedRig, socket: Socket) -> Switch:
    """Return the phantom switch of an input socket, which may be its own."""
    return Switch(socket.device, rig.device(socket.device).model.inputs.phantom_group(socket.number).start)


def powered_switches(rig: ResolvedRig) -> set[Switch]:
    """Return the phantom switches that some channel has on: all sockets of each are powered."""
    asked = (arrival.socket for arrival in rig.arrivals.values() if arrival.channel.phantom == "on")
    sockets = [socket for socket in asked if socket is not None and rig.has_socket(socket)]
    return {switch_at(rig, at) for at in sockets if rig.device(at.device).model.inputs.phantom != "none"}


class Trouble(NamedTuple):
    """A source that phantom power fails or may harm, the channels that rightly receive it, and that in words."""

    source: Source
    channels: tuple[Channel, ...]
    words: str


def troubles(rig: ResolvedRig, dead: Collection[str] = ()) -> Iterator[Trouble]:
    """Yield every source that needs phantom power and gets none, or gets it and must not, as the rules see it.

    Only sources that arrive where they should: why others don't is told of their channels. Behind a split one feed
    is enough.
    """
    right = {
        key: arrival
        for key, arrival in rig.arrivals.items()
        if key[0] not in dead
        and not (isinstance(arrival.channel.carries, str) and arrival.channel.carries not in arrival.sources)
    }
    on: dict[Switch, bool] = {}
    for arrival in right.values():
        socket = arrival.socket
        if socket is not None and rig.has_socket(socket):
            able = rig.device(socket.device).model.inputs.phantom != "none"
            switch = switch_at(rig, socket)
            on[switch] = on.get(switch, False) or (able and arrival.channel.phantom == "on")
    for source in rig.rig.sources.values():
        channels = tuple(arrival.channel for arrival in right.values() if source.name in arrival.sources)
        sockets = [at for at in source.sockets if len(rig.sources_in.get(at, ())) == 1 and switch_at(rig, at) in on]
        is_on, need = any(on[switch_at(rig, at)] for at in sockets), phantom_need(source)
        if not channels or not sockets or is_on == (need == NEEDED) or need == INDIFFERENT:
            continue
        where = f"{source.name} ({' and '.join(map(str, sockets))})"
        if need == BARRED:
            yield Trouble(source, channels, f"{where} must not have phantom power, and gets it")
        elif not _waits_elsewhere(rig, source):
            yield Trouble(source, channels, f"{where} needs phantom power, and gets none: {_why_off(rig, sockets)}")


def _waits_elsewhere(rig: ResolvedRig, source: Source) -> bool:
    """Whether a channel that is to carry it, and does not, has it on: then that wrong arrival is what is told."""
    return any(
        channel.phantom == "on" and source.name not in rig.arrivals[channel.key].sources
        for channel in rig.carriers_of.get(source.name, ())
    )


def _why_off(rig: ResolvedRig, sockets: Iterable[Socket]) -> str:
    for socket in sockets:
        if rig.device(socket.device).model.inputs.phantom == "none":
            return f"{socket.device} has none"
        barred = barred_beside(rig, socket)
        if barred:
            return f"{' and '.join(barred)} on the same switch must not have it"
    return "it is off there"


def barred_beside(rig: ResolvedRig, socket: Socket) -> list[str]:
    """Return the sources on the phantom switch of a socket that must not have it, whoever hears them."""
    if not rig.has_socket(socket):
        return []
    group = rig.device(socket.device).model.inputs.phantom_group(socket.number)
    names = [str(name) for number in group for name in rig.sources_in.get(Socket(socket.device, "in", number), ())]
    return [name for name in dict.fromkeys(names) if phantom_need(rig.rig.sources[name]) == BARRED]


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
