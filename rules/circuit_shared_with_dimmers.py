"""Sound gear hangs on a circuit that dimmers hang on too."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.circuits import Hung, may_take, sound_gear
from lint.rules._cabling import joined
from lint.rules._power import ENDING, SAFETY, move

_WHY = """\
Dimmers chop the mains wave: on a shared circuit that buzzes in the loudspeakers with every change of light, and
pulls the volts about under consoles and boxes. Buzz is also what tempts people to lift an earth, which nobody may."""


@rule(
    title="Sound gear hangs on a circuit with dimmers",
    severity="caution",
    family="power",
    why=_WHY,
    do="Feed all sound gear from circuits without dimmers, of the same phase where the house has three.",
    good=["devices: {desk: {circuit: stage}}\npower: {circuits: {stage: {}, lights: {dimmers: true}}}"],
    bad=[
        Bad(
            "devices: {desk: {circuit: lights, watts: 250}, west-box: {circuit: lights, watts: 50}, east-box: {circuit: stage, watts: 40}}\n"
            "power: {circuits: {lights: {dimmers: true}, stage: {volts: 230, breaker_a: 16}}}",
            (
                "desk and west-box hang on the circuit lights, and dimmers hang on it too. Local electrical codes and a "
                "licensed electrician decide.",
            ),
        ),
        Bad(
            "destinations: {house-left: {circuit: lights}}\npower: {circuits: {lights: {dimmers: true}}}",
            (
                "house-left hangs on the circuit lights, and dimmers hang on it too. Local electrical codes and a "
                "licensed electrician decide.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a circuit with dimmers that feeds sound gear."""
    for circuit in rig.rig.circuits.values():
        gear = [hung for hung in sound_gear(rig) if hung.circuit == circuit.name]
        if not circuit.dimmers or not gear:
            continue
        names = joined(hung.address for hung in gear)
        verb = "hangs" if len(gear) == 1 else "hang"
        yield Finding(
            f"{names} {verb} on the circuit {circuit.name}, and dimmers hang on it too.{ENDING}",
            (
                rig.place((*circuit.trail, "dimmers"), circuit.name),
                *(rig.place((*hung.load.trail, "circuit"), hung.address) for hung in gear),
            ),
            _cures(rig, gear, names),
            {"shared": len(gear)},
        )


def _cures(rig: ResolvedRig, gear: list[Hung], names: str) -> tuple[Cure, ...]:
    for other in rig.rig.circuits.values():
        if may_take(rig, other, gear):
            text = f"feed {names} from {other.name}, which has room by what is stated, if a lead gets there"
            return (Cure(text, move(rig, gear, other)),)
    return (Cure(f"feed {names} from a circuit without dimmers"),)
