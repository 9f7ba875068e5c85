"""Two boxes on one output bank whose destinations need different feeds."""

from collections.abc import Iterator
from itertools import combinations

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.chain import ChainBox
from lint.resolve.mixup import WrongOutput, nested, wrong_outputs
from lint.rules._inputs import unheard_of
from lint.rules._output_cures import banks_that_fit
from lint.rules._outputs import SAFETY, explained, instead, same_slots
from lint.rules._words import listed

_WHY = """\
The selector decides what leaves a box, not its place in the chain: two boxes on one bank carry the same signals,
socket by socket. That is wanted for twin loudspeakers, and a fault when the two need different feeds: a wedge hears
the house, or the house hears a wedge."""


@rule(
    title="Two boxes are on the same output bank, but their destinations need different feeds",
    severity="no-go",
    family="outputs",
    why=_WHY,
    do="Set the selector of one box to the bank that its destinations need, before anything is switched on.",
    good=[
        # twins: two boxes on one bank on purpose
        "devices: {east-box: {output_bank: 1-8}}\n"
        "feeds: {desk/link-1: {15-16: null, 7-8: house}}\n"
        "destinations: {foyer: {kind: zone-loudspeaker, plugged_into: west-box/out/7, expects: house.left}}",
    ],
    bad=[
        Bad(
            "devices: {east-box: {output_bank: 1-8}}",
            (
                "west-box and east-box are both on output bank 1–8, so they carry the same signals, but their "
                "destinations need different feeds: house-left (east-box/out/7) receives nothing instead of "
                "house.left; house-right (east-box/out/8) receives nothing instead of house.right.",
            ),
        ),
        Bad(
            "devices: {east-box: {output_bank: 1-8}}\n"
            "feeds: {desk/link-1: {7: singer-mon}}\n"
            "destinations: {drum-wedge: {kind: wedge, plugged_into: west-box/out/7, expects: singer-mon}}",
            (
                "west-box and east-box are both on output bank 1–8, so they carry the same signals, but their "
                "destinations need different feeds: house-left (east-box/out/7) receives singer-mon instead of "
                "house.left; house-right (east-box/out/8) receives nothing instead of house.right.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a pair of boxes that share link slots against the needs of what hangs on them."""
    wrong: dict[str, list[WrongOutput]] = {}
    for row in wrong_outputs(rig):
        wrong.setdefault(row.departure.socket.device, []).append(row)
    for chain in rig.chains.values():
        for first, second in combinations(chain.boxes, 2):
            shared = same_slots(first, second)
            mistaken = [*wrong.get(first.device, ()), *wrong.get(second.device, ())]
            if shared and mistaken and _needs_differ(rig, first, second):
                yield _clash(rig, first, second, mistaken)
    yield from _inputs(rig)


def _needs_differ(rig: ResolvedRig, first: ChainBox, second: ChainBox) -> bool:
    """Whether one slot is wanted for two signals, or one of the boxes would be right on a bank of its own."""
    needs: dict[int, set[object]] = {}
    for box in (first, second):
        for _, socket, wanted in rig.box_outputs.get(box.device, ()):
            if wanted is not None and socket.number <= len(box.output_slots):
                needs.setdefault(box.output_slots[socket.number - 1], set()).add(wanted)
    if any(len(signals) > 1 for signals in needs.values()):
        return True
    return any(_other_banks(rig, box, other) for box, other in ((first, second), (second, first)))


def _other_banks(rig: ResolvedRig, box: ChainBox, other: ChainBox) -> list[str]:
    """Return the banks that fit a box and share no slot with the other box's."""
    fitting = banks_that_fit(rig, box.device)
    taken = set(other.output_slots)
    return [bank for bank in fitting if int(bank.partition("-")[0]) not in taken]


def _clash(rig: ResolvedRig, first: ChainBox, second: ChainBox, mistaken: list[WrongOutput]) -> Finding:
    moved = second if any(row.departure.socket.device == second.device for row in mistaken) else first
    banks = [f"{box.output_slots[0]}–{box.output_slots[-1]}" for box in (first, second)]
    both = (
        f"both on output bank {banks[0]}" if banks[0] == banks[1] else f"on overlapping banks {banks[0]} and {banks[1]}"
    )
    message = (
        f"{first.device} and {second.device} are {both}, so they carry the same signals, but their destinations need "
        f"different feeds: {listed((instead(row) for row in mistaken), '; ')}."
    )
    other = first if moved is second else second
    cures = tuple(
        Cure(
            f"set {box.device}'s selector to {bank}: then everything on it gets what it expects",
            nested(("devices", box.device, "output_bank"), bank),
        )
        for box, against in ((moved, other), (other, moved))
        if any(row.departure.socket.device == box.device for row in mistaken)
        for bank in _other_banks(rig, box, against)
    )
    places = [rig.place(("devices", box.device, "output_bank"), box.device) for box in (moved, other)]
    places += [rig.place(("destinations", row.destination.name), row.destination.name) for row in mistaken]
    return Finding(
        message,
        tuple(places),
        cures
        or (Cure(f"set {moved.device}'s selector to a bank of its own, and send it what its destinations expect"),),
        {"destinations": len({row.destination.name for row in mistaken})},
        explains=explained(rig, mistaken),
    )


def _inputs(rig: ResolvedRig) -> Iterator[Finding]:
    """Boxes whose inputs are addressed by selector can land on each other's slots too."""
    pairs: dict[tuple[str, str], list[int]] = {}
    for slot, sockets in rig.clashing_inputs.items():
        for other in sockets[1:]:
            pairs.setdefault((sockets[0].device, other.device), []).append(slot.number)
    for (first, second), slots in pairs.items():
        message = f"{first} and {second} put their inputs on the same link slots, {min(slots)}–{max(slots)}."
        fitting = {name: rig.input_banks_that_fit(name) for name in (second, first)}
        # The one that stands where its channels listen is not the one to turn.
        wrong = [name for name in fitting if rig.device(name).input_bank not in fitting[name]]
        cures = [
            Cure(f"set {name}'s input selector to {bank}", nested(("devices", name, "input_bank"), bank))
            for name in wrong
            for bank in fitting[name]
        ]
        places = tuple(rig.place(("devices", name, "input_bank"), name) for name in fitting)
        yield Finding(
            message,
            places,
            tuple(cures) or (Cure(f"set {second}'s input selector to a bank of its own"),),
            explains=frozenset(unheard_of(rig, fitting)),
        )
