"""A trunk has no declared spare."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule

_WHY = """\
The trunk is the one cable whose loss silences everything. A tested spare, coiled where the crew finds it, makes
that five minutes; without one it is the end of the evening."""


@rule(
    title="The trunk has no declared spare",
    severity="note",
    family="chain",
    why=_WHY,
    do="Keep a tested spare of the trunk coiled near, and write where under spare:.",
    good=["cables: {trunk: {spare: in the trunk case}}"],
    bad=[Bad("cables: {trunk: {spare: null}}", ("the trunk from desk/link-1 to west-box/upstream has no spare.",))],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a cable at a console's link port that names no spare."""
    for cable in rig.rig.cables.values():
        if cable.spare is not None or not any(rig.device(end.device).model.links for end in cable.ends):
            continue
        long = f", at least {cable.length_m:g} m long" if cable.length_m else ""
        what = "the trunk" if cable.name == "trunk" else f"the cable {cable.name}"
        yield Finding(
            f"{what} from {cable.ends[0]} to {cable.ends[1]} has no spare.",
            (rig.place(cable.trail, cable.name, at_key=True),),
            (Cure(f"coil a tested spare{long}, and write where it is under cables/{cable.name}/spare"),),
        )
