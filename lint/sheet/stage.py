"""What the rest of the crew needs: selectors, monitor mixes by performer, the circuit plan and socket labels."""

from __future__ import annotations

from collections.abc import Iterator

from lint.page.page import CARE, Block, Label, Labels, Line, Section, Table, Words
from lint.resolve.resolved import Departure, ResolvedRig
from lint.rig.address import Signal, Socket
from lint.rig.dead import dead_note
from lint.rig.plant import Circuit
from lint.rig.rig import MONITOR_DESTINATIONS, Destination, Mix
from lint.sheet.boxes import in_chain_order, legend
from lint.sheet.marks import Marks
from lint.sheet.names import bank_words, kind_words, sockets_short
from lint.sheet.truth import DIFFERS, Truth, arrival_truth, departure_truth, destination_truths, plug_truth

SENDS = ("channel", "label", "carries", "but arrives", "level dB", "taken", "but here", "see")
CIRCUITS = ("circuit", "where", "supply", "residual-current device", "what hangs on it", "stated load", "see")
WHO_DECIDES = (
    f"{CARE}: Mains can kill. This plan repeats what the rig file says; local electrical codes and a licensed "
    "electrician decide."
)


def selector_line(rig: ResolvedRig, marks: Marks) -> Line | None:
    """Return the selector positions of all boxes on one big line, or None where no box has any."""
    values = []
    for box in rig.rig.boxes:
        for side, sockets, bank in (
            ("output", box.model.outputs, box.output_bank),
            ("input", box.model.inputs, box.input_bank),
        ):
            if sockets.by_selector:
                found = marks.at(box.name, families=("chain", "outputs", "clock"))
                name = f"{box.name} {side}" + (f" (see {found})" if found else "")
                values.append((name, bank_words(bank) or "not stated"))
    return Line("Selectors stand at", tuple(values)) if values else None


def monitor_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return what each performer is meant to hear and really hears, a table a monitor, or None where nobody has one."""
    monitors = [row for row in rig.rig.destinations.values() if row.kind in MONITOR_DESTINATIONS]
    blocks = tuple(block for destination in monitors for block in _monitor(rig, destination, marks))
    return Section("monitors", "Monitor mixes by performer", blocks) if blocks else None


def _monitor(rig: ResolvedRig, destination: Destination, marks: Marks) -> Iterator[Block]:
    name = destination.label or destination.name
    title = name + (f", {destination.location}" if destination.location else "")
    wanted = " and ".join(dict.fromkeys(str(signal) for signal in destination.expects))
    what, sockets = kind_words(destination.kind).capitalize(), sockets_short(destination.sockets)
    note = [f"{what} on {sockets}, mix {wanted or 'not stated'}."]
    truths = destination_truths(rig, destination)
    wrong = [truth for truth in truths if not truth.is_right]
    found = marks.see(*truths)
    if wrong:
        real = " and ".join(dict.fromkeys(truth.real for truth in wrong))
        missed = " and ".join(dict.fromkeys(truth.meant for truth in wrong))
        yield Words(
            title, (f"{DIFFERS} It gets {real}, not {missed}: see {found}. Below is what it is meant to hear.",)
        )
        title = ""
    elif found:
        note.append(f"See {found}.")
    rows: list[tuple[str, ...]] = []
    for mix_name in dict.fromkeys(signal.name for signal in destination.expects if signal.kind == "mix"):
        mix = rig.rig.mixes[mix_name]
        rows += _sends(rig, mix, marks, wrong)
        if mix.takes:
            note.append(f"It also takes {', '.join(map(str, mix.takes))}.")
    yield Table(title, SENDS, tuple(rows), legend(rows, *note), destination.name)


def _sends(rig: ResolvedRig, mix: Mix, marks: Marks, wrong: list[Truth]) -> Iterator[tuple[str, ...]]:
    here = " and ".join(dict.fromkeys(truth.real for truth in wrong))
    for number, send in sorted(mix.sends.items()):
        truth = arrival_truth(rig, rig.arrivals[mix.console, number])
        label = rig.rig.channels[mix.console, number].label
        level = "" if send.level_db is None else (f"{send.level_db:+g}" if send.level_db else "0")
        tap = (send.tap or "").replace("-", " ")
        but = "" if truth.is_right else truth.real
        yield str(number), label, truth.meant, but, level, tap, here, marks.see(truth, *wrong)


def circuit_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return the mains circuits with what hangs on each, or None where the rig speaks of none."""
    rows = tuple(_circuit(rig, circuit, marks) for circuit in rig.rig.circuits.values())
    table = Table("", CIRCUITS, rows)
    return Section("circuits", "Circuit plan", (Words("", (WHO_DECIDES,)), table), joins=True) if rows else None


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
    loads_of_its_own = (f"{circuit.name}/{load.name}" for load in circuit.loads)
    own = marks.at(circuit.name, f"power/circuits/{circuit.name}", *loads_of_its_own)
    of_loads = marks.at(*hung, families=("power",))
    found = ", ".join(dict.fromkeys(filter(None, (*own.split(", "), *of_loads.split(", ")))))
    return circuit.name, place, ", ".join(filter(None, supply)), guard, hanging, stated, found


