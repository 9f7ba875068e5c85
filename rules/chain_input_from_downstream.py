"""A chain's input is fed on the wrong side: the box is in backwards."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._cabling import RELINK_SAFETY
from lint.rules._words import lost_with, lost_words

_WHY = """\
A box takes its feed on its upstream port, from the console or from the downstream port of the box before it. Fed at
its downstream port it hears nothing from the console, and neither does any box behind it: every microphone on them is
silent and every output of them dead."""


@rule(
    title="The feed arrives at a box's downstream port: the box is in backwards",
    severity="no-go",
    family="chain",
    why=_WHY,
    do="Move the plug to the upstream port; where both ports are used, swap the two plugs.",
    good=["cables: {crossing: {from: east-box/upstream, to: west-box/downstream}}"],
    bad=[
        Bad(
            "cables: {crossing: {to: east-box/downstream}}",
            (
                "east-box is in backwards: the cable crossing from west-box/downstream arrives at its downstream port. "
                "Silent: piano (channel 3). Dead outputs: house-left, house-right.",
            ),
        ),
        Bad(
            "cables: {trunk: {to: west-box/downstream}, crossing: {from: west-box/upstream}}",
            (
                "west-box is in backwards: the cable trunk from desk/link-1 arrives at its downstream port. "
                "Silent: lead-vocal (channel 1), choir (channel 2), piano (channel 3). "
                "Dead outputs: singer-wedge, house-left, house-right.",
            ),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a box that is in backwards, with all that it silences."""
    for fault in rig.cabling.faults:
        if fault.kind != "backwards":
            continue
        cable, box = fault.cables[0], fault.port.device
        key = "to" if cable.ends[1] == fault.port else "from"
        lost = lost_with(rig, fault.devices)
        message = f"{box} is in backwards: the cable {cable.name} from {cable.other(fault.port)} arrives at its downstream port."
        yield Finding(
            message + lost_words(rig, lost),
            (rig.place((*cable.trail, key), box), rig.place(("devices", box), box, at_key=True)),
            _cures(rig, box, cable.name, key),
            {"sources_silent": len(lost.sources), "outputs_dead": len(lost.destinations)},
        )


def _cures(rig: ResolvedRig, box: str, cable: str, key: str) -> tuple[Cure, ...]:
    change = {"cables": {cable: {key: f"{box}/upstream"}}}
    for other in rig.rig.cables.values():
        for side, end in zip(("from", "to"), other.ends, strict=True):
            if str(end) == f"{box}/upstream":
                change["cables"][other.name] = {side: f"{box}/downstream"}
                text = f"swap the two link plugs on {box}: {cable} into upstream, {other.name} into downstream"
                return (Cure(text, change),)
    return (Cure(f"move the plug of {cable} to {box}/upstream", change),)
