"""Sources: where each is plugged in, how it gets to the console, and where it is heard."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts.fact import FLAG, NUMBER, NUMBERS, TEXT, TEXTS, Fact, Kind, Thing, by_name, distinct
from lint.facts.signals import ChannelKey, Signals
from lint.rig.address import Slot
from lint.rig.rig import Channel, Source


def _channels(signals: Signals, source: Source) -> list[Channel]:
    return signals.resolved.channels_of.get(source.name, [])


def _keys(signals: Signals, source: Source) -> list[ChannelKey]:
    return [(channel.console, channel.number) for channel in _channels(signals, source)]


def _slot(signals: Signals, source: Source) -> Slot | None:
    return signals.resolved.slot_of.get(source.sockets[0])


def _gain(signals: Signals, source: Source) -> float | None:
    return max((one.gain_db for one in _channels(signals, source) if one.gain_db is not None), default=None)


def _phantom(signals: Signals, source: Source) -> str:
    return "on" if any(channel.phantom == "on" for channel in _channels(signals, source)) else "off"


def _mixes(signals: Signals, source: Source) -> list[str]:
    return distinct([mix for key in _keys(signals, source) for mix in signals.mixes_of.get(key, ())])


def _destinations(signals: Signals, source: Source) -> list[str]:
    return distinct([name for key in _keys(signals, source) for name in signals.destinations_of.get(key, ())])


def _position(signals: Signals, source: Source) -> int | None:
    box = signals.box(source.sockets[0].device)
    return box.position if box else None


def _things(signals: Signals) -> Iterator[Thing]:
    for source in signals.rig.sources.values():
        yield Thing(source.name, source.trail, source.name, source)


_WHERE = (
    Fact(
        "socket",
        TEXT,
        "the address of its socket (the first, behind a split)",
        lambda _, s: str(s.sockets[0]),
        "plugged_into",
    ),
    Fact("sockets", TEXTS, "all its sockets", lambda _, s: [str(one) for one in s.sockets], "plugged_into"),
    Fact("box", TEXT, "the device that it is plugged into", lambda _, s: s.sockets[0].device, "plugged_into"),
    Fact("number", NUMBER, "the number of its socket", lambda _, s: s.sockets[0].number, "plugged_into"),
    Fact(
        "location",
        TEXT,
        "where that device stands",
        lambda f, s: f.rig.devices[s.sockets[0].device].location or None,
        "plugged_into",
    ),
    Fact(
        "circuit",
        TEXT,
        "the mains circuit of that device",
        lambda f, s: f.rig.devices[s.sockets[0].device].circuit,
        "plugged_into",
    ),
    Fact("position", NUMBER, "that device's place on its chain, 1 next to the console", _position, "plugged_into"),
    Fact(
        "cable_m",
        NUMBER,
        "metres of link cable from there to the console",
        lambda f, s: f.cable_m(s.sockets[0].device),
        "plugged_into",
    ),
    Fact(
        "slot",
        TEXT,
        "the link slot that it arrives on, such as desk/link-1/9",
        lambda f, s: str(_slot(f, s) or "") or None,
        "plugged_into",
    ),
    Fact(
        "slot_number",
        NUMBER,
        "the number of that slot",
        lambda f, s: getattr(_slot(f, s), "number", None),
        "plugged_into",
    ),
)
_HEARD = (
    Fact("channels", NUMBERS, "the channels that it arrives on", lambda f, s: [one.number for one in _channels(f, s)]),
    Fact(
        "channel_labels",
        TEXTS,
        "what is written on those channels",
        lambda f, s: distinct([one.label for one in _channels(f, s)]),
    ),
    Fact(
        "meant_for",
        NUMBERS,
        "the channels that are meant to carry it",
        lambda f, s: [one.number for one in f.resolved.carriers_of.get(s.name, ())],
    ),
    Fact("phantom", TEXT, "on or off: phantom power on its channels", _phantom, "", "channel/phantom"),
    Fact("gain_db", NUMBER, "the gain of its channels in decibels, the highest where there are several", _gain),
    Fact("mixes", TEXTS, "the mixes that it is heard in, straight or through other mixes", _mixes),
    Fact("mix_kinds", TEXTS, "the kinds of those mixes", lambda f, s: f.kinds(_mixes(f, s)), "", "mix/kind"),
    Fact("destinations", TEXTS, "where it is heard", _destinations),
    Fact(
        "destination_kinds",
        TEXTS,
        "the kinds of those destinations",
        lambda f, s: distinct([f.rig.destinations[one].kind for one in _destinations(f, s)]),
        "",
        "destination/kind",
    ),
)
_OWN = (
    Fact("id", TEXT, "its name in the rig file", lambda _, s: s.name),
    Fact("label", TEXT, "what the crew calls it", lambda _, s: s.label or None, "label"),
    Fact("kind", TEXT, "what it is, such as condenser-microphone", lambda _, s: s.kind, "kind", "source/kind"),
    Fact("group", TEXT, "what it belongs to, as `group:` says", lambda _, s: s.group, "group"),
    Fact("pair", TEXT, "the stereo pair that it is a side of", lambda f, s: f.pair_of.get(s.name, (None, None))[0]),
    Fact("side", TEXT, "left or right of that pair", lambda f, s: f.pair_of.get(s.name, (None, None))[1]),
    Fact(
        "connection",
        TEXT,
        "how it is connected, such as balanced",
        lambda _, s: s.connection,
        "connection",
        "source/connection",
    ),
    Fact(
        "powering",
        TEXT,
        "how it is powered, such as phantom or battery",
        lambda _, s: s.powering,
        "powering",
        "source/powering",
    ),
    Fact("needs_phantom", FLAG, "whether it is silent without phantom power", lambda _, s: s.needs_phantom, "powering"),
    Fact(
        "expected_spl_db",
        NUMBER,
        "the loudest sound pressure level expected at it, in dB SPL",
        lambda _, s: s.expected_spl_db,
        "expected_spl_db",
    ),
    Fact("level_dbu", NUMBER, "the loudest level expected from it, in dBu", lambda _, s: s.level_dbu, "level_dbu"),
    Fact(
        "supply_ma",
        NUMBER,
        "the current that it takes from phantom power, in milliamperes",
        lambda _, s: s.supply_ma,
        "supply_ma",
    ),
    Fact("latency_ms", NUMBER, "its own delay in milliseconds", lambda _, s: s.latency_ms, "latency_ms"),
    Fact(
        "carrier_mhz",
        NUMBER,
        "its wireless carrier in megahertz",
        lambda f, s: f.rig.says("sources", s.name, "carrier_mhz"),
        "carrier_mhz",
    ),
)

SOURCES = Kind("sources", "source", "plugs", by_name(*_OWN, *_WHERE, *_HEARD), _things)
