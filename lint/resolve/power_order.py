"""The order to switch on in, by the signal graph: what is nearest to the sources first, loudspeakers last.

Common practice: whatever is switched on or off sends a bang onwards, so nothing that could make it loud may be on yet.
Off goes the same way backwards.
"""

from __future__ import annotations

from lint.resolve.graph import Graph, Node
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import RECORDER_DESTINATIONS


def power_on_order(resolved: ResolvedRig) -> list[list[str]]:
    """Return the stages to switch on in, one after the other; within a stage the order is free.

    Every device stands in exactly one; amplifiers and powered destinations (those with watts or a circuit) that reach
    an ear make the last one, in the order of the files. A console and a box that feed each other would be a loop: there
    boxes with a source plugged in go first, and any other loop is switched on together.
    """
    rig = resolved.rig
    powered = [destination for destination in rig.destinations.values() if destination.is_powered]
    recorders = [destination.name for destination in powered if destination.kind in RECORDER_DESTINATIONS]
    graph = _between_equipment(resolved, recorders)
    stages = [[node.name for node in stage] for stage in _stages(resolved, graph)]
    loud = [*rig.amplifiers, *(row.name for row in powered if row.kind not in RECORDER_DESTINATIONS)]
    return [*stages, loud] if loud else stages


def power_off_order(resolved: ResolvedRig) -> list[list[str]]:
    """Return the stages to switch off in: those of `power_on_order`, backwards."""
    return power_on_order(resolved)[::-1]


def _between_equipment(resolved: ResolvedRig, recorders: list[str]) -> Graph:
    """Return the signal graph with everything inside one device drawn together."""
    graph = Graph()
    for name in resolved.rig.devices:
        graph.add(Node("device", name))
    for name in recorders:
        graph.add(Node("destination", name))
    for first, ways in resolved.graph.after.items():
        start = _equipment(resolved, first)
        for second in ways:
            end = _equipment(resolved, second)
            if start != end and start in graph.after and end in graph.after:
                graph.join(start, end)
    return graph


def _equipment(resolved: ResolvedRig, node: Node) -> Node:
    """Return what a point of the signal graph belongs to; sources, amplifiers and destinations are their own."""
    if node.kind in ("source", "destination", "amplifier"):
        return node
    if node.kind == "mix":
        return Node("device", resolved.rig.mixes[node.name].console)
    if node.kind == "signal":
        direct = node.name.split("/")
        if len(direct) == 3:  # direct/console/channel
            return Node("device", direct[1])
        return Node("device", resolved.rig.mixes[node.name.partition(".")[0]].console)
    return Node("device", node.name.partition("/")[0])


def _stages(resolved: ResolvedRig, graph: Graph) -> list[list[Node]]:
    """Sort by layers: each stage is all that nothing still off feeds (Kahn, 1962), loops broken as they are met."""
    stages: list[list[Node]] = []
    waiting = list(graph.after)
    while waiting:
        ready = _ready(resolved, graph, waiting)
        stages.append([node for node in waiting if node in ready])
        waiting = [node for node in waiting if node not in ready]
    return stages


def _ready(resolved: ResolvedRig, graph: Graph, waiting: list[Node]) -> set[Node]:
    """Return what waits for nothing; of a loop that waits for nothing outside, the boxes with sources plugged in."""
    part = Graph()
    for node in waiting:
        part.add(node)
        for before in graph.before[node]:
            if before in waiting:
                part.join(before, node)
    ready = {node for node in waiting if not part.before[node]}
    plugged = {socket.device for socket in resolved.sources_in}
    for group in part.loops():
        if all(before in group for node in group for before in part.before[node]):
            boxes = {node for node in group if node.name in plugged and _is_box(resolved, node)}
            ready |= boxes or set(group)
    return ready


def _is_box(resolved: ResolvedRig, node: Node) -> bool:
    return node.kind == "device" and resolved.device(node.name).model.chain is not None
