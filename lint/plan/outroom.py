"""What may be taken off the outputs for those for whom none is left, where they come first."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from lint.plan.distance import METRES_A_CHANGE
from lint.plan.hangs import Hang, worth
from lint.plan.outputs import OutputCure, OutputSide
from lint.rig.address import Socket

MOST_TRIED = 12  # of those that come last; a cure is worked out for each


class OutputRoom(NamedTuple):
    """What works and comes after those that find an output once it is taken off its own (`saves`, the first first).

    `way_m` is how far the plugs of those are carried then. `nearer` comes later in that order, yet saves the first of
    them with less to carry.
    """

    plug: str
    sockets: tuple[Socket, ...]
    saves: tuple[str, ...]
    way_m: float = 0.0
    nearer: OutputRoom | None = None


class _Tried(NamedTuple):
    """A side once something is taken off it, its cure, and whom that saves who outweighs it, the first first."""

    side: OutputSide
    cure: OutputCure
    saved: list[Hang]
    room: OutputRoom


def output_room(side: OutputSide, cure: OutputCure, apart_m: Callable[[str, str], float]) -> tuple[OutputRoom, ...]:
    """Return what may be taken off, one after the other, what comes last first, where a cure leaves some unmet.

    Each is tried by the whole cure without it: it is named only where that saves what outweighs it. `apart_m` says how
    far two devices are apart.
    """
    rows: list[OutputRoom] = []
    waiting = side.unmet(cure)
    working = side.working.difference(waiting) if waiting else ()
    every = sorted((hang for hang in side.hangs if hang in working), key=_worth)  # of equals as the file has them
    order = [hang for hang in every if hang.movable and _worth(hang)][:MOST_TRIED]
    for index, hang in enumerate(order):
        if not any(_worth(each) > _worth(hang) for each in waiting):
            break
        tried = _tried(side, cure, waiting, hang, apart_m)
        if tried is not None:
            others = (_tried(side, cure, waiting, each, apart_m) for each in order[index + 1 :])
            rows.append(
                tried.room._replace(nearer=_nearer(tried, others if tried.room.way_m > METRES_A_CHANGE else ()))
            )
            side, cure = tried.side, tried.cure
            waiting = side.unmet(cure)
    return tuple(rows)


def _tried(
    side: OutputSide, cure: OutputCure, waiting: list[Hang], hang: Hang, apart_m: Callable[[str, str], float]
) -> _Tried | None:
    """Return what comes of it that something is taken off; None where that saves nothing that outweighs it."""
    then = side.without(hang)
    found = then.by_fewest()
    if found.unmet + _worth(hang) >= cure.unmet:
        return None
    still = then.unmet(found)
    saved = sorted((h for h in waiting if h not in still and _worth(h) > _worth(hang)), key=_worth, reverse=True)
    # Another may be carried far so that those find a place near by.
    going = [*saved, *(each for each in found.moves if found.moves[each] != cure.moves.get(each))]
    legs = [leg for each in going for leg in zip(each.sockets, found.moves.get(each, each.sockets), strict=True)]
    way_m = max((apart_m(start.device, end.device) for start, end in legs), default=0.0)
    names = tuple(dict.fromkeys(each.plug for each in saved))
    return _Tried(then, found, saved, OutputRoom(hang.plug, hang.sockets, names, way_m))


def _nearer(tried: _Tried, others: Iterable[_Tried | None]) -> OutputRoom | None:
    first, most_m = tried.saved[0], tried.room.way_m - METRES_A_CHANGE
    rooms = [each.room for each in others if each is not None and first in each.saved]
    return min((room for room in rooms if room.way_m < most_m), key=lambda room: room.way_m, default=None)


def _worth(hang: Hang) -> int:
    return sum(map(worth, hang.wants))
