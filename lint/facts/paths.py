"""Paths: every source at every destination where it is heard, with the way that it takes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint.facts.fact import NUMBERS, TEXT, TEXTS, Fact, Kind, Thing, by_name, distinct
from lint.facts.signals import Signals, direct_channel
from lint.rig.address import Signal
from lint.rig.rig import Channel, Destination, Source


class Path(NamedTuple):
    """A source on its way to a destination: its channels there, what leaves, and the mixes that it went through."""

    source: Source
    destination: Destination
    signal: Signal
    channels: list[Channel]
    mixes: list[str]


def _paths(signals: Signals) -> Iterator[Path]:
    for name, destination in signals.rig.destinations.items():
        found: dict[str, Path] = {}
        for signal in signals.signals_at[name]:
            for source, channel, mixes in _heard(signals, signal):
                way = found.setdefault(source, Path(signals.rig.sources[source], destination, signal, [], mixes))
                if channel not in way.channels:
                    way.channels.append(channel)
        yield from found.values()


def _heard(signals: Signals, signal: Signal) -> Iterator[tuple[str, Channel, list[str]]]:
    """Yield every source heard in a signal, the channel, and the mixes from the channel on; the shortest way first."""
    direct = direct_channel(signal)
    ways = {"": ()} if direct else signals.within[signal.name]
    for mix, way in ways.items():
        for key in [direct] if direct else signals.sent[mix]:
            if key in signals.rig.channels:
                for source in signals.resolved.arrivals[key].sources:
                    yield source, signals.rig.channels[key], list(reversed(way))


def _things(signals: Signals) -> Iterator[Thing]:
    for path in _paths(signals):
        name = f"{path.source.name} to {path.destination.name}"
        yield Thing(name, path.destination.trail, name, path)


def _kinds(signals: Signals, path: Path) -> list[str]:
    return signals.kinds(path.mixes)


_FACTS = (
    Fact("id", TEXT, "the source and the destination", lambda _, p: f"{p.source.name} to {p.destination.name}"),
    Fact("source", TEXT, "the source", lambda _, p: p.source.name),
    Fact("source_kind", TEXT, "its kind", lambda _, p: p.source.kind, "", "source/kind"),
    Fact("source_group", TEXT, "its group", lambda _, p: p.source.group),
    Fact("source_box", TEXT, "the device that it is plugged into", lambda _, p: p.source.sockets[0].device),
    Fact("channels", NUMBERS, "the channels that it goes by", lambda _, p: [one.number for one in p.channels]),
    Fact("channel_labels", TEXTS, "what is written on them", lambda _, p: distinct([one.label for one in p.channels])),
    Fact("mixes", TEXTS, "the mixes that it goes through, from the channel on", lambda _, p: list(p.mixes)),
    Fact("mix_kinds", TEXTS, "their kinds", _kinds, "", "mix/kind"),
    Fact("signal", TEXT, "what leaves the console, such as house.left", lambda _, p: str(p.signal)),
    Fact("destination", TEXT, "the destination", lambda _, p: p.destination.name),
    Fact("destination_kind", TEXT, "its kind", lambda _, p: p.destination.kind, "", "destination/kind"),
    Fact("destination_box", TEXT, "the device that it hangs on", lambda _, p: p.destination.sockets[0].device),
    Fact("destination_location", TEXT, "where it stands", lambda _, p: p.destination.location or None),
)

PATHS = Kind("paths", "path", "outputs", by_name(*_FACTS), _things)
