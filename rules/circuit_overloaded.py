"""A circuit carries more than its breaker is rated for, or more than may run on it for hours."""

import math
from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Severity, rule
from lint.formula.mains import CONTINUOUS_FACTOR, required_rating_a
from lint.resolve.circuits import US, Hung, Judged, amperes, is_continuous, judged, may_take, on_circuit
from lint.rig.plant import Circuit
from lint.rules._power import ENDING, SAFETY, beside, move, number
from lint.rules._words import listed

_WHY = """\
Over its rating a breaker opens sooner or later, and takes the console or the loudspeakers with it in the middle of the
show; what runs for hours heats it and the wiring more than what runs for minutes. What states no hours counts as
running for three or more, so what that alone finds is a caution, but what is stated to run so long and breaks the house's
own electrical code is a no-go as an overload is; what states no watts does not count at all, and what states no power factor counts by 1,
which is the least that it may draw. Amperes are added up as if every load drew its most at one moment."""


@rule(
    title="A circuit carries more than its breaker is rated for, or more than may run on it for hours",
    severity="no-go or caution",
    family="power",
    why=_WHY,
    do="Move loads to another circuit, or leave out what the show can do without.",
    source=(
        "the breaker's rating; under power/jurisdiction us, NEC 210.20(A): 125 % of what runs three hours or more plus "
        "100 % of the rest; elsewhere the house's own power/continuous_share"
    ),
    good=[
        "devices: {desk: {circuit: stage, watts: 250}}\npower: {circuits: {stage: {volts: 230, breaker_a: 16}}}",
        "power: {jurisdiction: us, circuits: {stage: {volts: 120, breaker_a: 20, loads: {lamps: {watts: 1920}}}}}",
        "power: {jurisdiction: us, circuits: {stage: {volts: 120, breaker_a: 20, loads: {kettle: {watts: 2400, hours: 0.1}}}}}",
    ],
    bad=[
        Bad(
            "devices: {desk: {circuit: stage, watts: 300}}\n"
            "power: {circuits: {stage: {volts: 230, breaker_a: 16, loads: {heater: {watts: 3000}, kettle: {watts: 2000, hours: 0.1}}}}}",
            (
                "the circuit stage carries 23.04 A (desk 1.3 A, stage/heater 13.04 A, stage/kettle 8.7 A); its breaker "
                "is rated 16 A. Local electrical codes and a licensed electrician decide.",
            ),
        ),
        Bad(
            "power: {jurisdiction: us, circuits: {stage: {volts: 120, breaker_a: 15, loads: {amplifiers: {watts: 1200, power_factor: 0.7}}}}}",
            (
                "the circuit stage carries 14.29 A, 14.29 A of it for three hours or more (stage/amplifiers 14.29 A): "
                "125 % of that and 100 % of the rest make 17.86 A, and its breaker is rated 15 A (NEC 210.20(A)). "
                "Local electrical codes and a licensed electrician decide.",
            ),
        ),
        Bad(
            "power: {jurisdiction: us, circuits: {stage: {volts: 120, breaker_a: 20, loads: {lamps: {watts: 2160, hours: 5}}}}}",
            (
                "the circuit stage carries 18 A, 18 A of it for three hours or more (stage/lamps 18 A): 125 % of that and "
                "100 % of the rest make 22.5 A, and its breaker is rated 20 A (NEC 210.20(A)). Local electrical codes and "
                "a licensed electrician decide.",
            ),
        ),
        Bad(
            "power: {continuous_share: 0.8, circuits: {stage: {volts: 230, breaker_a: 16, loads: {heater: {watts: 3000}}}, hall: {volts: 230, breaker_a: 32}}}",
            (
                "the circuit stage carries 13.04 A for three hours or more (stage/heater 13.04 A); by the house's own "
                "rule that may be 12.8 A, 80 % of its breaker's 16 A. Local electrical codes and a licensed electrician "
                "decide.",
            ),
        ),
    ],
    guards_people=True,
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a circuit over its rating or its continuous share; silent where volts, rating or watts lack."""
    for circuit in rig.rig.circuits.values():
        hung = on_circuit(rig, circuit)
        result = judged(rig, circuit, hung)
        if result is None or not result.kind:
            continue
        drawing = [entry for entry in hung if entry.load.watts is not None]
        yield Finding(
            _message(circuit, drawing, result) + ENDING,
            (
                rig.place(circuit.trail, circuit.name, at_key=True),
                *(rig.place(entry.load.trail, entry.address, at_key=True) for entry in drawing),
            ),
            _cures(rig, circuit, drawing, result),
            _facts(circuit, hung, result),
            severity=None if result.kind == "rating" or _breaks_code(rig, circuit, hung, result) else Severity.CAUTION,
            # So many amperes drop too many volts as well: look again when the load is off.
            explains=frozenset({("voltage-drop", circuit.name)} if result.kind == "rating" else ()),
        )


def _breaks_code(rig: ResolvedRig, circuit: Circuit, hung: list[Hung], result: Judged) -> bool:
    """Whether the code is broken by what is stated, and not only by hours that nobody stated and that we assume."""
    if result.kind != "nec":
        return False
    short = (entry._replace(load=entry.load._replace(hours=entry.load.hours or 0.0)) for entry in hung)
    held = judged(rig, circuit, short)
    return held is not None and held.kind == "nec"


def _message(circuit: Circuit, hung: list[Hung], result: Judged) -> str:
    volts, rating_a = circuit.volts or 0, circuit.breaker_a or 0
    if result.kind == "share":
        hung = [entry for entry in hung if is_continuous(entry)]
    each = listed(f"{entry.address} {number(amperes(entry, volts))} A" for entry in hung)
    start = f"the circuit {circuit.name} carries"
    if result.kind == "rating":
        return f"{start} {beside(result.total_a, rating_a)} A ({each}); its breaker is rated {number(rating_a)} A."
    if result.kind == "nec":
        return (
            f"{start} {number(result.total_a)} A, {number(result.continuous_a)} A of it for three hours or more ({each}): "
            f"125 % of that and 100 % of the rest make {beside(result.counted_a, rating_a)} A, and its breaker is rated "
            f"{number(rating_a)} A (NEC 210.20(A))."
        )
    return (
        f"{start} {beside(result.continuous_a, result.allowed_a)} A for three hours or more ({each}); by the house's own rule that may be "
        f"{number(result.allowed_a)} A, {number(result.allowed_a / rating_a * 100)} % of its breaker's {number(rating_a)} A."
    )


def _facts(circuit: Circuit, hung: list[Hung], result: Judged) -> dict[str, str | int | float]:
    facts: dict[str, str | int | float] = {
        "total_a": round(result.total_a, 2),
        "three_hours_or_more_a": round(result.continuous_a, 2),
        "counted_a": round(result.counted_a, 2),
        "allowed_a": round(result.allowed_a, 2),
        "breaker_a": circuit.breaker_a or 0,
        "volts": circuit.volts or 0,
    }
    unsaid = [entry.address for entry in hung if entry.load.watts is not None and entry.load.hours is None]
    if unsaid:
        facts["hours_unstated_so_counted_as_three_or_more"] = listed(unsaid)
    real = [entry.address for entry in hung if entry.load.watts is not None and entry.load.power_factor is None]
    if real:
        facts["power_factor_unstated_so_counted_as_1"] = listed(real)
    left_out = [entry.address for entry in hung if entry.load.watts is None]
    if left_out:
        facts["watts_unstated_so_left_out"] = listed(left_out)
    return facts


def _cures(rig: ResolvedRig, circuit: Circuit, hung: list[Hung], result: Judged) -> tuple[Cure, ...]:
    """Offer to move the smallest load that is enough to where there is room; else say how much must go."""
    volts = circuit.volts or 0
    for entry in sorted(hung, key=lambda one: amperes(one, volts)):
        rest = judged(rig, circuit, [other for other in hung if other != entry])
        if rest is not None and rest.kind:
            continue
        for other in rig.rig.circuits.values():
            taken = entry.own and any(load.name == entry.load.name for load in other.loads)
            if other != circuit and not taken and may_take(rig, other, [entry]):
                text = f"feed {entry.address} from {other.name} ({number(other.breaker_a or 0)} A) if a lead gets there"
                return (Cure(text, move(rig, [entry], other)),)
    return (
        Cure(
            f"take at least {_too_much(rig, circuit, result)} off {circuit.name}: onto a circuit with room, or out of the plan"
        ),
    )


def _too_much(rig: ResolvedRig, circuit: Circuit, result: Judged) -> str:
    """Say how many amperes must go for every limit to hold: of what runs for hours, or of the rest, fewer or more."""
    rating_a, share = circuit.breaker_a or 0, rig.rig.continuous_share
    rest_a = result.total_a - result.continuous_a
    off_long_a = off_rest_a = result.total_a - rating_a
    if rig.rig.jurisdiction == US:  # what runs for hours counts for a quarter more than it draws
        over_a = required_rating_a(result.continuous_a, rest_a) - rating_a
        off_long_a, off_rest_a = max(off_long_a, over_a / CONTINUOUS_FACTOR), max(off_rest_a, over_a)
    over_share_a = result.continuous_a - share * rating_a if share is not None else 0.0
    if over_share_a <= 0 and off_long_a == off_rest_a:
        return _at_least(off_rest_a)
    off_long_a = max(off_long_a, over_share_a)
    ways = [f"{_at_least(off_long_a)} of what runs three hours or more"] if result.continuous_a >= off_long_a else []
    ways += [f"{_at_least(off_rest_a)} of the rest"] if rest_a >= off_rest_a and over_share_a <= 0 else []
    of_it = f", {_at_least(over_share_a)} of it of what runs three hours or more" if over_share_a > 0 else ""
    return " or ".join(ways) or _at_least(max(off_long_a, off_rest_a)) + of_it


def _at_least(amps: float) -> str:
    """Write amperes rounded up: what is taken off must be enough."""
    return f"{number(math.ceil(round(amps * 100, 6)) / 100)} A"
