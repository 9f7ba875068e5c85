"""The inputs of a chain exceed the slots of its link."""

from collections.abc import Iterator
from typing import Any

from lint import Bad, Cure, Finding, ResolvedRig, Severity, Slot, Socket, rule
from lint.resolve.chain import Chain
from lint.resolve.mixup import merged, nested
from lint.rig.address import spans
from lint.rig.rig import Channel, Source
from lint.rules._cabling import RELINK_SAFETY, free_link, joined, kilohertz, move_plug
from lint.rules._capacity import explained_by_rate, rates_that_fit
from lint.rules._words import listed

_WHY = """\
Slots are handed out along the chain until the link is full. Sockets past the end get none: what is plugged in there
reaches no console, however it is patched."""

_BIG = "devices: {third-box: {model: stage-box-32x16, output_bank: 17-32}}\n"
_THIRD = "cables: {far: {from: east-box/downstream, to: third-box/upstream}}\n"


@rule(
    title="The inputs of the chain exceed the slots of the link",
    severity="no-go or caution",
    family="chain",
    why=_WHY,
    do="Move the plugs to sockets that have a slot, hang the last box on another link port, or run at a lower rate.",
    source="AES50-2011: 48 slots at 44.1/48 kHz; 24 at 88.2/96 kHz: from memory; the model states its own link's",
    good=[_BIG + "cables: {far: {from: desk/link-2, to: third-box/upstream}}"],
    bad=[
        Bad(
            _BIG + _THIRD + "sources: {organ: {kind: passive-di, plugged_into: third-box/in/30}}\n"
            "channels: {4: {label: Organ, carries: organ, patched_from: desk/link-1/54}}",
            (
                "the chain on desk/link-1 needs 56 input slots, but at 48 kHz the link carries 48: "
                "third-box/in/25–32 have none. Silent: organ in third-box/in/30 (channel 4 (Organ)).",
            ),
        ),
        Bad(
            _BIG + _THIRD,
            (
                "the chain on desk/link-1 needs 56 input slots, but at 48 kHz the link carries 48: "
                "third-box/in/25–32 have none. Nothing is plugged in there.",
            ),
        ),
        Bad(
            "clock: {sample_rate_hz: 96000}\n" + _BIG.replace("32x16", "8x8").replace("32}", "24}") + _THIRD,
            (
                "the chain on desk/link-1 needs 32 input slots, but at 96 kHz the link carries 24: "
                "third-box/in/1–8 have none. Nothing is plugged in there.",
            ),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a chain, with the sources that fall off its end; a caution where none does."""
    for chain in rig.chains.values():
        without = {
            box.device: [number for number, slot in enumerate(box.input_slots, start=1) if slot > chain.capacity]
            for box in chain.boxes
        }
        without = {device: numbers for device, numbers in without.items() if numbers}
        if not without:
            continue
        needs = max(box.input_slots[-1] for box in chain.boxes if box.input_slots)
        rate = rig.device(chain.link.device).sample_rate_hz or rig.rig.sample_rate_hz
        fallen = _fallen(rig, without)
        sockets = joined(f"{device}/in/{spans(numbers)}" for device, numbers in without.items())
        verb = "has" if sum(map(len, without.values())) == 1 else "have"
        message = (
            f"the chain on {chain.link} needs {needs} input slots, but at {kilohertz(rate)} the link carries "
            f"{chain.capacity}: {sockets} {verb} none."
        )
        silent = listed(_row(rig, source, socket) for source, socket in fallen)
        yield Finding(
            f"{message} Silent: {silent}." if fallen else f"{message} Nothing is plugged in there.",
            (
                *(rig.place(("devices", device), device, at_key=True) for device in without),
                *(rig.place((*source.trail, "plugged_into"), source.name) for source, _ in fallen),
            ),
            tuple(_cures(rig, chain, fallen)),
            {"inputs": needs, "slots": chain.capacity, "sample_rate_hz": rate, "sources_silent": len(fallen)},
            severity=None if fallen else Severity.CAUTION,
            explains=frozenset((*_explained(rig, fallen), *(explained_by_rate(rig, chain) if fallen else ()))),
        )


def _fallen(rig: ResolvedRig, without: dict[str, list[int]]) -> list[tuple[Source, Socket]]:
    return [
        (source, socket)
        for source in rig.rig.sources.values()
        for socket in source.sockets
        if socket.number in without.get(socket.device, ())
    ]


def _deaf(rig: ResolvedRig, source: Source) -> list[Channel]:
    """Return the channels that are meant to carry a source and do not receive it."""
    carriers = rig.carriers_of.get(source.name, ())
    return [row for row in carriers if source.name not in rig.arrivals[row.console, row.number].sources]


def _row(rig: ResolvedRig, source: Source, socket: Socket) -> str:
    channels = joined(rig.rig.channel_words(channel) for channel in _deaf(rig, source))
    return f"{source.name} in {socket}" + (f" ({channels})" if channels else "")


def _explained(rig: ResolvedRig, fallen: list[tuple[Source, Socket]]) -> Iterator[tuple[str, str]]:
    """Yield what follows from it: dead channels and unheard sources. A channel that gets another source stays told."""
    for source, _ in fallen:
        yield "source-unheard", source.name
        for channel in _deaf(rig, source):
            yield "patch-carries-nothing", channel.address


def _cures(rig: ResolvedRig, chain: Chain, fallen: list[tuple[Source, Socket]]) -> Iterator[Cure]:
    yield from _replug(rig, chain, fallen)
    yield from _other_link(rig, chain)
    yield from _lower_rate(rig, chain)


def _replug(rig: ResolvedRig, chain: Chain, fallen: list[tuple[Source, Socket]]) -> Iterator[Cure]:
    """Move the plugs to free sockets that have a slot, nearest box first, and patch their channels from there."""
    heard = {arrival.socket for arrival in rig.arrivals.values()}
    free = [
        socket
        for box in reversed(chain.boxes)
        for socket in (Socket(box.device, "in", number) for number in range(1, len(box.input_slots) + 1))
        if socket in rig.slot_of and socket not in rig.sources_in and socket not in heard
    ]
    if not fallen or len(free) < len(fallen) or any(len(source.sockets) > 1 for source, _ in fallen):
        return
    words, changes = [], []
    for (source, _), target in zip(fallen, free, strict=False):
        changes.append(nested((*source.trail, "plugged_into"), str(target)))
        words.append(f"move the plug of {source.name} to {target}")
        for channel in _deaf(rig, source):
            point = rig.input_point(target, channel.console)
            if point is not None:
                changes.append(nested((*channel.trail, "patched_from"), str(point)))
                words.append(f"patch {rig.rig.channel_words(channel)} from {point}")
    yield Cure(", ".join(words), merged(changes))


def _other_link(rig: ResolvedRig, chain: Chain) -> Iterator[Cure]:
    """Hang the first box that overflows, and all behind it, on another link port; its channels follow."""
    link = free_link(rig, chain.link.device)
    at = next(
        index for index, box in enumerate(chain.boxes) if box.input_slots and box.input_slots[-1] > chain.capacity
    )
    if link is None or at == 0:
        return
    box = chain.boxes[at]
    near = next(end for end in box.cable.ends if end.device != box.device)
    changes: list[dict[str, Any]] = [move_plug(box.cable, near, link)]
    start = box.input_slots.start
    for channel in rig.rig.channels.values():
        patched = channel.patched_from
        moves = isinstance(patched, Slot) and patched.port == chain.link and patched.number >= start
        if isinstance(patched, Slot) and moves and not rig.device(box.device).model.inputs.by_selector:
            changes.append(nested((*channel.trail, "patched_from"), str(Slot(link, patched.number - start + 1))))
    text = f"cable {box.device} to {link} instead of {near}; its sockets then start at {link}/1, and so must its feeds"
    yield Cure(text, merged(changes))


def _lower_rate(rig: ResolvedRig, chain: Chain) -> Iterator[Cure]:
    """Run the rig at the highest rate at which every device of the chain can, and the link has slots enough."""
    fitting = rates_that_fit(rig, chain)
    if fitting and not any(device.sample_rate_hz for device in rig.rig.devices.values()):
        rate = fitting[0]
        yield Cure(f"run the whole rig at {kilohertz(rate)}", {"clock": {"sample_rate_hz": rate}})
