"""Two consoles reach one box without a declared split."""

from collections.abc import Iterator
from typing import Any

from lint import Bad, Cure, Finding, Port, ResolvedRig, rule
from lint.resolve.mixup import merged
from lint.rig.rig import Cable
from lint.rules._cabling import (
    RELINK_SAFETY,
    chain_end,
    dead_by,
    deaf_channels,
    declare_split,
    joined,
    move_plug,
    unplug,
)

_WHY = """\
A chain belongs to one console: it numbers the slots, sets the gains and phantom power of the boxes and leads their
clock. A second console may listen at the far end, if the rig says so; otherwise nobody knows who is in charge."""


@rule(
    title="Two consoles reach one box without a declared split",
    severity="no-go",
    family="chain",
    why=_WHY,
    do="Declare the split under splits/ and agree who has gains and phantom power, or unplug one console.",
    good=[
        "devices: {mon: {model: console-16}}\n"
        "cables: {far: {from: east-box/downstream, to: mon/link-1}}\n"
        "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}\n"
        "consoles: {mon: {channels: {1: {carries: lead-vocal, patched_from: mon/link-1/1}}}}"
    ],
    bad=[
        Bad(
            "devices: {mon: {model: console-16}}\n"
            "cables: {far: {from: east-box/downstream, to: mon/link-1}}\n"
            "consoles: {mon: {channels: {1: {carries: lead-vocal, patched_from: mon/link-1/1}}}}",
            (
                "desk (cable trunk) and mon (cable far) both reach west-box and east-box, and no split is declared. "
                "Until then mon hears nothing of them: channel 1 on mon.",
            ),
        )
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a chain that several consoles reach; the channels of those that may not are told with it."""
    for fault in rig.cabling.faults:
        if fault.kind != "two-consoles":
            continue
        owner = fault.consoles[0]
        ends = [(cable, end) for cable in fault.cables for end in cable.ends if end.device in _consoles(rig)]
        others = list(dict.fromkeys((cable, end) for cable, end in ends if end.device != owner.device))
        ours = next(cable for cable, end in ends if end == owner)
        who = joined(f"{end.device} (cable {cable.name})" for cable, end in ((ours, owner), *others))
        deaf = deaf_channels(rig, {end for _, end in others})
        both = "both" if len(others) == 1 else "all"
        message = f"{who} {both} reach {joined(fault.devices)}, and no split is declared."
        if deaf:
            listeners = joined(dict.fromkeys(end.device for _, end in others))
            verb = "hears" if len({end.device for _, end in others}) == 1 else "hear"
            channels = joined(rig.rig.channel_words(channel) for channel in deaf)
            message += f" Until then {listeners} {verb} nothing of them: {channels}."
        places = [
            rig.place(cable.trail, cable.other(end).device, at_key=True) for cable, end in (*others, (ours, owner))
        ]
        yield Finding(
            message,
            tuple(places),
            tuple(_cures(rig, owner, others)),
            {"consoles": 1 + len({end.device for _, end in others})},
            explains=frozenset(dead_by(deaf)),
        )


def _is_taken(rig: ResolvedRig, cable: Cable, port: Port) -> bool:
    return any(port in other.ends for other in rig.rig.cables.values() if other is not cable)


def _consoles(rig: ResolvedRig) -> set[str]:
    return {name for name, device in rig.rig.devices.items() if device.model.chain is None}


def _cures(rig: ResolvedRig, owner: Port, others: list[tuple[Cable, Port]]) -> Iterator[Cure]:
    changes: list[dict[str, Any]] = []
    taken = set(rig.rig.splits)
    words = []
    for cable, listener in others:
        end = cable.other(listener)
        if end.name != "downstream" or _is_taken(rig, cable, end):  # it listens at the far end of the chain
            target = chain_end(rig, rig.chains.get(owner)) if len(others) == 1 else None
            if target is None:
                break
            changes.append(move_plug(cable, end, target))
            words.append(f"move the plug of {cable.name} from {end} to {target}")
        text, change = declare_split(owner, listener, taken)
        words.append(text)
        changes.append(change)
    else:
        yield Cure(", and ".join(words), merged(changes))
    cables = list(dict.fromkeys(cable for cable, _ in others))
    yield Cure(f"unplug {joined(cable.name for cable in cables)}", unplug(*cables))
