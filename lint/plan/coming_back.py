"""What has no mains may have them back while hands are on its plugs, and phantom power comes on there with them.

So it is switched off first where a plug leaves it. Where a source has phantom power by another leg of its split now,
its plug in there is taken out for good: once the mains are back it would have it from both ends.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from lint.plan.cut_off import is_fed_elsewhere, other_end
from lint.plan.mains import CARE, switched_off, switcher
from lint.plan.moves import Handling
from lint.resolve.dark import dark_in, were_all_lit
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel


class ComingBack(NamedTuple):
    """The devices without mains that are kept off, in their order, and the plugs that are taken out of them."""

    off: tuple[str, ...] = ()
    pulled: Mapping[Socket, str] = {}


def coming_back(
    stages: Sequence[ResolvedRig],
    handlings: Sequence[Handling],
    woken: Collection[Channel],
    bared: Collection[str] = (),
) -> ComingBack:
    """Return what is dark, and would have phantom power at plugs that are handled, were its mains to come back.

    `stages` and `woken` are those of `cut_off`; of boxes that are `bared` every plug is handled. What had it from both
    ends before has nothing new.
    """
    before, cabled, end = stages[0], stages[1], stages[-1]
    dark = dark_in(cabled)
    if dark.keys().isdisjoint(cabled.rig.devices):
        return ComingBack()
    lit = were_all_lit(before)
    pulled: dict[Socket, str] = {}
    for was in lit.rig.sources.values():
        source = end.rig.sources.get(was.name)
        if source is None or phantom_need(source) != NEEDED:
            continue
        for at in source.sockets:
            is_lit = at.device in dark and at in was.sockets and lit.phantom.is_live(at)
            if is_lit and is_fed_elsewhere(end, source, at, woken) and not lit.phantom.fed_elsewhere(was, at):
                pulled[at] = was.name
    starts = (step.start for step in handlings if step.start is not None and step.start.side == "in")
    left = {at.device for at in starts if at.device in dark and lit.phantom.is_live(at)}
    left.update((*(at.device for at in pulled), *(name for name in bared if name in dark)))
    return ComingBack(tuple(name for name in cabled.rig.devices if name in left), pulled)


def coming_back_words(end: ResolvedRig, back: ComingBack) -> list[str]:
    """Say what is switched off though it has no mains, and which plugs are taken out of it, before anything else."""
    if not back.off:
        return []
    have, them = ("has", "it") if len(back.off) == 1 else ("have", "them")
    words = [
        f"have {switcher(end)} switch off {switched_off(end, back.off)}: {' and '.join(back.off)} {have} no mains now, "
        f"and with them phantom power may come on while a plug leaves {them}. {CARE}"
    ]
    if back.pulled:
        plugs = " and ".join(f"{name} out of {at}" for at, name in back.pulled.items())
        words.append(f"take {plugs}, muted: {other_end(back.pulled)}")
    return words


def back_words(back: ComingBack) -> list[str]:
    """Say that what was kept off need not be any more."""
    if not back.off:
        return []
    stays = "it stays" if len(back.off) == 1 else "they stay"
    return [f"have {' and '.join(back.off)} on again: {stays} dark until there are mains"]
