"""A long mains cable loses more volts than it should."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Limit, ResolvedRig, rule
from lint.formula.limit import exceeds
from lint.formula.mains import drop_v
from lint.resolve.circuits import drawn_a, on_circuit
from lint.resolve.mixup import nested
from lint.resolve.run import LOST_SHARE, Conductor, conductor_of, of_awg, of_mm2
from lint.rig.plant import Circuit, Run
from lint.rules._power import ENDING, SAFETY, beside, number

_WHY = """\
At the end of a long thin cable the volts sink with every loud passage: amplifiers clip early, and consoles and boxes
start again in the middle of the show. The cable warms by just what it loses. Counted for stranded copper at the stated
temperature of the conductor, this cable alone, with all loads of the circuit at its end; cold copper loses less. The 5 %
are for all the way from the supply, so the building's own wiring, which the rig does not state, takes its part of them."""

# IEC 60228, from memory; of AWG sizes those that cables are sold in.
SIZES_MM2 = (0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0)
SIZES_AWG = (18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0)


@rule(
    title="A long mains cable loses more volts than it should",
    severity="caution",
    family="power",
    why=_WHY,
    do="Take a thicker or shorter cable, or move loads to a circuit that ends nearer.",
    source=(
        "5 % in all: advice of the NEC (note to 210.19) and, for other than lighting, of BS 7671 (appendix 4), by "
        "secondary pages; copper by IEC 60028, AWG by ASTM B258, stranding by IEC 60228, from memory"
    ),
    good=[
        "power: {circuits: {stage: {volts: 230, loads: {rack: {watts: 2000}}, run: {length_m: 30, conductor_mm2: 2.5}}}}",
        "power: {circuits: {stage: {volts: 230, loads: {rack: {watts: 2000}}, run: {length_m: 500}}}}",
    ],
    bad=[
        Bad(
            "power: {circuits: {stage: {volts: 230, loads: {rack: {watts: 3000}}, run: {length_m: 60, conductor_mm2: 1.5}}}}",
            (
                "the circuit stage loses 24.97 V of its 230 V, 10.86 %, over 60 m of 1.5 mm² copper at 70 °C with 13.04 A; "
                "5 % is the limit. Local electrical codes and a licensed electrician decide.",
            ),
        ),
        Bad(
            "power: {circuits: {stage: {volts: 120, loads: {rack: {watts: 1800}}, run: {length_m: 30, conductor_awg: 14, conductor_temperature_c: 40}}}}",
            (
                "the circuit stage loses 8.24 V of its 120 V, 6.87 %, over 30 m of 14 AWG copper at 40 °C with 15 A; 5 % "
                "is the limit. Local electrical codes and a licensed electrician decide.",
            ),
        ),
    ],
    limits={
        "share": Limit(
            LOST_SHARE, "", "share of the nominal volts that a run may lose before a person must look", 0.005, 0.1
        )
    },
    safety=SAFETY,
)
def check(rig: ResolvedRig, share: float) -> Iterator[Finding]:
    """Yield one finding a run that loses too much; silent where volts, length, size or all watts are not stated."""
    for circuit in rig.rig.circuits.values():
        conductor = conductor_of(circuit.run) if circuit.run else None
        if circuit.run is None or conductor is None or circuit.volts is None:
            continue
        amperes = drawn_a(on_circuit(rig, circuit), circuit.volts)
        lost_v = drop_v(amperes, circuit.run.length_m, conductor.ohm_per_m)
        if not exceeds(lost_v, share * circuit.volts):
            continue
        yield Finding(
            f"the circuit {circuit.name} loses {number(lost_v)} V of its {circuit.volts:g} V, "
            f"{beside(lost_v / circuit.volts * 100, share * 100)} %, over {circuit.run.length_m:g} m of {conductor.words} copper at "
            f"{circuit.run.conductor_temperature_c:g} °C with {number(amperes)} A; {number(share * 100)} % is the limit.{ENDING}",
            (rig.place((*circuit.trail, "run"), circuit.name),),
            _cures(circuit, circuit.run, conductor, amperes, share * circuit.volts),
            {
                "lost_v": round(lost_v, 2),
                "lost_share": round(lost_v / circuit.volts, 4),
                "limit_share": share,
                "amperes": round(amperes, 2),
                "length_m": circuit.run.length_m,
                "conductor_temperature_c": circuit.run.conductor_temperature_c,
            },
        )


def _cures(circuit: Circuit, run: Run, stated: Conductor, amperes: float, allowed_v: float) -> tuple[Cure, ...]:
    """Offer the thinnest size that would do, and the longest run of the stated one."""
    by_mm2 = stated.key == "conductor_mm2"
    sizes = [of_mm2(run, mm2) for mm2 in SIZES_MM2] if by_mm2 else [of_awg(run, awg) for awg in SIZES_AWG]
    cures = []
    for size in sizes:
        if drop_v(amperes, run.length_m, size.ohm_per_m) <= allowed_v:
            change = nested((*circuit.trail, "run", stated.key), size.size)
            cures.append(Cure(f"take a cable of {size.words} copper, or thicker, for {circuit.name}", change))
            break
    longest_m = int(allowed_v / drop_v(amperes, 1, stated.ohm_per_m))
    if longest_m >= 1:
        text = f"keep the cable of {circuit.name} to {longest_m} m, or move loads to a circuit that ends nearer"
    else:
        text = f"move loads from {circuit.name} to a circuit that ends nearer"
    return (*cures, Cure(text))
