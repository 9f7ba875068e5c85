"""The rows of a resolved rig that a checklist may be written over: boxes in chain order, plugs, channels, monitors.

A row is a key that stays the same while the rig changes around it, and fields that are text, whole numbers or
true/false: a template can use every field in its text and hold every field against a condition.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from lint.check.engine import Checked
from lint.check.finding import Finding, Severity
from lint.resolve.chain import ChainBox
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Return, Socket, spans
from lint.rig.rig import (
    HOUSE_LOUDSPEAKERS,
    MONITOR_DESTINATIONS,
    Destination,
    Device,
    Source,
)
from lint.walk.row_words import (
    channels_words,
    dashed,
    expected_words,
    line,
    signal_words,
    socket_words,
    sockets_words,
    titled,
)

FieldValue = str | int | bool
Fields = Mapping[str, FieldValue]


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a row: the type of its value, and what it means."""

    type: type
    meaning: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row. `key` tells it from the others of its kind, and stays while its fields change."""

    key: str
    fields: Fields


@dataclass(frozen=True, slots=True)
class RowKind:
    """A kind of rows: the word its fields go by in a template (`{box.name}`), and the fields."""

    word: str
    fields: Mapping[str, Field]
    make: Callable[[Checked], Iterator[Row]]


def rows_of(kind: str, checked: Checked) -> list[Row]:
    """Return the rows of one kind, in the order that they are walked."""
    return list(ROW_KINDS[kind].make(checked))


# -- words -----------------------------------------------------------------------------------------------------


def _chain_boxes(resolved: ResolvedRig) -> Iterator[ChainBox]:
    for chain in resolved.chains.values():
        yield from chain.boxes
        yield from chain.lost


def _boxes(checked: Checked) -> Iterator[Row]:
    resolved = checked.resolved
    met = set()
    for box in _chain_boxes(resolved):
        met.add(box.device)
        yield _box(resolved.rig.devices[box.device], box, box.device in resolved.boxes)
    for device in resolved.rig.boxes:
        if device.name not in met:
            yield _box(device, None, False)


def _box(device: Device, box: ChainBox | None, reached: bool) -> Row:
    near = next((end for end in box.cable.ends if end.device == device.name), None) if box else None
    outputs, inputs = device.model.outputs, device.model.inputs
    slots = list(box.input_slots) if box else []
    fields: dict[str, FieldValue] = {
        "name": device.name,
        "title": titled(device.label or device.name, device.location),
        "location": device.location,
        "model": device.model.name,
        "reached": reached,
        "position": box.position if box else 0,
        "link": str(box.link) if box else "",
        "cable": line(box.cable.label or box.cable.name) if box else "",
        "fed_from": str(box.cable.other(near)) if box and near else "",
        "feed_port": near.name if near else "upstream",
        "input_slots": spans(slots),
        "has_input_slots": bool(slots),
        "bank": dashed(device.output_bank),
        "has_bank": outputs.by_selector and device.output_bank is not None,
        "input_bank": dashed(device.input_bank),
        "has_input_bank": inputs.by_selector and device.input_bank is not None,
    }
    return Row(device.name, fields)


def _consoles(checked: Checked) -> Iterator[Row]:
    for device in checked.resolved.rig.consoles:
        title = titled(device.label or device.name, device.location)
        yield Row(device.name, {"name": device.name, "title": title, "location": device.location})


def _circuits(checked: Checked) -> Iterator[Row]:
    rig = checked.resolved.rig
    for circuit in rig.circuits.values():
        fed = [device.name for device in rig.devices.values() if device.circuit == circuit.name]
        fields: dict[str, FieldValue] = {
            "name": circuit.name,
            "title": titled(f"Circuit {circuit.name}", circuit.location),
            "location": circuit.location,
            "volts": f"{circuit.volts:g} V" if circuit.volts is not None else "",
            "breaker": f"{circuit.breaker_a:g} A" if circuit.breaker_a is not None else "",
            "residual_current_device": circuit.residual_current_device is True,
            "may_have_residual_current_device": circuit.residual_current_device is not False,
            "devices": ", ".join(fed),
            "has_devices": bool(fed),
        }
        yield Row(circuit.name, fields)


def _sources(checked: Checked) -> Iterator[Row]:
    """Every plug, by box along the chain and by socket: the way one walks along the stage."""
    resolved = checked.resolved
    places = [box.device for box in _chain_boxes(resolved)]
    places += [name for name in resolved.rig.devices if name not in places]
    rows = [
        ((places.index(socket.device), socket.number), source, index, socket)
        for source in resolved.rig.sources.values()
        for index, socket in enumerate(source.sockets)
    ]
    rows.sort(key=lambda row: row[0])
    for _, source, index, socket in rows:
        yield Row(source.name + (f"/{index + 1}" if index else ""), _source_fields(resolved, source, socket))


def _phantom_sources(checked: Checked) -> Iterator[Row]:
    for row in _sources(checked):
        if row.fields["needs_phantom"] and "/" not in row.key:
            yield row


def _wireless(checked: Checked) -> Iterator[Row]:
    for row in _sources(checked):
        if row.fields["kind"] == "wireless-receiver" and "/" not in row.key:
            yield row


def _source_fields(resolved: ResolvedRig, source: Source, socket: Socket) -> Fields:
    channels = channels_words(resolved, resolved.carriers_of.get(source.name, []))
    return {
        "name": source.name,
        "title": line(source.label or source.name),
        "kind": source.kind,
        "kind_words": source.kind.replace("-", " ").replace(" di", " DI"),
        "socket": str(socket),
        "socket_words": socket_words(socket),
        "box": socket.device,
        "needs_phantom": source.needs_phantom,
        "channels": channels,
        "has_channel": bool(channels),
    }


def _channels(checked: Checked) -> Iterator[Row]:
    resolved = checked.resolved
    several = len(resolved.rig.consoles) > 1
    order = {console.name: index for index, console in enumerate(resolved.rig.consoles)}
    for channel in sorted(resolved.rig.channels.values(), key=lambda one: (order[one.console], one.number)):
        carries = channel.carries
        source = resolved.rig.sources[carries] if isinstance(carries, str) else None
        patched = channel.patched_from
        socket = resolved.arrivals[channel.console, channel.number].socket
        words = resolved.rig.channel_words(channel)
        fields: dict[str, FieldValue] = {
            "number": channel.number,
            "label": channel.label,
            "title": line(words[:1].upper() + words[1:]),
            "console": channel.console,
            "patched_from": str(patched) if patched is not None else "",
            "is_patched": patched is not None,
            "from_socket": socket_words(socket) if socket else "",
            "carries": line(source.label or source.name) if source else str(carries or ""),
            "carries_source": source is not None,
            "carries_return": isinstance(carries, Return),
            "phantom": "on" if channel.phantom == "on" else "off",
        }
        yield Row(f"{channel.console}/{channel.number}" if several else str(channel.number), fields)


def _monitors(checked: Checked) -> Iterator[Row]:
    for destination in checked.resolved.rig.destinations.values():
        if destination.kind in MONITOR_DESTINATIONS:
            fields = _destination_fields(destination, destination.sockets, expected_words(destination))
            yield Row(destination.name, {**fields, "on_ears": destination.kind != "wedge"})


def _loudspeakers(checked: Checked) -> Iterator[Row]:
    """House loudspeakers one at a time: a row for every output that drives one."""
    for destination in checked.resolved.rig.destinations.values():
        if destination.kind not in HOUSE_LOUDSPEAKERS:
            continue
        for index, socket in enumerate(destination.sockets):
            mix = signal_words(destination.expects[index]) if destination.expects else ""
            key = destination.name + (f"/{index + 1}" if index else "")
            yield Row(key, _destination_fields(destination, (socket,), mix))


def is_other(destination: Destination) -> bool:
    """Whether what hangs on an output is neither a loudspeaker of the house nor a performer's: a recorder, a loop."""
    return destination.kind not in HOUSE_LOUDSPEAKERS | MONITOR_DESTINATIONS


