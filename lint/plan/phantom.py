"""What phantom power does to a plan: what it fails or may harm, and how sockets that share a switch must stand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import NamedTuple

from lint.resolve.phantom import BARRED, INDIFFERENT, NEEDED, Fed, Switch, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source

FED = "fed"  # it needs phantom power and has it by another leg: one more feed works against that
HARMED, BOTH_ENDS, SILENT = "harmed", "both-ends", "silent"  # kinds of trouble
FITS, FOR_NOTHING, TWICE = range(3)  # what a socket is to a source: right, on though it need not be, a second feed


class Trouble(NamedTuple):
    """A source that phantom power fails or may harm, the channels at which that shows, that in words, and its kind.

    Of `HARMED`, `BOTH_ENDS` and `SILENT` one says nothing of the others: what was fed twice may go silent now.
    """

    source: Source
    channels: tuple[Channel, ...]
    words: str
    kind: str


def troubles(rig: ResolvedRig, dead: Collection[str] = ()) -> Iterator[Trouble]:
    """Yield every source that phantom power may harm, or that needs it and gets none or two feeds, as the rules see it.

    What needs it counts where it arrives as it should: why others don't is told of their channels. Behind a split one
    feed is enough.
    """
    fed = {entry.source.name: entry for entry in rig.phantom.fed}
    for name in rig.phantom.harmed:
        source = rig.rig.sources[name]
        channels = fed[name].channels if name in fed else ()
        where = " and ".join(map(str, rig.phantom.delivered_at(source)))
        yield Trouble(source, channels, f"{name} ({where}) must not have phantom power, and gets it", HARMED)
    for entry in fed.values():
        live = [supply for supply in entry.live if any(c.console not in dead for c in supply.says_on)]
        if phantom_need(entry.source) == NEEDED and len(live) > 1:
            by = " and ".join(rig.rig.channel_words(c) for supply in live for c in supply.says_on[:1])
            words = f"{entry.source.name} gets phantom power from both ends of its split: from {by}"
            yield Trouble(entry.source, (), words, BOTH_ENDS)
        source, channels = entry.source, tuple(c for c in entry.channels if c.console not in dead)
        if phantom_need(source) != NEEDED or entry.live or not channels or rig.phantom.comes_with_the_patch(source):
            continue
        where = f"{source.name} ({' and '.join(map(str, entry.sockets))})"
        yield Trouble(source, channels, f"{where} needs phantom power, and gets none: {_why_off(rig, entry)}", SILENT)


def _why_off(rig: ResolvedRig, entry: Fed) -> str:
    for socket in entry.sockets:
        if not rig.phantom.is_able(socket):
            return f"{socket.device} has none"
        barred = rig.phantom.barred_at(socket)
        if barred:
            return f"{' and '.join(barred)} on the same switch must not have it"
    return "it is off there"


def need_at(rig: ResolvedRig, name: str, socket: Socket, dead: Collection[str] = ()) -> str:
    """Return what phantom power is to a source in a socket: FED where a living console gives it by another leg."""
    source = rig.rig.sources[name]
    need = phantom_need(source)
    if need != NEEDED:
        return need
    return FED if any(c.console not in dead for c in rig.phantom.fed_elsewhere(source, socket)) else need


class Switches:
    """The phantom switches that free sockets hang on, and how they must stand for what stays plugged in there.

    `state` has NEEDED (it is on), BARRED (it must stay off) or nothing for a switch that may still go either way.
    `bystanders` counts, for a switch that may come on and is off, what stays there and then has power by another leg
    as well (TWICE: from a console that is not `dead`) and what has it FOR_NOTHING.
    """

    def __init__(
        self, rig: ResolvedRig, staying: Mapping[Socket, str], sockets: Iterable[Socket], dead: Collection[str] = ()
    ) -> None:
        self.of: dict[Socket, Switch] = {}
        self.none: set[Socket] = set()
        self.state: dict[Switch, str] = {}
        self.bystanders: dict[Switch, Counter[int]] = {}
        for socket in sockets:
            inputs = rig.rig.devices[socket.device].model.inputs
            if inputs.phantom == "none":
                self.none.add(socket)
            elif inputs.phantom == "groups":
                group = inputs.phantom_group(socket.number)
                switch = self.of[socket] = Switch(socket.device, group.start)
                members = [Socket(socket.device, "in", number) for number in group]
                needs = [need_at(rig, staying[one], one, dead) for one in members if one in staying]
                supply = rig.phantom.supplies.get(switch)
                is_on = supply is not None and any(channel.console not in dead for channel in supply.says_on)
                if NEEDED in needs or BARRED in needs:  # where one must not have it nobody else gets it
                    self.state[switch] = BARRED if BARRED in needs else NEEDED
                elif needs and not is_on:
                    self.bystanders[switch] = Counter(TWICE if need == FED else FOR_NOTHING for need in needs)

    def cost(self, socket: Socket, need: str, state: Mapping[Switch, str]) -> int | None:
        """Return the worst that a source in a socket means to it or to the bystanders; None where it can't go there."""
        own = self.fit(socket, need, state)
        switch = self.of.get(socket)
        there = self.bystanders.get(switch, ()) if switch is not None and need == NEEDED else ()
        return own if own is None else max((own, *there))

    def fit(self, socket: Socket, need: str, state: Mapping[Switch, str]) -> int | None:
        """Return FITS, FOR_NOTHING or TWICE of a source and a socket for itself, or None where it can't go there."""
        if socket in self.none:
            return None if need == NEEDED else FITS
        switch = self.of.get(socket)
        stands = state.get(switch) if switch is not None else None
        if stands is None or stands == need:
            return FITS
        if need in (INDIFFERENT, FED):
            return FITS if stands == BARRED else FOR_NOTHING if need == INDIFFERENT else TWICE
        return None
