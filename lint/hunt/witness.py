"""Who may bear witness beside a path: nothing that is dark or dead by the rig file, on which no meter moves."""

from __future__ import annotations

from collections.abc import Iterator

from lint.hunt.target import Target
from lint.resolve.dark import dark_in, way_of
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Channel


def is_lit(rig: ResolvedRig, device: str) -> bool:
    """Whether a console or box has mains and is not dead by the rig file, with all up to its console."""
    return {*dark_in(rig), *rig.dead}.isdisjoint(way_of(rig, device))


def is_witness(rig: ResolvedRig, target: Target, channel: Channel) -> bool:
    """Whether a meter of a channel can move, as far as that hangs on more than the path, which is looked at itself."""
    socket = rig.arrivals[channel.key].socket
    way = {channel.console, *(way_of(rig, socket.device) if socket is not None else ())}
    return {*dark_in(rig), *rig.dead}.isdisjoint(way.difference(_own_way(rig, target)))


def _own_way(rig: ResolvedRig, target: Target) -> Iterator[str]:
    """Yield the consoles and boxes that a path passes."""
    for socket in (target.socket, target.output):
        yield from way_of(rig, socket.device) if socket is not None else ()
    yield from (target.channel.console,) if target.channel is not None else ()
    yield from (rig.rig.mixes[name].console for name in target.mixes if name in rig.rig.mixes)
