"""The cures on the input side: which channels are patched anew and which plugs move, as few as can be.

Which socket a slot is depends on the cables alone. So a patch change puts right one channel and touches no other,
and a plug in a socket puts right the channels that listen there: what remains is to give every plug a socket of its
own at the least cost, an assignment problem, and its optimum is exact.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from lint.plan.assign import assign
from lint.plan.distance import FARTHEST, far
from lint.plan.intent import ChannelKey, Intent, receives
from lint.plan.moves import Move
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import InputPoint, Return, Socket
from lint.rig.rig import Channel


class Plug(NamedTuple):
    """One plug of a source; a source behind a splitter has several."""

    source: str
    leg: int
    socket: Socket
    needs_phantom: bool


@dataclass(frozen=True)
class InputCure:
    """What is done on the input side; `patched` are channels with their new points."""

    patched: Mapping[ChannelKey, InputPoint] = field(default_factory=dict)
    moves: Mapping[Plug, Socket] = field(default_factory=dict)

    def as_moves(self) -> list[Move]:
        """The plugs that move."""
        return [Move(plug.source, plug.socket, end) for plug, end in self.moves.items()]


class InputSide:
    """The plugs, sockets and channels of a changed rig, and what each channel is to receive."""

    def __init__(self, before: ResolvedRig, rig: ResolvedRig, intent: Intent, dead: Collection[str] = ()) -> None:
        self.rig = rig
        self.dead = dead
        self.plugs = [
            Plug(source.name, leg, socket, source.needs_phantom)
            for source in rig.rig.sources.values()
            for leg, socket in enumerate(source.sockets)
        ]
        self.intent = {key: wanted for key, wanted in intent.channels.items() if key[0] not in dead}
        self.listeners: dict[tuple[str, int], list[Channel]] = {}
        for key, wanted in self.intent.items():
            if isinstance(wanted, str) and wanted in rig.rig.sources:
                leg = self._leg(before, wanted, key[0])
                self.listeners.setdefault((wanted, leg), []).append(rig.rig.channels[key])
        self.usable = frozenset(self._usable())

    def _leg(self, before: ResolvedRig, source: str, console: str) -> int:
        """Return which plug of a source a console is fed by: the first that it can hear."""
        sockets = self.rig.rig.sources[source].sockets
        heard = (leg for leg, at in enumerate(sockets) if before.has_socket(at) and before.input_point(at, console))
        return next(heard, 0)

    def _usable(self) -> list[Socket]:
        """Return every input socket that some living console hears."""
        rig = self.rig
        found = [socket for socket in rig.slot_of if socket.device not in self.dead]
        for console in rig.rig.consoles:
            if console.name not in self.dead:
                found += [Socket(console.name, "in", number + 1) for number in range(console.model.inputs.count)]
        return found

    def point(self, socket: Socket, console: str) -> InputPoint | None:
        """Return what a console patches from to hear a socket, or None where it can't."""
        return self.rig.input_point(socket, console) if socket in self.usable else None

    def heard_by(self, channel: Channel) -> Socket | None:
        """Return the socket that a channel listens to today."""
        return self.rig.arrivals[channel.console, channel.number].socket

    # -- the three cures -------------------------------------------------------------------------------------------

    def by_console(self) -> InputCure:
        """Leave every plug: patch each wrong channel from where its source is. Each needs a change of its own."""
        return InputCure(self.patched({plug: plug.socket for plug in self.plugs}))

    def by_plugs(self) -> InputCure:
        """Leave the console: the fewest plugs move so that as many channels as can be are right."""
        places = self._placed(may_patch=False)
        return InputCure(moves={plug: end for plug, end in places.items() if end != plug.socket})

    def by_fewest(self) -> InputCure:
        """Patch and plug as it takes the fewest changes in all."""
        places = self._placed(may_patch=True)
        moves = {plug: end for plug, end in places.items() if end != plug.socket}
        return InputCure(self.patched(places), moves)

    # -- how -------------------------------------------------------------------------------------------------------

    def patched(self, places: Mapping[Plug, Socket]) -> dict[ChannelKey, InputPoint]:
        """Return the channels to patch anew once the plugs are in their places."""
        patched: dict[ChannelKey, InputPoint] = {}
        crowded = self._crowded(places)
        for plug, socket in places.items():
            for channel in self.listeners.get((plug.source, plug.leg), ()):
                point = self.point(socket, channel.console)
                if point is not None and self.heard_by(channel) != socket and socket not in crowded:
                    patched[channel.console, channel.number] = point
        returns = {key: wanted for key, wanted in self.intent.items() if isinstance(wanted, Return)}
        return patched | {
            key: wanted for key, wanted in returns.items() if not receives(self.rig.arrivals[key], wanted)
        }

    def _crowded(self, places: Mapping[Plug, Socket]) -> set[Socket]:
        """Return the sockets that have more than one plug: no patch gives a channel one of them alone."""
        return {socket for socket, plugs in Counter(places.values()).items() if plugs > 1}

    def _placed(self, may_patch: bool) -> dict[Plug, Socket]:
        """Give every plug a socket of its own: most channels right first, then fewest changes, then the nearest."""
        sockets = list(dict.fromkeys((*(plug.socket for plug in self.plugs), *self._targets())))
        spare = len(self.plugs) - len(set(sockets))
        sockets += [Socket("", "in", number) for number in range(max(0, spare))]  # no place at all: unplugged
        most_far = FARTHEST * (len(self.plugs) + 1)
        most_changes = most_far * (2 * len(self.plugs) + len(self.intent) + 1)
        costs = []
        for plug in self.plugs:
            listeners = self.listeners.get((plug.source, plug.leg), [])
            hearing = {channel.address: self.heard_by(channel) for channel in listeners}
            row = []
            for socket in sockets:
                unmet, changes = self._cost(plug, socket, listeners, hearing, may_patch)
                row.append(unmet * most_changes + changes * most_far + far(self.rig, plug.socket, socket))
            costs.append(row)
        places = {plug: sockets[column] for plug, column in zip(self.plugs, assign(costs), strict=True)}
        return {plug: socket if socket.device else plug.socket for plug, socket in places.items()}

    def _targets(self) -> list[Socket]:
        """Return the sockets that a plug may be moved to: those somebody listens to, and the free ones."""
        taken = {plug.socket for plug in self.plugs}
        heard = {self.heard_by(channel) for rows in self.listeners.values() for channel in rows}
        return sorted(socket for socket in self.usable if socket in heard or socket not in taken)

    def _cost(
        self,
        plug: Plug,
        socket: Socket,
        listeners: list[Channel],
        hearing: Mapping[str, Socket | None],
        may_patch: bool,
    ) -> tuple[int, int]:
        """Return how many channels stay wrong, and how many changes it takes, with a plug in a socket."""
        moved = socket != plug.socket
        if not listeners:
            # Nobody waits for it: it may lie unplugged, but not be lost for nothing.
            return (0 if socket.device else 1), int(moved)
        if socket not in self.usable or (moved and plug.needs_phantom and not self._has_phantom(socket)):
            # Whoever is heard today is not unplugged for another, whatever that would win.
            return len(listeners) + (len(self.intent) if moved else 0), int(moved)
        unmet = changes = 0
        for channel in listeners:
            if hearing[channel.address] == socket:
                continue
            if may_patch and self.point(socket, channel.console) is not None:
                changes += 1
            else:
                unmet += 1
        return unmet, changes + int(moved)

    def _has_phantom(self, socket: Socket) -> bool:
        return self.rig.rig.devices[socket.device].model.inputs.phantom != "none"
