"""A rescue leaves a split source without phantom power: its own plugs are moved or patched until it has it again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from lint.plan.cures import RESCUE, Cure, Mending
from lint.plan.distance import METRES_A_CHANGE, Stage
from lint.plan.inputs import InputSide
from lint.plan.outputs import OutputCure
from lint.plan.plug import InputCure, Plug
from lint.rig.address import Socket

# Changes that it saves to leave no plug in what is dead: to take it out, and to switch off once that is back. A guess.
SPARED = 2


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
    for plug, leg in _dead_legs(again, {legs[plug.source, plug.leg]: end for plug, end in moving}):
        # As few changes, and nothing of what is dead gives it phantom power once that is back.
        instead = {leg if each == plug else each: end for each, end in both.moves.items()}
        other = replace(both, moves=instead)
        rebuilt = mending.built(RESCUE, other, outputs)
        if mending.wrong_in(rebuilt.result) <= mending.wrong_in(built.result):
            both, built = other, rebuilt
    is_better = mending.wrong_in(built.result) < mending.wrong_in(cure.result)
    return (both, built) if is_better else (inputs, cure)


def _dead_legs(side: InputSide, moves: Mapping[Plug, Socket]) -> Iterator[tuple[Plug, Plug]]:
    """Yield plugs that would leave a socket that works, each with one of its source in a dead one, not far off."""
    stage = Stage(side.before)
    moved = {plug.source for plug in moves if plug.socket not in side.usable}
    for plug, end in moves.items():
        dead = [each for each in side.plugs if each.source == plug.source and each.socket not in side.usable]
        if plug.source in moved or not dead:
            continue
        leg = min(dead, key=lambda each: stage.apart_m(each.socket.device, end.device))
        more_m = stage.apart_m(leg.socket.device, end.device) - stage.apart_m(plug.socket.device, end.device)
        if more_m <= SPARED * METRES_A_CHANGE:
            yield plug, leg
