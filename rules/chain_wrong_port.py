"""A chain hangs on another port than the console is patched for."""

from collections.abc import Iterator, Mapping
from itertools import islice

from lint import Bad, Cure, Finding, Port, ResolvedRig, rule
from lint.resolve.chain import Chain
from lint.resolve.recabled import best_cabling, wrong
from lint.rules._cabling import RELINK_SAFETY, chain_end, joined, move_end, taken_ports
from lint.rules._recabled import cable_change, cabling_words, put_right, wrong_words

_WHY = """\
A link port takes the cable just as well as the one beside it. All that hangs on the chain then arrives on slots that
nothing listens to, and what is sent to it goes elsewhere."""
FEWEST_WRONG = 2
MOST_CHAINS = 8


@rule(
    title="A chain hangs on another port than the console is patched for",
    severity="no-go",
    family="chain",
    why=_WHY,
    do="Move the one plug at the head of the chain; leave the patch alone.",
    good=[
        "cables: {crossing: {from: desk/link-2}}\nchannels: {3: {patched_from: desk/link-2/1}}\n"
        "feeds: {desk/link-1: {15-16: null}, desk/link-2: {15-16: house}}"
    ],
    bad=[
        Bad(
            "cables: {trunk: {from: desk/link-2}}",
            (
                "the chain of west-box and east-box hangs on desk/link-2, but all that is wrong now would be right on "
                "desk/link-1: channel 1 (Lead vox), channel 2 (Choir), channel 3 (Piano), house-left, house-right, singer-wedge.",
            ),
        ),
        Bad(
            "cables: {crossing: {from: desk/link-2}}",
            (
                "the chain of east-box hangs on desk/link-2, but all that is wrong now would be right on "
                "west-box/downstream: channel 3 (Piano), house-left, house-right.",
            ),
        ),
        Bad(
            "cables: {trunk: {from: desk/link-2}, other: {from: desk/link-1, to: loft-box/upstream}}\n"
            "devices: {loft-box: {model: stage-box-8x8}}\n"
            "sources: {organ: {kind: dynamic-microphone, plugged_into: loft-box/in/1}}\n"
            "channels: {4: {label: Organ, carries: organ, patched_from: desk/link-2/1}}",
            (
                "two chains are plugged into each other's port (loft-box on desk/link-1; west-box and east-box on desk/link-2), "
                "and all that is wrong now would be right exchanged: channel 1 (Lead vox), channel 2 (Choir), channel 3 "
                "(Piano), channel 4 (Organ), house-left, house-right, singer-wedge.",
            ),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a chain whose first plug, put elsewhere, takes away all that is wrong with it."""
    before = wrong(rig)
    if len(before) < FEWEST_WRONG:
        return
    told: set[str] = set()
    for chain in islice((chain for chain in rig.chains.values() if _may_move(rig, chain)), MOST_CHAINS):
        if chain.boxes[0].cable.name in told:
            continue  # it is exchanged with a chain before
        found = best_cabling(rig, _ways(rig, chain))
        if found is None:
            continue
        way, then = found
        cured = before - wrong(then)
        if len(cured) < FEWEST_WRONG:
            continue
        told.update(way)
        moved = [other for other in rig.chains.values() if other.boxes and other.boxes[0].cable.name in way]
        yield Finding(
            f"{_where(chain, moved, way)}: {wrong_words(rig, cured)}.",
            tuple(rig.place(each.boxes[0].cable.trail, each.boxes[0].device, at_key=True) for each in moved),
            (Cure(cabling_words(rig, way), cable_change(rig, way)),),
            {"wrong": len(cured)},
            explains=put_right(rig, then) | {("link-cable-coiled-spare", name) for name in way},
        )


def _where(chain: Chain, moved: list[Chain], way: Mapping[str, tuple[Port, Port]]) -> str:
    """Say where a chain hangs and where it should, or that two hang on each other's port."""
    cable = chain.boxes[0].cable
    target = next(port for port in way[cable.name] if port not in cable.ends)
    boxes = [joined(box.device for box in each.boxes) for each in moved]
    if len(moved) > 1:
        hang = "; ".join(f"{names} on {each.link}" for names, each in zip(boxes, moved, strict=True))
        return f"two chains are plugged into each other's port ({hang}), and all that is wrong now would be right exchanged"
    return f"the chain of {boxes[0]} hangs on {chain.link}, but all that is wrong now would be right on {target}"


def _may_move(rig: ResolvedRig, chain: Chain) -> bool:
    """Whether a chain has boxes, and no channel that hears what it should by it alone: moving it would take that away."""
    return bool(chain.boxes) and not any(
        row.slot is not None
        and row.slot.port == chain.link
        and row.channel.carries in row.sources
        and len(rig.rig.sources[str(row.channel.carries)].sockets) == 1
        for row in rig.arrivals_by.get(chain.link, ())
    )


def _ways(rig: ResolvedRig, chain: Chain) -> Iterator[Mapping[str, tuple[Port, Port]]]:
    """Yield where else its first plug could go: a free link port, the end of another chain, or another chain's place."""
    cable = chain.boxes[0].cable
    taken = taken_ports(rig)
    others = [other for other in rig.chains.values() if other.boxes and other.link != chain.link]
    movable = [other for other in others if _may_move(rig, other)]
    ends = [end for other in others if (end := chain_end(rig, other)) is not None]
    for target in (*(port for port in rig.chains if port not in taken), *ends):
        yield {cable.name: move_end(cable, chain.link, target)}
    for other in movable:
        rival = other.boxes[0].cable
        yield {
            cable.name: move_end(cable, chain.link, other.link),
            rival.name: move_end(rival, other.link, chain.link),
        }
