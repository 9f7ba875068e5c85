"""Channels: what each is meant to carry, what really arrives, and which mixes it goes to."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts.fact import FLAG, NUMBER, TEXT, TEXTS, Fact, Kind, Thing, by_name, distinct
from lint.facts.signals import ChannelKey, Signals, channel_id
from lint.resolve.resolved import Arrival
from lint.rig.rig import Channel


def _key(channel: Channel) -> ChannelKey:
    return channel.console, channel.number


def _arrival(signals: Signals, channel: Channel) -> Arrival:
    return signals.resolved.arrivals[_key(channel)]


def _things(signals: Signals) -> Iterator[Thing]:
    for channel in signals.rig.channels.values():
        yield Thing(channel_id(signals, channel), channel.trail, channel.address, channel)


def _mixes(signals: Signals, channel: Channel) -> list[str]:
    return signals.mixes_of.get(_key(channel), [])


def _taps(signals: Signals, channel: Channel, tap: str) -> list[str]:
    mixes = signals.rig.mixes.values()
    return [
        mix.name
        for mix in mixes
        if mix.console == channel.console and channel.number in mix.sends and mix.sends[channel.number].tap == tap
    ]


def _straight(signals: Signals, channel: Channel) -> list[str]:
    return [name for name, keys in signals.sent.items() if _key(channel) in keys]


def _destinations(signals: Signals, channel: Channel) -> list[str]:
    return signals.destinations_of.get(_key(channel), [])


def _carried_kind(signals: Signals, channel: Channel) -> str | None:
    return signals.rig.sources[channel.carries].kind if isinstance(channel.carries, str) else None


def _received(signals: Signals, channel: Channel, key: str) -> list[str]:
    return distinct([getattr(signals.rig.sources[name], key) for name in _arrival(signals, channel).sources])


_OWN = (
    Fact("id", TEXT, "its number, with its console where there are several", channel_id),
    Fact("number", NUMBER, "its number", lambda _, c: c.number),
    Fact("console", TEXT, "the console that it is on", lambda _, c: c.console),
    Fact("label", TEXT, "what is written on it", lambda _, c: c.label or None, "label"),
    Fact("phantom", TEXT, "on or off", lambda _, c: c.phantom or "off", "phantom", "channel/phantom"),
    Fact("gain_db", NUMBER, "its gain in decibels", lambda _, c: c.gain_db, "gain_db"),
    Fact("pan", TEXT, "left, centre or right", lambda _, c: c.pan, "pan", "channel/pan"),
    Fact("doubles", NUMBER, "the channel that it doubles", lambda _, c: c.doubles, "doubles"),
    Fact("carries", TEXT, "what it is meant to carry", lambda _, c: str(c.carries) if c.carries else None, "carries"),
    Fact(
        "carries_kind",
        TEXT,
        "the kind of the source that it is meant to carry",
        _carried_kind,
        "carries",
        "source/kind",
    ),
    Fact(
        "patched_from",
        TEXT,
        "the address that the console takes it from",
        lambda _, c: str(c.patched_from) if c.patched_from else None,
        "patched_from",
    ),
)
_ARRIVES = (
    Fact(
        "socket",
        TEXT,
        "the socket that arrives on it",
        lambda f, c: str(_arrival(f, c).socket or "") or None,
        "patched_from",
    ),
    Fact(
        "box",
        TEXT,
        "the device of that socket",
        lambda f, c: getattr(_arrival(f, c).socket, "device", None),
        "patched_from",
    ),
    Fact(
        "sources",
        TEXTS,
        "the sources that really arrive on it",
        lambda f, c: list(_arrival(f, c).sources),
        "patched_from",
    ),
    Fact(
        "source_kinds",
        TEXTS,
        "the kinds of those sources",
        lambda f, c: _received(f, c, "kind"),
        "patched_from",
        "source/kind",
    ),
    Fact("source_groups", TEXTS, "the groups of those sources", lambda f, c: _received(f, c, "group"), "patched_from"),
    Fact("is_heard", FLAG, "whether anything arrives on it", lambda f, c: not _arrival(f, c).stop, "patched_from"),
)
_GOES = (
    Fact("sent_to", TEXTS, "the mixes that it goes straight to", _straight),
    Fact("pre_fader", TEXTS, "those that it goes to before the fader", lambda f, c: _taps(f, c, "pre-fader")),
    Fact("post_fader", TEXTS, "those that it goes to after the fader", lambda f, c: _taps(f, c, "post-fader")),
    Fact(
        "mixes",
        TEXTS,
        "the mixes that it is heard in, straight or through other mixes",
        lambda f, c: list(_mixes(f, c)),
    ),
    Fact("mix_kinds", TEXTS, "the kinds of those mixes", lambda f, c: f.kinds(_mixes(f, c)), "", "mix/kind"),
    Fact("destinations", TEXTS, "where it is heard", lambda f, c: list(_destinations(f, c))),
    Fact(
        "destination_kinds",
        TEXTS,
        "the kinds of those destinations",
        lambda f, c: distinct([f.rig.destinations[one].kind for one in _destinations(f, c)]),
        "",
        "destination/kind",
    ),
)

CHANNELS = Kind("channels", "channel", "patch", by_name(*_OWN, *_ARRIVES, *_GOES), _things)
