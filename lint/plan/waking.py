"""Phantom power switched on for a source that gets it from nowhere else any more: at the fewest switches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from lint.plan.phantom import Trouble
from lint.resolve.phantom import NEEDED, Switch, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel


def may_wake(rig: ResolvedRig, channel: Channel, socket: Socket) -> bool:
    """Whether a channel can switch phantom power on at a socket without harm to anything on the same switch.

    A console that only listens to another's link has no hand in it.
    """
    slot = rig.arrivals[channel.key].slot
    if slot is not None and any(slot.port == split.listener for split in rig.rig.splits.values()):
        return False
    return rig.phantom.is_able(socket) and not rig.phantom.barred_at(socket)


def woken(rig: ResolvedRig, troubled: Iterable[Trouble]) -> tuple[Channel, ...]:
    """Return the fewest channels at which phantom power must come on for all whom that can help."""
    ways: dict[str, dict[Switch, Channel]] = {}
    for row in troubled:
        for channel in row.channels if phantom_need(row.source) == NEEDED else ():
            socket = rig.arrivals[channel.key].socket
            if socket is not None and may_wake(rig, channel, socket):
                ways.setdefault(row.source.name, {}).setdefault(rig.phantom.switch_at(socket), channel)
    by_switch = {switch: channel for own in reversed(ways.values()) for switch, channel in own.items()}
    return tuple(by_switch[switch] for switch in _fewest({name: frozenset(own) for name, own in ways.items()}))


def _fewest(ways: Mapping[str, frozenset[Switch]]) -> tuple[Switch, ...]:
    """Return the fewest switches of which every source has one; a source has as many as it has legs, two at most.

    A switch that helps nobody whom another does not help as well is left out, so what is left to try is little.
    """
    if not ways:
        return ()
    helped: dict[Switch, frozenset[str]] = {
        switch: frozenset(name for name, own in ways.items() if switch in own)
        for switch in sorted(frozenset().union(*ways.values()))
    }
    kept: list[Switch] = []
    for switch in sorted(helped, key=lambda each: (-len(helped[each]), each)):
        if not any(helped[switch] <= helped[other] for other in kept):
            kept.append(switch)
    first = min(ways.values(), key=lambda own: (len(own.intersection(kept)), sorted(own)))
    found = (
        (switch, *_fewest({name: own.intersection(kept) for name, own in ways.items() if switch not in own}))
        for switch in sorted(first.intersection(kept))
    )
    return min(found, key=len)
