"""What the rest of the crew needs: selectors, monitor mixes by performer, the circuit plan and socket labels."""

from __future__ import annotations

from collections.abc import Iterator

from lint.page.page import Label, Labels, Line, Section, Table
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.plant import Circuit
from lint.rig.rig import MONITOR_DESTINATIONS, Destination, Mix
from lint.sheet.marks import Marks
from lint.sheet.names import bank_words, kind_words, sockets_short

SENDS = ("channel", "label", "carries", "level dB", "taken")
CIRCUITS = ("circuit", "where", "supply", "residual-current device", "what hangs on it", "stated load", "see")
WHO_DECIDES = "This plan repeats what the rig file says; local electrical codes and a licensed electrician decide."


def selector_line(rig: ResolvedRig) -> Line | None:
    """Return the selector positions of all boxes on one big line, or None where no box has any."""
    values = []
    for box in rig.rig.boxes:
        if box.model.outputs.by_selector:
            values.append((f"{box.name} output", bank_words(box.output_bank) or "not stated"))
        if box.model.inputs.by_selector:
            values.append((f"{box.name} input", bank_words(box.input_bank) or "not stated"))
    return Line("Selectors stand at", tuple(values)) if values else None


def monitor_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return what each performer is meant to hear, one table a monitor, or None where nobody has one."""
    monitors = [row for row in rig.rig.destinations.values() if row.kind in MONITOR_DESTINATIONS]
    tables = tuple(_monitor(rig, destination, marks) for destination in monitors)
    return Section("monitors", "Monitor mixes by performer", tables) if tables else None


def _monitor(rig: ResolvedRig, destination: Destination, marks: Marks) -> Table:
    name = destination.label or destination.name
    where = f", {destination.location}" if destination.location else ""
    wanted = " and ".join(dict.fromkeys(str(signal) for signal in destination.expects))
    sockets = sockets_short(destination.sockets)
    note = [f"{kind_words(destination.kind).capitalize()} on {sockets}, mix {wanted or 'not stated'}."]
    rows: list[tuple[str, ...]] = []
    for mix_name in dict.fromkeys(signal.name for signal in destination.expects if signal.kind == "mix"):
        mix = rig.rig.mixes[mix_name]
        rows += _sends(rig, mix)
        if mix.takes:
            note.append(f"It also takes {', '.join(map(str, mix.takes))}.")
    found = marks.at(destination.name, *destination.sockets)
    note += [f"See {found}."] if found else []
    return Table(f"{name}{where}", SENDS, tuple(rows), " ".join(note), destination.name)


def _sends(rig: ResolvedRig, mix: Mix) -> Iterator[tuple[str, ...]]:
    for number, send in sorted(mix.sends.items()):
        channel = rig.rig.channels[mix.console, number]
        level = "" if send.level_db is None else (f"{send.level_db:+g}" if send.level_db else "0")
        yield str(number), channel.label, str(channel.carries or ""), level, (send.tap or "").replace("-", " ")


def circuit_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return the mains circuits with what hangs on each, or None where the rig speaks of none."""
    rows = tuple(_circuit(rig, circuit, marks) for circuit in rig.rig.circuits.values())
    table = Table("", CIRCUITS, rows, WHO_DECIDES)
    return Section("circuits", "Circuit plan", (table,)) if rows else None


def _circuit(rig: ResolvedRig, circuit: Circuit, marks: Marks) -> tuple[str, ...]:
    rig_rows = rig.rig
    loads = [row.load for row in rig_rows.devices.values() if row.circuit == circuit.name]
    loads += [row.load for row in rig_rows.destinations.values() if row.circuit == circuit.name]
    loads += [row.load for row in rig_rows.amplifiers.values() if row.circuit == circuit.name]
    loads += circuit.loads
    watts = [load.watts for load in loads if load.watts is not None]
    unsaid = len(loads) - len(watts)
    stated = f"{sum(watts):g} W" if watts else ""
    if unsaid:
        stated += f"{', ' if stated else ''}{unsaid} not stated"
    supply = [f"{circuit.volts:g} V" if circuit.volts else "", f"{circuit.breaker_a:g} A" if circuit.breaker_a else ""]
    guard = {True: "stated", False: "stated: none", None: "not stated"}[circuit.residual_current_device]
    place = ", ".join(filter(None, (circuit.location, "outdoors" if circuit.outdoor else "")))
    hanging = ", ".join(load.name for load in loads) or "nothing stated"
    # A wrong selector or a broken link of what hangs there is no matter of its mains.
    hung = (load.name for load in loads)
    own = marks.at(circuit.name, f"power/circuits/{circuit.name}")
    of_loads = marks.at(*hung, family="power")
    found = ", ".join(dict.fromkeys(filter(None, (*own.split(", "), *of_loads.split(", ")))))
    return circuit.name, place, ", ".join(filter(None, supply)), guard, hanging, stated, found


def label_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return labels for every socket in use, to print and cut, or None where nothing is plugged in."""
    inputs = [
        Label(
            str(socket),
            " + ".join(rig.rig.sources[name].label or name for name in names),
            _with(_channels(rig, names), _seen_at(marks, socket, names, bool(_numbers(rig, names)))),
        )
        for socket, names in sorted(rig.sources_in.items())
    ]
    outputs = [
        Label(
            str(departure.socket),
            destination.label or destination.name,
            _with(
                f"carries {departure.signal or 'nothing'}",
                _seen_at(marks, departure.socket, [destination.name], bool(departure.signal)),
            ),
        )
        for destination, departure, _ in sorted(rig.outputs(), key=lambda row: row[1].socket)
    ]
    labels = (*inputs, *outputs)
    return Section("labels", "Socket labels to cut", (Labels("", labels),)) if labels else None


def _with(words: str, see: str) -> str:
    return f"{words} — see {see}" if see else words


def _seen_at(marks: Marks, socket: Socket, names: list[str], is_heard: bool) -> str:
    """Return the findings at a socket; where nothing comes or goes, those of its whole box as well."""
    return marks.at(socket, *names, *(() if is_heard else (socket.device,)))


def _numbers(rig: ResolvedRig, names: list[str]) -> list[int]:
    return sorted({channel.number for name in names for channel in rig.channels_of.get(name, ())})


def _channels(rig: ResolvedRig, names: list[str]) -> str:
    numbers = _numbers(rig, names)
    return f"channel {', '.join(map(str, numbers))}" if numbers else "no channel"
