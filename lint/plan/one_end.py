"""A source that had phantom power from both ends of its split already: once its plug is moved, one end is enough."""

from __future__ import annotations

from collections.abc import Collection

from lint.plan.moves import Handling
from lint.plan.waking import may_rest
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Channel


def left_at_one_end(
    rig: ResolvedRig, handlings: Collection[Handling], twice: Collection[str], dead: Collection[str]
) -> tuple[Channel, ...]:
    """Return the channels at which phantom power stays off, of `twice` (fed so before the change) that are moved.

    Off at the end whose switch nothing else needs; where that is so of both, at the one that was moved: it is off
    there already. One by a dead console counts for nothing, since that may be gone for good.
    """
    found: list[Channel] = []
    ends = {(step.plug, step.end) for step in handlings}
    for source in (
        rig.rig.sources[name] for name in dict.fromkeys(step.plug for step in handlings if step.plug in twice)
    ):
        rows = {at: rig.phantom.switched_on_by(at) for at in source.sockets if rig.phantom.is_live(at)}
        live = [at for at, channels in rows.items() if any(channel.console not in dead for channel in channels)]
        free = [at for at in live if may_rest(rig, source, at)]
        if phantom_need(source) != NEEDED or len(live) < 2 or not free:
            continue
        free.sort(key=lambda at: (source.name, at) not in ends)
        for at in free[: len(live) - 1]:
            found += rows[at]
    return tuple(dict.fromkeys(found))
