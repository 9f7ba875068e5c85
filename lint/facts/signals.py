"""What is heard where, worked out once a rig: the indexes that the facts of all kinds share."""

from __future__ import annotations

from functools import cached_property

from lint.resolve.chain import ChainBox
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Signal, Socket
from lint.rig.rig import Channel

ChannelKey = tuple[str, int]


class Signals:
    """A resolved rig with what its facts need: which channels are in which mix, and what arrives at which end."""

    def __init__(self, resolved: ResolvedRig) -> None:
        self.resolved = resolved
        self.rig = resolved.rig

    # -- chain -------------------------------------------------------------------------------------------------

    def box(self, device: str) -> ChainBox | None:
        """Return a device's place on its chain, or None where no console reaches it or it is none."""
        return self.resolved.boxes.get(device)

    def cable_m(self, device: str) -> float | None:
        """Return the metres of link cable between a device and its console; None where a length is not stated."""
        box = self.box(device)
        if box is None:
            return None
        way = [other for other in self.resolved.chains[box.link].boxes if other.position <= box.position]
        lengths = [other.cable.length_m for other in way]
        return sum(length for length in lengths if length is not None) if None not in lengths else None

    # -- mixes -------------------------------------------------------------------------------------------------

    @cached_property
    def within(self) -> dict[str, dict[str, tuple[str, ...]]]:
        """For each mix all mixes heard in it (itself first), each with the way; see `ResolvedRig.mixes_within`."""
        return {name: self.resolved.mixes_within(name) for name in self.rig.mixes}

    @cached_property
    def sent(self) -> dict[str, list[ChannelKey]]:
        """The channels that go straight to each mix, by its name: sends, and direct outputs that it takes."""
        return {
            mix.name: [
                *((mix.console, number) for number in mix.sends),
                *(key for signal in mix.takes if (key := direct_channel(signal)) is not None),
            ]
            for mix in self.rig.mixes.values()
        }

    @cached_property
    def heard(self) -> dict[str, list[ChannelKey]]:
        """The channels heard in each mix, straight or by way of other mixes."""
        return {
            name: list(dict.fromkeys(key for mix in mixes for key in self.sent[mix] if key in self.rig.channels))
            for name, mixes in self.within.items()
        }

    @cached_property
    def mixes_of(self) -> dict[ChannelKey, list[str]]:
        """The mixes that each channel is heard in."""
        found: dict[ChannelKey, list[str]] = {}
        for name, keys in self.heard.items():
            for key in keys:
                found.setdefault(key, []).append(name)
        return found

    def kinds(self, mixes: list[str]) -> list[str]:
        """Return the kinds of mixes, once each."""
        return list(dict.fromkeys(self.rig.mixes[name].kind for name in mixes))

    def sources_on(self, keys: list[ChannelKey]) -> list[str]:
        """Return the sources that arrive on channels, once each."""
        return list(dict.fromkeys(name for key in keys for name in self.resolved.arrivals[key].sources))

    # -- ends --------------------------------------------------------------------------------------------------

    @cached_property
    def signals_at(self) -> dict[str, list[Signal]]:
        """What really arrives at each destination, once each."""
        return {
            name: list(dict.fromkeys(departure.signal for departure in departures if departure.signal is not None))
            for name, departures in self.resolved.departures.items()
        }

    @cached_property
    def mixes_at(self) -> dict[str, list[str]]:
        """The mixes heard at each destination, what is heard within them among them."""
        return {
            name: list(
                dict.fromkeys(mix for signal in signals if signal.kind == "mix" for mix in self.within[signal.name])
            )
            for name, signals in self.signals_at.items()
        }

    @cached_property
    def channels_at(self) -> dict[str, list[ChannelKey]]:
        """The channels heard at each destination."""
        found = {}
        for name, signals in self.signals_at.items():
            keys: list[ChannelKey] = []
            for signal in signals:
                direct = direct_channel(signal)
                keys += self.heard[signal.name] if direct is None else [direct]
            found[name] = list(dict.fromkeys(key for key in keys if key in self.rig.channels))
        return found

    @cached_property
    def destinations_of(self) -> dict[ChannelKey, list[str]]:
        """The destinations that each channel is heard at."""
        found: dict[ChannelKey, list[str]] = {}
        for name, keys in self.channels_at.items():
            for key in keys:
                found.setdefault(key, []).append(name)
        return found

    @cached_property
    def pair_of(self) -> dict[str, tuple[str, str]]:
        """The stereo pair of each source and its side, by the source's name."""
        sides = [(pair, side) for pair in self.rig.pairs.values() for side in ("left", "right")]
        return {getattr(pair, side): (pair.name, side) for pair, side in sides}

    @cached_property
    def used_outputs(self) -> dict[str, set[int]]:
        """The numbers of the output sockets that something hangs on, by device."""
        ends: list[Socket] = [socket for row in self.rig.destinations.values() for socket in row.sockets]
        ends += [socket for row in self.rig.amplifiers.values() for socket in row.sockets]
        found: dict[str, set[int]] = {}
        for socket in ends:
            found.setdefault(socket.device, set()).add(socket.number)
        return found

    @cached_property
    def used_inputs(self) -> dict[str, set[int]]:
        """The numbers of the input sockets that something is plugged into, by device."""
        found: dict[str, set[int]] = {}
        for socket in self.resolved.sources_in:
            found.setdefault(socket.device, set()).add(socket.number)
        return found


def direct_channel(signal: Signal) -> ChannelKey | None:
    """Return the channel whose direct output a signal is, or None for a mix."""
    if signal.kind != "channel":
        return None
    console, _, number = signal.name.rpartition("/")
    return console, int(number)


def channel_id(signals: Signals, channel: Channel) -> str:
    """Return how a channel is named: its number, with its console before it where there are several."""
    return f"{channel.console}/{channel.number}" if len(signals.rig.consoles) > 1 else str(channel.number)
