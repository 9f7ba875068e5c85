"""Plugs whose channels stay wrong whatever is done: where they must go all the same, each goes to its own channel.

The search tells no difference between sockets in which a plug is of no use: in a group without phantom power it may
well leave a pair crossed. What is told then is that the two are crossed, where the truth is that nobody may power them.
"""

from __future__ import annotations

from dataclasses import replace

from lint.plan.inputs import InputSide
from lint.plan.plug import InputCure, Plug
from lint.rig.address import Socket


def uncrossed(side: InputSide, cure: InputCure) -> InputCure:
    """Return a cure that only moves plugs, with those on one phantom switch where their own channels listen.

    Two of which neither is of use where it goes exchange their places; nothing else is any different by that.
    """
    moves, phantom = dict(cure.moves), side.rig.phantom
    for plug in cure.moves:
        own = _listened(side, plug)
        if len(own) != 1 or moves[plug] in own:
            continue
        (target,) = own
        other = next((each for each, end in moves.items() if end == target), None)
        if target is None or other is None or target in _listened(side, other):
            continue
        if phantom.switch_at(target) == phantom.switch_at(moves[plug]):
            moves |= {plug: target, other: moves[plug]}
    return replace(cure, moves={plug: end for plug, end in moves.items() if end != plug.socket})


def _listened(side: InputSide, plug: Plug) -> set[Socket | None]:
    """Return the sockets that those who wait for a plug listen to."""
    return {side.heard[channel.key] for channel in side.listeners.get((plug.source, plug.leg), ())}
