"""A mains cable is used while it is wound on its reel."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import nested
from lint.rules._power import ENDING, SAFETY

_WHY = """\
Wound up, the turns warm each other and the heat can't leave: a reel carries what is printed on it only when it is
wholly unwound. Wound, it melts its insulation under a load that it would carry easily on the floor."""


@rule(
    title="A mains cable is used wound on its reel",
    severity="caution",
    family="power",
    why=_WHY,
    do="Unwind the reel wholly before it is loaded, lay the rest in long loops, or use a shorter cable.",
    good=["power: {circuits: {stage: {run: {length_m: 40, reel: unwound}}, hall: {run: {length_m: 5}}}}"],
    bad=[
        Bad(
            "power: {circuits: {stage: {run: {length_m: 40, reel: wound}}}}",
            (
                "the cable of the circuit stage (40 m) is used wound on its reel, where it can't lose its heat. Local "
                "electrical codes and a licensed electrician decide.",
            ),
        )
    ],
    guards_people=True,
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a run of cable on a reel that is not unwound."""
    for circuit in rig.rig.circuits.values():
        if circuit.run is None or circuit.run.reel != "wound":
            continue
        trail = (*circuit.trail, "run", "reel")
        yield Finding(
            f"the cable of the circuit {circuit.name} ({circuit.run.length_m:g} m) is used wound on its reel, where it "
            f"can't lose its heat.{ENDING}",
            (rig.place(trail, circuit.name),),
            (Cure(f"unwind the reel of {circuit.name} wholly before it is loaded", nested(trail, "unwound")),),
            {"length_m": circuit.run.length_m},
        )
