"""A patch sheet for each stage box, in the order of its sockets; and the console's own sockets in the same form."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.page.page import CARE, Block, Line, Section, Table, Words
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Signal, Socket, spans
from lint.rig.dead import dead_note
from lint.rig.plant import Amplifier
from lint.rig.rig import Channel, Destination, Device
from lint.sheet.marks import Marks
from lint.sheet.names import bank_words, channel_short, kind_words, plug_words, slot_words, source_words, title
from lint.sheet.phantom import PHANTOM_LEGEND, phantom_at
from lint.sheet.truth import DIFFERS, DIFFERS_LEGEND, departure_truth, is_extra, plug_truth

INPUTS = ("input", "plug in", "kind", "cable", "slot", "channel", "meant for", "48 V", "see")
# Before everything that hands do by these sheets.
PLUGGING = Words(
    "",
    (
        f"{CARE}: Mute, turn the monitors down, switch phantom power off and wait ten seconds before anything is "
        "plugged or unplugged: a hot plug sends a bang to loudspeakers and ears, and may kill a microphone.",
    ),
)
OUTPUTS = ("output", "goes to", "where", "cable", "slot", "carries", "needs", "see")


def box_sections(rig: ResolvedRig, marks: Marks) -> Iterator[Section]:
    """Yield one section a box in the order of the chains, boxes that no console reaches last."""
    for name in in_chain_order(rig):
        if rig.device(name).model.chain is not None:
            yield _section(rig, rig.device(name), marks)


def in_chain_order(rig: ResolvedRig) -> list[str]:
    """Return all devices: the consoles, then the boxes as the chains go, those that no console reaches last."""
    reached = [box.device for chain in rig.chains.values() for box in (*chain.boxes, *chain.lost)]
    names = [*(row.name for row in rig.rig.consoles), *reached, *(row.name for row in rig.rig.boxes)]
    return list(dict.fromkeys(names))


def console_sockets(rig: ResolvedRig, marks: Marks) -> Iterator[Table]:
    """Yield what is plugged into the consoles themselves: only the sockets in use, a console has many."""
    for console in rig.rig.consoles:
        rows = [(row, row[1]) for row in _inputs(rig, console, marks)]
        if used := tuple(row for row, name in rows if name):
            title_, note = f"{console.name}: its own inputs", legend(used, PHANTOM_LEGEND)
            yield Table(title_, INPUTS, used, note, console.name, tick=True)
        out = tuple(row for row in _outputs(rig, console, marks) if row[1] or row[5])
        if out:
            yield Table(f"{console.name}: its own outputs", OUTPUTS, out, legend(out), console.name, tick=True)


def legend(rows: Iterable[tuple[str, ...]], *notes: str) -> str:
    """Return the notes below a table, with what `≠` stands for where it is in a cell."""
    has_difference = any(DIFFERS in cell for row in rows for cell in row)
    return " ".join(filter(None, (*notes, DIFFERS_LEGEND if has_difference else "")))


def _section(rig: ResolvedRig, device: Device, marks: Marks) -> Section:
    blocks: list[Block] = [PLUGGING, Line("", _setting(rig, device, marks), _place(rig, device, marks))]
    inputs = tuple(_inputs(rig, device, marks))
    outputs = tuple(_outputs(rig, device, marks))
    if inputs:
        note = legend(inputs, _group_note(device), PHANTOM_LEGEND)
        blocks.append(Table("Inputs", INPUTS, inputs, note, device.name, tick=True))
    if outputs and not any(any(row[1:]) for row in outputs):
        blocks.append(Words("Outputs", (), "Nothing hangs on its outputs, and nothing is sent there."))
    elif outputs:
        blocks.append(Table("Outputs", OUTPUTS, outputs, legend(outputs), device.name, tick=True))
    return Section("boxes", title(device), tuple(blocks))


def _setting(rig: ResolvedRig, device: Device, marks: Marks) -> tuple[tuple[str, str], ...]:
    values = []
    if device.model.outputs.by_selector:
        values.append(("Output selector", bank_words(device.output_bank) or "not stated"))
    if device.model.inputs.by_selector:
        values.append(("Input selector", bank_words(device.input_bank) or "not stated"))
    place = rig.boxes.get(device.name)
    if place is not None:
        slots = spans(list(place.input_slots)) if place.input_slots else "none"
        values += [("Box on the chain", str(place.position)), ("Inputs arrive on slots", slots)]
    found = marks.at(device.name)
    return (*values, ("See", found)) if found else tuple(values)


def _place(rig: ResolvedRig, device: Device, marks: Marks) -> str:
    parts = [device.model.title]
    place = rig.boxes.get(device.name)
    if place is None:
        parts.append(rig.why_unreached(device.name, "it"))
    else:
        cable = place.cable
        near = next((end for end in cable.ends if end.device != device.name), cable.ends[0])
        label = f" ({cable.label})" if cable.label else ""
        see = marks.at(cable.name)
        parts.append(f"fed from {near} by the cable {cable.name}{label}" + (f" [{see}]" if see else ""))
    if device.circuit:
        parts.append(f"circuit {device.circuit}")
    return "; ".join(parts) + "."


def _group_note(device: Device) -> str:
    sockets = device.model.inputs
    if sockets.phantom != "groups":
        return ""
    return f"Phantom power is switched for {sockets.phantom_group_size} inputs together."


def _inputs(rig: ResolvedRig, device: Device, marks: Marks) -> Iterator[tuple[str, ...]]:
    for number in _numbers(rig, device, "in"):
        socket = Socket(device.name, "in", number)
        names = rig.sources_in.get(socket, [])
        sources = [rig.rig.sources[name] for name in names]
        slot = rig.slot_of.get(socket)
        arrivals = [arrival for arrival in rig.arrivals.values() if arrival.socket == socket]
        channels = [arrival.channel for arrival in arrivals]
        truth = plug_truth(rig, socket, sources, channels)
        where = slot_words(slot) if rig.has_socket(socket) else "no such socket"
        note = dead_note(rig.rig.dead.values(), socket)
        dead = f"DEAD ({note})" if note else ""
        if not (names or channels or dead):
            yield (str(number), *("",) * (len(INPUTS) - 1))
            continue
        yield (
            str(number),
            "; ".join(filter(None, (dead, " and ".join(map(source_words, sources))))) or "nothing",
            " and ".join(dict.fromkeys(kind_words(source.kind) for source in sources)),
            " and ".join(filter(None, (source.cable for source in sources))),
            where,
            ", ".join(_taking(rig, channel, names) for channel in channels if not dead) or truth.real,
            "" if truth.is_right else truth.instead,
            phantom_at(rig, socket, sources, channels, truth, marks),
            marks.see(truth),
        )


def _taking(rig: ResolvedRig, channel: Channel, names: list[str]) -> str:
    """Return a channel that takes a socket, marked where it is meant for something that is not plugged in there."""
    return (f"{DIFFERS} " if names and is_extra(channel, names) else "") + channel_short(rig, channel)


def _outputs(rig: ResolvedRig, device: Device, marks: Marks) -> Iterator[tuple[str, ...]]:
    hanging: dict[Socket, list[tuple[Destination | Amplifier, Signal | None]]] = {}
    for plug, socket, wanted in output_plugs(rig):
        hanging.setdefault(socket, []).append((plug, wanted))
    for number in _numbers(rig, device, "out"):
        socket = Socket(device.name, "out", number)
        departure = rig.departure(socket)
        hung = hanging.get(socket, ())
        rows = [row for row, _ in hung]
        destinations = [row for row in rows if isinstance(row, Destination)]
        truth = departure_truth(rig, rows, departure, [wanted for _, wanted in hung if wanted])
        carried = truth.real if rows or departure.signal else ""
        yield (
            str(number),
            " and ".join(map(plug_words, rows)),
            " and ".join(dict.fromkeys(row.location for row in destinations if row.location)),
            " and ".join(row.cable for row in destinations if row.cable),
            slot_words(departure.slot) if carried else "",
            carried,
            truth.instead,
            marks.see(truth) if rows else "",
        )


def output_plugs(rig: ResolvedRig) -> Iterator[tuple[Destination | Amplifier, Socket, Signal | None]]:
    """Yield all that hangs on outputs, with the socket and what it expects there; amplifiers last."""
    for destination, departure, wanted in rig.outputs():
        yield destination, departure.socket, wanted
    for amplifier in rig.rig.amplifiers.values():
        for index, socket in enumerate(amplifier.sockets):
            yield amplifier, socket, amplifier.expects[index] if amplifier.expects else None


def _numbers(rig: ResolvedRig, device: Device, side: str) -> list[int]:
    """Return the sockets of a side, and any beyond them that the rig file uses all the same."""
    sockets = device.model.inputs if side == "in" else device.model.outputs
    used = rig.sources_in if side == "in" else {socket for _, socket, _ in output_plugs(rig)}
    named = {socket.number for socket in used if socket.device == device.name and socket.side == side}
    return sorted({*range(1, sockets.count + 1), *named})
