"""How a box is added or put in the place of an old one: its mains, its selectors, and every plug again."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from lint.plan.ends import ends_of, plug_words
from lint.plan.mains import CARE, circuit_words, switcher
from lint.resolve.dark import dark_in, unlit
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.model import Model
from lint.rig.rig import Device


def exchanging(rig: ResolvedRig, box: Device, new: Model, row: Mapping[str, Any]) -> tuple[str, ...]:
    """Say how a box is taken out that another stands in the place of, and how the selectors of that are set.

    Which link cables and plugs come back as they were depends on all that is changed, as does whether it is switched
    on then (`put_in`).
    """
    banks = (
        ("output", row.get("output_bank", box.output_bank), new.outputs),
        ("input", row.get("input_bank", box.input_bank), new.inputs),
    )
    steps = [
        f"set the {side} selector of the new {box.name} to {bank}"
        for side, bank, sockets in banks
        if bank is not None and sockets.by_selector
    ]
    at_mains = circuit_words(rig, box.name)
    fed_by = f" ({at_mains})" if at_mains else ""
    have = f"have {switcher(rig)}"
    mains = f"{have} switch the old {box.name} off and pull its mains plug{fed_by}, and wait ten seconds. {CARE}"
    return (*_taken_out(rig, box, mains), *steps)


def put_in(before: ResolvedRig, after: ResolvedRig, name: str, out: Collection[Socket]) -> Iterator[str]:
    """Yield what is plugged into a box in another's place once its link cables are in, but for what stays `out`.

    It is switched on then; where no console reaches it nobody knows its phantom power.
    """
    yield from _plugs_in(before, before.device(name), after.device(name).model, out)
    at_mains = circuit_words(before, name)
    fed_by = f" ({at_mains})" if at_mains else ""
    why = "it has no mains" if name in dark_in(after) else "no console reaches it"
    off = name in unlit(after) or not after.is_reached(name)
    then = f"leave it switched off: {why} now" if off else "switch it on, what it feeds still off or down"
    yield f"have {switcher(before)} plug the new {name} into the mains{fed_by} and {then}"
    if fed := _fed_from(before, name):
        yield f"have {', '.join(fed)} on again, still turned down"


def adding(rig: ResolvedRig, name: str, bank: str | None) -> tuple[str, ...]:
    """Say what is to be done at a new box once its link cables are in."""
    turned = (f"set the output selector of the new {name} to {bank}",) if bank else ()
    on = f"have {switcher(rig)} plug the new {name} into the mains and switch it on, what it feeds still off or down"
    return (*turned, f"{on}. {CARE}")


def _taken_out(rig: ResolvedRig, box: Device, mains: str) -> Iterator[str]:
    """Yield how a box is taken out, `mains` being the step at its mains plug."""
    if fed := _fed_from(rig, box.name):
        yield f"switch off or turn down what is fed from {box.name} or behind it: {', '.join(fed)}"
    yield mains
    yield f"label every plug of the old {box.name} and take them out, the link cables first"


def _fed_from(rig: ResolvedRig, box: str) -> list[str]:
    """Return the amplifiers at a box and at those behind it, whose link falls out with it."""
    chain = rig.chains[rig.boxes[box].link].boxes if box in rig.boxes else []
    names = {box, *(row.device for row in chain if row.position > rig.boxes[box].position)}
    return [row.name for row in rig.rig.amplifiers.values() if any(at.device in names for at in row.sockets)]


def _plugs_in(rig: ResolvedRig, box: Device, new: Model, out: Collection[Socket]) -> Iterator[str]:
    """Yield what is plugged into the new box."""
    rows = [(name, socket) for name, source in rig.rig.sources.items() for socket in source.sockets]
    hung: dict[Socket, list[str]] = {}
    for name, end in ends_of(rig).items():
        for socket in end.sockets:
            hung.setdefault(socket, []).append(name)
    rows += [(plug_words(rig, names, (socket,)), socket) for socket, names in hung.items()]
    count = {"in": new.inputs.count, "out": new.outputs.count}
    here = [(name, at) for name, at in rows if at.device == box.name and at.number <= count[at.side] and at not in out]
    plugs = [f"{name} {at.side}/{at.number}" for name, at in here]
    if plugs:
        yield f"plug into the new {box.name} again, at the same numbers: {', '.join(plugs)}"
