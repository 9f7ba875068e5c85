"""A circuit that feeds sound gear is stated to have no residual-current device."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.circuits import US, Hung, may_take, sound_gear
from lint.rig.plant import Circuit
from lint.rules._cabling import joined
from lint.rules._power import ENDING, SAFETY, move

_WHY = """\
A performer who holds a microphone and touches a guitar with a fault closes the circuit through the heart: a breaker does
not see so small a current, a residual-current device does."""
_BY = {"uk": ", and HSE recommends one at every socket that entertainers use (INDG247, GS50)"}


@rule(
    title="A circuit that feeds sound gear has no residual-current device",
    severity="caution",
    family="power",
    why=_WHY,
    do="Feed the gear through a residual-current device of 30 mA or less, and press its test button before use.",
    source=(
        "HSE INDG247 and GS50 (United Kingdom), summarised; elsewhere common practice. Not asked under the code of the "
        "United States, which has other rules and another device"
    ),
    good=[
        "devices: {west-box: {circuit: stage}}\npower: {circuits: {stage: {residual_current_device: true}}}",
        "devices: {west-box: {circuit: stage}}\npower: {circuits: {stage: {}}}",
        "devices: {west-box: {circuit: stage}}\npower: {jurisdiction: us, circuits: {stage: {residual_current_device: false}}}",
        "power: {circuits: {kitchen: {residual_current_device: false, loads: {kettle: {watts: 2000}}}}}",
    ],
    bad=[
        Bad(
            "devices: {west-box: {circuit: stage}}\npower: {circuits: {stage: {residual_current_device: false}}}",
            (
                "the circuit stage feeds west-box, and no residual-current device guards it. Local electrical codes and a "
                "licensed electrician decide.",
            ),
        ),
        Bad(
            "devices: {west-box: {circuit: stage, watts: 40}}\n"
            "power: {jurisdiction: uk, circuits: {stage: {residual_current_device: false}, aisle: {volts: 230, breaker_a: 16, residual_current_device: true}}}",
            (
                "the circuit stage feeds west-box, and no residual-current device guards it, and HSE recommends one at every "
                "socket that entertainers use (INDG247, GS50). Local electrical codes and a licensed electrician decide.",
            ),
        ),
    ],
    guards_people=True,
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an indoor circuit; outdoors it is a no-go of its own, and where nothing is said nothing is."""
    if rig.rig.jurisdiction == US:
        return
    gear: dict[str | None, list[Hung]] = {}
    for hung in sound_gear(rig):
        gear.setdefault(hung.circuit, []).append(hung)
    for circuit in rig.rig.circuits.values():
        fed = gear.get(circuit.name)
        if fed and not circuit.outdoor and circuit.residual_current_device is False:
            names = joined(hung.address for hung in fed)
            by = _BY.get(rig.rig.jurisdiction or "", "")
            yield Finding(
                f"the circuit {circuit.name} feeds {names}, and no residual-current device guards it{by}.{ENDING}",
                (rig.place((*circuit.trail, "residual_current_device"), circuit.name),),
                tuple(_cures(rig, circuit, fed, names)),
                {"fed": len(fed)},
            )


def _cures(rig: ResolvedRig, circuit: Circuit, fed: list[Hung], names: str) -> Iterator[Cure]:
    for other in rig.rig.circuits.values():
        if other.residual_current_device and may_take(rig, other, fed):
            text = f"feed {names} from {other.name}, which has one and has room by what is stated, if a lead gets there"
            yield Cure(text, move(rig, fed, other))
            break
    yield Cure(
        f"put a tested adapter with a residual-current device of 30 mA or less between {circuit.name} and {names}, or have a "
        "licensed electrician fit one"
    )
