"""No console reaches a box."""

from collections.abc import Iterator, Mapping

from lint import Bad, Cure, Finding, Port, ResolvedRig, Severity, rule
from lint.resolve.chain import CableFault, Chain
from lint.resolve.dark import is_dark
from lint.resolve.recabled import best_cabling
from lint.rules._cabling import (
    RELINK_SAFETY,
    chain_end,
    dead_by,
    deaf_channels,
    free_link,
    fresh_name,
    joined,
    move_end,
    taken_ports,
)
from lint.rules._halves import halves_of, halves_words, waiting_for
from lint.rules._recabled import cable_change, cabling_words, put_right
from lint.rules._words import listed, lost_with, lost_words

_WHY = """\
What is plugged into a box gets no further unless cables lead from it to a console's link port. Every microphone on
it is silent and every output of it dead."""


@rule(
    title="No console reaches the box",
    severity="no-go or note",
    family="chain",
    why=_WHY,
    do="Run a link cable to its upstream port, from a console or from the last box of a chain.",
    good=[
        "devices: {third-box: {model: stage-box-8x8}}\ncables: {far: {from: east-box/downstream, to: third-box/upstream}}"
    ],
    bad=[
        Bad(
            "cables: {crossing: null}",
            ("no console reaches east-box. Silent: piano (channel 3). Dead outputs: house-left, house-right.",),
        ),
        Bad(
            "devices: {old-box: {model: stage-box-8x8}, older-box: {model: stage-box-8x8}}\n"
            "cables: {store: {from: old-box/downstream, to: older-box/upstream}}",
            ("no console reaches old-box and older-box. Nothing is plugged into them.",),
        ),
        Bad(
            "cables: {trunk: null, crossing: {from: desk/link-1}}",
            (
                "no console reaches west-box. Silent: lead-vocal (channel 1), choir (channel 2). Dead outputs: "
                "singer-wedge.",
            ),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an island of boxes, with all that it silences; a note where nothing is plugged in."""
    for fault in rig.cabling.faults:
        if fault.kind == "unreached":
            yield _unreached(rig, fault)
    yield from _listeners(rig)


def _unreached(rig: ResolvedRig, fault: CableFault) -> Finding:
    lost = lost_with(rig, fault.devices)
    halves = halves_of(rig, fault.devices)
    needed = bool(lost.sources or lost.destinations or halves)
    message = f"no console reaches {joined(fault.devices)}.{lost_words(rig, lost)}"
    message += halves_words(rig, halves, fault.devices)
    if not needed:
        message += f" Nothing is plugged into {'it' if len(fault.devices) == 1 else 'them'}."
    best = best_cabling(rig, _ways(rig, fault)) if needed and not _is_dark(rig, fault) else None
    return Finding(
        message,
        tuple(rig.place(("devices", name), name, at_key=True) for name in fault.devices),
        tuple(_cures(rig, fault, best[0] if best else None, needed)),
        {"sources_silent": len(lost.sources), "outputs_dead": len(lost.destinations)},
        severity=None if needed else Severity.NOTE,
        explains=frozenset(waiting_for(rig, halves)) | (frozenset(_same_cause(rig, *best)) if best else frozenset()),
    )


def _is_dark(rig: ResolvedRig, fault: CableFault) -> bool:
    """Whether the first box of an island has no mains: no link cable to it helps."""
    return is_dark(rig.rig, rig.device(fault.port.device).circuit)


def _listeners(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a console that is declared to listen to a link, and that no cable leads to."""
    for split in rig.rig.splits.values():
        listener = split.listener
        if listener is None or listener in taken_ports(rig) or split.owner is None or split.owner not in rig.chains:
            continue
        deaf = deaf_channels(rig, {listener})
        end = chain_end(rig, rig.chains[split.owner])
        cure = Cure(f"run a link cable to {listener}")
        if end is not None:
            name = fresh_name(f"to-{listener.device}", rig.rig.cables)
            change = {"cables": {name: {"from": str(end), "to": str(listener)}}}
            cure = Cure(f"run a link cable from {end} to {listener}", change)
        words = f" Nothing arrives on {listed(map(rig.rig.channel_words, deaf))}." if deaf else ""
        yield Finding(
            f"{listener} is declared to listen to {split.owner}, but no cable leads to it.{words}",
            (rig.place(split.trail, listener.device, at_key=True),),
            (cure,),
            {"channels": len(deaf)},
            severity=None if deaf else Severity.NOTE,
            explains=frozenset(dead_by(deaf)),
        )


def _same_cause(rig: ResolvedRig, way: Mapping[str, tuple[Port, Port]], then: ResolvedRig) -> Iterator[tuple[str, str]]:
    yield from put_right(rig, then)
    yield from (("link-cable-coiled-spare", name) for name in way)


def _cures(
    rig: ResolvedRig, fault: CableFault, best: Mapping[str, tuple[Port, Port]] | None, needed: bool
) -> Iterator[Cure]:
    """Offer the cabling that leaves the least wrong; else the end of each chain with slots left, or a free port."""
    head = fault.port
    if needed and _is_dark(rig, fault):
        box = rig.device(head.device)
        yield Cure(
            f"give {box.name} mains first: its circuit {box.circuit} is dark, and no link cable helps before that"
        )
    elif best is not None:
        yield Cure(cabling_words(rig, best), cable_change(rig, best))
    elif head not in taken_ports(rig):
        inputs = sum(rig.device(name).model.inputs.count for name in fault.devices)
        ends = [chain_end(rig, chain) for chain in rig.chains.values() if _has_room(chain, inputs)]
        # A console port of its own gives other slots than the patch was made for: only where no chain has room.
        starts = [end for end in ends if end is not None] or [port for port in (free_link(rig),) if port is not None]
        for start in starts:
            way = {_name(rig, fault): (start, head)}
            yield Cure(cabling_words(rig, way), cable_change(rig, way))
    if not needed and not any(end.device in fault.devices for end in taken_ports(rig)):
        names = joined(fault.devices)
        yield Cure(f"take {names} out of the rig file", {"devices": dict.fromkeys(fault.devices)})


def _has_room(chain: Chain, inputs: int) -> bool:
    return max((box.input_slots[-1] for box in chain.boxes if box.input_slots), default=0) + inputs <= chain.capacity


def _name(rig: ResolvedRig, fault: CableFault) -> str:
    name: str = fresh_name(f"to-{fault.port.device}", rig.rig.cables)
    return name


def _ways(rig: ResolvedRig, fault: CableFault) -> Iterator[Mapping[str, tuple[Port, Port]]]:
    """Yield where an island of boxes could be cabled in: behind a chain, on a free port, or between two of its boxes."""
    head, taken = fault.port, taken_ports(rig)
    if head in taken:
        return
    new = _name(rig, fault)
    ends = [end for chain in rig.chains.values() if (end := chain_end(rig, chain)) is not None]
    for start in (*ends, *(port for port in rig.chains if port not in taken)):
        yield {new: (start, head)}
    tails = [Port(name, "downstream") for name in fault.devices if Port(name, "downstream") not in taken]
    for box in (box for chain in rig.chains.values() for box in chain.boxes) if len(tails) == 1 else ():
        entry = Port(box.device, "upstream")
        feed = box.cable.other(entry) if entry in box.cable.ends else None
        if feed is not None:
            yield {new: (feed, head), box.cable.name: move_end(box.cable, feed, tails[0])}
