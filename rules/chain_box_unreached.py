"""No console reaches a box."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Port, ResolvedRig, Severity, rule
from lint.resolve.chain import CableFault, Chain
from lint.rig.rig import Source
from lint.rules._cabling import RELINK_SAFETY, chain_end, free_link, fresh_name, joined, taken_ports
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
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an island of boxes, with all that it silences; a note where nothing is plugged in."""
    for fault in rig.cabling.faults:
        if fault.kind != "unreached":
            continue
        lost = lost_with(rig, fault.devices)
        halves = _halves(rig, fault.devices)
        needed = bool(lost.sources or lost.destinations or halves)
        message = f"no console reaches {joined(fault.devices)}.{lost_words(rig, lost)}"
        if halves:
            message += f" Heard at one end of its split only: {listed(source.name for source in halves)}."
        if not needed:
            message += f" Nothing is plugged into {'it' if len(fault.devices) == 1 else 'them'}."
        yield Finding(
            message,
            tuple(rig.place(("devices", name), name, at_key=True) for name in fault.devices),
            tuple(_cures(rig, fault, needed)),
            {"sources_silent": len(lost.sources), "outputs_dead": len(lost.destinations)},
            severity=None if needed else Severity.NOTE,
            explains=frozenset(_waiting(rig, halves)),
        )


def _halves(rig: ResolvedRig, devices: tuple[str, ...]) -> list[Source]:
    """Return the sources behind a splitter of which one end is on these boxes and another is not."""
    return [
        source
        for source in rig.rig.sources.values()
        if len({socket.device in devices for socket in source.sockets}) == 2
    ]


def _waiting(rig: ResolvedRig, halves: list[Source]) -> Iterator[tuple[str, str]]:
    """Yield the findings about channels that wait for the end of a split that is on these boxes."""
    for arrival in rig.mismatches:
        if arrival.stop in ("no-socket", "unpatched") and arrival.channel.carries in {half.name for half in halves}:
            yield "patch-carries-nothing", arrival.channel.address


def _cures(rig: ResolvedRig, fault: CableFault, needed: bool) -> Iterator[Cure]:
    """Offer the end of each chain that has slots left, then a console's free port; else say to leave it out."""
    head = fault.port
    if head not in taken_ports(rig):
        inputs = sum(rig.device(name).model.inputs.count for name in fault.devices)
        ends = [chain_end(rig, chain) for chain in rig.chains.values() if _has_room(chain, inputs)]
        # A console port of its own gives other slots than the patch was made for: only where no chain has room.
        starts = [end for end in ends if end is not None] or [port for port in (free_link(rig),) if port is not None]
        for start in starts:
            yield _run_cable(rig, start, head)
    if not needed and not any(end.device in fault.devices for end in taken_ports(rig)):
        names = joined(fault.devices)
        yield Cure(f"take {names} out of the rig file", {"devices": dict.fromkeys(fault.devices)})


def _has_room(chain: Chain, inputs: int) -> bool:
    return max((box.input_slots[-1] for box in chain.boxes if box.input_slots), default=0) + inputs <= chain.capacity


def _run_cable(rig: ResolvedRig, start: Port, head: Port) -> Cure:
    name = fresh_name(f"to-{head.device}", rig.rig.cables)
    return Cure(f"run a link cable from {start} to {head}", {"cables": {name: {"from": str(start), "to": str(head)}}})
