"""A rescue leaves a split source without phantom power: its own plugs are moved or patched until it has it again."""

from __future__ import annotations

from lint.plan.cures import RESCUE, Cure, Mending
from lint.plan.inputs import InputSide
from lint.plan.outputs import OutputCure
from lint.plan.plug import InputCure


def repowered(mending: Mending, inputs: InputCure, outputs: OutputCure) -> tuple[InputCure, Cure]:
    """Return a rescue as it is built, with the fewest changes more by which fewer sources are silent, if any are.

    Only the plugs of those sources move, into sockets that the rescue leaves free: what plays on stays where it is.
    """
    cure = mending.built(RESCUE, inputs, outputs)
    silent = mending.silenced_in(cure.result)
    if not silent:
        return inputs, cure
    side = InputSide(mending.before, cure.result, mending.intent, mending.dead)
    side.pinned = frozenset(plug for plug in side.plugs if plug.source not in silent)
    more = side.by_fewest()
    again = InputSide(mending.before, mending.rig, mending.intent, mending.dead)
    legs = {(plug.source, plug.leg): plug for plug in again.plugs}
    moving = [(plug, end) for plug, end in more.moves.items() if plug.source in silent]  # two may share a socket
    moves = {legs[plug.source, plug.leg]: end for plug, end in (*inputs.moves.items(), *moving)}
    both = InputCure({**inputs.patched, **more.patched}, moves, {**inputs.points, **more.points})
    built = mending.built(RESCUE, both, outputs)
    is_better = mending.wrong_in(built.result) < mending.wrong_in(cure.result)
    return (both, built) if is_better else (inputs, cure)