def label_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return labels for every socket in use, to print and cut, or None where nothing is plugged in."""
    order = {name: index for index, name in enumerate(in_chain_order(rig))}

    def place(socket: Socket) -> tuple[int, int]:
        return order.get(socket.device, len(order)), socket.number

    dead: dict[Socket, list[str]] = {socket: [] for row in rig.rig.dead.values() for socket in row.sockets}
    inputs = [
        _input_label(rig, marks, socket, names)
        for socket, names in sorted({**dead, **rig.sources_in}.items(), key=lambda row: place(row[0]))
    ]
    outputs = [
        _output_label(rig, marks, destination, departure, wanted)
        for destination, departure, wanted in sorted(rig.outputs(), key=lambda row: place(row[1].socket))
    ]
    labels = (*inputs, *outputs)
    return Section("labels", "Socket labels to cut", (Labels("", labels),)) if labels else None


def _input_label(rig: ResolvedRig, marks: Marks, socket: Socket, names: list[str]) -> Label:
    sources = [rig.rig.sources[name] for name in names]
    channels = [row.channel for row in rig.arrivals.values() if row.socket == socket]
    truth = plug_truth(rig, socket, sources, channels)
    if note := dead_note(rig.rig.dead.values(), socket):
        there = [f"{' and '.join(names)} must move"] if names else []
        return Label(_socket_head(rig, socket), "DEAD", _foot("; ".join((note, *there)), truth, "meant for", marks))
    real = f"channel {truth.real}" if channels else f"channel: {truth.real}"
    return Label(
        _socket_head(rig, socket),
        " + ".join(row.label or row.name for row in sources),
        _foot(real, truth, "meant for", marks),
    )


def _output_label(
    rig: ResolvedRig, marks: Marks, destination: Destination, departure: Departure, wanted: Signal | None
) -> Label:
    truth = departure_truth(rig, [destination], departure, [wanted] if wanted else [])
    name = destination.label or destination.name
    return Label(_socket_head(rig, departure.socket), name, _foot(f"carries {truth.real}", truth, "needs", marks))


def _socket_head(rig: ResolvedRig, socket: Socket) -> str:
    """Return a socket by what is written on its box, with the rig file's name behind it where that is another."""
    label = rig.device(socket.device).label
    written = f"{label} {'in' if socket.side == 'in' else 'out'} {socket.number}"
    return f"{written} ({socket})" if label and label != socket.device else str(socket)


def _foot(real: str, truth: Truth, verb: str, marks: Marks) -> str:
    """Return what is really there, what is meant where it differs, and the findings about it."""
    meant = f", {DIFFERS} {verb} {truth.meant}" if truth.meant and not truth.is_right else ""
    see = marks.see(truth._replace(also=()))  # a label is of its socket alone
    return real + meant + (f" — see {see}" if see else "")
