"""The signal graph with each side of a stereo mix by itself: what is panned to one side gets to no other."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from typing import NamedTuple

from lint.resolve.follow import away_from, keeps_sides
from lint.resolve.graph import Graph, Node, signal_node
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Mix

LEFT, RIGHT = "left", "right"


class Sided(NamedTuple):
    """Such a graph: a stereo mix is two nodes in it (`house.left`), all else the node that it is in the rig's own.

    `plain` has of each node that of the rig's own, `halves` of each of those its nodes here, `side` that of a half.
    """

    graph: Graph
    plain: Mapping[Node, Node]
    halves: Mapping[Node, list[Node]]
    side: Mapping[Node, str]

    def reached_from(self, starts: Iterable[Node], backwards: bool = False, without: Container[Node] = ()) -> set[Node]:
        """Return every node here that a signal gets to (or comes from), the starts among them.

        The starts, and those of `without` that nothing passes, are nodes of the rig's own graph.
        """
        begin = [half for node in starts for half in self.halves.get(node, ())]
        return self.graph.reached_from(begin, backwards, {half for half, node in self.plain.items() if node in without})

    def plainly(self, nodes: Iterable[Node]) -> set[Node]:
        """Return the nodes of the rig's own graph for nodes of this one."""
        return {self.plain[node] for node in nodes}


def sided_graph(rig: ResolvedRig) -> Sided:
    """Return the graph of a resolved rig, side by side."""
    stereo = {Node("mix", mix.name): mix for mix in rig.rig.mixes.values() if mix.width == "stereo"}
    side = {Node("mix", f"{node.name}.{name}"): name for node in stereo for name in (LEFT, RIGHT)}
    halves = {
        node: [Node("mix", f"{node.name}.{name}") for name in (LEFT, RIGHT)] if node in stereo else [node]
        for node in rig.graph.after
    }
    graph = Graph()
    for half in (half for every in halves.values() for half in every):
        graph.add(half)
    for first, ways in rig.graph.after.items():
        for second in ways:
            for one in halves[first]:
                for other in halves[second]:
                    leaves = one not in side or _is_of(second, side[one])
                    if leaves and (other not in side or _gets_to(rig, first, stereo[second], side[other])):
                        graph.join(one, other)
    return Sided(graph, {half: node for node, every in halves.items() for half in every}, halves, side)


def _is_of(signal: Node, side: str) -> bool:
    """Whether a signal of a stereo mix has anything of a side of it."""
    return signal.name.rpartition(".")[2] not in {LEFT, RIGHT} - {side}


def _gets_to(rig: ResolvedRig, node: Node, mix: Mix, side: str) -> bool:
    """Whether a channel or signal that a stereo mix takes gets to a side of it."""
    if node.kind == "channel":
        _, _, number = node.name.rpartition("/")
        return away_from(rig.rig.channels[mix.console, int(number)]) != side
    taken = next(signal for signal in mix.takes if signal_node(signal) == node)
    return taken.side not in {LEFT, RIGHT} - {side} or not keeps_sides(mix, taken.name)
