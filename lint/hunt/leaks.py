"""What tells a leak by ear where the end plays some of it rightly: a source it should not have, or a pause of its own.

A mix is heard at an end that takes sources of that mix itself: to hear one of those there says nothing. So asked is
after a source that only the leak brings. Where there is none all that belongs at the end is turned down for a moment,
and what may come in by that is then as silent: of it such an answer tells nothing. Where turning it down would take the
leak down as well, nobody is asked to listen.
"""

from __future__ import annotations

from typing import NamedTuple

from lint.hunt.target import Target
from lint.resolve.follow import away_from
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import spans
from lint.rig.rig import Channel, Mix

LISTENS = "{right}"  # in the words of a question: it is answered by ear
BY_WHAT_IS_TURNED_DOWN = ("inputs of ", "send to ")  # parts: a plug at an input that the end takes, its microphones


class Heard(NamedTuple):
    """What is listened for: in words, how it is asked, and whether the end's own is turned down for that.

    `right` is empty where no listening tells the leak from what belongs there.
    """

    leak: str
    right: str
    is_paused: bool = False


def heard_of(rig: ResolvedRig, target: Target, name: str) -> Heard:
    """Return what is listened for at the points of a leak; `name` is what it is called."""
    plain = Heard(name, f"is nothing of {name} heard there")
    if target.name not in rig.rig.mixes:
        return plain
    own = {source for channel in taken_at(rig, target) for source in rig.arrivals[channel.key].sources}
    brought = [channel for channel in channels_in(rig, target.name) if rig.arrivals[channel.key].sources]
    if own.isdisjoint(source for channel in brought for source in rig.arrivals[channel.key].sources):
        return plain
    # What is panned to one side may be missed where the other side leaks.
    alone = [
        (away_from(channel) is not None, source)
        for channel in brought
        for source in rig.arrivals[channel.key].sources
        if source not in own
    ]
    if alone:
        _, source = min(alone, key=lambda row: row[0])
        leak = f"what {name} takes and {taker_of(target)} does not, such as {source},"
        return Heard(leak, f"is nothing of {leak} heard there")
    mix = rig.rig.mixes.get(target.mixes[-1]) if target.mixes else None
    if mix is None or not may_pause(rig, mix, rig.rig.mixes[target.name]):
        return Heard(name, "")
    return Heard(name, f"with {paused(mix, target)} for a moment, is nothing of {name} heard there", is_paused=True)


def may_pause(rig: ResolvedRig, mix: Mix, other: Mix) -> bool:
    """Whether what a mix takes may be turned down without the other mix going down as well."""
    if mix.name in rig.mixes_within(other.name):
        return False
    shared = mix.sends.keys() & other.sends.keys() if mix.console == other.console else ()
    return mix.kind != "house" or all(other.sends[number].tap == "pre-fader" for number in shared)


def paused(mix: Mix, target: Target) -> str:
    """Say what is turned down: where the leak is of the same console only what goes to the end, since both take it."""
    if target.away is not None:
        return f"{takes(mix)} muted on {mix.console}"
    return f"what goes to {mix.name} from {takes(mix)} turned down on {mix.console}"


def takes(mix: Mix) -> str:
    """Say what a mix should take."""
    word = "channel" if len(mix.sends) == 1 else "channels"
    channels = [f"{word} {spans(sorted(mix.sends))}"] if mix.sends else []
    return " and ".join((*channels, *map(str, mix.takes))) or "nothing"


def taker_of(target: Target) -> str:
    """Return the mix, or the direct output, that is heard at the end of a path."""
    return target.mixes[-1] if target.mixes else str(target.signal)


def taken_at(rig: ResolvedRig, target: Target) -> list[Channel]:
    """Return the channels that are heard in the mix of the end, or the one whose direct output is sent there."""
    signal = target.signal
    if signal is not None and signal.kind == "channel":
        return [each for each in rig.rig.channels.values() if f"{each.console}/{each.number}" == signal.name]
    return [channel for mix in target.mixes for channel in channels_in(rig, mix)]


def channels_in(rig: ResolvedRig, name: str) -> list[Channel]:
    """Return the channels that a mix takes, itself or by the mixes in it, in the order of the file."""
    rows = rig.rig
    keys = {(rows.mixes[mix].console, number) for mix in rig.mixes_within(name) for number in rows.mixes[mix].sends}
    return [channel for key, channel in rows.channels.items() if key in keys]
