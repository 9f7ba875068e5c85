"""The boxes of a chain are cabled in another order than the console is patched for."""

from collections.abc import Iterator
from itertools import permutations

from lint import Arrival, Bad, Cure, Finding, Port, ResolvedRig, Socket, rule
from lint.resolve.chain import DOWNSTREAM, UPSTREAM, Chain
from lint.resolve.mixup import merged, nested, patch_change, plug_change

_WHY = """\
The order of the boxes on the cable decides which slots their sockets get. Two boxes in the other order move every
microphone on them at once; every wrong channel of this rig is explained by that one thing."""
MOST_BOXES = 6


@rule(
    title="The boxes are cabled in another order than the console is patched for",
    severity="no-go",
    family="chain",
    why=_WHY,
    do="Cable the boxes in the order that the patch expects, or patch the console for the order they are in.",
    good=[
        "channels: {1: {patched_from: desk/link-1/2, carries: choir, phantom: on}, 2: {patched_from: desk/link-1/1, carries: lead-vocal, phantom: off}}"
    ],
    bad=[
        Bad(
            "cables: {trunk: {to: east-box/upstream}, crossing: {from: east-box/downstream, to: west-box/upstream}}",
            (
                "the boxes on desk/link-1 are cabled east-box, west-box, but the console is patched for west-box, "
                "east-box. Wrong now: channel 1 (Lead vox), channel 2 (Choir), channel 3 (Piano).",
            ),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a chain whose mismatches another order of its boxes explains, all of them."""
    for chain in rig.chains.values():
        wrong = [a for a in rig.mismatches if a.slot is not None and rig.owner_slot(a.slot).port == chain.link]
        if len(wrong) < 2:
            continue
        order = _order_that_fits(rig, chain)
        if order is not None:
            yield _finding(rig, chain, order, wrong)


def _order_that_fits(rig: ResolvedRig, chain: Chain) -> list[str] | None:
    """Return the order, nearest to the one that is cabled, in which every channel of the link carries what it should."""
    names = [box.device for box in chain.boxes]
    if not 2 <= len(names) <= MOST_BOXES:
        return None
    wanted: list[tuple[int, set[Socket]]] = []
    for arrival in rig.arrivals.values():
        source = rig.rig.sources.get(str(arrival.channel.carries))
        if source and arrival.slot and rig.owner_slot(arrival.slot).port == chain.link and not rig.plug_fault(source):
            wanted.append((arrival.slot.number, set(source.sockets)))
    orders = sorted(permutations(names), key=lambda order: sum(a != b for a, b in zip(order, names, strict=True)))
    for order in orders[1:]:
        sockets = _numbered(rig, order)
        if all(sockets.get(number) in homes for number, homes in wanted):
            return list(order)
    return None


def _numbered(rig: ResolvedRig, order: tuple[str, ...]) -> dict[int, Socket]:
    """Hand out the input slots along a chain in the given order."""
    sockets: dict[int, Socket] = {}
    slot = 0
    for name in order:
        inputs = rig.device(name).model.inputs
        for number in range(1, inputs.count + 1) if not inputs.by_selector else ():
            slot += 1
            sockets[slot] = Socket(name, "in", number)
    for name in order:
        box = rig.boxes[name]
        if rig.device(name).model.inputs.by_selector:
            for number, own in enumerate(box.input_slots, start=1):
                sockets.setdefault(own, Socket(name, "in", number))
    return sockets


def _finding(rig: ResolvedRig, chain: Chain, order: list[str], wrong: list[Arrival]) -> Finding:
    now = ", ".join(box.device for box in chain.boxes)
    names = ", ".join(rig.rig.channel_words(arrival.channel) for arrival in wrong)
    message = (
        f"the boxes on {chain.link} are cabled {now}, but the console is patched for {', '.join(order)}. "
        f"Wrong now: {names}."
    )
    cures = [_recable(chain, order)]
    patches = [patch for arrival in wrong if (patch := patch_change(rig, arrival)) is not None]
    if len(patches) == len(wrong):
        words = "; ".join(text for text, _ in patches)
        cures.append(Cure(f"leave the cables and {words}", merged(change for _, change in patches)))
    if (plugs := plug_change(rig, wrong)) is not None:
        cures.append(Cure(f"leave cables and console and {plugs[0]}", plugs[1]))
    explains = {("patch-block-wrong", f"{a.channel.console}/input_blocks/{a.channel.by_block}") for a in wrong}
    for arrival in wrong:
        explains |= {(name, arrival.channel.address) for name in ("patch-carries-other", "patch-carries-nothing")}
        explains.add(("source-unheard", str(arrival.channel.carries)))
    explains |= {("stereo-crossed", pair) for pair in rig.rig.pairs}
    places = [rig.place(box.cable.trail, box.device, at_key=True) for box in chain.boxes]
    return Finding(message, tuple(places), tuple(cures), {"channels": len(wrong)}, explains=frozenset(explains))


def _recable(chain: Chain, order: list[str]) -> Cure:
    """Return the cure that leaves each cable at its place in the chain and plugs the boxes in the other order."""
    changes = []
    feed = chain.link
    for box, name in zip(chain.boxes, order, strict=True):
        ends = (feed, Port(name, UPSTREAM))
        near = "from" if box.cable.ends[1].device == box.device else "to"
        far = "to" if near == "from" else "from"
        changes.append(nested((*box.cable.trail, near), str(ends[0])))
        changes.append(nested((*box.cable.trail, far), str(ends[1])))
        feed = Port(name, DOWNSTREAM)
    return Cure(f"cable them {', '.join([str(chain.link), *order])}", merged(changes))
