"""Which link cable goes where when a chain is cabled anew: such as are long enough, and those that fit best if none is.

The cables are those of the chain and the tested spares that the rig speaks of.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, permutations
from typing import Any, NamedTuple

from lint.plan.assign import assign
from lint.plan.chainwork import ChainRow
from lint.plan.distance import Stage
from lint.resolve.chain import DOWNSTREAM, UPSTREAM
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port

MOST_BOXES = 6  # in any order: 720; longer chains keep theirs
# A cable that goes where it is wanted, elsewhere, or only lies there; how much it lacks decides among equals.
_WANTED, _MOVED, _IDLE = 200_000, 300_000, 400_000
_LONGEST = 9_999  # of two that lie there the shorter is taken: decimetres count so far
_SPARE = 10_000_000  # a tested spare is for the cable that it is the spare of: any other that reaches comes first
_SHORT = 1_000_000_000  # one cable that does not reach
_NONE_LEFT = 1000 * _SHORT  # one cable that is not there at all
_NEVER = 10**15


class Loose(NamedTuple):
    """A link cable that may be laid anew.

    `spare_of` names the cable whose tested spare it is, `is_idle` that it only lies there, `is_dead` that it may stay
    where it is and go nowhere else; `fetched_for` names the box for which it has to be fetched first.
    """

    name: str
    length_m: float | None
    spare_of: str = ""
    is_idle: bool = False
    is_dead: bool = False
    fetched_for: str = ""


class Laid(NamedTuple):
    """The boxes of a link with the cables that lead to them; `is_short` where some do not reach."""

    rows: list[ChainRow]
    cost: int

    @property
    def is_short(self) -> bool:
        """Whether some cable does not reach."""
        return self.cost >= _SHORT

    @property
    def spares(self) -> int:
        """How many tested spares it takes."""
        return self.cost % _SHORT // _SPARE


def loose_cables(rig: ResolvedRig, names: Sequence[str], dead: str = "") -> list[Loose]:
    """Return cables of a chain, and of stated length those that carry nothing and the tested spares but of the dead."""
    cables = rig.rig.cables
    spares = [
        Loose(spare_name(rig, name), cable.length_m, name)
        for name, cable in cables.items()
        if cable.spare and cable.length_m is not None and name != dead
    ]
    idle = [
        Loose(name, cable.length_m, is_idle=True)
        for name, cable in rig.rig.loose_cables.items()
        if cable.length_m is not None
    ]
    return [*(Loose(name, cables[name].length_m) for name in names), *idle, *spares]


def spare_name(rig: ResolvedRig, of: str) -> str:
    """Return what a spare is called once it is in use."""
    name, number = f"{of}-spare", 2
    while name in rig.rig.cables or name in rig.rig.loose_cables:
        name, number = f"{of}-spare-{number}", number + 1
    return name


def fetched(rig: ResolvedRig, rows: Sequence[ChainRow], loose: Sequence[Loose]) -> dict[str, Any]:
    """Return the change that takes the spares among the cables of `rows` into use, beside where they are plugged."""
    used = {row.cable for row in rows}
    changes = []
    for cable in loose:
        if cable.spare_of and cable.name in used:
            own = rig.says("cables", cable.spare_of)
            kept = {key: own[key] for key in ("kind", "shielded", "length_m") if key in own}
            changes += [nested(("cables", cable.name), kept), nested(("cables", cable.spare_of, "spare"), None)]
    return merged(changes)


def new_cable_name(rig: ResolvedRig, box: str) -> str:
    """Return what a cable is called that has to be fetched for a box."""
    name, number = f"to-{box}", 2
    while name in rig.rig.cables or name in rig.rig.loose_cables:
        name, number = f"to-{box}-{number}", number + 1
    return name


def laid(
    rig: ResolvedRig,
    link: Port,
    boxes: Sequence[str],
    cables: Sequence[Loose],
    wanted: Mapping[str, str] | None = None,
    stage: Stage | None = None,
) -> Laid | None:
    """Return the boxes of a link in this order, each with a cable; None where there are too few.

    The fewest cables are too short; then the fewest spares are used, and only such as reach; then the fewest cables
    are moved, those first that `wanted` gives a box or that lack least. A length or way that the rig doesn't say
    reaches.
    """
    if len(cables) < len(boxes):
        return None
    way = stage or Stage(rig)
    costs = [[_cost(rig, way, link, ends, cable, wanted or {}) for cable in cables] for ends in _ways(link, boxes)]
    picked = assign(costs)
    cost = sum(row[column] for row, column in zip(costs, picked, strict=True))
    rows = [ChainRow(name, cables[column].name) for name, column in zip(boxes, picked, strict=True)]
    return Laid(rows, cost) if cost < _NEVER else None


def laid_at_once(
    rig: ResolvedRig, links: Mapping[Port, Sequence[str]], cables: Sequence[Loose]
) -> dict[Port, list[ChainRow]]:
    """Return the boxes of all `links` in their order, each with a cable: as `laid` has it, over all of them together.

    `rig` is where the cables lie before; of `cables` there is one to be fetched for each box. A box that is new gets
    that: nobody knows how far it is to there.
    """
    stage = Stage(rig)
    ways = {way[1]: way for link, boxes in links.items() for way in _ways(link, boxes)}
    place = {box: link for link, boxes in links.items() for box in boxes}
    wanted = {name: box.cable.name for name, box in rig.boxes.items()}

    def cost(box: str, cable: Loose) -> int:
        if box not in rig.rig.devices and cable.fetched_for != box:
            return _NEVER
        return _cost(rig, stage, place[box], ways[box], cable, wanted)

    picked = assign([[cost(box, cable) for cable in cables] for box in place])
    cable_of = {box: cables[column].name for box, column in zip(place, picked, strict=True)}
    return {link: [ChainRow(box, cable_of[box]) for box in boxes] for link, boxes in links.items()}


def _ways(link: Port, boxes: Sequence[str]) -> list[tuple[str, str]]:
    """Return from what to what the cables of a link go: from the console to its first box, and on from box to box."""
    return list(zip((link.device, *boxes), boxes, strict=False))


def reaching(
    rig: ResolvedRig, link: Port, boxes: Sequence[str], cables: Sequence[Loose], wanted: Mapping[str, str] | None = None
) -> Laid | None:
    """Return the boxes of a link with cables that reach; where none do in any order, those that fit best in this one.

    The order comes nearest to that of `boxes` (the fewest pairs the other way round, since whoever goes elsewhere in
    the chain gets other slots); then the fewest cables are moved. None where there are too few cables.
    """
    best: tuple[tuple[int, int], Laid] | None = None
    for turned, order in _orders(boxes):
        if best is not None and turned > best[0][0]:
            break
        found = laid(rig, link, order, cables, wanted)
        if found is not None and not found.is_short and (best is None or (turned, found.cost) < best[0]):
            best = (turned, found.cost), found
    return best[1] if best is not None else laid(rig, link, boxes, cables, wanted)


def _orders(boxes: Sequence[str]) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Yield orders with the number of pairs that are the other way round, the fewest first."""
    if len(boxes) > MOST_BOXES:
        yield 0, tuple(boxes)
        return
    every = permutations(range(len(boxes)))
    ranked = sorted((sum(one > other for one, other in combinations(order, 2)), order) for order in every)
    yield from ((turned, tuple(boxes[index] for index in order)) for turned, order in ranked)


def _cost(
    rig: ResolvedRig, stage: Stage, link: Port, way: tuple[str, str], cable: Loose, wanted: Mapping[str, str]
) -> int:
    """Return 0 where a cable is there already, a little where it is moved there, and much where it does not reach."""
    before, box = way
    start = link if before == link.device else Port(before, DOWNSTREAM)
    known = rig.rig.cables.get(cable.name)
    if known is not None and set(known.ends) == {start, Port(box, UPSTREAM)}:
        return 0
    if cable.is_dead:
        return _NEVER
    if cable.fetched_for:
        return _NONE_LEFT if cable.fetched_for == box else _NEVER
    need_m = stage.way_m(before, box)
    lacks_m = max(0.0, need_m - cable.length_m) if need_m is not None and cable.length_m is not None else 0.0
    if cable.spare_of or cable.is_idle:
        longer = min(round(10 * (cable.length_m or 0.0)), _LONGEST)
        return _NEVER if lacks_m or need_m is None else longer + (_SPARE if cable.spare_of else _IDLE)
    step = _WANTED if wanted.get(box) == cable.name else _MOVED
    return step if not lacks_m else _SHORT + _MOVED + min(round(10 * lacks_m), _WANTED - 1)
