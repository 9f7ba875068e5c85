"""One directed graph of all signals: source → socket → slot → channel → mix → signal → slot → socket → destination."""

from __future__ import annotations

from collections.abc import Container, Iterable
from typing import TYPE_CHECKING, NamedTuple

from lint.rig.address import Return, Signal, Slot, Socket
from lint.rig.rig import is_driven

if TYPE_CHECKING:
    from lint.resolve.resolved import ResolvedRig


class Node(NamedTuple):
    """A point that a signal passes.

    `kind` is source, input-socket, input-slot, channel, mix, signal, effects, output-slot, output-socket, amplifier or
    destination; `name` is its address, of an amplifier with several inputs `amp/in/2`.
    """

    kind: str
    name: str


class Graph:
    """Nodes and the ways between them, in both directions."""

    def __init__(self) -> None:
        self.after: dict[Node, list[Node]] = {}
        self.before: dict[Node, list[Node]] = {}

    def add(self, node: Node) -> None:
        """Add a node without ways."""
        if node not in self.after:
            self.after[node] = []
            self.before[node] = []

    def join(self, first: Node, second: Node) -> None:
        """Add a way from `first` to `second`."""
        self.add(first)
        self.add(second)
        if second not in self.after[first]:
            self.after[first].append(second)
            self.before[second].append(first)

    def reached_from(self, starts: Iterable[Node], backwards: bool = False, without: Container[Node] = ()) -> set[Node]:
        """Return every node that a signal gets to from `starts` (or comes from), the starts among them.

        Nothing passes those of `without`.
        """
        ways = self.before if backwards else self.after
        seen = {node for node in starts if node in ways and node not in without}
        queue = list(seen)
        while queue:
            for node in ways[queue.pop()]:
                if node not in seen and node not in without:
                    seen.add(node)
                    queue.append(node)
        return seen

    def _on_ways_round(self) -> dict[Node, int]:
        """Return the nodes that are left when all are gone that nothing left comes to: mostly none, and quickly."""
        left = {node: len(ways) for node, ways in self.before.items()}
        gone = [node for node, ways in left.items() if not ways]
        while gone:
            node = gone.pop()
            del left[node]
            for after in self.after[node]:
                left[after] -= 1
                if not left[after]:
                    gone.append(after)
        return left

    def loops(self) -> list[list[Node]]:
        """Return the groups of nodes that feed back into each other (strongly connected; a node that feeds itself too).

        Tarjan's algorithm (1972), with its own stack, so that a long chain can't exhaust the interpreter's.
        """
        left = self._on_ways_round()
        index: dict[Node, int] = {}
        low: dict[Node, int] = {}
        path: list[Node] = []
        on_path: set[Node] = set()
        groups: list[list[Node]] = []
        for root in left:
            if root in index:
                continue
            work = [(root, iter(self.after[root]))]
            index[root] = low[root] = len(index)
            path.append(root)
            on_path.add(root)
            while work:
                node, ways = work[-1]
                fresh = next(
                    (entry for entry in ways if entry in left and (entry not in index or entry in on_path)), None
                )
                if fresh is None:
                    work.pop()
                    if work:
                        low[work[-1][0]] = min(low[work[-1][0]], low[node])
                    if low[node] == index[node]:
                        start = len(path) - 1
                        while path[start] != node:  # from the end: a long way of single nodes stays linear
                            start -= 1
                        group = path[start:]
                        del path[start:]
                        on_path.difference_update(group)
                        if len(group) > 1 or node in self.after[node]:
                            groups.append(group)
                elif fresh in index:
                    low[node] = min(low[node], index[fresh])
                else:
                    index[fresh] = low[fresh] = len(index)
                    path.append(fresh)
                    on_path.add(fresh)
                    work.append((fresh, iter(self.after[fresh])))
        return groups


def signal_node(signal: Signal) -> Node:
    """Return the node of a signal that a console can send."""
    return Node("signal", str(signal) if signal.kind == "mix" else f"direct/{signal.name}")


def build_graph(resolved: ResolvedRig) -> Graph:
    """Return the graph of all signals of a resolved rig."""
    graph = Graph()
    _inputs(graph, resolved)
    _mixes(graph, resolved, resolved.rig.channels)
    _outputs(graph, resolved)
    return graph


