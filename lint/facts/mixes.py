"""Mixes: what is heard in each, and where it leaves."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts.fact import NUMBERS, TEXT, TEXTS, Fact, Kind, Thing, by_name, distinct
from lint.facts.signals import Signals
from lint.rig.rig import Mix


def _things(signals: Signals) -> Iterator[Thing]:
    for mix in signals.rig.mixes.values():
        yield Thing(mix.name, mix.trail, mix.name, mix)


def _sources(signals: Signals, mix: Mix) -> list[str]:
    return signals.sources_on(signals.heard[mix.name])


def _others(signals: Signals, mix: Mix) -> list[str]:
    return [name for name in signals.within[mix.name] if name != mix.name]


def _outputs(signals: Signals, mix: Mix) -> list[str]:
    points = [*mix.signals, *({signal._replace(side="mono") for signal in mix.signals if signal.side})]
    return distinct([str(point) for signal in points for point in signals.resolved.feeds_of(signal)])


def _taps(mix: Mix, tap: str) -> list[int]:
    return [number for number, send in mix.sends.items() if send.tap == tap]


def _destinations(signals: Signals, mix: Mix) -> list[str]:
    return [name for name, mixes in signals.mixes_at.items() if mix.name in mixes]


_FACTS = (
    Fact("id", TEXT, "its name in the rig file", lambda _, m: m.name),
    Fact("kind", TEXT, "what it is for, such as house or monitor", lambda _, m: m.kind, "kind", "mix/kind"),
    Fact("label", TEXT, "what the crew calls it", lambda _, m: m.label or None, "label"),
    Fact("console", TEXT, "the console that makes it", lambda _, m: m.console),
    Fact("width", TEXT, "mono or stereo", lambda _, m: m.width, "width", "mix/width"),
    Fact("sends", NUMBERS, "the channels that go straight to it", lambda _, m: list(m.sends), "takes"),
    Fact("pre_fader", NUMBERS, "those that go to it before the fader", lambda _, m: _taps(m, "pre-fader"), "takes"),
    Fact("post_fader", NUMBERS, "those that go to it after the fader", lambda _, m: _taps(m, "post-fader"), "takes"),
    Fact(
        "channels",
        NUMBERS,
        "the channels heard in it, straight or through other mixes",
        lambda f, m: [number for _, number in f.heard[m.name]],
        "takes",
    ),
    Fact("sources", TEXTS, "the sources heard in it", _sources, "takes"),
    Fact(
        "source_kinds",
        TEXTS,
        "the kinds of those sources",
        lambda f, m: distinct([f.rig.sources[one].kind for one in _sources(f, m)]),
        "takes",
        "source/kind",
    ),
    Fact(
        "source_groups",
        TEXTS,
        "the groups of those sources",
        lambda f, m: distinct([f.rig.sources[one].group for one in _sources(f, m)]),
        "takes",
    ),
    Fact("mixes", TEXTS, "the other mixes heard in it", _others, "takes"),
    Fact("mix_kinds", TEXTS, "the kinds of those mixes", lambda f, m: f.kinds(_others(f, m)), "takes", "mix/kind"),
    Fact("outputs", TEXTS, "the console's outputs that send it", _outputs),
    Fact("destinations", TEXTS, "where it is heard", _destinations),
    Fact(
        "destination_kinds",
        TEXTS,
        "the kinds of those destinations",
        lambda f, m: distinct([f.rig.destinations[one].kind for one in _destinations(f, m)]),
        "",
        "destination/kind",
    ),
)

MIXES = Kind("mixes", "mix", "mixes", by_name(*_FACTS), _things)
