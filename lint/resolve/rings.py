"""What cables join, and which of them close rings: plain graph questions, asked of any kind of point."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from typing import TypeVar

from lint.rig.address import Port
from lint.rig.rig import Cable

Point = TypeVar("Point", bound=Hashable)


def components(cables: Iterable[Cable], point: Callable[[Port], Point]) -> list[set[Point]]:
    """Return the groups of points that cables join, where `point` says what an end belongs to."""
    parent: dict[Point, Point] = {}
    for cable in cables:
        first, second = (_top(parent, point(end)) for end in cable.ends)
        parent[first] = second
    groups: dict[Point, set[Point]] = {}
    for name in list(parent):
        groups.setdefault(_top(parent, name), set()).add(name)
    return list(groups.values())


def ring_groups(cables: Iterable[Cable], point: Callable[[Port], Point]) -> list[list[Cable]]:
    """Return the cables that lie on a ring; rings that share a point are one group.

    A cable outside the spanning forest closes a ring with the way between its ends in the forest: that way is drawn
    together into one point. Cables inside a drawn-together point are on rings, and all others are not.
    """
    every = list(cables)
    above, depth, forest = _spanning_forest(every, point)
    drawn: dict[Point, Point] = {}
    for cable in every:
        if cable.name in forest:
            continue
        first, second = (_top(drawn, point(end)) for end in cable.ends)
        while first != second:
            if depth[first] < depth[second]:
                first, second = second, first
            drawn[first] = _top(drawn, above[first])
            first = drawn[first]
    groups: dict[Point, list[Cable]] = {}
    for cable in every:
        first, second = (_top(drawn, point(end)) for end in cable.ends)
        if first == second:
            groups.setdefault(first, []).append(cable)
    return list(groups.values())


def _spanning_forest(
    cables: list[Cable], point: Callable[[Port], Point]
) -> tuple[dict[Point, Point], dict[Point, int], set[str]]:
    """Return a tree over each group of joined points: the point above each, its depth, and the cables used."""
    ways: dict[Point, list[tuple[Point, str]]] = {}
    for cable in cables:
        first, second = (point(end) for end in cable.ends)
        ways.setdefault(first, []).append((second, cable.name))
        ways.setdefault(second, []).append((first, cable.name))
    above: dict[Point, Point] = {}
    depth: dict[Point, int] = {}
    used: set[str] = set()
    for root in ways:
        if root in depth:
            continue
        depth[root] = 0
        queue = [root]
        for here in queue:  # grows while it is walked
            for there, name in ways[here]:
                if there not in depth:
                    depth[there] = depth[here] + 1
                    above[there] = here
                    used.add(name)
                    queue.append(there)
    return above, depth, used


def _top(parent: dict[Point, Point], point: Point) -> Point:
    """Return the point that stands for a group, shortening the way to it."""
    parent.setdefault(point, point)
    while parent[point] != point:
        parent[point] = parent[parent[point]]
        point = parent[point]
    return point
