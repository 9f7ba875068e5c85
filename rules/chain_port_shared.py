"""Two cables in one port."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.chain import CableFault
from lint.resolve.mixup import merged
from lint.rig.rig import Cable
from lint.rules._cabling import (
    RELINK_SAFETY,
    chain_end,
    chain_of,
    dead_by,
    deaf_channels,
    declare_split,
    free_link,
    joined,
    move_plug,
    unplug,
)
from lint.rules._words import lost_with, lost_words

_WHY = """\
A port takes one plug. One of the cables will be left lying on the floor, and whatever it leads to is silent."""

_LOOSE = "its other end in nothing"


@rule(
    title="Two link cables in one port",
    severity="no-go",
    family="chain",
    why=_WHY,
    do="Give each cable a port of its own: the console's next link port, or the downstream port of the last box.",
    good=["devices: {third-box: {model: stage-box-8x8}}\ncables: {far: {from: desk/link-2, to: third-box/upstream}}"],
    bad=[
        Bad(
            "devices: {third-box: {model: stage-box-8x8}}\ncables: {far: {from: desk/link-1, to: third-box/upstream}}\n"
            "sources: {organ: {kind: passive-di, plugged_into: third-box/in/1}}\nchannels: {4: {carries: organ}}",
            (
                "2 cables are in desk/link-1: trunk (to west-box/upstream) and far (to third-box/upstream). "
                "Silent: organ (channel 4).",
            ),
        ),
        Bad(
            "devices: {third-box: {model: stage-box-8x8}}\n"
            "cables: {far: {from: west-box/downstream, to: third-box/upstream}}",
            ("2 cables are in west-box/downstream: crossing (to east-box/upstream) and far (to third-box/upstream).",),
        ),
        Bad(
            "cables: {old: {to: west-box/downstream}}",
            (
                "2 cables are in west-box/downstream: crossing (to east-box/upstream) and old (its other end in nothing).",
            ),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a port, with what hangs on the cables that find no room in it."""
    for fault in rig.cabling.faults:
        if fault.kind != "port-shared":
            continue
        port = fault.port
        lost = lost_with(rig, fault.devices)
        cables = joined(f"{cable.name} (to {cable.other(port)})" for cable in fault.cables)
        message = f"{len(fault.cables)} cables are in {port}: {cables}.{lost_words(rig, lost)}"
        deaf = deaf_channels(rig, {cable.other(port) for cable in fault.cables[1:]})
        if deaf:
            message += f" Nothing arrives on {joined(rig.rig.channel_words(channel) for channel in deaf)}."
        yield Finding(
            message,
            tuple(
                rig.place((*cable.trail, "from" if cable.ends[0] == port else "to"), port.device)
                for cable in fault.cables
            ),
            tuple(cure for cable in fault.cables[1:3] for cure in _cures(rig, fault, cable)),
            {"cables": len(fault.cables), "sources_silent": len(lost.sources), "outputs_dead": len(lost.destinations)},
            # Both plugs of a box in its downstream port: the one that should be in upstream.
            explains=frozenset({("chain-input-from-downstream", port.device), *dead_by(deaf)}),
        )
    yield from _hanging_there(rig)


def _hanging_there(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a cable that hangs by one plug in a port that another is in."""
    there = {
        end: (cable.name, f"to {cable.other(end)}", "from" if cable.ends[0] == end else "to")
        for cable in rig.rig.cables.values()
        for end in cable.ends
    }
    for loose in rig.rig.loose_cables.values():
        if loose.end is None:
            continue
        key = "from" if rig.says("cables", loose.name).get("from") is not None else "to"
        name, leads, side = there.setdefault(loose.end, (loose.name, _LOOSE, key))
        if name == loose.name:
            continue
        yield Finding(
            f"2 cables are in {loose.end}: {name} ({leads}) and {loose.name} ({_LOOSE}).",
            (
                rig.place(("cables", name, side), loose.end.device),
                rig.place(("cables", loose.name, key), loose.end.device),
            ),
            (Cure(f"unplug {loose.name}", {"cables": {loose.name: {key: None}}}),),
            {"cables": 2, "sources_silent": 0, "outputs_dead": 0},
        )


def _cures(rig: ResolvedRig, fault: CableFault, cable: Cable) -> Iterator[Cure]:
    """Offer a free port of the console, the end of the chain, or to unplug."""
    port, other = fault.port, cable.other(fault.port)
    chain = chain_of(rig, port)
    end = chain_end(rig, chain)
    link = free_link(rig, port.device)
    if link is not None and link.device != other.device:
        yield Cure(f"move the plug of {cable.name} from {port} to {link}", move_plug(cable, port, link))
    if end is not None and end.device != other.device:
        text, change = f"move the plug of {cable.name} from {port} to {end}", move_plug(cable, port, end)
        if other.name == "upstream":
            yield Cure(text, change)
        elif chain is not None and rig.device(other.device).model.links and other.device != chain.link.device:
            if other not in rig.cabling.listens_to:
                words, split = declare_split(chain.link, other, set(rig.rig.splits))
                text, change = f"{text}, and {words}", merged((change, split))
            yield Cure(text, change)
    if not fault.devices or not (link or end):
        yield Cure(f"unplug {cable.name}", unplug(cable))
