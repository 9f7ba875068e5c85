"""A breaker is larger than what the conductor behind it may carry."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.formula.mains import CORD_AWG_A, CORD_MM2_A, cord_awg_a, cord_mm2_a
from lint.resolve.circuits import US, drawn_a, on_circuit
from lint.resolve.mixup import nested
from lint.rig.plant import Circuit, Run
from lint.rules._power import ENDING, SAFETY, number

_WHY = """\
A breaker guards the cable behind it: one that is larger lets the cable glow before it opens. Counted as flexible cord laid
out in free air, by tables from memory; a fixed installation, a plug with a fuse of its own or a listed extension cord may
be allowed otherwise, and a cord in a bundle, on a reel or in the sun carries less."""


class _Cord(NamedTuple):
    """The conductor of a run: its key in the file, its unit, its size, what it may carry, and the thinnest that would do."""

    key: str
    unit: str
    size: float
    carries_a: int
    thicker: float | None

    @property
    def words(self) -> str:
        """The size as the crew reads it off the cable: 2.5 mm²."""
        return f"{self.size:g} {self.unit}"


@rule(
    title="A breaker is larger than what the cable behind it may carry",
    severity="caution",
    family="power",
    why=_WHY,
    do="Take a thicker cable, or a smaller breaker. Where a fuse in its own plug guards it, waive this with a reason.",
    source=(
        "from memory: common ratings of flexible cord by IEC and EN (0.75 mm² 6 A, 1 mm² 10 A, 1.5 mm² 16 A, 2.5 mm² 25 A, "
        "4 mm² 32 A); for AWG sizes NEC Table 400.5(A)(1), two conductors carrying current"
    ),
    good=[
        "power: {circuits: {stage: {breaker_a: 16, run: {length_m: 20, conductor_mm2: 1.5}}}}",
        "power: {circuits: {stage: {breaker_a: 20, run: {length_m: 20, conductor_awg: 12}}}}",
        "power: {circuits: {stage: {breaker_a: 63, run: {length_m: 20, conductor_mm2: 16}}}}",
    ],
    bad=[
        Bad(
            "power: {circuits: {stage: {breaker_a: 32, run: {length_m: 20, conductor_mm2: 2.5}}}}",
            (
                "the circuit stage has a breaker of 32 A, and flexible cord of 2.5 mm² is commonly rated 25 A (from "
                "memory). Local electrical codes and a licensed electrician decide.",
            ),
        ),
        Bad(
            "power: {jurisdiction: us, circuits: {stage: {breaker_a: 20, run: {length_m: 20, conductor_awg: 16}}}}",
            (
                "the circuit stage has a breaker of 20 A, and flexible cord of 16 AWG is commonly rated 13 A (NEC Table "
                "400.5(A)(1), from memory). Local electrical codes and a licensed electrician decide.",
            ),
        ),
    ],
    guards_people=True,
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a circuit that states its breaker and its conductor.

    A code is named only to a house that is under it.
    """
    for circuit in rig.rig.circuits.values():
        if circuit.run is None or circuit.breaker_a is None:
            continue
        cord = _cord(circuit.run, circuit.breaker_a)
        if cord is None or circuit.breaker_a <= cord.carries_a:
            continue
        by_nec = cord.key == "conductor_awg" and rig.rig.jurisdiction == US
        table = "NEC Table 400.5(A)(1), from memory" if by_nec else "from memory"
        yield Finding(
            f"the circuit {circuit.name} has a breaker of {circuit.breaker_a:g} A, and flexible cord of {cord.words} is "
            f"commonly rated {cord.carries_a} A ({table}).{ENDING}",
            (
                rig.place((*circuit.trail, "run", cord.key), circuit.name),
                rig.place((*circuit.trail, "breaker_a"), circuit.name),
            ),
            tuple(_cures(circuit, cord, drawn_a(on_circuit(rig, circuit), circuit.volts) if circuit.volts else 0.0)),
            {"breaker_a": circuit.breaker_a, "cord_a": cord.carries_a},
        )


def _cord(run: Run, breaker_a: float) -> _Cord | None:
    """Return the conductor of a run; square millimetres go before AWG, None where no table speaks of it."""
    if run.conductor_mm2 is not None:
        carries_a = cord_mm2_a(run.conductor_mm2)
        thicker = next((size for size, amperes in CORD_MM2_A.items() if amperes >= breaker_a), None)
        return None if carries_a is None else _Cord("conductor_mm2", "mm²", run.conductor_mm2, carries_a, thicker)
    if run.conductor_awg is None or (carries_a := cord_awg_a(run.conductor_awg)) is None:
        return None
    thicker = next((size for size, amperes in CORD_AWG_A.items() if amperes >= breaker_a), None)
    return _Cord("conductor_awg", "AWG", run.conductor_awg, carries_a, thicker)


def _cures(circuit: Circuit, cord: _Cord, amperes: float) -> Iterator[Cure]:
    if cord.thicker is not None:
        change = nested((*circuit.trail, "run", cord.key), cord.thicker)
        yield Cure(f"take a cable of {cord.thicker:g} {cord.unit}, or thicker, for {circuit.name}", change)
    over_a = amperes - cord.carries_a
    off = (
        f"take {number(math.ceil(round(over_a * 100, 6)) / 100)} A or more off {circuit.name}, and "
        if over_a > 0
        else ""
    )
    yield Cure(f"{off}have {circuit.name} fed from a breaker of {cord.carries_a} A or less")
