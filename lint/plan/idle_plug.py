"""A plug by which nobody hears a split source, where phantom power comes on for another: that powers it too.

The search has a switch come on for those whose own channels are on it. That an idle plug goes there, and the channel of
its source stays where it is, is tried here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from lint.plan.inputs import InputSide
from lint.plan.outputs import OutputCure
from lint.plan.plug import InputCure

if TYPE_CHECKING:
    from lint.plan.cures import Cure, Mending


def with_idle_plugs(mending: Mending, side: InputSide, inputs: InputCure, outputs: OutputCure, cure: Cure) -> Cure:
    """Return a cure, or one that does more, or as much by fewer changes, with an idle plug for one that is heard."""
    if not cure.quiet.woken:
        return cure
    for other in _others(side, inputs):
        tried = mending.built(cure.way, other, outputs)
        found = mending.wrong_in(tried.result), tried.changes
        if found < (mending.wrong_in(cure.result), cure.changes):
            return with_idle_plugs(mending, side, other, outputs, tried)
    return cure


def _others(side: InputSide, inputs: InputCure) -> Iterator[InputCure]:
    """Yield what is done with another plug of a source in the place of one that moves, its channels as they are."""
    channels = side.rig.rig.channels
    taken = set(inputs.moves.values())
    for plug, end in inputs.moves.items():
        if plug.socket in taken:
            continue  # another comes where it would stay
        idle = (each for each in side.plugs if each.source == plug.source and each not in inputs.moves)
        left = {key: now for key in inputs.patched if side.intent.get(key) == plug.source
                and (now := channels[key].patched_from) is not None}  # fmt: skip
        patched = {key: point for key, point in inputs.patched.items() if key not in left}
        for other in idle:
            moves = {each: at for each, at in inputs.moves.items() if each != plug} | {other: end}
            yield replace(inputs, moves=moves, patched=patched, points={**inputs.points, **left})
