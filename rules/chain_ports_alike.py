"""A link cable joins two ports of the same side, or the link ports of two consoles."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Port, ResolvedRig, rule
from lint.resolve.mixup import merged
from lint.rig.rig import Cable
from lint.rules._cabling import RELINK_SAFETY, move_plug, unplug

_WHY = """\
A chain runs from a downstream port to an upstream port. Joined downstream to downstream or upstream to upstream, the
two boxes do not hear each other, and nothing behind them is heard either. Two consoles joined directly share no box."""


@rule(
    title="A link cable joins two ports of the same side",
    severity="no-go",
    family="chain",
    why=_WHY,
    do="Move one of its two plugs to the other port of its box.",
    good=[
        "devices: {spare-a: {model: stage-box-8x8}, spare-b: {model: stage-box-8x8}}\n"
        "cables: {bridge: {from: spare-a/downstream, to: spare-b/upstream}}"
    ],
    bad=[
        Bad(
            "devices: {spare-a: {model: stage-box-8x8}, spare-b: {model: stage-box-8x8}}\n"
            "cables: {bridge: {from: spare-a/upstream, to: spare-b/upstream}}",
            (
                "the cable bridge joins spare-a/upstream to spare-b/upstream: two upstream ports. "
                "A chain runs from downstream to upstream.",
            ),
        ),
        Bad(
            "devices: {mon: {model: console-16}}\nconsoles: {mon: {}}\n"
            "cables: {bridge: {from: desk/link-2, to: mon/link-1}}",
            ("the cable bridge joins desk/link-2 to mon/link-1: the link ports of two consoles, with no box between.",),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a cable; where a backwards box accounts for it, that is told instead."""
    for fault in rig.cabling.faults:
        if fault.kind != "ports-alike":
            continue
        cable = fault.cables[0]
        first, second = cable.ends
        message = f"the cable {cable.name} joins {first} to {second}: "
        if fault.devices:
            message += f"two {second.name} ports. A chain runs from downstream to upstream."
            cures = tuple(_turn(rig, cable, end) for end in (second, first))
        else:
            message += "the link ports of two consoles, with no box between."
            cures = (
                Cure(f"unplug {cable.name}", unplug(cable)),
                Cure(
                    f"to share a chain, cable {second} to the downstream port of its last box and declare the split "
                    "under splits/"
                ),
            )
        yield Finding(
            message,
            (
                rig.place((*cable.trail, "to"), second.device),
                rig.place((*cable.trail, "from"), first.device),
            ),
            cures,
        )


def _turn(rig: ResolvedRig, cable: Cable, end: Port) -> Cure:
    """Return the cure at one end: the box's other port, with the plug that is in there coming over."""
    target = Port(end.device, "downstream" if end.name == "upstream" else "upstream")
    change = move_plug(cable, end, target)
    for other in rig.rig.cables.values():
        if target in other.ends:
            text = f"swap the two link plugs on {end.device}: {cable.name} into {target.name}, {other.name} into {end.name}"
            return Cure(text, merged((change, move_plug(other, target, end))))
    return Cure(f"move the plug of {cable.name} from {end} to {target}", change)
