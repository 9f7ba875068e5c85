"""Signals on which nothing plays any more: what hangs on them comes after all that still has something to play."""

from __future__ import annotations

from lint.plan.cures import Mending
from lint.resolve.graph import Node
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Signal


def mute_signals(mending: Mending, rig: ResolvedRig) -> frozenset[Signal]:
    """Return the signals that sources came to before, and in a rig that is mended none does."""
    wanted = set(mending.intent.outputs.values())
    return frozenset(each for each in wanted if _sources(mending.before, each) and not _sources(rig, each))


def _sources(rig: ResolvedRig, signal: Signal) -> set[str]:
    """Return the sources that get through to what a console sends, whether it is sent anywhere or not."""
    if signal.kind == "mix":
        node = Node("mix", signal.name)
    else:
        console, _, number = signal.name.rpartition("/")
        node = Node("channel", f"{console}/channel/{number}")
    reached = rig.graph.reached_from([node], backwards=True)
    return {node.name for node in reached if node.kind == "source"} - rig.phantom.unpowered
