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
            numbers = {number for number in mix.sends if (mix.console, number) in gone}
            if numbers:
                edits.append(without(base, mix, numbers))
        yield Site(name, tuple(edits))


def without(base: Base, mix: Mix, gone: set[int]) -> Edit:
    """Return the edit that takes channels out of what a mix takes."""
    left = [number for number in mix.sends if number not in gone]
    written = base.at((*mix.trail, "takes", "channels"))
    now: Any = left if isinstance(written, list) else {str(n): _row(mix, n) for n in left}
    return (*mix.trail, "takes", "channels"), now


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


@kind("only-through-effects")
def dropped_from_all_but_the_effects(base: Base) -> Iterator[Site]:
    """A channel falls out of every mix for the house, the recording and the stream, and stays in an effects send."""
    rig = base.resolved.rig
    for name, channels in base.resolved.channels_of.items():
        strips = {(channel.console, channel.number) for channel in channels}
        takers = [(mix, {n for n in mix.sends if (mix.console, n) in strips}) for mix in rig.mixes.values()]
        main = [(mix, numbers) for mix, numbers in takers if numbers and mix.kind in ("house", "record", "stream")]
        if main and any(numbers and mix.kind == "effects" for mix, numbers in takers):
            yield Site(name, tuple(without(base, mix, numbers) for mix, numbers in main))


@kind("pair-half-in-mix", "source-unheard", "only-through-effects")
def half_of_a_pair_dropped(base: Base) -> Iterator[Site]:
    """One half of a stereo pair falls out of a stereo mix."""
    rig = base.resolved.rig
    for pair in rig.pairs.values():
        for source in (pair.left, pair.right):
            for channel in base.resolved.channels_of[source]:
                for mix in rig.mixes.values():
                    if mix.console == channel.console and mix.width == "stereo" and channel.number in mix.sends:
                        yield Site(f"{source} out of {mix.name}", (without(base, mix, {channel.number}),))


@kind("talkback-in-house")
def talkback_microphone_in_the_house(base: Base) -> Iterator[Site]:
    """The talkback microphone's channel is one that the house mix takes as well."""
    rig = base.resolved.rig
    for talk in rig.mixes.values():
        for house in own_mixes(base, talk.console, "house") if talk.kind == "talkback" else ():
            for number in house.sends:
                yield Site(f"{talk.name}: {number}", (((*talk.trail, "takes", "channels"), [number]),))


@kind("signal-twice")
def channel_taken_twice(base: Base) -> Iterator[Site]:
    """A mix that takes the house mix takes one of its channels directly as well."""
    rig = base.resolved.rig
    for mix in rig.mixes.values():
        inner = {name for name in base.resolved.mixes_within(mix.name) if name != mix.name}
        numbers = {number for name in inner for number in rig.mixes[name].sends if number not in mix.sends}
        written = base.at((*mix.trail, "takes", "channels")) or []
        if mix.kind in ("house", "record", "stream") and isinstance(written, list):
            for number in sorted(numbers):
                yield Site(f"{mix.name}: {number}", (((*mix.trail, "takes", "channels"), [*written, number]),))


@kind("effects-unreturned")
def return_without_a_channel(base: Base) -> Iterator[Site]:
    """The return of an effects unit, or one side of it, has no channel any more."""
    for (console, _), unit in base.resolved.rig.effects.items():
        returns = [a.channel for a in base.resolved.arrivals.values() if a.effects and a.effects.effects == unit.name]
        returns = [channel for channel in returns if channel.console == console]
        edits = []
        for channel in returns:
            edit = (channel.trail, {"label": "Spare"})
            edits.append(edit)
            yield Site(f"{unit.name} without {channel.number}", (edit,))
        yield Site(f"{unit.name} without any", tuple(edits))


@kind("effects-unreturned")
def return_in_no_mix(base: Base) -> Iterator[Site]:
    """The return channels of an effects unit are in no mix."""
    rig = base.resolved.rig
    for (console, _), unit in rig.effects.items():
        numbers = {
            n
            for (desk, n), a in base.resolved.arrivals.items()
            if desk == console and a.effects and a.effects.effects == unit.name
        }
        takers = [mix for mix in rig.mixes.values() if mix.console == console and numbers & set(mix.sends)]
        yield Site(unit.name, tuple(without(base, mix, numbers) for mix in takers))


@kind("effects-before-fader", risky=False)
def effects_send_before_the_fader(base: Base) -> Iterator[Site]:
    """An effects send is taken before the fader."""
    for mix in base.resolved.rig.mixes.values():
        for number in mix.sends if mix.kind == "effects" else ():
            sends = {str(n): _row(mix, n) | ({"tap": "pre-fader"} if n == number else {}) for n in mix.sends}
            yield Site(f"{mix.name}: {number}", (((*mix.trail, "takes", "channels"), sends),))


@kind("preamplifier-two-gains")
def one_preamplifier_two_gains(base: Base) -> Iterator[Site]:
    """A source gets a second channel, which asks for another gain of the one preamplifier."""
    for arrival in base.resolved.arrivals.values():
        channel = arrival.channel
        if channel.gain_db is None or not isinstance(channel.carries, str):
            continue
        console = base.resolved.device(channel.console).model
        free = next(
            (n for n in range(1, (console.channels or 0) + 1) if (channel.console, n) not in base.resolved.arrivals),
            None,
        )
        if free is not None:
            row = {**base.at(channel.trail), "patched_from": str(channel.patched_from), "label": "Second"}
            row |= {"doubles": channel.number, "gain_db": channel.gain_db - 10}
            yield Site(channel.address, (((*channel.trail[:-1], str(free)), row),))
