"""The cures on the input side: which channels are patched anew and which plugs move, as few as can be.

Which socket a slot is depends on the cables alone. So a patch change puts right one channel and touches no other,
and a plug in a socket puts right the channels that listen there: what remains is to give every plug a socket of its
own at the least cost, an assignment problem, and its optimum is exact. What does not come out plug by plug, blocks of
patch that are turned, stereo pairs that are torn and sources behind a split, `insearch.py` branches on.

The aims, one above another: as few channels as can be stay wrong, those that matter most first (one of a higher
priority outweighs all of lower ones together); then the fewest changes; then the fewest stereo pairs on two devices;
then the fewest plugs that work now and are moved all the same; then the shortest ways that plugs are carried.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from functools import cached_property

from lint.plan.insearch import InputSearch
from lint.plan.intent import ChannelKey, receives
from lint.plan.islands import islands
from lint.plan.legs import Way
from lint.plan.plug import InputCure, Places, Plug
from lint.plan.plugging import Plugging
from lint.rig.address import InputPoint, Return


class InputSide(Plugging):
    """The input side of a changed rig, and the cures of it."""

    def by_console(self) -> InputCure:
        """Leave every plug: patch each wrong channel from where its source is. Each needs a change of its own."""
        home = {plug: plug.socket for plug in self.plugs}
        side = copy(self)
        side.may_wake = True
        return self.hearing(side.best_ways(home, self.single_price, side.truly(home, self.single_price))).cure({})

    def by_plugs(self) -> InputCure:
        """Leave the console: the fewest plugs move so that as many channels as can be are right."""
        places, _, proved = self._searched(may_patch=False)
        moves = {plug: end for plug, end in places.items() if end != plug.socket}
        return InputCure(moves=moves, proved=proved)

    def by_fewest(self) -> InputCure:
        """Patch and plug as it takes the fewest changes of both."""
        places, by, proved = self._searched(may_patch=True)
        return self.hearing(by).cure(places, proved)

    def _searched(self, may_patch: bool) -> tuple[Places, Mapping[str, Way], bool]:
        """Return the best places, how split sources are heard then, and whether that is proved.

        Where all plugs are right they are where they are.
        """
        wrong = [island for island in self.islands if not island.working.issuperset(island.plugs)]
        found = [InputSearch(island, may_patch).best() for island in wrong]
        answers = [each.answer for each in found if each.answer is not None]
        places = {plug: end for answer in answers for plug, end in answer.places.items()}
        by = {name: way for answer in answers for name, way in answer.by.items()}
        return places, by, all(each.is_proved for each in found)

    def hearing(self, by: Mapping[str, Way]) -> InputSide:
        """Return the side with split sources heard by the plugs that are named."""
        side = copy(self)
        heard = {(name, leg): list(rows) for name, way in by.items() for leg, rows in enumerate(way.heard)}
        side.listeners = self.listeners | heard
        return side

    @cached_property
    def islands(self) -> list[InputSide]:
        """The sides of the consoles that share nothing: what is waited for at one is of no use in another's sockets.

        What nobody waits for may have to make room. Where its own console may have too little of it, all are one.
        """
        consoles = [console.name for console in self.rig.rig.consoles]
        at = {plug: self.consoles(plug) | self._hearers[plug.socket.device] for plug in self.plugs}
        for halves in (*self.pairs.values(), *self.halves.values()):
            at |= dict.fromkeys(halves, set().union(*(at[half] for half in halves)))
        groups = islands(consoles, [*filter(None, self._hearers.values()), *filter(None, at.values())])
        found = [self._of(group, [plug for plug in self.plugs if at[plug] & group]) for group in groups]
        return found if len(found) > 1 and all(island._has_room for island in found) else [self]

    @cached_property
    def _hearers(self) -> Mapping[str, set[str]]:
        """The consoles that hear anything of a device."""
        found: dict[str, set[str]] = {name: set() for name in self.rig.rig.devices}
        first = {socket.device: socket for socket in sorted(self.usable, reverse=True)}
        for device, socket in first.items():
            found[device] = {c.name for c in self.rig.rig.consoles if self.point(socket, c.name) is not None}
        return found

    @property
    def _has_room(self) -> bool:
        """Whether all that nobody waits for finds a socket, whatever the rest takes."""
        idle = [plug for plug in self.plugs if not self.consoles(plug)]
        free = len(self.usable) - len(self.usable.intersection(plug.socket for plug in self.plugs))
        return not idle or free >= len(idle) + len(self.plugs) - len(self.working)

    def _of(self, consoles: frozenset[str], plugs: list[Plug]) -> InputSide:
        side = copy(self)
        shared = ("rig", "dead", "before", "heard", "splits", "pinned", "known", "may_wake")
        side.__dict__ = {name: getattr(self, name) for name in shared} | {"_hearing": {}}
        legs = {(plug.source, plug.leg) for plug in plugs}
        side.plugs = plugs
        side.intent = {key: wanted for key, wanted in self.intent.items() if key[0] in consoles}
        side.listeners = {leg: heard for leg, heard in self.listeners.items() if leg in legs}
        side.usable = frozenset(socket for socket in self.usable if self._hearers[socket.device] & consoles)
        return side

    def cure(self, places: Places, proved: bool = True) -> InputCure:
        """Return the cure that puts plugs in their places, and leaves those that are not named."""
        patched = self.patched({plug: places.get(plug, plug.socket) for plug in self.plugs})
        right = {
            key: point
            for key, wanted in self.intent.items()
            if (point := self.rig.rig.channels[key].patched_from) is not None
            and receives(self.rig.arrivals[key], wanted)
        }
        moves = {plug: end for plug, end in places.items() if end != plug.socket}
        # A block that is turned must not take along whom a plug comes to where it listens already.
        coming = ((c, end) for plug, end in moves.items() for c in self.listeners.get((plug.source, plug.leg), ()))
        met = {c.key: c.patched_from for c, end in coming if self.heard[c.key] == end and c.patched_from is not None}
        return InputCure(patched, moves, right | met | patched, proved)

    def patched(self, places: Places) -> dict[ChannelKey, InputPoint]:
        """Return the channels to patch anew once the plugs are in their places."""
        patched: dict[ChannelKey, InputPoint] = {}
        crowded = self.crowded(places)
        for plug, socket in places.items():
            for channel in self.listeners.get((plug.source, plug.leg), ()):
                point = self.point(socket, channel.console)
                if point is not None and self.heard[channel.key] != socket and socket not in crowded:
                    patched[channel.key] = point
        returns = {key: wanted for key, wanted in self.intent.items() if isinstance(wanted, Return)}
        return patched | {
            key: wanted for key, wanted in returns.items() if not receives(self.rig.arrivals[key], wanted)
        }
