"""What an item is about in the rig: the signal that a trace of it follows, and the addresses that can fail with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Destination


@dataclass(frozen=True, slots=True)
class Subject:
    """What an item is about.

    `signal` is what `rigwalk trace` takes, or empty; `about` are rig addresses, such as a socket, its source and its
    box. An item over several sockets or channels has one subject for each in `parts`, by its number as it is written.
    """

    signal: str = ""
    about: tuple[str, ...] = ()
    parts: Mapping[str, Subject] = field(default_factory=dict)


def about_source(resolved: ResolvedRig, name: str) -> Subject:
    """Return the subject of a source: itself, its sockets and the boxes they are on."""
    sockets = resolved.rig.sources[name].sockets
    return Subject(name, _once(name, *map(str, sockets), *(socket.device for socket in sockets)))


def about_channel(resolved: ResolvedRig, console: str, number: int) -> Subject:
    """Return the subject of a channel: itself, and what is meant to arrive on it."""
    channel = resolved.rig.channels[console, number]
    carries = channel.carries
    source = about_source(resolved, carries).about if isinstance(carries, str) else ()
    return Subject(channel.address, _once(channel.address, *source))


def about_destination(destination: Destination) -> Subject:
    """Return the subject of a destination: itself, its sockets and the devices they are on."""
    sockets = destination.sockets
    return Subject(
        destination.name, _once(destination.name, *map(str, sockets), *(socket.device for socket in sockets))
    )


def subject_of(kind: str, fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    """Return what a row of a kind is about."""
    make = _SUBJECTS.get(kind)
    return make(fields, resolved) if make else Subject()


def _once(*addresses: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(addresses))


def _named(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:  # noqa: ARG001 - each takes the same
    return Subject("", (fields["name"],))


def _box(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:  # noqa: ARG001
    return Subject(fields["name"], _once(fields["name"], *filter(None, [fields["link"]])))


def _source(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    return about_source(resolved, fields["name"])


def _channel(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    return about_channel(resolved, fields["console"], fields["number"])


def _destination(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:
    return about_destination(resolved.rig.destinations[fields["name"]])


def _caution(fields: Mapping[str, Any], resolved: ResolvedRig) -> Subject:  # noqa: ARG001
    return Subject("", (fields["about"],))


_SUBJECTS: Mapping[str, Callable[[Mapping[str, Any], ResolvedRig], Subject]] = {
    "boxes": _box,
    "consoles": _named,
    "circuits": _named,
    "sources": _source,
    "phantom_sources": _source,
    "wireless": _source,
    "channels": _channel,
    "monitors": _destination,
    "loudspeakers": _destination,
    "cautions": _caution,
}
