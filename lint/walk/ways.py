"""The way that what an item is about takes through the rig: an answer counts only while that is as it was.

A way is kept as a short digest by the address that it is of. An input's goes from the plug along the chain to the
channel; an output's from the mix to the loudspeaker or the ear. What somebody heard says nothing of another way.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from hashlib import blake2b
from typing import Any

from lint.change.facts import facts_of, plain
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Return, Signal, Socket
from lint.rig.rig import DRIVEN, HOUSE_LOUDSPEAKERS, MONITOR_DESTINATIONS, Channel, Destination, Source

Ways = Mapping[str, str]
# What no console remembers and no signal passes: a waiver or a name may change, and nothing is to be heard anew.
_NO_SIGNAL = frozenset(
    ("event", "crew", "waivers", "rules", "power", "circuits", "acoustics", "sound_levels", "gear", "console_memory")
)
_NO_WAY = frozenset(("spare", "location", "priority", "group"))


def digest(facts: Any) -> str:
    """Return a short digest of plain data."""
    return blake2b(json.dumps(facts, sort_keys=True, default=str).encode(), digest_size=6).hexdigest()


# -- inputs ----------------------------------------------------------------------------------------------------


def source_way(resolved: ResolvedRig, name: str) -> str:
    """Return the way of a source: its plugs and the chain behind them, and every channel it reaches or should."""
    meant, got = resolved.carriers_of.get(name, ()), resolved.channels_of.get(name, ())
    channels = sorted({channel.key: channel for channel in (*meant, *got)}.items())
    return digest([_source(resolved, resolved.rig.sources[name]), [_strip(channel) for _, channel in channels]])


def channel_way(resolved: ResolvedRig, channel: Channel) -> str:
    """Return the way of a channel: its patch and phantom power, what arrives on it and by which boxes and cables."""
    arrival, carries = resolved.arrivals[channel.key], channel.carries
    names = dict.fromkeys((*arrival.sources, *([carries] if isinstance(carries, str) else ())))
    return digest(
        [
            _strip(channel),
            [arrival.stop, plain(arrival.sources), arrival.socket and _input(resolved, arrival.socket)],
            [_source(resolved, resolved.rig.sources[name]) for name in names],
            _return(resolved, channel) if isinstance(carries, Return) else None,
        ]
    )


def _strip(channel: Channel) -> Any:
    return [channel.address, *plain((channel.carries, channel.patched_from, channel.phantom, channel.gain_db))]


def _source(resolved: ResolvedRig, source: Source) -> Any:
    kind = [source.name, source.kind, source.connection, source.powering, plain(source.cable)]
    return [kind, [_input(resolved, socket) for socket in source.sockets]]


def _input(resolved: ResolvedRig, socket: Socket) -> Any:
    dead = ["dead"] if resolved.is_dead(socket) else []
    return plain([socket, resolved.slot_of.get(socket), _chain(resolved, socket.device), *dead])


def _chain(resolved: ResolvedRig, device: str) -> Any:
    """Return how a box hangs on its console: each box on the way with its cable; what hangs behind it plays no part."""
    box = resolved.boxes.get(device)
    if box is None:
        return [device, resolved.device(device).model.name, resolved.is_reached(device)]
    boxes = resolved.chains[box.link].boxes[: box.position]
    return plain(
        [[row.device, resolved.device(row.device).model, row.cable.name, sorted(row.cable.ends)] for row in boxes]
    )


def _return(resolved: ResolvedRig, channel: Channel) -> Any:
    assert isinstance(channel.carries, Return)
    unit = resolved.rig.effects.get((channel.console, channel.carries.effects))
    return None if unit is None else [unit.name, str(unit.fed_by), _mix(resolved, unit.fed_by, with_sends=True)]


# -- outputs ---------------------------------------------------------------------------------------------------


def destination_way(resolved: ResolvedRig, destination: Destination) -> str:
    """Return the way to a destination: what is sent there, by which output, boxes and cables.

    A monitor's is told with the channels in its mix: one more of them can make it ring.
    """
    is_monitor = destination.kind in MONITOR_DESTINATIONS
    rows = []
    for departure in resolved.departures[destination.name]:
        socket, feed = departure.socket, departure.feed
        amplifiers = [row.name for row in resolved.rig.amplifiers.values() if socket in row.sockets]
        rows.append(
            [
                plain([socket, departure.slot, departure.signal, departure.stop, feed and feed.copied_from]),
                _chain(resolved, socket.device),
                amplifiers,
                departure.signal and _mix(resolved, departure.signal, is_monitor),
            ]
        )
    return digest([destination.kind, plain(destination.expects), plain(destination.cable), rows])


def _mix(resolved: ResolvedRig, signal: Signal, with_sends: bool) -> Any:
    if signal.kind != "mix":
        return str(signal)
    mixes = [resolved.rig.mixes[name] for name in resolved.mixes_within(signal.name)]
    return [
        [mix.name, mix.console, mix.width, sorted(map(str, mix.takes)), plain(mix.sends) if with_sends else None]
        for mix in mixes
    ]


def box_way(resolved: ResolvedRig, device: str) -> str:
    """Return the way of a stage box: the boxes and cables to it, its slots and its selectors."""
    row, box = resolved.device(device), resolved.boxes.get(device)
    slots = [list(box.input_slots), list(box.output_slots)] if box else []
    return digest([_chain(resolved, device), slots, row.output_bank, row.input_bank])


# -- what an item says of the rig as a whole -------------------------------------------------------------------


def _plugs(resolved: ResolvedRig) -> Iterator[Any]:
    rig = resolved.rig
    for rows in (rig.sources, rig.destinations, rig.amplifiers):
        yield from ([name, plain(row.sockets)] for name, row in rows.items())


def _boxes(resolved: ResolvedRig) -> Iterator[Any]:
    yield from ([device.name, box_way(resolved, device.name)] for device in resolved.rig.boxes)


def _channels(resolved: ResolvedRig) -> Iterator[Any]:
    yield from (channel_way(resolved, channel) for channel in resolved.rig.channels.values())


def _monitors(resolved: ResolvedRig) -> Iterator[Any]:
    """Yield the way of each monitor and of all that is heard: what rings goes round through both."""
    for destination in resolved.rig.destinations.values():
        if destination.kind in MONITOR_DESTINATIONS:
            yield destination_way(resolved, destination)
    yield from _channels(resolved)


def _loudspeakers(resolved: ResolvedRig) -> Iterator[Any]:
    for destination in resolved.rig.destinations.values():
        if destination.kind in HOUSE_LOUDSPEAKERS:
            yield destination_way(resolved, destination)


def _stands(resolved: ResolvedRig) -> Iterator[Any]:
    """Yield what hangs, is stacked or stands on stands, and where: no plug and no patch moves it."""
    for name, row in resolved.rig.destinations.items():
        if row.kind in DRIVEN:
            yield [name, row.kind, row.location]


def _anything(resolved: ResolvedRig) -> Iterator[Any]:
    for key, row in facts_of(resolved.rig).items():
        if key[0] not in _NO_SIGNAL:
            yield [key, {name: value for name, value in row.items() if name not in _NO_WAY}]


# What a template may name in `again_after`: the words that say it, and what is compared.
PARTS: Mapping[str, tuple[str, Callable[[ResolvedRig], Iterator[Any]]]] = {
    "plugs": ("what is plugged in", _plugs),
    "boxes": ("the boxes, their links and selectors", _boxes),
    "channels": ("what the channels hear", _channels),
    "monitors": ("the monitors, or what is heard in them", _monitors),
    "loudspeakers": ("the way to the loudspeakers", _loudspeakers),
    "stands": ("the loudspeakers and wedges, or where they stand", _stands),
    "anything": ("the rig", _anything),
}


def ways_of_part(resolved: ResolvedRig, part: str) -> Ways:
    """Return the way of a part of the whole rig, by the words that say what it is."""
    words, facts = PARTS[part]
    return {words: digest(list(facts(resolved)))}
