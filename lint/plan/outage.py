"""What dies: a box, a link cable, a link port, a mains circuit or a card of inputs; and what is cabled past it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from lint.plan.chainwork import chain_rows, rewired
from lint.plan.distance import too_short
from lint.plan.edit import CannotDoError, Edit, Editor
from lint.plan.reach import reaching
from lint.plan.rebuild import rebuilt
from lint.read.nearest import did_you_mean
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port, Socket, number_range
from lint.rig.model import Models
from lint.rig.rig import Cable

_CARD = re.compile(r"([^/]+)/in(?:/([1-9][0-9]{0,4}(?:-[1-9][0-9]{0,4})?))?")


@dataclass(frozen=True)
class Outage:
    """A loss: in words, the rig with the chain closed up past dead boxes, and what is dead in it.

    `cabling` are the link cables to move, in words; `spare` says where a tested spare of a dead cable is, if any;
    `is_mains` that a circuit is dark.
    """

    words: str
    after: ResolvedRig
    dead: frozenset[str] = frozenset()
    barred: frozenset[Socket] = frozenset()
    cabling: tuple[str, ...] = ()
    spare: str = ""
    is_mains: bool = False


def outage_of(rig: ResolvedRig, what: str, models: Models) -> Outage:
    """Return what is lost with `what`. Raises CannotDoError where there is no such thing."""
    card = _CARD.fullmatch(what)
    if card is not None:
        return _card(rig, card[1], card[2])
    editor = Editor(rig, models)
    edit = editor.lose(what)
    boxes = [name for name in edit.dead if name in rig.boxes or name in rig.lost_boxes]
    words = edit.words
    other = _other_port(rig, what)
    if other is not None:
        after = rebuilt(rig.rig, _replugged(rig, what, other), models)
        step = f"plug the link cable from {what} into {other}, which is free"
        return Outage(words, after, cabling=(step,), spare=edit.spare)
    after, cabling, why = _past(rig, edit, boxes, models)
    return Outage(words + why, after, edit.dead, frozenset(), cabling, edit.spare, edit.is_mains)


def _other_port(rig: ResolvedRig, what: str) -> Port | None:
    """Return a free link port of the same console that carries as much, where `what` is a link port; else None."""
    dead = next((link for link in rig.chains if str(link) == what), None)
    if dead is None:
        return None
    cabled = {end for cable in rig.rig.cables.values() for end in cable.ends}
    kinds = rig.device(dead.device).model.links
    rate = rig.device(dead.device).sample_rate_hz or rig.rig.sample_rate_hz
    same = [link for link in rig.chains if link.device == dead.device and link not in cabled]
    return next((link for link in same if kinds[link.name].slots_at(rate) >= kinds[dead.name].slots_at(rate)), None)


def _replugged(rig: ResolvedRig, what: str, other: Port) -> dict[str, Any]:
    """Return the change that plugs what is cabled to a port into another."""
    return merged(
        nested((*cable.trail, end), str(other))
        for cable in rig.rig.cables.values()
        for end, port in zip(("from", "to"), cable.ends, strict=True)
        if str(port) == what
    )


def _card(rig: ResolvedRig, name: str, numbers: str | None) -> Outage:
    device = rig.rig.devices.get(name)
    if device is None:
        raise CannotDoError(f"no device is called '{name}'{did_you_mean(name, rig.rig.devices)}")
    count = device.model.inputs.count
    try:
        dead = number_range(numbers) if numbers else range(1, count + 1)
    except ValueError as error:
        raise CannotDoError(str(error)) from None
    if not dead or dead[-1] > count:
        raise CannotDoError(f"{name} ({device.model.name}) has {count} inputs; {name}/in/{numbers or 1} is not there")
    sockets = frozenset(Socket(name, "in", number) for number in dead)
    span = f"/{numbers}" if numbers else ""
    return Outage(f"the input sockets {name}/in{span} are dead", rig, barred=sockets)


def _past(rig: ResolvedRig, edit: Edit, boxes: list[str], models: Models) -> tuple[ResolvedRig, tuple[str, ...], str]:
    """Cable past the dead boxes, so that what hangs behind them is reached again.

    Return the rig, what to do, and where a cable is too short for its new way what was done about it.
    """
    dark = [name for name in edit.dead if name in rig.rig.devices and name not in boxes]
    if not boxes or dark:  # a dead console has no chain to close up
        return rebuilt(rig.rig, edit.patch, models), (), ""
    here = rig
    for name in boxes:
        here = rebuilt(here.rig, Editor(here, models).remove(name).patch, models)
    why = ""
    short = [f"{cable.name}: {words}" for cable in _moved(rig, here) if (words := too_short(rig, cable))]
    if short:
        others = _reaching(rig, boxes)
        if others is None:
            why = "; no order of the boxes and link cables that are left reaches everywhere, so a longer one is needed"
        else:
            here = rebuilt(rig.rig, others, models)
            why = f"; the link cables that are left reach in this way, and not in the old order ({', '.join(short)})"
    return here, _cabling(rig, here), why


def _moved(rig: ResolvedRig, here: ResolvedRig) -> list[Cable]:
    return [cable for name, cable in here.rig.cables.items() if cable.ends != rig.rig.cables[name].ends]


def _cabling(rig: ResolvedRig, here: ResolvedRig) -> tuple[str, ...]:
    """Say which link cables are moved, in an order in which a port is empty before another cable comes into it."""
    out = [f"take the link cable {name} out" for name in rig.rig.cables if name not in here.rig.cables]
    moved = _moved(rig, here)
    plugged = []
    for index, cable in enumerate(moved):
        still_in = [
            other.name for other in moved[index + 1 :] if set(cable.ends) & set(rig.rig.cables[other.name].ends)
        ]
        out += [words for name in still_in if (words := f"take the link cable {name} out") not in out]
        short = too_short(rig, cable)
        plugged.append(
            f"plug the link cable {cable.name} from {cable.ends[0]} to {cable.ends[1]}{short and f' ({short})'}"
        )
    return (*out, *plugged)


def _reaching(rig: ResolvedRig, dead: list[str]) -> dict[str, Any] | None:
    """Return the change that cables past dead boxes with cables that reach; None where a link has no such way."""
    changes = []
    for link, chain in rig.chains.items():
        rows = chain_rows(chain)
        if not any(row.device in dead for row in rows):
            continue
        cables = [row.cable for row in rows]
        found = reaching(rig, link, [row.device for row in rows if row.device not in dead], cables)
        if found is None:
            return None
        used = {row.cable for row in found}
        changes += [rewired(rig, link, found), *(nested(("cables", name), None) for name in cables if name not in used)]
    return merged(changes)
