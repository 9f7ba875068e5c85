"""Why nothing arrives by a way of the signal graph, in the words of a trace: what is dead, dark or has no supply."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lint.resolve.dark import without_mains
from lint.resolve.follow import Follower
from lint.resolve.graph import Node
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket

ENDS_IT = ", so nothing gets through"


def stops_on(rig: ResolvedRig, way: Sequence[Node]) -> list[str]:
    """Return why nothing arrives by a way, each reason once, in the order of the signal; empty where something does.

    That it is the wrong thing is for the trace and the check to say, and what a console has muted no rig file says.
    """
    follower = Follower(rig)
    begins = {node.name for node in way if node.kind == "source"}
    sockets = [node.name for node in way if node.kind == "input-socket"]
    begins |= {name for at, names in rig.sources_in.items() if str(at) in sockets for name in names}
    return list(dict.fromkeys(text for node in way for text in _stops_at(rig, follower, node, begins)))


def _stops_at(rig: ResolvedRig, follower: Follower, node: Node, begins: set[str]) -> Iterator[str]:
    rows = rig.rig
    device = node.name.partition("/")[0]
    if node.kind == "input-socket":
        yield from (step.text for step in follower.lost(_socket(node)))
    elif node.kind == "channel":
        yield from _console(rig, device)
        arrival = rig.arrivals[device, int(node.name.rpartition("/")[2])]
        if begins.intersection(arrival.sources) and (text := follower.unpowered(arrival)):
            yield text
    elif node.kind == "mix":
        yield from _console(rig, rows.mixes[node.name].console)
    elif node.kind == "output-socket":
        yield from (step.text for step in follower.dark(device))
    elif node.kind == "amplifier":
        yield from _unlit(without_mains(rows, device, rows.amplifiers[device].circuit))
    elif node.kind == "destination":
        yield from _unlit(without_mains(rows, node.name, rows.destinations[node.name].circuit))
    if node.kind.endswith("-socket") and not rig.is_reached(device):
        yield f"{rig.why_unreached(device)}{ENDS_IT}"


def _console(rig: ResolvedRig, name: str) -> Iterator[str]:
    yield from (f"{row.words}{ENDS_IT}" for row in rig.rig.dead.values() if row.name == name)
    yield from _unlit(without_mains(rig.rig, name, rig.rig.devices[name].circuit))


def _unlit(text: str) -> Iterator[str]:
    if text:
        yield f"{text}{ENDS_IT}"


def _socket(node: Node) -> Socket:
    device, side, number = node.name.split("/")
    return Socket(device, side, int(number))
