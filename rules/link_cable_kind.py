"""A link cable is of a lesser kind than its ports ask for."""

from collections.abc import Iterator
from typing import Any

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import Cable
from lint.rules._cabling import RELINK_SAFETY, joined, kinds_at

_WHY = """\
A cable of a lower category, or one without a shield where the model asks for one, may work at home and drop out
beside a dimmer, a radio microphone or a charged carpet."""

# Copper categories from the least to the best (ISO/IEC 11801, TIA-568); fibre and coax are other ways altogether.
CATEGORIES = ("cat5", "cat5e", "cat6", "cat6a", "cat7", "cat8")


@rule(
    title="A link cable is of a lesser kind than its ports ask for",
    severity="caution",
    family="chain",
    why=_WHY,
    do="Use a cable of the kind that the model asks for, shielded from plug to plug where it says so.",
    source="the model's own statement; categories: ISO/IEC 11801 and TIA-568",
    good=["cables: {trunk: {kind: cat6a, shielded: true}}"],
    bad=[
        Bad(
            "cables: {crossing: {shielded: false}}",
            (
                "the cable crossing from west-box/downstream to east-box/upstream is not shielded; stage-box-16x8 and "
                "stage-box-8x8 ask for shielded cat5e.",
            ),
        ),
        Bad(
            "cables: {trunk: {kind: cat5, shielded: false}}",
            (
                "the cable trunk from desk/link-1 to west-box/upstream is cat5 and not shielded; console-32 and "
                "stage-box-16x8 ask for shielded cat5e.",
            ),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a cable; silent where the rig does not say what the cable is."""
    for cable in rig.rig.cables.values():
        asked = {(model.name, kind.cable_kind, kind.cable_shielded) for model, kind in kinds_at(rig, cable)}
        kind = max((kind for _, kind, _ in asked if kind is not None), key=_rank, default=None)
        shielded = any(shielded for _, _, shielded in asked)
        lacks = _lacks(cable, kind, shielded)
        if not lacks:
            continue
        who = sorted(name for name, own_kind, own_shield in asked if own_kind == kind or own_shield)
        wanted = " ".join(filter(None, ("shielded" if shielded else "", kind or "cable")))
        is_short = cable.kind in lacks
        change: dict[str, Any] = {**({"kind": kind} if is_short else {}), **({"shielded": True} if shielded else {})}
        instead = " ".join(filter(None, ("shielded" if shielded else "", kind if is_short else cable.kind, "cable")))
        yield Finding(
            f"the cable {cable.name} from {cable.ends[0]} to {cable.ends[1]} is {joined(lacks)}; "
            f"{joined(who)} {'asks' if len(who) == 1 else 'ask'} for {wanted}.",
            (rig.place((*cable.trail, "kind" if is_short else "shielded"), cable.name),),
            (Cure(f"run a {instead} in place of {cable.name}", {"cables": {cable.name: change}}),),
        )


def _rank(kind: str) -> int:
    return CATEGORIES.index(kind) if kind in CATEGORIES else len(CATEGORIES)


def _lacks(cable: Cable, kind: str | None, shielded: bool) -> list[str]:
    """Return what is less than asked for. Fibre needs no shield; another way altogether is never as asked."""
    lacks = []
    if kind is not None and cable.kind is not None and cable.kind != kind:
        both_copper = kind in CATEGORIES and cable.kind in CATEGORIES
        if not both_copper or _rank(cable.kind) < _rank(kind):
            lacks.append(cable.kind)
    if shielded and cable.shielded is False and cable.kind != "fibre":
        lacks.append("not shielded")
    return lacks
