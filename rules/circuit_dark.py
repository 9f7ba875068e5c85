"""A circuit is said to be dark, and something that the show needs hangs on it."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.circuits import Hung, may_take, on_circuit
from lint.resolve.dark import gone_with, way_of
from lint.rig.plant import Amplifier, Circuit
from lint.rig.rig import Destination, is_driven
from lint.rules._cabling import joined
from lint.rules._halves import halves_of, halves_words
from lint.rules._power import ENDING, SAFETY, move
from lint.rules._words import Lost, lost_with, lost_words

_WHY = """\
What has no mains is silent however well it is plugged and patched: a loudspeaker, an amplifier with all that it drives, a
stage box, the console itself. A plan that carries on without a circuit is no go as long as something that was to be heard
still hangs on it."""


@rule(
    title="Something that the show needs hangs on a circuit that is dark",
    severity="no-go",
    family="power",
    why=_WHY,
    do="Feed it from a circuit that lives and has room, do without it on purpose, or have the circuit brought back.",
    good=[
        "power: {circuits: {porch: {volts: 230, dark: true}}}",
        "devices: {west-box: {circuit: stage}}\npower: {circuits: {stage: {dark: false}}}",
    ],
    bad=[
        Bad(
            "destinations: {house-left: {circuit: porch}}\npower: {circuits: {porch: {dark: true}}}",
            (
                "the circuit porch is dark, so house-left is without mains and silent. Local electrical codes and a "
                "licensed electrician decide.",
            ),
        ),
        Bad(
            "devices: {desk: {circuit: back}}\n"
            "amplifiers: {bar: {circuit: back, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}\n"
            "power: {circuits: {back: {dark: true}}}",
            (
                "the circuit back is dark, so desk and bar are without mains and silent, and nothing reaches west-box and "
                "east-box. Silent: lead-vocal (channel 1), choir (channel 2), piano (channel 3). Dead outputs: "
                "singer-wedge, house-left, house-right. Local electrical codes and a licensed electrician decide.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a dark circuit that something needed hangs on; a box with nothing in it is not needed."""
    for circuit in rig.rig.circuits.values():
        hung = [
            entry for entry in on_circuit(rig, circuit) if not entry.own and _is_needed(rig, circuit, entry.address)
        ]
        if not circuit.dark or not hung:
            continue
        names = [entry.address for entry in hung]
        amplifiers = [name for name in names if name in rig.rig.amplifiers]
        yield Finding(
            f"the circuit {circuit.name} is dark, so {_told(rig, circuit.name, names, amplifiers)}{ENDING}",
            (
                rig.place(circuit.trail, circuit.name, at_key=True),
                *(rig.place(entry.load.trail, entry.address, at_key=True) for entry in hung),
            ),
            _cures(rig, circuit, hung),
            {"without_mains": len(names)},
            members=tuple(names),
            # What an amplifier without mains is sent is of no use to anybody.
            explains=frozenset(("amplifier-input-wrong", name) for name in amplifiers),
        )


def _is_needed(rig: ResolvedRig, circuit: Circuit, name: str) -> bool:
    """Whether the show misses it: a box only by what is plugged into it and is not dark itself."""
    device = rig.rig.devices.get(name)
    if device is None or device.model.chain is None:
        return True
    plugged = {socket.device for source in rig.rig.sources.values() for socket in source.sockets}
    hung: list[Destination | Amplifier] = [*rig.rig.destinations.values(), *rig.rig.amplifiers.values()]
    plugged |= {socket.device for entry in hung if entry.circuit != circuit.name for socket in entry.sockets}
    return any(name in way_of(rig, behind) for behind in plugged)


def _told(rig: ResolvedRig, circuit: str, names: list[str], amplifiers: list[str]) -> str:
    """Say what has no mains, and all that is silent with it."""
    driven = _driven_by(rig, amplifiers)
    verb = "is" if len(names) == 1 else "are"
    words: str = f"{joined(names)} {verb} without mains and silent{_driven(driven, amplifiers)}"
    gone = gone_with(rig, circuit)
    behind = [name for name in gone if rig.rig.devices[name].circuit != circuit]
    words += f", and nothing reaches {joined(behind)}." if behind else "."
    lost = lost_with(rig, gone)
    dead = tuple(row for row in lost.destinations if row.name not in (*names, *driven))
    words += lost_words(rig, Lost(lost.sources, dead)) + halves_words(rig, halves_of(rig, gone), gone)
    return words


def _driven_by(rig: ResolvedRig, amplifiers: list[str]) -> list[str]:
    fed = {socket for name in amplifiers for socket in rig.rig.amplifiers[name].sockets}
    return [row.name for row in rig.rig.destinations.values() if is_driven(row) and fed.intersection(row.sockets)]


def _driven(rows: list[str], amplifiers: list[str]) -> str:
    """Say which loudspeakers hang on amplifiers without mains."""
    whom = "it" if len(amplifiers) == 1 else "them"
    return f", and so {'is' if len(rows) == 1 else 'are'} {joined(rows)} with {whom}" if rows else ""


def _cures(rig: ResolvedRig, dark: Circuit, hung: list[Hung]) -> tuple[Cure, ...]:
    names = joined(entry.address for entry in hung)
    for other in rig.rig.circuits.values():
        if other != dark and may_take(rig, other, hung):
            return (Cure(f"feed {names} from {other.name} if a lead gets there", move(rig, hung, other)),)
    return (Cure(f"feed {names} from a circuit that lives and has room, or do without on purpose"),)
