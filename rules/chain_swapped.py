"""The boxes of a chain are cabled in another order than the console is patched for."""

from collections.abc import Iterator
from itertools import permutations

from lint import Arrival, Bad, Cure, Finding, Port, ResolvedRig, Slot, Socket, rule
from lint.resolve.chain import DOWNSTREAM, UPSTREAM, Chain
from lint.resolve.mixup import WrongOutput, merged, nested, patch_change, plug_change, wrong_outputs
from lint.resolve.resolved import same_signal
from lint.rules._cabling import RELINK_SAFETY
from lint.rules._outputs import explained
from lint.rules._phantom import SAFETY as PLUG_SAFETY
from lint.rules._words import listed

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
    safety=f"{RELINK_SAFETY} {PLUG_SAFETY}",
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a chain whose wrong channels and outputs another order of its boxes explains, all of them."""
    dead_on: dict[Port, list[WrongOutput]] = {}
    for row in wrong_outputs(rig):
        if row.departure.slot:
            dead_on.setdefault(row.departure.slot.port, []).append(row)
    for chain in rig.chains.values():
        wrong = [row for row in rig.arrivals_by.get(chain.link, ()) if row.channel.address in rig.mismatched]
        dead = dead_on.get(chain.link, [])
        if len(wrong) + len(dead) < 2:
            continue
        order = _order_that_fits(rig, chain)
        if order is not None:
            yield _finding(rig, chain, order, wrong, dead)


def _order_that_fits(rig: ResolvedRig, chain: Chain) -> list[str] | None:
    """Return the order, nearest to the one that is cabled, in which all that the link carries is as it should be."""
    names = [box.device for box in chain.boxes]
    if not 2 <= len(names) <= MOST_BOXES:
        return None
    wanted: list[tuple[int, set[Socket]]] = []
    for arrival in rig.arrivals_by.get(chain.link, ()):
        source = rig.rig.sources.get(str(arrival.channel.carries))
        if source and arrival.slot and not rig.plug_fault(source):
            wanted.append((arrival.slot.number, set(source.sockets)))
    needs = [row for name in names for row in rig.box_outputs.get(name, ()) if row[2] is not None]
    orders = sorted(permutations(names), key=lambda order: sum(a != b for a, b in zip(order, names, strict=True)))
    for order in orders[1:]:
        sockets = _numbered(rig, order, chain.capacity)
        if not all(sockets.get(number) in homes for number, homes in wanted):
            continue
        first = _first_output_slots(rig, order)
        sent = ((Slot(chain.link, first[socket.device] + socket.number - 1), signal) for _, socket, signal in needs)
        if all((feed := rig.rig.feeds.get(slot)) and same_signal(feed.signal, signal) for slot, signal in sent):
            return list(order)
    return None


def _numbered(rig: ResolvedRig, order: tuple[str, ...], capacity: int) -> dict[int, Socket]:
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
    return {number: socket for number, socket in sockets.items() if number <= capacity}


def _first_output_slots(rig: ResolvedRig, order: tuple[str, ...]) -> dict[str, int]:
    """Return the slot of each box's first output, along a chain in the given order; 0 where no selector says."""
    firsts: dict[str, int] = {}
    slot = 1
    for name in order:
        outputs = rig.device(name).model.outputs
        own = rig.boxes[name].output_slots
        firsts[name] = slot if not outputs.by_selector else own.start if own else 0
        slot += 0 if outputs.by_selector else outputs.count
    return firsts


def _finding(
    rig: ResolvedRig, chain: Chain, order: list[str], wrong: list[Arrival], dead: list[WrongOutput]
) -> Finding:
    now = ", ".join(box.device for box in chain.boxes)
    channels = sorted(wrong, key=lambda arrival: (arrival.channel.console, arrival.channel.number))
    names = [rig.rig.channel_words(arrival.channel) for arrival in channels]
    names += dict.fromkeys(row.destination.name for row in dead)
    meant = "the console is patched for" if wrong else "the console's feeds are made for"
    message = f"the boxes on {chain.link} are cabled {now}, but {meant} {', '.join(order)}. Wrong now: {listed(names)}."
    places = [rig.place(box.cable.trail, box.device, at_key=True) for box in chain.boxes]
    cures = (_recable(chain, order), *(_leave_the_cables(rig, channels) if not dead else ()))
    facts = {"channels": len(wrong), "destinations": len(dead)}
    explains = frozenset(_explained(rig, chain, wrong)) | explained(rig, dead)
    return Finding(message, tuple(places), cures, facts, explains=explains)


def _leave_the_cables(rig: ResolvedRig, wrong: list[Arrival]) -> Iterator[Cure]:
    """Yield the cures on the console and on stage. The change has all of it; the words name twenty."""
    patches = [patch for arrival in wrong if (patch := patch_change(rig, arrival)) is not None]
    if len(patches) == len(wrong):
        words = listed((text for text, _ in patches), "; ")
        yield Cure(f"leave the cables and {words}", merged(change for _, change in patches))
    if (plugs := plug_change(rig, wrong)) is not None:
        yield Cure(f"leave cables and console and {plugs[0]}", plugs[1])


def _explained(rig: ResolvedRig, chain: Chain, wrong: list[Arrival]) -> Iterator[tuple[str, str]]:
    for arrival in wrong:
        channel = arrival.channel
        yield "patch-block-wrong", f"{channel.console}/input_blocks/{channel.by_block}"
        yield from ((name, channel.address) for name in ("patch-carries-other", "patch-carries-nothing"))
        yield "source-unheard", str(channel.carries)
    yield from (("stereo-crossed", pair) for pair in rig.rig.pairs)
    # In that other order all that is used has a slot.
    yield from (("chain-slots-exceeded", box.device) for box in chain.boxes)


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
