"""A whole block of channels is patched from the wrong block of slots."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, Slot, Socket, rule
from lint.resolve.mixup import nested
from lint.rig.rig import Block

_WHY = """\
This console patches inputs in blocks. One block that points at the wrong slots moves all of its channels at once: it
looks like eight mistakes and is one."""


@rule(
    title="A block of channels is patched from the wrong slots",
    severity="no-go",
    family="patch",
    why=_WHY,
    do="Set the block on the console to the slots named; leave the plugs alone.",
    good=["input_blocks: {1-2: desk/link-1/1-2}\nchannels: {1: {patched_from: null}, 2: {patched_from: null}}"],
    bad=[
        Bad(
            "input_blocks: {1-2: desk/link-1/9-10}\nchannels: {1: {patched_from: null}, 2: {patched_from: null}}",
            (
                "the input block of channels 1-2 is set to desk/link-1/9-10; all of its channels would be right on "
                "desk/link-1/1-2. Wrong now: channel 1 (Lead vox), channel 2 (Choir).",
            ),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a block that another range would put right as a whole."""
    wrong = {arrival.channel.address: arrival for arrival in rig.mismatches}
    for blocks in rig.rig.blocks.values():
        for block in blocks:
            arrivals = [
                arrival
                for number in block.channels
                if (arrival := rig.arrivals.get((block.console, number))) and arrival.channel.by_block == block.key
            ]
            mistaken = [arrival for arrival in arrivals if arrival.channel.address in wrong]
            base = _common_start(rig, block, arrivals) if len(mistaken) > 1 else None
            if base is not None:
                yield _finding(rig, block, base, mistaken)


def _common_start(rig: ResolvedRig, block: Block, arrivals: list[Arrival]) -> Slot | Socket | None:
    """Return the point at which the block would have to begin, if it is the same for every channel of it."""
    starts: set[Slot | Socket | None] = set()
    for arrival in arrivals:
        wanted = arrival.channel.carries
        if wanted is None:
            continue
        socket = rig.rig.sources[wanted].sockets[0] if isinstance(wanted, str) else None
        point = rig.input_point(socket, block.console) if socket else None
        number = point.number - block.channels.index(arrival.channel.number) if point else 0
        starts.add(point._replace(number=number) if point is not None and number > 0 else None)
    return starts.pop() if len(starts) == 1 else None


def _finding(rig: ResolvedRig, block: Block, base: Slot | Socket, mistaken: list[Arrival]) -> Finding:
    span = f"{base}-{base.number + len(block.channels) - 1}"
    said = rig.says(*block.trail)
    names = ", ".join(rig.rig.channel_words(arrival.channel) for arrival in mistaken)
    message = (
        f"the input block of channels {block.key} is set to {said}; all of its channels would be right on {span}. "
        f"Wrong now: {names}."
    )
    explains = {("patch-carries-other", arrival.channel.address) for arrival in mistaken}
    explains |= {("patch-carries-nothing", arrival.channel.address) for arrival in mistaken}
    explains |= {("source-unheard", str(arrival.channel.carries)) for arrival in mistaken}
    return Finding(
        message,
        (rig.place(block.trail, f"{block.console}/input_blocks/{block.key}"),),
        (Cure(f"set the input block of channels {block.key} to {span}", nested(block.trail, span)),),
        {"channels": len(mistaken)},
        explains=frozenset(explains),
    )
