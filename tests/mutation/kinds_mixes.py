"""Mistakes with what the mixes take."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from bench import DROP, Base, Edit, Site, kind
from kinds_outputs import TO_HOUSE, TO_MONITOR, UNHEARD, own_mixes

from lint.rig.rig import Mix


def takes(base: Base, mix: Mix) -> dict[str, Any]:
    return dict(base.at((*mix.trail, "takes")) or {})


@kind("mix-empty")
def mix_emptied(base: Base) -> Iterator[Site]:
    """A mix takes nothing any more."""
    for mix in base.resolved.rig.mixes.values():
        if mix.sends or mix.takes:
            yield Site(mix.name, (((*mix.trail, "takes"), DROP),))


@kind("source-unheard", "mix-empty")
def channel_in_no_mix(base: Base) -> Iterator[Site]:
    """A source's channels are in no mix: it arrives, and nobody hears it."""
    rig = base.resolved.rig
    for name, channels in base.resolved.channels_of.items():
        gone = {(channel.console, channel.number) for channel in channels}
        if not any((mix.console, number) in gone for mix in rig.mixes.values() for number in mix.sends):
            continue
        edits: list[Edit] = []
        for mix in rig.mixes.values():
            left = [number for number in mix.sends if (mix.console, number) not in gone]
            if len(left) < len(mix.sends):
                written = base.at((*mix.trail, "takes", "channels"))
                now: Any = left if isinstance(written, list) else {str(n): _row(mix, n) for n in left}
                edits.append(((*mix.trail, "takes", "channels"), now))
        yield Site(name, tuple(edits))


def _row(mix: Mix, number: int) -> dict[str, Any]:
    send = mix.sends[number]
    return {key: value for key, value in (("level_db", send.level_db), ("tap", send.tap)) if value is not None}


@kind("source-unheard", audible=True)
def range_too_short(base: Base) -> Iterator[Site]:
    """The house takes a range that ends too early: what comes after it is in no mix at all."""
    rig = base.resolved.rig
    for mix in rig.mixes.values():
        last = max(mix.sends, default=0)
        elsewhere = {
            n for other in rig.mixes.values() if other != mix and other.console == mix.console for n in other.sends
        }
        channel = rig.channels.get((mix.console, last))
        if mix.kind == "house" and channel and isinstance(channel.carries, str) and last not in elsewhere:
            left = [number for number in mix.sends if number != last]
            if not left:
                continue  # that is a mix emptied
            yield Site(f"{mix.name} without {last}", (((*mix.trail, "takes", "channels"), left),))


@kind("monitor-after-fader")
def monitor_after_the_fader(base: Base) -> Iterator[Site]:
    """A monitor mix takes its channels after the house mixer's fader."""
    for mix in base.resolved.rig.mixes.values():
        written = takes(base, mix).get("channels")
        if mix.kind == "monitor" and isinstance(written, dict) and own_mixes(base, mix.console, "house"):
            for key, row in written.items():
                trail = (*mix.trail, "takes", "channels", key)
                yield Site(f"{mix.name}: {key}", ((trail, {**row, "tap": "post-fader"}),))


@kind("effects-own-return")
def return_into_its_own_send(base: Base) -> Iterator[Site]:
    """An effects return is turned up in the send that feeds the same effects unit."""
    for unit in base.resolved.rig.effects.values():
        mix = base.resolved.rig.mixes[unit.fed_by.name]
        for arrival in base.resolved.arrivals.values():
            if arrival.effects is not None and arrival.effects.effects == unit.name:
                key = str(arrival.channel.number)
                trail = (*mix.trail, "takes", "channels", key)
                yield Site(arrival.channel.address, ((trail, {"tap": "post-fader"}),))


@kind("effects-own-return", "signal-loop")
def effects_fed_by_the_house(base: Base) -> Iterator[Site]:
    """An effects unit is fed by the house mix, which takes its return."""
    for unit in base.resolved.rig.effects.values():
        for mix in own_mixes(base, unit.console, "house"):
            returns = [
                n for (_, n), a in base.resolved.arrivals.items() if a.effects and a.effects.effects == unit.name
            ]
            if set(returns) & set(mix.sends):
                fed_by = f"{mix.name}.mono" if mix.width == "stereo" else mix.name
                yield Site(f"{unit.name} by {fed_by}", (((*unit.trail, "fed_by"), fed_by),))


@kind("signal-loop")
def mix_that_takes_what_takes_it(base: Base) -> Iterator[Site]:
    """A mix takes a mix that takes it: a loop inside the console."""
    rig = base.resolved.rig
    for taker in rig.mixes.values():
        for taken in {signal.name for signal in taker.takes if signal.kind == "mix"}:
            mix = rig.mixes[taken]
            now = takes(base, mix)
            back = f"{taker.name}.mono" if taker.width == "stereo" else taker.name
            now["mixes"] = [*now.get("mixes", []), back]
            yield Site(f"{taken} takes {back}", (((*mix.trail, "takes"), now),))


@kind(TO_HOUSE)
def house_takes_a_monitor_mix(base: Base) -> Iterator[Site]:
    """The house mix takes a monitor mix, talkback or cue."""
    for house in base.resolved.rig.mixes.values():
        for mix in own_mixes(base, house.console, "monitor", "talkback", "cue"):
            if house.kind == "house" and not any(s.name == house.name for s in mix.takes):
                now = takes(base, house)
                now["mixes"] = [*now.get("mixes", []), f"{mix.name}.mono" if mix.width == "stereo" else mix.name]
                yield Site(f"{house.name} takes {mix.name}", (((*house.trail, "takes"), now),))


@kind(TO_MONITOR)
def monitor_takes_the_house(base: Base) -> Iterator[Site]:
    """A monitor mix takes the house mix."""
    for mix in base.resolved.rig.mixes.values():
        for house in own_mixes(base, mix.console, "house"):
            if mix.kind == "monitor" and not any(s.name == mix.name for s in house.takes):
                now = takes(base, mix)
                now["mixes"] = [*now.get("mixes", []), f"{house.name}.mono" if house.width == "stereo" else house.name]
                yield Site(f"{mix.name} takes {house.name}", (((*mix.trail, "takes"), now),))


@kind(TO_MONITOR, UNHEARD, risky=False)
def monitor_mix_called_a_house_mix(base: Base) -> Iterator[Site]:
    """A monitor mix is written down as a house mix."""
    for mix in base.resolved.rig.mixes.values():
        if mix.kind == "monitor":
            yield Site(mix.name, (((*mix.trail, "kind"), "house"),))
