"""What another model would put right: the box that was carried to the stage is often not the one that is written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.model import Model

MOST_TOLD = 2


class OtherModel(NamedTuple):
    """A box with a model that fits the patch, and the rig as it then would be."""

    device: str
    model: str
    rig: ResolvedRig


def models_that_fit(rig: ResolvedRig, devices: Iterable[str]) -> list[OtherModel]:
    """Return the boxes of `devices` that alone are at fault, each with the nearest models that put their chain right.

    A model fits where every plug and every selector of the box finds its place on it, and every channel of the chain
    then carries what it should. Nearest is the one with the fewest other sockets.
    """
    found: list[OtherModel] = []
    models = _box_models(rig)
    for name in devices:
        now = rig.device(name).model
        near = sorted(models, key=lambda model: (_apart(model, now), model.name))
        fitting = (other for model in near if model is not now and (other := _tried(rig, name, model)) is not None)
        found += [other for other, _ in zip(fitting, range(MOST_TOLD), strict=False)]
    return found


def _box_models(rig: ResolvedRig) -> list[Model]:
    known = []
    for name in rig.rig.models.names():
        try:
            model = rig.rig.models.get(name)
        except CannotReadError:
            continue  # a model of the house that this rig does not use: whoever uses it is told
        if model is not None and model.chain is not None:
            known.append(model)
    return known


def _apart(model: Model, now: Model) -> int:
    return abs(model.inputs.count - now.inputs.count) + abs(model.outputs.count - now.outputs.count)


def _tried(rig: ResolvedRig, name: str, model: Model) -> OtherModel | None:
    device = rig.device(name)
    counts = {"in": model.inputs.count, "out": model.outputs.count}
    plugs = (*rig.sources_in, *(row.socket for rows in rig.departures.values() for row in rows))
    if any(socket.number > counts[socket.side] for socket in plugs if socket.device == name):
        return None
    for sockets, bank in ((model.inputs, device.input_bank), (model.outputs, device.output_bank)):
        if bank is not None and bank not in sockets.selector:
            return None
    devices = {**rig.rig.devices, name: device._replace(model=model)}
    then = resolve_rig(replace(rig.rig, devices=devices))
    links = [chain.link for chain in then.chains.values() if any(box.device == name for box in chain.boxes)]
    wrong = any(row.slot is not None and then.owner_slot(row.slot).port in links for row in then.mismatches)
    return OtherModel(name, model.name, then) if links and not wrong else None
