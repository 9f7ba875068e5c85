"""Words that several rules share: what a lost box takes with it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lint import Cure, ResolvedRig
from lint.rig.rig import Destination, Source

MOST_NAMED = 20
SAVED_WHOLE = Cure("look whether the file was saved whole: its end may be missing")


class Lost(NamedTuple):
    """What is plugged into boxes that signals do not get to."""

    sources: tuple[Source, ...]
    destinations: tuple[Destination, ...]


def lost_with(rig: ResolvedRig, devices: Iterable[str]) -> Lost:
    """Return what hangs on the given devices and nowhere else, or is heard only by channels of consoles among them."""
    gone = set(devices)
    sources = tuple(
        source
        for source in rig.rig.sources.values()
        if all(socket.device in gone for socket in source.sockets) or _heard_by_none_left(rig, source, gone)
    )
    destinations = tuple(
        destination
        for destination in rig.rig.destinations.values()
        if any(socket.device in gone for socket in destination.sockets)
    )
    return Lost(sources, destinations)


def _heard_by_none_left(rig: ResolvedRig, source: Source, gone: set[str]) -> bool:
    """Whether a source that is plugged into nothing of what is gone has no channel but those of consoles that are."""
    if any(socket.device in gone for socket in source.sockets):
        return False  # one end of a split: told as that
    meant = {channel.console for channel in rig.carriers_of.get(source.name, ())}
    heard = {channel.console for channel in rig.channels_of.get(source.name, ())}
    return bool(meant & gone or heard & gone) and not (meant | heard) - gone


def lost_words(rig: ResolvedRig, lost: Lost) -> str:
    """Say what is lost, with the channels that wait for it; empty where nothing is."""
    words = ""
    if lost.sources:
        words += f" Silent: {listed(_with_channel(rig, source) for source in lost.sources)}."
    if lost.destinations:
        words += f" Dead outputs: {listed(destination.name for destination in lost.destinations)}."
    return words


def _with_channel(rig: ResolvedRig, source: Source) -> str:
    channels = rig.carriers_of.get(source.name, ())
    several = len({channel.console for channel in channels}) > 1
    numbers = ", ".join(f"{each.number} on {each.console}" if several else str(each.number) for each in channels)
    return f"{source.name} (channel {numbers})" if numbers else source.name


def listed(names: Iterable[str], between: str = ", ") -> str:
    """Write names in a row; of more than twenty, the first ones and how many more."""
    every = list(names)
    shown = between.join(every[:MOST_NAMED])
    return shown if len(every) <= MOST_NAMED else f"{shown}{between}and {len(every) - MOST_NAMED} more"
