"""A chain closed up past what is dead, where a link cable is too short for that: other cables, or another order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, permutations

from lint.plan.assign import assign
from lint.plan.chainwork import ChainRow
from lint.plan.distance import Stage
from lint.resolve.chain import DOWNSTREAM, UPSTREAM
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port

MOST_BOXES = 6  # in any order: 720; longer chains keep theirs
_NEVER = 1000


def reaching(rig: ResolvedRig, link: Port, boxes: Sequence[str], cables: Sequence[str]) -> list[ChainRow] | None:
    """Return the boxes of a link with cables that are as long as their ways in `rig`; None where there is no such way.

    The order comes nearest to that of `boxes` (the fewest pairs the other way round, since whoever goes elsewhere in
    the chain gets other slots); then the fewest cables are moved. A length or way that the rig doesn't say reaches.
    """
    if len(cables) < len(boxes):
        return None
    stage = Stage(rig)
    best: tuple[tuple[int, int], list[ChainRow]] | None = None
    for turned, order in _orders(boxes):
        if best is not None and turned > best[0][0]:
            break
        ways = list(zip((link.device, *order), order, strict=False))
        costs = [[_cost(rig, stage, link, way, cable) for cable in cables] for way in ways]
        picked = assign(costs)
        moved = sum(row[column] for row, column in zip(costs, picked, strict=True))
        if moved < _NEVER and (best is None or (turned, moved) < best[0]):
            rows = [ChainRow(name, cables[column]) for name, column in zip(order, picked, strict=True)]
            best = (turned, moved), rows
    return best[1] if best is not None else None


def _orders(boxes: Sequence[str]) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Yield orders with the number of pairs that are the other way round, the fewest first."""
    if len(boxes) > MOST_BOXES:
        yield 0, tuple(boxes)
        return
    every = permutations(range(len(boxes)))
    ranked = sorted((sum(one > other for one, other in combinations(order, 2)), order) for order in every)
    yield from ((turned, tuple(boxes[index] for index in order)) for turned, order in ranked)


def _cost(rig: ResolvedRig, stage: Stage, link: Port, way: tuple[str, str], name: str) -> int:
    """Return 0 where a cable is there already, 1 where it is moved there and reaches."""
    before, box = way
    cable = rig.rig.cables[name]
    start = link if before == link.device else Port(before, DOWNSTREAM)
    if set(cable.ends) == {start, Port(box, UPSTREAM)}:
        return 0
    is_known = cable.length_m is not None and stage.is_stated(before, box)
    return _NEVER if is_known and stage.apart_m(before, box) > (cable.length_m or 0.0) else 1