def build_rounds(resolved: ResolvedRig) -> Graph:
    """Return the part of the graph that can go round: mixes, effects units, and the channels that these return on."""
    graph = Graph()
    returning = set()
    for key, arrival in resolved.arrivals.items():
        if arrival.effects is not None:
            graph.join(_effects_node(arrival.effects), Node("channel", arrival.channel.address))
            returning.add(key)
    _mixes(graph, resolved, returning)
    return graph


def _inputs(graph: Graph, resolved: ResolvedRig) -> None:
    for source in resolved.rig.sources.values():
        node = Node("source", source.name)
        graph.add(node)
        for socket in source.sockets:
            if resolved.has_socket(socket):
                graph.join(node, Node("input-socket", str(socket)))
    for arrival in resolved.arrivals.values():
        channel = Node("channel", arrival.channel.address)
        graph.add(channel)
        if arrival.effects is not None:
            graph.join(_effects_node(arrival.effects), channel)
        elif arrival.slot is not None:
            slot = Node("input-slot", str(arrival.slot))
            graph.join(slot, channel)
            if arrival.socket is not None:
                graph.join(Node("input-socket", str(arrival.socket)), slot)
        elif arrival.socket is not None and not arrival.stop:
            graph.join(Node("input-socket", str(arrival.socket)), channel)


def _effects_node(effects: Return) -> Node:
    return Node("effects", f"{effects.console}/effects/{effects.effects}")


def _mixes(graph: Graph, resolved: ResolvedRig, channels: Container[tuple[str, int]]) -> None:
    """Join what mixes and effects units take; of what they take of channels, only that of those given."""
    rig = resolved.rig
    for mix in rig.mixes.values():
        node = Node("mix", mix.name)
        graph.add(node)
        for number in mix.sends:
            if (mix.console, number) in channels:
                graph.join(Node("channel", f"{mix.console}/channel/{number}"), node)
        for signal in mix.takes:
            _leave(graph, signal)
            graph.join(signal_node(signal), node)
    for unit in rig.effects.values():
        _leave(graph, unit.fed_by)
        graph.join(signal_node(unit.fed_by), Node("effects", f"{unit.console}/effects/{unit.name}"))


def _leave(graph: Graph, signal: Signal) -> None:
    """Join a signal to the mix or channel that it leaves."""
    if signal.kind == "mix":
        graph.join(Node("mix", signal.name), signal_node(signal))
    else:
        console, _, number = signal.name.rpartition("/")
        graph.join(Node("channel", f"{console}/channel/{number}"), signal_node(signal))


def _outputs(graph: Graph, resolved: ResolvedRig) -> None:
    for where, feed in resolved.rig.feeds.items():
        _leave(graph, feed.signal)
        kind = "output-slot" if isinstance(where, Slot) else "output-socket"
        graph.join(signal_node(feed.signal), Node(kind, str(where)))
    amplified = _amplified(graph, resolved)
    for destination, departure, _ in resolved.outputs():
        node = Node("destination", destination.name)
        graph.add(node)
        if departure.stop == "socket-missing":
            continue
        socket = Node("output-socket", str(departure.socket))
        drivers = amplified.get(departure.socket, ()) if is_driven(destination) else ()
        for driver in drivers or (socket,):
            graph.join(driver, node)
        if departure.slot is not None and departure.stop in ("", "not-fed"):
            graph.join(Node("output-slot", str(departure.slot)), socket)


def _amplified(graph: Graph, resolved: ResolvedRig) -> dict[Socket, list[Node]]:
    """Join amplifiers to the sockets that feed them; return the inputs of amplifiers by their sockets."""
    found: dict[Socket, list[Node]] = {}
    for amplifier in resolved.rig.amplifiers.values():
        for number, socket in enumerate(amplifier.sockets, start=1):
            # Each input by itself: what is fed to the left half does not come out at the right.
            name = amplifier.name if len(amplifier.sockets) == 1 else f"{amplifier.name}/in/{number}"
            node = Node("amplifier", name)
            graph.add(node)
            found.setdefault(socket, []).append(node)
            departure = resolved.departure(socket)
            if departure.stop == "socket-missing":
                continue
            graph.join(Node("output-socket", str(socket)), node)
            if departure.slot is not None and departure.stop in ("", "not-fed"):
                graph.join(Node("output-slot", str(departure.slot)), Node("output-socket", str(socket)))
    return found
