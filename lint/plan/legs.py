"""Sources behind a split: which plug of theirs each channel hears them by, and which one they have phantom power by."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import product
from typing import NamedTuple

from lint.plan.waking import may_rest
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source

Leg = tuple[str, int]  # a source and which of its plugs, counted from 0
Listeners = Mapping[Leg, Sequence[Channel]]
Hears = Callable[[Socket, str], bool]


class Way(NamedTuple):
    """Which channels hear a source by each of its plugs, and the plug that it has phantom power by.

    Without any (`powers` is None) all of them are silent, if it needs it.
    """

    heard: tuple[tuple[Channel, ...], ...]
    powers: int | None = None


class Split(NamedTuple):
    """A source with several plugs, and every way in which it may be heard.

    `minds` says that it needs phantom power and had it before, `once` that it had it by one plug alone; `may_rest`
    of each plug that nothing else on its switch needs phantom power.
    """

    ways: tuple[Way, ...]
    minds: bool
    once: bool
    may_rest: tuple[bool, ...]

    def all_heard(self, leg: int) -> list[Channel]:
        """Return the channels that may hear it by one of its plugs."""
        return list(dict.fromkeys(channel for way in self.ways for channel in way.heard[leg]))


def splits_of(before: ResolvedRig, rig: ResolvedRig, listeners: Listeners, hears: Hears) -> dict[str, Split]:
    """Return the split sources of a changed rig of which more is to be decided than where their plugs go."""
    several = [source for source in rig.rig.sources.values() if len(source.sockets) > 1]
    had = {entry.source.name: len(entry.live) for entry in before.phantom.fed} if several else {}
    found: dict[str, Split] = {}
    for source in several:
        legs = range(len(source.sockets))
        by = {channel: leg for leg in legs for channel in listeners.get((source.name, leg), ())}
        feeds = had.get(source.name, 0) if phantom_need(source) == NEEDED else 0
        heard = list(_heard(rig, source, by, hears))
        if by and (feeds or len(heard) > 1):
            powers = (*legs, None) if feeds else (None,)
            ways = tuple(Way(each, leg) for leg in powers for each in heard)
            rests = tuple(rig.has_socket(at) and may_rest(rig, source, at) for at in source.sockets)
            found[source.name] = Split(ways, bool(feeds), feeds == 1, rests)
    return found


def _heard(
    rig: ResolvedRig, source: Source, by: Mapping[Channel, int], hears: Hears
) -> Iterator[tuple[tuple[Channel, ...], ...]]:
    """Yield who may hear a source by which of its plugs: first as it is, then by others where that is not right.

    A channel may hear it by any plug that its console can be patched from where that is now.
    """
    choices = []
    is_right = is_right_now(rig, source, by)
    for channel, own in by.items():
        others = (leg for leg, at in enumerate(source.sockets) if leg != own and hears(at, channel.console))
        choices.append([own] if is_right else [own, *others])
    for legs in product(*choices):
        at = dict(zip(by, legs, strict=True))
        yield tuple(tuple(c for c in by if at[c] == leg) for leg in range(len(source.sockets)))


def is_right_now(rig: ResolvedRig, source: Source, by: Mapping[Channel, int]) -> bool:
    """Whether all channels receive a source by the plug that they are to, and it is not silent.

    It is where phantom power that is on for it now must go off for another on the same switch.
    """
    arrives = all(rig.arrivals[channel.key].socket == source.sockets[leg] for channel, leg in by.items())
    return arrives and (
        not source.needs_phantom or any(not rig.phantom.barred_at(at) for at in rig.phantom.live_at(source))
    )


def is_supplied(rig: ResolvedRig, socket: Socket) -> bool:
    """Whether a channel that receives what it is meant to switches phantom power on at a socket."""
    supply = rig.phantom.supplies.get(rig.phantom.switch_at(socket))
    return supply is not None and supply.on
