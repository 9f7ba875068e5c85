"""How a box is added or put in the place of an old one: its mains, its selectors, and every plug again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lint.plan.ends import ends_of, plug_words
from lint.plan.mains import CARE, circuit_words, switcher
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.model import Model
from lint.rig.rig import Device


def exchanging(
    rig: ResolvedRig, box: Device, new: Model, row: Mapping[str, Any]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Say what is to be done at a box that stands in another's place: its selectors, and all plugs of the old.

    The link cables are between the two parts: which of them come back as they were depends on all that is changed.
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
    mains = f"{have} switch the old {box.name} off and pull its mains plug{fed_by}. {CARE}"
    return (*_taken_out(rig, box, mains), *steps), (
        *_plugs_in(rig, box, new),
        f"{have} plug the new {box.name} into the mains{fed_by} and switch it on, what it feeds still off or down",
    )


def adding(rig: ResolvedRig, name: str, bank: str | None) -> tuple[str, ...]:
    """Say what is to be done at a new box once its link cables are in."""
    turned = (f"set the output selector of the new {name} to {bank}",) if bank else ()
    on = f"have {switcher(rig)} plug the new {name} into the mains and switch it on, what it feeds still off or down"
    return (*turned, f"{on}. {CARE}")


def _taken_out(rig: ResolvedRig, box: Device, mains: str) -> Iterator[str]:
    """Yield how a box is taken out, `mains` being the step at its mains plug."""
    fed = [row.name for row in rig.rig.amplifiers.values() if any(at.device == box.name for at in row.sockets)]
    if fed:
        yield f"switch off or turn down what is fed from {box.name}: {', '.join(fed)}"
    yield mains
    yield f"label every plug of the old {box.name} and take them out, the link cables first"


def _plugs_in(rig: ResolvedRig, box: Device, new: Model) -> Iterator[str]:
    """Yield what is plugged into the new box."""
    rows = [(name, socket) for name, source in rig.rig.sources.items() for socket in source.sockets]
    hung: dict[Socket, list[str]] = {}
    for name, end in ends_of(rig).items():
        for socket in end.sockets:
            hung.setdefault(socket, []).append(name)
    rows += [(plug_words(rig, names, (socket,)), socket) for socket, names in hung.items()]
    count = {"in": new.inputs.count, "out": new.outputs.count}
    here = [(name, at) for name, at in rows if at.device == box.name and at.number <= count[at.side]]
    plugs = [f"{name} {at.side}/{at.number}" for name, at in here]
    if plugs:
        yield f"plug into the new {box.name} again, at the same numbers: {', '.join(plugs)}"