def _other_destinations(checked: Checked) -> Iterator[Row]:
    """Whatever else hangs on an output: no performer and no loudspeaker of the house tells that it is dead."""
    for destination in checked.resolved.rig.destinations.values():
        if is_other(destination):
            fields = _destination_fields(destination, destination.sockets, expected_words(destination))
            yield Row(destination.name, fields)


def _destination_fields(destination: Destination, sockets: tuple[Socket, ...], mix: str) -> Fields:
    return {
        "name": destination.name,
        "title": titled(destination.label or destination.name, destination.location),
        "kind": destination.kind,
        "location": destination.location,
        "socket_words": sockets_words(sockets),
        "mix": mix,
        "has_mix": bool(mix),
    }


def _cautions(checked: Checked) -> Iterator[Row]:
    rows = (row for row in checked.findings if row.weight is Severity.CAUTION and row.waived is None)
    for key, finding in _keyed(rows):
        message = line(finding.message).rstrip(".")
        yield Row(key, {"rule": finding.rule, "about": finding.about, "message": message})


def _waivers(checked: Checked) -> Iterator[Row]:
    """Every finding that somebody accepts today."""
    for key, finding in _keyed(row for row in checked.findings if row.waived is not None):
        words = line(finding.waived.words) if finding.waived else ""
        fields: Fields = {
            "rule": finding.rule,
            "about": finding.about,
            "words": words,
            "message": line(finding.message),
        }
        yield Row(key, fields)


def _keyed(findings: Iterable[Finding]) -> Iterator[tuple[str, Finding]]:
    """Yield findings with a key each, by rule and address, numbered where there are several of one."""
    met: dict[str, int] = {}
    for finding in findings:
        name = f"{finding.rule}/{finding.about}"
        met[name] = met.get(name, 0) + 1
        yield name if met[name] == 1 else f"{name}/{met[name]}", finding


