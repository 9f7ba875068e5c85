"""Devices: consoles and boxes, their place on the chain, and the sockets that are used and spare."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lint.facts.fact import FLAG, NUMBER, TEXT, TEXTS, Fact, Kind, Thing, by_name
from lint.facts.signals import Signals
from lint.rig.rig import Device


def _things(signals: Signals) -> Iterator[Thing]:
    for device in signals.rig.devices.values():
        yield Thing(device.name, device.trail, device.name, device)


def _box(signals: Signals, device: Device, key: str) -> Any:
    return getattr(signals.box(device.name), key, None)


def _link(signals: Signals, device: Device) -> str | None:
    box = signals.box(device.name)
    return str(box.link) if box else None


def _cable(signals: Signals, device: Device) -> str | None:
    box = signals.box(device.name)
    return box.cable.name if box else None


def _upstream(signals: Signals, device: Device) -> str | None:
    box = signals.box(device.name)
    if box is None:
        return None
    near = next(end for end in box.cable.ends if end.device == device.name)
    return box.cable.other(near).device


def _inputs(signals: Signals, device: Device) -> int:
    known = range(1, device.model.inputs.count + 1)
    return sum(number in known for number in signals.used_inputs.get(device.name, ()))


def _outputs(signals: Signals, device: Device) -> int:
    known = range(1, device.model.outputs.count + 1)
    return sum(number in known for number in signals.used_outputs.get(device.name, ()))


def _plugged(signals: Signals, device: Device) -> list[str]:
    return [row.name for row in signals.rig.sources.values() if any(one.device == device.name for one in row.sockets)]


def _hung(signals: Signals, device: Device) -> list[str]:
    rows = signals.rig.destinations.values()
    return [row.name for row in rows if any(one.device == device.name for one in row.sockets)]


def _latency(_signals: Signals, device: Device) -> float | None:
    return device.latency_ms if device.latency_ms is not None else device.model.latency_ms


_OWN = (
    Fact("id", TEXT, "its name in the rig file", lambda _, d: d.name),
    Fact("kind", TEXT, "console or stage-box", lambda _, d: d.model.kind, "model"),
    Fact("model", TEXT, "its model", lambda _, d: d.model.name, "model"),
    Fact("label", TEXT, "what the crew calls it", lambda _, d: d.label or None, "label"),
    Fact("location", TEXT, "where it stands", lambda _, d: d.location or None, "location"),
    Fact("circuit", TEXT, "its mains circuit", lambda _, d: d.circuit, "circuit"),
    Fact("watts", NUMBER, "what it draws from the mains, in watts", lambda _, d: d.load.watts, "watts"),
    Fact("earth", TEXT, "how it is earthed, as the rig file says", lambda _, d: d.load.earth, "earth", "device/earth"),
    Fact("latency_ms", NUMBER, "its delay in milliseconds", _latency, "latency_ms"),
    Fact(
        "clock_from",
        TEXT,
        "where it takes its clock from",
        lambda _, d: d.clock_from,
        "clock_from",
        "device/clock_from",
    ),
)
_CHAIN = (
    Fact(
        "reached", FLAG, "whether it is a console or a console reaches it", lambda f, d: f.resolved.is_reached(d.name)
    ),
    Fact("link", TEXT, "the console's link port that its chain hangs on", _link),
    Fact("position", NUMBER, "its place on that chain, 1 next to the console", lambda f, d: _box(f, d, "position")),
    Fact("upstream", TEXT, "the device before it on the chain", _upstream),
    Fact("cable", TEXT, "the link cable that feeds it", _cable),
    Fact("cable_m", NUMBER, "metres of link cable from the console to it", lambda f, d: f.cable_m(d.name)),
    Fact("output_bank", TEXT, "the position of its output bank selector", lambda _, d: d.output_bank, "output_bank"),
    Fact("input_bank", TEXT, "the position of its input bank selector", lambda _, d: d.input_bank, "input_bank"),
)
_SOCKETS = (
    Fact("inputs", NUMBER, "how many input sockets it has", lambda _, d: d.model.inputs.count, "model"),
    Fact("used_inputs", NUMBER, "how many of them something is plugged into", _inputs),
    Fact("spare_inputs", NUMBER, "how many of them are free", lambda f, d: d.model.inputs.count - _inputs(f, d)),
    Fact("outputs", NUMBER, "how many output sockets it has", lambda _, d: d.model.outputs.count, "model"),
    Fact("used_outputs", NUMBER, "how many of them something hangs on", _outputs),
    Fact("spare_outputs", NUMBER, "how many of them are free", lambda f, d: d.model.outputs.count - _outputs(f, d)),
    Fact("sources", TEXTS, "the sources plugged into it", _plugged),
    Fact("destinations", TEXTS, "the destinations that hang on it", _hung),
)

DEVICES = Kind("devices", "device", "chain", by_name(*_OWN, *_CHAIN, *_SOCKETS), _things)
