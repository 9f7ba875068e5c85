"""Something that draws from the mains names no circuit, in a rig that states its circuits."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.circuits import Hung, sound_gear
from lint.rules._cabling import joined
from lint.rules._power import ENDING, SAFETY
from lint.rules._words import listed

_WHY = """\
What no circuit counts is drawn all the same: a plan of circuits is only as good as what hangs on them. On the day the
plug goes into the nearest socket, and that may be the dimmers' or the kettle's."""


@rule(
    title="Something that draws from the mains names no circuit",
    severity="caution",
    family="power",
    why=_WHY,
    do="Say which circuit feeds it (`circuit:`), and label its plug so.",
    good=[
        "",
        "devices: {desk: {circuit: stage}, west-box: {circuit: stage}, east-box: {circuit: stage}}\npower: {circuits: {stage: {}}}",
    ],
    bad=[
        Bad(
            "devices: {desk: {circuit: stage}}\npower: {circuits: {stage: {volts: 230, breaker_a: 16}}}",
            (
                "west-box and east-box name no circuit, though the rig states stage. Local electrical codes and a "
                "licensed electrician decide.",
            ),
        ),
        Bad(
            "devices: {desk: {circuit: stage}, west-box: {circuit: stage}, east-box: {circuit: stage}}\n"
            "destinations: {house-left: {watts: 500}}\npower: {circuits: {stage: {volts: 230, breaker_a: 16}}}",
            (
                "house-left names no circuit, though the rig states stage. Local electrical codes and a licensed "
                "electrician decide.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding for all that names no circuit; silent where the rig states no circuit that lives."""
    without = [hung for hung in sound_gear(rig) if hung.circuit is None and _needs_one(rig, hung)]
    if all(circuit.dark for circuit in rig.rig.circuits.values()) or not without:
        return
    names = [hung.address for hung in without]
    verb = "names" if len(names) == 1 else "name"
    yield Finding(
        f"{joined(names)} {verb} no circuit, though the rig states {listed(rig.rig.circuits)}.{ENDING}",
        tuple(rig.place(hung.load.trail, hung.address, at_key=True) for hung in without),
        (
            Cure(
                f"find where {joined(names)} {'is' if len(names) == 1 else 'are'} plugged in, and name that `circuit:`"
            ),
        ),
        {"without": len(names)},
        members=tuple(names),
    )


def _needs_one(rig: ResolvedRig, hung: Hung) -> bool:
    """Whether a thing surely draws from the mains: consoles, boxes and amplifiers do, the rest where watts are stated."""
    section, name = hung.load.trail[:2]
    if section == "devices":
        return rig.device(str(name)).model.kind in ("console", "stage-box") or hung.load.watts is not None
    return section == "amplifiers" or hung.load.watts is not None
