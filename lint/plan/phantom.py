"""What phantom power does to a plan: what it fails or may harm, and how sockets that share a switch must stand."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import NamedTuple

from lint.resolve.phantom import BARRED, INDIFFERENT, NEEDED, Fed, Switch, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source


class Trouble(NamedTuple):
    """A source that phantom power fails or may harm, the channels that rightly receive it, and that in words."""

    source: Source
    channels: tuple[Channel, ...]
    words: str


def troubles(rig: ResolvedRig, dead: Collection[str] = ()) -> Iterator[Trouble]:
    """Yield every source that phantom power may harm, or that needs it and gets none, as the rules see it.

    What needs it counts where it arrives as it should: why others don't is told of their channels. Behind a split one
    feed is enough.
    """
    fed = {entry.source.name: entry for entry in rig.phantom.fed}
    for name in rig.phantom.harmed:
        source = rig.rig.sources[name]
        channels = fed[name].channels if name in fed else ()
        where = " and ".join(str(at) for at in source.sockets if rig.phantom.is_live(at))
        yield Trouble(source, channels, f"{name} ({where}) must not have phantom power, and gets it")
    for entry in fed.values():
        source, channels = entry.source, tuple(c for c in entry.channels if c.console not in dead)
        if phantom_need(source) != NEEDED or entry.live or not channels or rig.phantom.comes_with_the_patch(source):
            continue
        where = f"{source.name} ({' and '.join(map(str, entry.sockets))})"
        yield Trouble(source, channels, f"{where} needs phantom power, and gets none: {_why_off(rig, entry)}")


def _why_off(rig: ResolvedRig, entry: Fed) -> str:
    for socket in entry.sockets:
        if not rig.phantom.is_able(socket):
            return f"{socket.device} has none"
        barred = rig.phantom.barred_at(socket)
        if barred:
            return f"{' and '.join(barred)} on the same switch must not have it"
    return "it is off there"


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
