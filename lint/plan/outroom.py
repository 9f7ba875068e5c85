"""What may be taken off the outputs for those for whom none is left, where they come first."""

from __future__ import annotations

from typing import NamedTuple

from lint.plan.hangs import Hang, worth
from lint.plan.outputs import OutputCure, OutputSide
from lint.rig.address import Socket

MOST_TRIED = 12  # of those that come last; a cure is worked out for each


class OutputRoom(NamedTuple):
    """What works and comes after those that find an output once it is taken off its own (`saves`, the first first)."""

    plug: str
    sockets: tuple[Socket, ...]
    saves: tuple[str, ...]


def output_room(side: OutputSide, cure: OutputCure) -> tuple[OutputRoom, ...]:
    """Return what may be taken off, one after the other, what comes last first, where a cure leaves some unmet.

    Each is tried by the whole cure without it: it is named only where that saves what outweighs it.
    """
    rows: list[OutputRoom] = []
    waiting = side.unmet(cure)
    order = sorted(side.working - set(waiting), key=_worth) if waiting else []
    for hang in [hang for hang in order if hang.movable and _worth(hang)][:MOST_TRIED]:
        if not any(_worth(each) > _worth(hang) for each in waiting):
            break
        then = side.without(hang)
        found = then.by_fewest()
        if found.unmet + _worth(hang) < cure.unmet:
            still = then.unmet(found)
            found_one = sorted((each for each in waiting if each not in still), key=_worth, reverse=True)
            saved = dict.fromkeys(each.plug for each in found_one)
            rows.append(OutputRoom(hang.plug, hang.sockets, tuple(saved)))
            side, cure, waiting = then, found, still
    return tuple(rows)


def _worth(hang: Hang) -> int:
    return sum(map(worth, hang.wants))
