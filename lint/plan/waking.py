"""Phantom power switched on for a source that gets it from nowhere else any more, and off where it gets it twice.

On at the fewest switches; off where only one end of a split can be.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from lint.plan.phantom import Trouble
from lint.resolve.dark import unlit
from lint.resolve.phantom import NEEDED, Switch, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source


class Turned(NamedTuple):
    """The channels at which phantom power is switched on that was off before, and those at which it goes off.

    `later` are those of dead consoles that must have it off once these are back, for others have it on in their place.
    Where something else on a switch of theirs needs it, those `again` go off that came on now. `whose` names the
    sources for which the one is so, and the other.
    """

    on: tuple[Channel, ...] = ()
    off: tuple[Channel, ...] = ()
    later: tuple[Channel, ...] = ()
    again: tuple[Channel, ...] = ()
    whose: tuple[tuple[str, ...], tuple[str, ...]] = ((), ())

    def without(self, pulled: Collection[str]) -> Turned:
        """Return the same but for sources that are taken out of what is dead: it gives them nothing."""
        names = tuple(name for name in self.whose[0] if name not in pulled)
        later = tuple(row for row in self.later if names and row.carries not in pulled)
        return self._replace(later=later, whose=(names, self.whose[1]))


NOT_TURNED = Turned()


def may_wake(rig: ResolvedRig, channel: Channel, socket: Socket) -> bool:
    """Whether a channel can switch phantom power on at a socket without harm to anything on the same switch.

    A console that only listens to another's link has no hand in it.
    """
    slot = rig.arrivals[channel.key].slot
    if slot is not None and any(slot.port == split.listener for split in rig.rig.splits.values()):
        return False
    return rig.phantom.may_be_on(socket)


def off_later(
    back: ResolvedRig, on: Iterable[Channel], dead: Collection[str], known: Collection[str]
) -> tuple[tuple[Channel, ...], tuple[Channel, ...], tuple[tuple[str, ...], tuple[str, ...]]]:
    """Return which channels of dead consoles must be off once they are back, else which of `on`, and for which sources.

    `back` is the rig as it would be then; by it a source, if it is not `known` for that, has two feeds. The former are
    all that have a switch on which nothing else needs.
    """
    later: dict[Channel, None] = {}
    again: dict[Channel, None] = {}
    late: dict[str, None] = {}
    anew: dict[str, None] = {}
    for source in back.rig.sources.values():
        live = back.phantom.live_at(source) if phantom_need(source) == NEEDED and source.name not in known else {}
        for at, supply in live.items() if len(live) > 1 else ():
            rows = [row for row in supply.says_on if row.console in dead]
            if rows and may_rest(back, source, at):
                later |= dict.fromkeys(rows)
                late[source.name] = None
            elif rows:
                found = [row for row in on if source.name in back.arrivals[row.key].sources]
                again |= dict.fromkeys(found)
                anew |= dict.fromkeys([source.name] if found else ())
    return tuple(later), tuple(again), (tuple(late), tuple(anew))


def may_rest(rig: ResolvedRig, source: Source, socket: Socket) -> bool:
    """Whether nothing on the switch of a socket needs phantom power but that source."""
    sharing = rig.phantom.sockets_on(rig.phantom.switch_at(socket))
    there = (rig.rig.sources[name] for at in sharing for name in rig.sources_in.get(at, ()))
    return all(phantom_need(other) != NEEDED for other in there if other.name != source.name)


def rested(before: ResolvedRig, rig: ResolvedRig, troubled: Iterable[Trouble]) -> tuple[Channel, ...]:
    """Return the channels at which phantom power goes off for what gets it from both ends of its split.

    It goes off at the end whose switch nothing else needs; where that is so of both, at the one that was off before.
    Where that leaves a choice, the crew makes it.
    """
    found: list[Channel] = []
    for source in (row.source for row in troubled if phantom_need(row.source) == NEEDED):
        live = [at for at in source.sockets if rig.phantom.is_live(at)]
        free = [at for at in live if may_rest(rig, source, at)]
        if len(free) == len(live):
            then = dict(zip(source.sockets, before.rig.sources[source.name].sockets, strict=True))
            free = [at for at in free if not before.phantom.is_live(then[at])]
        if live and len(free) == len(live) - 1:
            found += [channel for at in free for channel in rig.phantom.switched_on_by(at)]
    return tuple(dict.fromkeys(found))


def woken(rig: ResolvedRig, troubled: Iterable[Trouble]) -> tuple[Channel, ...]:
    """Return the fewest channels at which phantom power must come on for all whom that can help."""
    ways: dict[str, dict[Switch, Channel]] = {}
    gone = unlit(rig)
    for row in troubled:
        for channel in row.channels if phantom_need(row.source) == NEEDED else ():
            socket = rig.arrivals[channel.key].socket
            if socket is not None and socket.device not in gone and may_wake(rig, channel, socket):
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
