"""Destinations: where each hangs, what it is meant to carry, and what is really heard there."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts.fact import NUMBER, NUMBERS, TEXT, TEXTS, Fact, Kind, Thing, by_name, distinct
from lint.facts.signals import Signals
from lint.resolve.resolved import Departure
from lint.rig.rig import Destination


def _things(signals: Signals) -> Iterator[Thing]:
    for destination in signals.rig.destinations.values():
        yield Thing(destination.name, destination.trail, destination.name, destination)


def _first(signals: Signals, destination: Destination) -> Departure:
    return signals.resolved.departures[destination.name][0]


def _sources(signals: Signals, destination: Destination) -> list[str]:
    return signals.sources_on(signals.channels_at[destination.name])


def _bank(signals: Signals, destination: Destination) -> str | None:
    return signals.rig.devices[destination.sockets[0].device].output_bank


_WHERE = (
    Fact(
        "socket",
        TEXT,
        "the address of its output socket (the first of several)",
        lambda _, d: str(d.sockets[0]),
        "plugged_into",
    ),
    Fact("sockets", TEXTS, "all its output sockets", lambda _, d: [str(one) for one in d.sockets], "plugged_into"),
    Fact("box", TEXT, "the device that it hangs on", lambda _, d: d.sockets[0].device, "plugged_into"),
    Fact("number", NUMBER, "the number of its output socket", lambda _, d: d.sockets[0].number, "plugged_into"),
    Fact("bank", TEXT, "the output bank that this device is set to", _bank, "plugged_into"),
    Fact(
        "slot",
        TEXT,
        "the link slot that feeds it, such as desk/link-1/15",
        lambda f, d: str(_first(f, d).slot or "") or None,
        "plugged_into",
    ),
    Fact(
        "cable_m",
        NUMBER,
        "metres of link cable from the console to that device",
        lambda f, d: f.cable_m(d.sockets[0].device),
        "plugged_into",
    ),
)
_OWN = (
    Fact("id", TEXT, "its name in the rig file", lambda _, d: d.name),
    Fact("kind", TEXT, "what it is, such as wedge", lambda _, d: d.kind, "kind", "destination/kind"),
    Fact("label", TEXT, "what the crew calls it", lambda _, d: d.label or None, "label"),
    Fact("location", TEXT, "where it stands", lambda _, d: d.location or None, "location"),
    Fact("circuit", TEXT, "its mains circuit", lambda _, d: d.circuit, "circuit"),
    Fact("watts", NUMBER, "what it draws from the mains, in watts", lambda _, d: d.load.watts, "watts"),
    Fact("delay_ms", NUMBER, "the delay that is set for it, in milliseconds", lambda _, d: d.delay_ms, "delay_ms"),
    Fact(
        "distance_m",
        NUMBER,
        "its distance as the rig file states it, in metres",
        lambda _, d: d.distance_m,
        "distance_m",
    ),
    Fact("latency_ms", NUMBER, "its own delay in milliseconds", lambda _, d: d.latency_ms, "latency_ms"),
)
_HEARS = (
    Fact(
        "expects",
        TEXTS,
        "the signals that it is meant to carry, such as house.left",
        lambda _, d: distinct([str(one) for one in d.expects]),
        "expects",
    ),
    Fact("receives", TEXTS, "the signals that really arrive", lambda f, d: [str(one) for one in f.signals_at[d.name]]),
    Fact(
        "mixes", TEXTS, "the mixes heard there, straight or through other mixes", lambda f, d: list(f.mixes_at[d.name])
    ),
    Fact("mix_kinds", TEXTS, "the kinds of those mixes", lambda f, d: f.kinds(f.mixes_at[d.name]), "", "mix/kind"),
    Fact("channels", NUMBERS, "the channels heard there", lambda f, d: [number for _, number in f.channels_at[d.name]]),
    Fact("sources", TEXTS, "the sources heard there", _sources),
    Fact(
        "source_kinds",
        TEXTS,
        "the kinds of those sources",
        lambda f, d: distinct([f.rig.sources[one].kind for one in _sources(f, d)]),
        "",
        "source/kind",
    ),
    Fact(
        "source_groups",
        TEXTS,
        "the groups of those sources",
        lambda f, d: distinct([f.rig.sources[one].group for one in _sources(f, d)]),
    ),
)

DESTINATIONS = Kind("destinations", "destination", "outputs", by_name(*_OWN, *_WHERE, *_HEARS), _things)
