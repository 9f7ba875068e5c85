"""What an item is about in the rig: the signal that a trace of it follows, and the addresses that can fail with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Destination
from lint.walk.ways import Ways, box_way, channel_way, destination_way, digest, source_way


@dataclass(frozen=True, slots=True)
class Subject:
    """What an item is about.

    `signal` is what `rigwalk trace` takes, or empty; `about` are rig addresses, such as a socket, its source and its
    box; `ways` how they are reached. An item over several sockets or channels has one subject for each in `parts`, by
    its number as it is written.
    """

    signal: str = ""
    about: tuple[str, ...] = ()
    parts: Mapping[str, Subject] = field(default_factory=dict)
    ways: Ways = field(default_factory=dict)

    @property
    def every_way(self) -> Ways:
        """The ways of the item and of its parts."""
        return {**self.ways, **{name: way for part in self.parts.values() for name, way in part.ways.items()}}


def about_source(resolved: ResolvedRig, name: str) -> Subject:
    """Return the subject of a source: itself, its sockets and the boxes they are on."""
    sockets = resolved.rig.sources[name].sockets
    about = _once(name, *map(str, sockets), *(socket.device for socket in sockets))
    return Subject(name, about, ways={name: source_way(resolved, name)})


def about_channel(resolved: ResolvedRig, console: str, number: int) -> Subject:
    """Return the subject of a channel: itself, and what is meant to arrive on it."""
    channel = resolved.rig.channels[console, number]
    carries = channel.carries
    source = about_source(resolved, carries).about if isinstance(carries, str) else ()
    ways = {channel.address: channel_way(resolved, channel)}
    return Subject(channel.address, _once(channel.address, *source), ways=ways)


def about_destination(destination: Destination, resolved: ResolvedRig) -> Subject:
    """Return the subject of a destination: itself, its sockets and the devices they are on."""
    sockets = destination.sockets
    about = _once(destination.name, *map(str, sockets), *(socket.device for socket in sockets))
    return Subject(destination.name, about, ways={destination.name: destination_way(resolved, destination)})


def subject_of(kind: str, fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    """Return what a row of a kind is about."""
    make = _SUBJECTS.get(kind)
    return make(fields, resolved) if make else Subject()


def _once(*addresses: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(addresses))


def _named(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:  # noqa: ARG001 - each takes the same
    return Subject("", (fields["name"],))


def _box(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    name = fields["name"]
    return Subject(name, _once(name, *filter(None, [fields["link"]])), ways={name: box_way(resolved, name)})


def _source(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    return about_source(resolved, fields["name"])


def _wireless(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    """Return the subject of a radio: of its air way alone, which no plug changes; the line check hears the rest."""
    name = fields["name"]
    carriers = [row.frequency_hz for row in resolved.rig.carriers if row.name == name]
    return replace(about_source(resolved, name), ways={name: digest([resolved.rig.sources[name].kind, carriers])})


def _channel(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    return about_channel(resolved, fields["console"], fields["number"])


def _destination(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    return about_destination(resolved.rig.destinations[fields["name"]], resolved)


def _caution(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:  # noqa: ARG001
    return Subject("", (fields["about"],))


_SUBJECTS: Mapping[str, Callable[[Mapping[str, Any], ResolvedRig], Subject]] = {
    "boxes": _box,
    "consoles": _named,
    "circuits": _named,
    "sources": _source,
    "phantom_sources": _source,
    "wireless": _wireless,
    "channels": _channel,
    "monitors": _destination,
    "loudspeakers": _destination,
    "other_destinations": _destination,
    "cautions": _caution,
    "waivers": _caution,
}
