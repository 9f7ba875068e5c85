"""What dies: a box, a link cable, a link port, a mains circuit or a card of inputs; and what is cabled past it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from lint.plan.distance import too_short
from lint.plan.edit import CannotDoError, Edit, Editor
from lint.plan.rebuild import rebuilt
from lint.read.nearest import did_you_mean
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port, Socket, number_range
from lint.rig.model import Models

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
    after, cabling = _past(rig, edit, boxes, models)
    return Outage(words, after, edit.dead, frozenset(), cabling, edit.spare, edit.is_mains)


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


def _past(rig: ResolvedRig, edit: Edit, boxes: list[str], models: Models) -> tuple[ResolvedRig, tuple[str, ...]]:
    """Cable past the dead boxes, so that what hangs behind them is reached again; return the rig and what to do."""
    dark = [name for name in edit.dead if name in rig.rig.devices and name not in boxes]
    if not boxes or dark:  # a dead console has no chain to close up
        return rebuilt(rig.rig, edit.patch, models), ()
    here = rig
    for name in boxes:
        here = rebuilt(here.rig, Editor(here, models).remove(name).patch, models)
    out, plugged = [], []  # a port is empty before another cable comes into it
    for name, cable in rig.rig.cables.items():
        now = here.rig.cables.get(name)
        if now is None:
            out.append(f"take the link cable {name} out")
        elif now.ends != cable.ends:
            short = too_short(rig, now)
            plugged.append(f"plug the link cable {name} from {now.ends[0]} to {now.ends[1]}{short and f' ({short})'}")
    return here, (*out, *plugged)
