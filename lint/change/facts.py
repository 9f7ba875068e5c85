"""A rig as plain facts: what it says, whatever way it was written. Two rigs with the same facts are the same rig.

A fact belongs to a section and a row, such as (`sources`, `lead-vocal`), and is a map of plain fields. Ranges are
spread out, defaults filled in, the two ends of a cable put in order; comments, order and places in files play no part.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from lint.rig.address import Port, Return, Signal, Slot, Socket
from lint.rig.model import Model, Sockets
from lint.rig.rig import Mix, Rig

Fields = dict[str, Any]
Row = tuple[str, str]
Facts = dict[Row, Fields]

# Where in a file something stands is no fact of the rig, and what a row is called is its key already.
_IN_THE_KEY = frozenset(("name", "row", "number", "console"))


def facts_of(rig: Rig) -> Facts:
    """Return the facts of a rig."""
    facts: Facts = {}
    for section, row, fields in _rows(rig):
        key = (section, row)
        while key in facts:  # two waivers of one finding are two facts
            key = (section, f"{key[1]}, again")
        facts[key] = fields
    return facts


def _rows(rig: Rig) -> Iterator[tuple[str, str, Fields]]:
    yield "event", "event", plain(rig.event)  # its name is a fact
    leaders = None if rig.leaders is None else list(rig.leaders)
    yield "clock", "clock", {"sample_rate_hz": rig.sample_rate_hz, "leader": leaders}
    named: dict[str, Mapping[str, Any]] = {
        "devices": rig.devices,
        "sources": rig.sources,
        "destinations": rig.destinations,
        "pairs": rig.pairs,
        "splits": rig.splits,
        "circuits": rig.circuits,
        "amplifiers": rig.amplifiers,
        "gear": rig.gear,
        "dead": rig.dead,
        "remote_control": rig.tablets,
        "console_memory": rig.memories,
        "rules": rig.settings,
    }
    for section, rows in named.items():
        for name, row in rows.items():
            yield section, name, _fields(row)
    yield from _plant_rows(rig)
    yield from _console_rows(rig)


def _plant_rows(rig: Rig) -> Iterator[tuple[str, str, Fields]]:
    for model in {device.model.name: device.model for device in rig.devices.values()}.values():
        yield "models", model.name, {key: plain(value) for key, value in model._asdict().items() if key != "name"}
    for name, cable in rig.cables.items():
        yield "cables", name, {**_fields(cable), "ends": sorted(map(str, cable.ends))}
    for name, loose in rig.loose_cables.items():
        fields = _fields(loose)
        end = fields.pop("end")
        yield "cables", name, {**fields, "ends": [] if end is None else [end]}
    yield "power", "power", {"jurisdiction": rig.jurisdiction, "continuous_share": rig.continuous_share}
    yield "acoustics", "acoustics", {"temperature_c": rig.temperature_c}
    if rig.wireless is not None:
        yield "wireless", "wireless", plain(rig.wireless)
    for carrier in rig.carriers:
        yield "carriers", carrier.name, _fields(carrier)
    if rig.sound_levels is not None:
        yield "sound_levels", "sound_levels", plain(rig.sound_levels)
    for role, who in rig.crew.items():
        yield "crew", role, {"who": who}
    for waiver in rig.waivers:
        yield "waivers", f"{waiver.rule} for {waiver.about}", _fields(waiver)


def _console_rows(rig: Rig) -> Iterator[tuple[str, str, Fields]]:
    for channel in rig.channels.values():
        yield "channels", channel.address, _fields(channel)
    for mix in rig.mixes.values():
        yield "mixes", mix.name, _mix(mix)
        for number, send in sorted(mix.sends.items()):
            yield "sends", f"{mix.name} from channel {number}", {"sent": True, **plain(send)}
    for (console, name), unit in rig.effects.items():
        yield "effects", f"{console}/effects/{name}", _fields(unit)
    for console, blocks in rig.blocks.items():
        for block in blocks:
            yield "input_blocks", f"{console}/{block.key}", {"points": [str(point) for point in block.points]}
    for where, feed in rig.feeds.items():
        yield "feeds", str(where), {**_fields(feed), "signal": str(feed.signal)}
    for copy, original in rig.copies.items():
        if copy not in rig.feeds:
            yield "feeds", str(copy), {"signal": None, "copied_from": str(original)}


def _fields(row: Any) -> Fields:
    return {key: value for key, value in plain(row).items() if key not in _IN_THE_KEY}


def _mix(mix: Mix) -> Fields:
    return {
        "console": mix.console,
        "kind": mix.kind,
        "label": mix.label,
        "width": mix.width,
        "takes": sorted(map(str, mix.takes)),
    }


def plain(value: Any) -> Any:  # noqa: PLR0911 - one return a kind
    """Return a row, or anything in one, as plain data: text, numbers, true/false, null, lists and maps."""
    if isinstance(value, Socket | Port | Slot | Return | Signal | date):
        return str(value)
    if isinstance(value, Model):
        return value.name
    if isinstance(value, Sockets):
        return {name: plain(getattr(value, name)) for name in Sockets.__slots__}
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return {key: plain(member) for key, member in value._asdict().items() if key != "trail"}
    if isinstance(value, Mapping):
        return {str(key): plain(member) for key, member in value.items()}
    if isinstance(value, tuple | list | range):
        return [plain(member) for member in value]
    return value
