"""Link cables form a ring."""

from collections.abc import Iterator, Mapping

from lint import Bad, Cure, Finding, Port, ResolvedRig, rule
from lint.resolve.chain import CableFault
from lint.resolve.recabled import best_cabling
from lint.rig.rig import Cable
from lint.rules._cabling import RELINK_SAFETY, free_link, joined, move_end, move_plug, taken_ports, unplug
from lint.rules._recabled import cable_change, cabling_words, put_right
from lint.rules._words import lost_with, lost_words

_WHY = """\
A chain has two ends. In a ring nobody can say which way a signal runs, so no slot can be told; the boxes may fall
silent or send what they receive back to where it came from."""


@rule(
    title="Link cables form a ring",
    severity="no-go",
    family="chain",
    why=_WHY,
    do="Unplug the cable that closes the ring, and leave that downstream port empty.",
    good=[
        "devices: {third-box: {model: stage-box-8x8}}\ncables: {loop: {from: east-box/downstream, to: third-box/upstream}}"
    ],
    bad=[
        Bad(
            "cables: {loop: {from: east-box/downstream, to: desk/link-2}}",
            ("desk, west-box and east-box form a ring by the cables trunk, crossing and loop.",),
        ),
        Bad(
            "cables: {crossing: {to: desk/link-2}}",
            ("desk and west-box form a ring by the cables trunk and crossing.",),
        ),
        Bad(
            "cables: {trunk: null, loop: {from: east-box/downstream, to: west-box/upstream}}",
            (
                "west-box and east-box form a ring by the cables crossing and loop, and no console feeds it. "
                "Silent: lead-vocal (channel 1), choir (channel 2), piano (channel 3). "
                "Dead outputs: singer-wedge, house-left, house-right.",
            ),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a ring, with what hangs on boxes that no console reaches because of it."""
    for fault in rig.cabling.faults:
        if fault.kind != "ring":
            continue
        met = {end.device for cable in fault.cables for end in cable.ends}
        members = [name for name in rig.rig.devices if name in met]
        boxes = [name for name in members if name in fault.devices]
        cables = joined(cable.name for cable in fault.cables)
        if len(members) == 1:
            message = f"the cable {cables} leads from {members[0]} straight back to it"
        else:
            noun = "cable" if len(fault.cables) == 1 else "cables"
            message = f"{joined(members)} form a ring by the {noun} {cables}"
        gone = [name for name in fault.devices if name not in rig.boxes]
        message += ", and no console feeds it." if gone and not fault.consoles else "."
        lost = lost_with(rig, gone)
        best = best_cabling(rig, _ways(rig, fault))
        cures = (Cure(cabling_words(rig, best[0]), cable_change(rig, best[0])),) if best else tuple(_cures(rig, fault))
        yield Finding(
            message + lost_words(rig, lost),
            (
                rig.place(("devices", (boxes or members)[0]), (boxes or members)[0], at_key=True),
                *(rig.place(cable.trail, cable.name, at_key=True) for cable in fault.cables),
            ),
            cures,
            {"sources_silent": len(lost.sources), "outputs_dead": len(lost.destinations)},
            explains=frozenset(_same_cause(rig, fault, best[1] if best else None)),
        )


def _ways(rig: ResolvedRig, fault: CableFault) -> Iterator[Mapping[str, tuple[Port, Port]]]:
    """Yield each plug of the ring put into a free port of a box that no cable reaches: it may be meant for that one."""
    taken = taken_ports(rig)
    lost = [box for box in rig.rig.boxes if box.name not in rig.boxes and box.name not in fault.devices]
    targets = [Port(box.name, "upstream") for box in lost]
    for cable in fault.cables:
        for end in cable.ends:
            for target in targets:
                if target not in taken:
                    yield {cable.name: move_end(cable, end, target)}


def _same_cause(rig: ResolvedRig, fault: CableFault, then: ResolvedRig | None) -> Iterator[tuple[str, str]]:
    yield from (("link-cable-coiled-spare", cable.name) for cable in fault.cables)
    if then is not None:
        yield from (("chain-box-unreached", name) for name in then.boxes if name not in rig.boxes)
        yield from put_right(rig, then)


def _cures(rig: ResolvedRig, fault: CableFault) -> Iterator[Cure]:
    """Unplug what no chain needs; a ring that no console feeds is opened where the feed then goes in."""
    needed = {box.cable.name for box in rig.boxes.values()}
    spare = [cable for cable in fault.cables if cable.name not in needed]
    link = free_link(rig)
    opened = next((_where_it_opens(rig, spare, name) for name in fault.devices if name not in rig.boxes), None)
    if not fault.consoles and link is not None and opened is not None:
        cable, down = opened
        yield Cure(f"take the plug of {cable.name} out of {down} and put it into {link}", move_plug(cable, down, link))
        return
    for cable in (spare or list(fault.cables))[-2:]:
        yield Cure(f"unplug {cable.name}", unplug(cable))


def _where_it_opens(rig: ResolvedRig, cables: list[Cable], first: str) -> tuple[Cable, Port] | None:
    """Return the cable into the box that is to be the first, and the downstream port that it comes from."""
    for cable in cables:
        for end in cable.ends:
            source = cable.other(end)
            if end == Port(first, "upstream") and source.name == "downstream" and source.device not in rig.boxes:
                return cable, source
    return None
