"""Phantom power in a rig: which switches there are, who switches each on, and which sources get it by which legs.

Phantom power comes from the device that owns the socket, and one switch may act on several sockets. It is on where any
channel that takes one of them has it on, also one that takes it by mistake: what is there is had by all channels
(`worked`). What is left once the patch is right is had by those that receive what they are meant to (`supplies`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from lint.resolve.dark import dark_on_the_way, is_dark
from lint.resolve.lingering import lingering
from lint.rig.address import Socket, spans
from lint.rig.rig import LINE_KINDS, Channel, Source

if TYPE_CHECKING:
    from lint.resolve.resolved import Arrival, ResolvedRig

NEEDED, BARRED, INDIFFERENT = "needed", "barred", "indifferent"
_NOT_WORKING = ("socket-missing", "socket-dead")


def phantom_need(source: Source) -> str:
    """Return whether a source needs phantom power, must be kept from it, or does not mind it."""
    if source.connection != "balanced" or source.powering == "parallel":
        return BARRED
    if source.needs_phantom:
        return NEEDED
    return BARRED if source.kind == "ribbon-microphone" or source.kind in LINE_KINDS else INDIFFERENT


class Switch(NamedTuple):
    """A phantom switch, which may act on several sockets at once: the device and its first socket number."""

    device: str
    first: int


class Supply(NamedTuple):
    """One phantom switch: the sockets it acts on, the channels that take them, and those of them that say it is on.

    `available` is false where the model has no phantom power at all.
    """

    sockets: tuple[Socket, ...]
    channels: tuple[Channel, ...]
    says_on: tuple[Channel, ...]
    available: bool

    @property
    def says_off(self) -> tuple[Channel, ...]:
        """The channels that say it is off; one that says nothing contradicts nobody."""
        return tuple(channel for channel in self.channels if channel.phantom == "off")

    @property
    def on(self) -> bool:
        """Whether it is on: some channel says so, and the model can."""
        return self.available and bool(self.says_on)

    @property
    def words(self) -> str:
        """The sockets as written: west-box/in/2, or west-box/in/1–4."""
        first = self.sockets[0]
        return f"{first.device}/{first.side}/{spans([socket.number for socket in self.sockets])}"


class Fed(NamedTuple):
    """A source that arrives where it should, with the supply of each of its sockets and the channels it arrives on."""

    source: Source
    sockets: tuple[Socket, ...]
    supplies: tuple[Supply, ...]
    channels: tuple[Channel, ...]

    @property
    def live(self) -> tuple[Supply, ...]:
        """The supplies that are on."""
        return tuple(supply for supply in self.supplies if supply.on)


class Phantom:
    """The phantom power of one rig."""

    def __init__(self, rig: ResolvedRig) -> None:
        self.rig = rig
        self._switch_at: dict[Socket, Switch] = {}

    # -- switches --------------------------------------------------------------------------------------------------

    def switch_at(self, socket: Socket) -> Switch:
        """Return the switch of an input socket, which may be its own."""
        if socket not in self._switch_at:
            group = self.rig.device(socket.device).model.inputs.phantom_group(socket.number)
            self._switch_at[socket] = Switch(socket.device, group.start)
        return self._switch_at[socket]

    def sockets_on(self, switch: Switch) -> tuple[Socket, ...]:
        """Return the sockets that a switch acts on."""
        group = self.rig.device(switch.device).model.inputs.phantom_group(switch.first)
        return tuple(Socket(switch.device, "in", number) for number in group)

    def is_able(self, socket: Socket) -> bool:
        """Whether a socket works and its device has phantom power."""
        return self._works(socket) and self.rig.device(socket.device).model.inputs.phantom != "none"

    def is_live(self, socket: Socket) -> bool:
        """Whether phantom power is on at a socket, whoever switches it on."""
        supply = self.worked.get(self.switch_at(socket)) if self._works(socket) else None
        return supply is not None and supply.on

    def _works(self, socket: Socket) -> bool:
        """Whether a socket is there and not dead: of one that is, nobody has phantom power."""
        return self.rig.has_socket(socket) and not self.rig.is_dead(socket)

    def switched_on_by(self, socket: Socket) -> tuple[Channel, ...]:
        """Return the channels that switch phantom power on at a socket, or at one that shares its switch."""
        supply = self.worked.get(self.switch_at(socket))
        return supply.says_on if supply is not None else ()

    def barred_at(self, socket: Socket) -> list[str]:
        """Return the sources on the switch of a socket that must not have phantom power, whoever hears them."""
        return self._on_the_switch(socket, BARRED)

    def may_be_on(self, socket: Socket) -> bool:
        """Whether phantom power can be switched on at a socket, and nothing on its switch must be kept from it."""
        return self.is_able(socket) and not self.barred_at(socket)

    def needed_at(self, socket: Socket) -> list[str]:
        """Return the sources on the switch of a socket that are silent without phantom power."""
        return self._on_the_switch(socket, NEEDED)

    def _on_the_switch(self, socket: Socket, need: str) -> list[str]:
        if not self.rig.has_socket(socket):
            return []
        there = (name for at in self.sockets_on(self.switch_at(socket)) for name in self.rig.sources_in.get(at, ()))
        return [name for name in dict.fromkeys(there) if phantom_need(self.rig.rig.sources[name]) == need]

    @cached_property
    def worked(self) -> Mapping[Switch, Supply]:
        """Every switch that a channel works, whether that receives what it is meant to or not."""
        return self._supplies(arrival for arrival in self.rig.arrivals.values() if not self._is_dark(arrival))

    @cached_property
    def supplies(self) -> Mapping[Switch, Supply]:
        """The switches with the channels that receive what they are meant to; wrong patches are told as such."""
        if not self.wrong:
            return self.worked
        rows = (arrival for arrival in self.rig.arrivals.values() if arrival.channel.address not in self.wrong)
        return self._supplies(arrival for arrival in rows if not self._is_dark(arrival))

    def _supplies(self, arrivals: Iterable[Arrival], without: Collection[str] = _NOT_WORKING) -> dict[Switch, Supply]:
        by_switch: dict[Switch, list[Channel]] = {}
        for arrival in arrivals:
            if arrival.socket is not None and arrival.stop not in without:
                by_switch.setdefault(self.switch_at(arrival.socket), []).append(arrival.channel)
        return {
            switch: Supply(
                self.sockets_on(switch),
                tuple(channels),
                tuple([channel for channel in channels if channel.phantom == "on"]),
                self.rig.device(switch.device).model.inputs.phantom != "none",
            )
            for switch, channels in by_switch.items()
        }

    @cached_property
    def wrong(self) -> frozenset[str]:
        """The channels that receive another source than they should, for whatever reason, told with that reason."""
        return frozenset(
            arrival.channel.address
            for arrival in self.rig.arrivals.values()
            if isinstance(arrival.channel.carries, str) and arrival.channel.carries not in arrival.sources
        )

    @cached_property
    def _may_be_dark(self) -> bool:
        return any(is_dark(self.rig.rig, name) for name in self.rig.rig.circuits)

    def _is_dark(self, arrival: Arrival) -> bool:
        """Whether anything between a channel and its socket has no mains: nobody switches anything on there."""
        socket = arrival.socket
        return self._may_be_dark and socket is not None and bool(dark_on_the_way(self.rig, socket.device))

    @cached_property
    def lingering(self) -> Mapping[Socket, str]:
        """The sockets where it may still be on, though no channel says so any more, each with why that is."""
        return lingering(self.rig)

    # -- sources ---------------------------------------------------------------------------------------------------

    @cached_property
    def fed(self) -> tuple[Fed, ...]:
        """Every source that some channel rightly receives; all else is told by the rules on cabling, plugs and patch.

        Of two plugs that share a socket nothing is said: that comes first.
        """
        found: list[Fed] = []
        for source in self.rig.rig.sources.values():
            channels = self.rig.channels_of.get(source.name, [])
            if self.wrong:
                channels = [channel for channel in channels if channel.address not in self.wrong]
            if channels and (fed := self._fed(source, channels, self.supplies)) is not None:
                found.append(fed)
        return tuple(found)

    @cached_property
    def crossed(self) -> tuple[Fed, ...]:
        """The halves of stereo pairs that arrive at each other's channel alone: they are heard all the same."""
        found: list[Fed] = []
        for pair in self.rig.rig.pairs.values():
            for name, mate in ((pair.left, pair.right), (pair.right, pair.left)):
                channels = self.rig.channels_of.get(name, ())
                is_crossed = bool(channels) and all(channel.carries == mate for channel in channels)
                if is_crossed and (fed := self._fed(self.rig.rig.sources[name], channels, self.worked)) is not None:
                    found.append(fed)
        return tuple(found)

    def _fed(self, source: Source, channels: Sequence[Channel], supplies: Mapping[Switch, Supply]) -> Fed | None:
        """Return the supply of each socket that a source has alone; None where there is none."""
        alone = [at for at in source.sockets if len(self.rig.sources_in[at]) == 1 and self._works(at)]
        at = {socket: supply for socket in alone if (supply := supplies.get(self.switch_at(socket)))}
        return Fed(source, tuple(at), tuple(at.values()), tuple(channels)) if at else None

    def powering(self, source: Source) -> tuple[Channel, ...]:
        """Return the channels that switch phantom power on for a source, by whichever leg, by mistake or not."""
        return tuple(dict.fromkeys(channel for supply in self.live_at(source).values() for channel in supply.says_on))

    def live_at(self, source: Source) -> Mapping[Socket, Supply]:
        """Return the sockets of a source where phantom power is on, by mistake or not, each with its supply."""
        return {at: self.worked[self.switch_at(at)] for at in source.sockets if self.is_live(at)}

    def fed_elsewhere(self, source: Source, socket: Socket) -> tuple[Channel, ...]:
        """Return the channels that rightly feed a source phantom power by another leg than that in a socket.

        It needs nothing of the switch of that socket then: power from both ends of its split works against itself.
        """
        here = self.switch_at(socket) if self.rig.has_socket(socket) else None
        others = [self.switch_at(at) for at in source.sockets if at != socket and self._works(at)]
        found = (self.supplies[switch] for switch in others if switch != here and switch in self.supplies)
        return tuple(dict.fromkeys(channel for supply in found if supply.on for channel in supply.says_on))

    def is_unpowered(self, source: Source) -> bool:
        """Whether a source arrives somewhere and is silent all the same: it needs phantom power and nobody gives it."""
        return source.needs_phantom and source.name in self.rig.channels_of and not self.powering(source)

    @cached_property
    def unpowered(self) -> frozenset[str]:
        """The sources that arrive without the phantom power that they need."""
        return frozenset(source.name for source in self.rig.rig.sources.values() if self.is_unpowered(source))

    @cached_property
    def harmed(self) -> Mapping[str, tuple[Channel, ...]]:
        """The sources that get phantom power and must not have it, with the channels that switch it on."""
        barred = (source for source in self.rig.rig.sources.values() if phantom_need(source) == BARRED)
        found = {source.name: self.delivered_at(source) for source in barred}
        return {
            name: tuple(dict.fromkeys(channel for supply in at.values() for channel in supply.says_on))
            for name, at in found.items()
            if at
        }

    def delivered_at(self, source: Source) -> Mapping[Socket, Supply]:
        """Return the sockets of a source where it may be on: dead ones may still give it."""
        here = (at for at in source.sockets if self.rig.has_socket(at) and at.device not in self.rig.dead)
        found = ((at, self._delivered.get(self.switch_at(at))) for at in here)
        return {at: supply for at, supply in found if supply is not None and supply.on}

    @cached_property
    def _delivered(self) -> Mapping[Switch, Supply]:
        if not self.rig.dead:
            return self.worked
        arrivals = [arrival for arrival in self.rig.arrivals.values() if not self._is_dark(arrival)]
        return self._supplies(arrivals, ("socket-missing",))

    def awaited(self, source: Source) -> tuple[Channel, ...]:
        """Return the channels that are meant to carry a source, have phantom power on and don't receive it."""
        meant = self.rig.carriers_of.get(source.name, ())
        return tuple(channel for channel in meant if channel.phantom == "on" and channel.address in self.wrong)

    def comes_with_the_patch(self, source: Source) -> bool:
        """Whether a channel that should carry a source, and does not, has it on: then that wrong arrival is the cause.

        Where another channel that should carry it does, that one is silent for want of it, and that is told; not so
        where a wrong patch happens to bring it there meanwhile, and the right one is told to be put right.
        """
        meant, awaited = self.rig.carriers_of.get(source.name, ()), self.awaited(source)
        if all(channel.address in self.wrong for channel in meant):
            return bool(awaited)
        return any(channel.patched_from is not None for channel in awaited) and bool(self.powering(source))

    def comes_by_another_leg(self, source: Source, switch: Switch) -> bool:
        """Whether a source gets phantom power by another switch than this once the patch of some channel is right."""
        legs = [at for at in source.sockets if self.is_able(at) and self.switch_at(at) != switch]
        awaited = self.awaited(source)
        return any(self.rig.input_point(at, channel.console) is not None for at in legs for channel in awaited)
