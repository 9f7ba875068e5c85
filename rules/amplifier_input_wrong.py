"""An amplifier receives another mix than it expects, or nothing."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from lint import Bad, Cure, Finding, ResolvedRig, Signal, Slot, Socket, rule
from lint.read.document import Trail
from lint.resolve.amplifiers import AmplifierInput, amplifier_inputs
from lint.resolve.mixup import feed_changes, merged, nested
from lint.rig.address import number_range
from lint.rig.rig import is_driven
from lint.rules._cabling import joined
from lint.rules._output_cures import hearers
from lint.rules._outputs import SAFETY

_WHY = """\
All the loudspeakers behind an amplifier carry what its input gets: one plug beside its place, and a whole foyer is silent
or hears the stage's monitors."""
_STOPS = {
    "not-fed": "no mix is sent to {}",
    "no-bank": "no output bank is stated for its box",
    "past-link": "the bank of its box lies past the link's slots",
    "box-lost": "no console reaches its box",
    "console-dead": "its console is dead",
}


@rule(
    title="An amplifier receives another mix than it expects, or nothing",
    severity="no-go",
    family="outputs",
    why=_WHY,
    do="Move its plug to the socket that carries its mix; send its mix to the socket it is in only where nobody else hears "
    "that.",
    good=[
        "feeds: {desk/out: {1: house.mono}}\n"
        "amplifiers: {foyer: {plugged_into: desk/out/1, expects: house.mono, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
        "amplifiers: {foyer: {plugged_into: west-box/out/1, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
    ],
    bad=[
        Bad(
            "amplifiers: {foyer: {plugged_into: desk/out/1, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
            ("the amplifier foyer (desk/out/1) receives nothing: no mix is sent to desk/out/1.",),
        ),
        Bad(
            "mixes: {choir-mon: {kind: monitor, takes: {channels: [2]}}}\n"
            "feeds: {desk/out: {1: choir-mon, 2: singer-mon}}\n"
            "amplifiers: {drums: {plugged_into: desk/out/1, expects: singer-mon, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
            ("the amplifier drums (desk/out/1) receives choir-mon instead of singer-mon.",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an amplifier, or one two plugs that are in each other's socket."""
    wrong = [row for row in amplifier_inputs(rig) if _is_wrong(rig, row)]
    by_amplifier: dict[str, list[AmplifierInput]] = {}
    for row in wrong:
        by_amplifier.setdefault(row.amplifier.name, []).append(row)
    others = _other_plugs(rig, wrong)
    told: set[str] = set()
    for name, rows in by_amplifier.items():
        if name in told:
            continue
        other = _exchanged(rows[0], others) if len(rows[0].amplifier.sockets) == 1 else None
        if other is not None:
            told.add(other.name)
        yield _finding(rig, rows, other)


class _Plug(NamedTuple):
    """Another plug in an output: whose it is, where, what it gets and what it expects."""

    name: str
    trail: Trail
    socket: Socket
    signal: Signal | None
    wanted: Signal


def _is_wrong(rig: ResolvedRig, row: AmplifierInput) -> bool:
    """Whether an input gets the wrong mix or nothing for a reason that is told nowhere else."""
    departure, device = row.departure, row.departure.socket.device
    if departure.stop in ("socket-missing", "bank-unknown"):
        return False
    if departure.stop in ("no-bank", "past-link", "box-lost"):
        return device not in rig.box_outputs
    if departure.signal is not None and row.wanted in (None, departure.signal):
        return False
    for destination in row.driven:  # what it drives says so itself
        expects = dict(zip(destination.sockets, destination.expects, strict=False)).get(departure.socket)
        if departure.signal is None or expects not in (None, departure.signal):
            return False
    return not _selector_explains(rig, row)


def _selector_explains(rig: ResolvedRig, row: AmplifierInput) -> bool:
    """Whether the selector position that puts every destination of its box right does so for this input too."""
    socket = row.departure.socket
    box = rig.boxes.get(socket.device)
    return box is not None and any(
        (feed := rig.rig.feeds.get(Slot(box.link, number_range(bank).start + socket.number - 1))) is not None
        and row.wanted in (None, feed.signal)
        for bank in rig.banks_that_fit(socket.device)
        if bank != rig.device(socket.device).output_bank
    )


def _other_plugs(rig: ResolvedRig, wrong: list[AmplifierInput]) -> dict[tuple[Signal | None, Signal], _Plug]:
    """Return the wrong plugs, of destinations and of amplifiers, by what they get and what they expect."""
    plugs = [
        _Plug(destination.name, destination.trail, departure.socket, departure.signal, wanted)
        for destination, departure, wanted in rig.outputs()
        if wanted not in (None, departure.signal) and len(destination.sockets) == 1
    ]
    plugs += [
        _Plug(row.amplifier.name, row.amplifier.trail, row.departure.socket, row.departure.signal, row.wanted)
        for row in wrong
        if row.wanted is not None and len(row.amplifier.sockets) == 1
    ]
    return {(plug.signal, plug.wanted): plug for plug in reversed(plugs)}


def _exchanged(row: AmplifierInput, others: Mapping[tuple[Signal | None, Signal], _Plug]) -> _Plug | None:
    """Return the plug that gets what this amplifier expects, and expects what this one gets."""
    gets = row.departure.signal
    return None if gets is None else others.get((row.wanted, gets))


def _finding(rig: ResolvedRig, rows: list[AmplifierInput], other: _Plug | None) -> Finding:
    amplifier = rows[0].amplifier
    message = f"the amplifier {amplifier.name} {joined(_said(rig, row) for row in rows)}"
    places = [rig.place((*amplifier.trail, "plugged_into"), amplifier.name)]
    cures = _cures(rig, rows)
    awaited = {wanted.name for _, _, wanted in rig.outputs() if wanted is not None}
    told = {("house-unheard", row.wanted.name) for row in rows if row.wanted and row.wanted.name not in awaited}
    if other is not None:
        message += f", and {other.name} ({other.socket}) receives {other.signal} instead of {other.wanted}"
        places.append(rig.place((*other.trail, "plugged_into"), other.name))
        cures = [_exchange(rows[0], other)]
        told |= {("output-carries-other", about) for about in (other.name, other.socket.device)}
    return Finding(f"{message}.", tuple(places), tuple(cures), {"inputs": len(rows)}, explains=frozenset(told))


def _exchange(row: AmplifierInput, other: _Plug) -> Cure:
    amplifier, own = row.amplifier, row.departure.socket
    change = merged(
        nested((*trail, "plugged_into"), str(socket))
        for trail, socket in ((amplifier.trail, other.socket), (other.trail, own))
    )
    return Cure(f"exchange the plugs: {amplifier.name} to {other.socket}, {other.name} to {own}", change)


def _said(rig: ResolvedRig, row: AmplifierInput) -> str:
    departure = row.departure
    if departure.signal is not None:
        return f"({departure.socket}) receives {departure.signal} instead of {row.wanted}"
    why = _STOPS[departure.stop].format(rig.sent_at(departure))
    expects = f" instead of {row.wanted}" if row.wanted else ""
    return f"({departure.socket}) receives nothing{expects}: {why}"


def _cures(rig: ResolvedRig, rows: list[AmplifierInput]) -> list[Cure]:
    amplifier, departure, wanted = rows[0].amplifier, rows[0].departure, rows[0].wanted
    points = list(dict.fromkeys(rig.sent_at(row.departure) for row in rows))
    cures = []
    if wanted is not None and len(amplifier.sockets) == 1:
        socket = _socket_carrying(rig, wanted, departure.socket.device)
        if socket is not None:
            change = nested((*amplifier.trail, "plugged_into"), str(socket))
            cures.append(Cure(f"move the plug of {amplifier.name} to {socket}", change))
        heard = {rig.sent_at(entry) for name, entry, _ in hearers(rig) if name != f"the amplifier {amplifier.name}"}
        if points[0] not in heard and departure.stop in ("", "not-fed"):
            cures.append(Cure(f"send {wanted} to {points[0]}", feed_changes(rig, {points[0]: wanted})))
    whose = joined(dict.fromkeys(row.wanted for row in rows)) if wanted else "its mix"
    return cures or [Cure(f"send {whose} to an output of its own, and plug {amplifier.name} in there")]


def _socket_carrying(rig: ResolvedRig, wanted: Signal, own: str) -> Socket | None:
    """Return a free output socket that carries a signal, on a device of its own first."""
    plugged = (row for row in rig.rig.destinations.values() if not is_driven(row))
    taken = {socket for row in plugged for socket in row.sockets}
    taken |= {socket for amplifier in rig.rig.amplifiers.values() for socket in amplifier.sockets}
    for device in (own, *rig.rig.devices):
        for number in range(1, rig.device(device).model.outputs.count + 1):
            socket = Socket(device, "out", number)
            if socket not in taken and rig.departure(socket).signal == wanted:
                return socket
    return None