# -- what a template may use -----------------------------------------------------------------------------------


def _text(meaning: str) -> Field:
    return Field(str, meaning)


def _flag(meaning: str) -> Field:
    return Field(bool, meaning)


def _whole(meaning: str) -> Field:
    return Field(int, meaning)


_BOX = {
    "name": _text("its name in the rig file"),
    "title": _text("its label or name, with its location"),
    "location": _text("where it stands"),
    "model": _text("its model"),
    "reached": _flag("whether a console reaches it by the rig file"),
    "position": _whole("its place on the chain, counted from 1 at the console; 0 where no console reaches it"),
    "link": _text("the console's link port that its chain hangs on"),
    "cable": _text("the link cable that feeds it"),
    "fed_from": _text("the port at the other end of that cable"),
    "feed_port": _text("the port of its own that the feed arrives at"),
    "input_slots": _text("the link slots of its inputs, such as 1–16"),
    "has_input_slots": _flag("whether its inputs have slots"),
    "bank": _text("the position of its output bank selector, such as 1–8"),
    "has_bank": _flag("whether it has an output bank selector and the rig file states its position"),
    "input_bank": _text("the position of its input bank selector"),
    "has_input_bank": _flag("whether it has an input bank selector and the rig file states its position"),
}
_CONSOLE = {
    "name": _text("its name in the rig file"),
    "title": _text("its label or name, with its location"),
    "location": _text("where it stands"),
}
_CIRCUIT = {
    "name": _text("its name in the rig file"),
    "title": _text("Circuit and its name, with its location"),
    "location": _text("where it is"),
    "volts": _text("its nominal voltage with the unit"),
    "breaker": _text("its breaker's rating with the unit"),
    "residual_current_device": _flag("whether the rig file says that a residual-current device guards it"),
    "may_have_residual_current_device": _flag("whether the rig file says so, or does not say that there is none"),
    "devices": _text("the devices that it feeds by the rig file"),
    "has_devices": _flag("whether it feeds any"),
}
_SOURCE = {
    "name": _text("its name in the rig file"),
    "title": _text("its label or name"),
    "kind": _text("its kind as the rig file writes it, such as ribbon-microphone"),
    "kind_words": _text("its kind in words"),
    "socket": _text("the address of the socket it is plugged into"),
    "socket_words": _text("that socket in words, such as west-box, input 3"),
    "box": _text("the device it is plugged into"),
    "needs_phantom": _flag("whether it is silent without phantom power"),
    "channels": _text("the channels that are meant to carry it"),
    "has_channel": _flag("whether any is"),
}
_CHANNEL = {
    "number": _whole("its number"),
    "label": _text("what is written on it"),
    "title": _text("Channel, its number and label, and its console where there are several"),
    "console": _text("its console"),
    "patched_from": _text("the address that the console takes it from"),
    "is_patched": _flag("whether it is patched from anywhere"),
    "from_socket": _text("the socket that arrives on it, in words"),
    "carries": _text("what it is meant to carry"),
    "carries_source": _flag("whether that is a source on stage"),
    "carries_return": _flag("whether that is an effects return"),
    "phantom": _text("on or off, as the rig file states it; off where it does not"),
}
_DESTINATION = {
    "name": _text("its name in the rig file"),
    "title": _text("its label or name, with its location"),
    "kind": _text("its kind as the rig file writes it, such as wedge"),
    "location": _text("where it stands"),
    "socket_words": _text("the output that feeds it, in words"),
    "mix": _text("the mix that it is meant to carry"),
    "has_mix": _flag("whether the rig file states one"),
}
_WAIVER = {
    "rule": _text("the rule whose finding is accepted"),
    "about": _text("the rig address that the finding is about"),
    "words": _text("by whom and until when it is accepted and why, and what is done instead"),
    "message": _text("what the finding says"),
}
_CAUTION = {
    "rule": _text("the rule that gives it"),
    "about": _text("the rig address that it is about"),
    "message": _text("what it says"),
}
ROW_KINDS: Mapping[str, RowKind] = {
    "boxes": RowKind("box", _BOX, _boxes),
    "consoles": RowKind("console", _CONSOLE, _consoles),
    "circuits": RowKind("circuit", _CIRCUIT, _circuits),
    "sources": RowKind("source", _SOURCE, _sources),
    "phantom_sources": RowKind("source", _SOURCE, _phantom_sources),
    "channels": RowKind("channel", _CHANNEL, _channels),
    "monitors": RowKind("monitor", {**_DESTINATION, "on_ears": _flag("whether it is worn on the ears")}, _monitors),
    "loudspeakers": RowKind("loudspeaker", _DESTINATION, _loudspeakers),
    "other_destinations": RowKind("destination", _DESTINATION, _other_destinations),
    "wireless": RowKind("source", _SOURCE, _wireless),
    "cautions": RowKind("caution", _CAUTION, _cautions),
    "waivers": RowKind("waiver", _WAIVER, _waivers),
}
