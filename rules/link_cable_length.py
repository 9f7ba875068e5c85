"""A link cable is longer than its ports are made for."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Limit, ResolvedRig, Severity, rule
from lint.formula.cable import CHANNEL_M
from lint.rig.rig import Cable
from lint.rules._cabling import RELINK_SAFETY, joined, kinds_at

_WHY = """\
Over its limit a link loses its lock now and then, or does not come up at all; just under it, patch leads, joins and
age decide. Stranded patch cable loses more a metre than installed cable."""


@rule(
    title="A link cable is longer than its ports are made for",
    severity="no-go or caution",
    family="chain",
    why=_WHY,
    do="Use a shorter run, stand the box nearer, or go by fibre where both ends take it.",
    source=(
        "the model's own limit; where it says nothing, 100 m for a class D/E copper channel, patch leads included "
        "(ISO/IEC 11801, TIA-568)"
    ),
    good=["cables: {trunk: {length_m: 90}}"],
    bad=[
        Bad(
            "cables: {trunk: {length_m: 110}}",
            (
                "the cable trunk from desk/link-1 to west-box/upstream is 110 m long; console-32 and stage-box-16x8 "
                "allow 100 m.",
            ),
        ),
        Bad(
            "cables: {trunk: {length_m: 95}}",
            (
                "the cable trunk from desk/link-1 to west-box/upstream is 95 m long, near its limit: console-32 and "
                "stage-box-16x8 allow 100 m.",
            ),
        ),
    ],
    limits={
        "caution_share": Limit(0.9, "", "share of the longest cable allowed, over which a person must look", 0.1, 1)
    },
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig, caution_share: float) -> Iterator[Finding]:
    """Yield one finding a cable over its limit, or over the given share of it; silent where no length is stated."""
    for cable in rig.rig.cables.values():
        limit = _limit(rig, cable)
        if cable.length_m is None or limit is None:
            continue
        limit_m, who = limit
        over = cable.length_m > limit_m
        if not over and cable.length_m <= caution_share * limit_m:
            continue
        near = "; " if over else ", near its limit: "
        yield Finding(
            f"the cable {cable.name} from {cable.ends[0]} to {cable.ends[1]} is {cable.length_m:g} m long{near}"
            f"{who} {limit_m:g} m.",
            (rig.place((*cable.trail, "length_m"), cable.name),),
            (Cure(_cure(cable, limit_m, over)),),
            {"length_m": cable.length_m, "limit_m": limit_m},
            severity=None if over else Severity.CAUTION,
        )


def _cure(cable: Cable, limit_m: float, over: bool) -> str:
    if over:
        return f"run {cable.name} over at most {limit_m:g} m, patch leads included: another way, or the box nearer"
    return f"keep patch leads out of {cable.name}, and see that it holds its lock for an hour before the doors open"


def _limit(rig: ResolvedRig, cable: Cable) -> tuple[float, str] | None:
    """Return the stricter limit in metres and who sets it, or None where nothing does."""
    asked = kinds_at(rig, cable)
    stated = {model.name: kind.max_cable_m for model, kind in asked if kind.max_cable_m is not None}
    if stated:
        least = min(stated.values())
        names = [name for name, most in stated.items() if most == least]
        return least, f"{joined(names)} {'allows' if len(names) == 1 else 'allow'}"
    kind = cable.kind or next((kind.cable_kind for _, kind in asked if kind.cable_kind), None)
    if kind is not None and kind.startswith("cat"):
        return CHANNEL_M, "a copper channel of class D/E, patch leads included, may have"
    return None
