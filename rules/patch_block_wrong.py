"""A whole block of channels is patched from the wrong block of slots."""

from collections.abc import Iterator
from typing import NamedTuple

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, Slot, Socket, rule
from lint.resolve.mixup import merged, nested
from lint.rig.rig import Block
from lint.rules._words import listed

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
    """Yield one finding a console, with every block that another range would put right as a whole."""
    wrong = {arrival.channel.address: arrival for arrival in rig.mismatches}
    for blocks in rig.rig.blocks.values():
        found: list[_Wrong] = []
        for block in blocks:
            arrivals = [
                arrival
                for number in block.channels
                if (arrival := rig.arrivals.get((block.console, number))) and arrival.channel.by_block == block.key
            ]
            mistaken = [arrival for arrival in arrivals if arrival.channel.address in wrong]
            base = _common_start(rig, block, arrivals) if len(mistaken) > 1 else None
            if base is not None:
                found.append(_Wrong(block, f"{base}-{base.number + len(block.channels) - 1}", mistaken))
        if found:
            yield _finding(rig, found)


class _Wrong(NamedTuple):
    """A block, the range that would be right, and the channels that are wrong until then."""

    block: Block
    span: str
    arrivals: list[Arrival]


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


def _finding(rig: ResolvedRig, found: list[_Wrong]) -> Finding:
    mistaken = [arrival for row in found for arrival in row.arrivals]
    names = listed(rig.rig.channel_words(arrival.channel) for arrival in mistaken)
    rows = [
        f"the input block of channels {row.block.key} is set to {rig.says(*row.block.trail)}; all of its channels would "
        f"be right on {row.span}."
        for row in found
    ]
    explains = {("patch-carries-other", arrival.channel.address) for arrival in mistaken}
    explains |= {("patch-carries-nothing", arrival.channel.address) for arrival in mistaken}
    explains |= {("source-unheard", str(arrival.channel.carries)) for arrival in mistaken}
    # A pair or a source across two wrong blocks is put right with them.
    explains |= {("stereo-crossed", name) for name in rig.rig.pairs}
    explains |= {("source-unheard", name) for arrival in mistaken for name in arrival.sources}
    words = "; ".join(f"set the input block of channels {row.block.key} to {row.span}" for row in found)
    change = merged(nested(row.block.trail, row.span) for row in found)
    return Finding(
        f"{' '.join(rows)} Wrong now: {names}.",
        tuple(rig.place(row.block.trail, f"{row.block.console}/input_blocks/{row.block.key}") for row in found),
        (Cure(words, change),),
        {"channels": len(mistaken)},
        explains=frozenset(explains),
    )
