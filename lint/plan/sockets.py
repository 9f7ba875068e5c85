"""Where the plugs of a changed rig may be, and who is to hear them there."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property

from lint.plan.branch import CHANGE
from lint.plan.intent import ChannelKey, Intent
from lint.plan.legs import splits_of
from lint.plan.plug import Plug
from lint.resolve.dark import unlit
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import InputPoint, Socket
from lint.rig.rig import Channel


class Sockets:
    """The plugs of a changed rig, the sockets where they may be, and the channels that are to receive them there."""

    def __init__(self, before: ResolvedRig, rig: ResolvedRig, intent: Intent, dead: Collection[str] = ()) -> None:
        self.rig = rig
        self.dead = dead
        self.before = before
        self._hearing: dict[str, list[int]] = {}
        self.plugs = [
            Plug(source.name, leg, socket, source.needs_phantom)
            for source in rig.rig.sources.values()
            for leg, socket in enumerate(source.sockets)
        ]
        self.intent = {key: wanted for key, wanted in intent.channels.items() if key[0] not in dead}
        self.listeners: dict[tuple[str, int], list[Channel]] = {}
        for key, wanted in self.intent.items():
            if isinstance(wanted, str) and wanted in rig.rig.sources:
                leg = self._leg(before, wanted, key)
                self.listeners.setdefault((wanted, leg), []).append(rig.rig.channels[key])
        self.usable = frozenset(self._usable())
        self.splits = splits_of(before, rig, self.listeners, lambda at, console: self.point(at, console) is not None)
        self.pinned: Collection[Plug] = ()  # plugs that stay where they are

    def _leg(self, before: ResolvedRig, source: str, channel: ChannelKey) -> int:
        """Return which plug of a source a channel is fed by: the one that it hears, else the first that it can.

        Where its console hears none of them, one that no other console hears either.
        """
        sockets, console = self.rig.rig.sources[source].sockets, channel[0]
        if (at := before.arrivals[channel].socket) in sockets:
            return sockets.index(at)
        there = [at for at in sockets if before.has_socket(at)]
        heard = [at for at in there if before.input_point(at, console)]
        deaf = [at for at in there if not before.is_reached(at.device)]
        return sockets.index(next(iter((*heard, *deaf)), sockets[0]))

    def _usable(self) -> list[Socket]:
        """Return every input socket that works and that some living console hears."""
        rig = self.rig
        gone = {*self.dead, *unlit(rig)}
        found = [socket for socket in rig.slot_of if socket.device not in gone]
        for console in rig.rig.consoles:
            if console.name not in gone:
                found += [Socket(console.name, "in", number + 1) for number in range(console.model.inputs.count)]
        return [socket for socket in found if not rig.is_dead(socket)]

    @cached_property
    def points(self) -> Mapping[str, Mapping[Socket, InputPoint]]:
        """What each console patches from to hear the sockets that it can."""
        names = (console.name for console in self.rig.rig.consoles)
        hear = self.rig.input_point
        return {name: {at: point for at in self.usable if (point := hear(at, name)) is not None} for name in names}

    def point(self, socket: Socket, console: str) -> InputPoint | None:
        """Return what a console patches from to hear a socket, or None where it can't."""
        return self.points[console].get(socket)

    @cached_property
    def heard(self) -> Mapping[ChannelKey, Socket | None]:
        """The socket that each channel listens to today."""
        return {key: arrival.socket for key, arrival in self.rig.arrivals.items()}

    def single_price(self, channel: Channel, socket: Socket) -> int | None:
        """Return what it takes that a channel by itself listens to a socket; None where it can't."""
        if self.heard[channel.key] == socket:
            return 0
        return CHANGE if self.point(socket, channel.console) is not None else None

    @cached_property
    def columns(self) -> list[Socket]:
        """Where plugs may be: where they are, those sockets somebody listens to, and the free ones."""
        taken = {plug.socket for plug in self.plugs}
        heard = {self.heard[channel.key] for rows in self.listeners.values() for channel in rows}
        targets = sorted(socket for socket in self.usable if socket in heard or socket not in taken)
        sockets = list(dict.fromkeys((*(plug.socket for plug in self.plugs), *targets)))
        spare = len(self.plugs) - len(taken | set(targets))
        return [*sockets, *(Socket("", "in", number) for number in range(max(0, spare)))]  # no place: unplugged

    @cached_property
    def column_of(self) -> Mapping[Socket, int]:
        """The place of each socket among the columns."""
        return {socket: column for column, socket in enumerate(self.columns)}

    @cached_property
    def columns_on(self) -> Mapping[str, list[int]]:
        """The columns of each device; of one that nobody hears those where plugs are: a pair is whole there too."""
        found: dict[str, list[int]] = {}
        for column, socket in enumerate(self.columns):
            if socket.device:
                found.setdefault(socket.device, []).append(column)
        return found

    def columns_for(self, plug: Plug) -> Iterable[int]:
        """Return the columns of which a plug may be any good: its own, and those that who waits for it can hear."""
        if plug in self.pinned:
            return (self.column_of[plug.socket],)
        plugs = self.halves[plug.source] if self.minds(plug) else (plug,)
        consoles = {console for each in plugs for console in self.consoles(each)}
        if not consoles:
            return range(len(self.columns))
        return {self.column_of[plug.socket], *(column for name in consoles for column in self._heard_by(name))}

    def _heard_by(self, console: str) -> list[int]:
        """Return the columns that a console can be patched from."""
        if console not in self._hearing:
            there = self.points[console]
            self._hearing[console] = [column for at, column in self.column_of.items() if at in there]
        return self._hearing[console]

    @cached_property
    def pairs(self) -> Mapping[str, tuple[Plug, Plug]]:
        """The plugs of both halves of each stereo pair."""
        first = {plug.source: plug for plug in self.plugs if not plug.leg}
        rows = (row for row in self.rig.rig.pairs.values() if row.left in first and row.right in first)
        return {row.name: (first[row.left], first[row.right]) for row in rows}

    @cached_property
    def halves(self) -> Mapping[str, tuple[Plug, ...]]:
        """The plugs of each split source."""
        found: dict[str, tuple[Plug, ...]] = {}
        for plug in self.plugs:
            if plug.source in self.splits:
                found[plug.source] = (*found.get(plug.source, ()), plug)
        return found

    def waiting(self, plug: Plug) -> Sequence[Channel]:
        """Return the channels that wait for a plug, or may."""
        split = self.splits.get(plug.source)
        return self.listeners.get((plug.source, plug.leg), ()) if split is None else split.all_heard(plug.leg)

    def consoles(self, plug: Plug) -> set[str]:
        """Return the consoles that wait for a plug, or may."""
        return {channel.console for channel in self.waiting(plug)}

    def minds(self, plug: Plug) -> bool:
        """Whether phantom power of a plug goes by all plugs of its source."""
        return plug.source in self.splits and self.splits[plug.source].minds
