"""What the rules about signal loops share: the ways round, effects that return to themselves, and changed sends."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from lint import Cure, ResolvedRig
from lint.resolve.graph import Graph, Node, signal_node
from lint.resolve.mixup import merged, nested
from lint.rig.address import number_range, spans
from lint.rig.rig import Channel, Effects, Mix, Place
from lint.rules._cabling import joined

# On the way round these are only how a mix leaves and comes in: the crew thinks in channels, mixes and effects.
SPOKEN = ("channel", "mix", "effects")


class OwnReturn(NamedTuple):
    """An effects unit whose return channels are sent to the mix that feeds it."""

    unit: Effects
    mix: Mix
    channels: tuple[Channel, ...]


class Loop(NamedTuple):
    """Signals that feed back into each other: a shortest way round, all ways, and what it is about.

    `own_returns` says whether it is closed only by effects that return to their own mix.
    """

    way: tuple[Node, ...]
    ways: Mapping[Node, list[Node]]
    about: str
    own_returns: bool


def own_returns(rig: ResolvedRig) -> list[OwnReturn]:
    """Return the effects units whose return is sent straight to the mix that feeds them."""
    by_unit: dict[tuple[str, str], list[Channel]] = {}
    for arrival in rig.arrivals.values():
        if arrival.effects is not None:
            by_unit.setdefault((arrival.effects.console, arrival.effects.effects), []).append(arrival.channel)
    found = []
    for key, unit in rig.rig.effects.items():
        if unit.fed_by.kind != "mix":
            continue
        mix = rig.rig.mixes[unit.fed_by.name]
        channels = tuple(
            channel
            for channel in by_unit.get(key, ())
            if channel.console == mix.console and channel.number in mix.sends
        )
        if channels:
            found.append(OwnReturn(unit, mix, channels))
    return found


def loops(rig: ResolvedRig) -> list[Loop]:
    """Return every group of signals that feeds back into itself, as one loop.

    What effects return to their own mix is taken out first: a group that holds together without it is told by its own
    way round, and one that does not is told as theirs.
    """
    closing = {
        (Node("channel", channel.address), Node("mix", own.mix.name))
        for own in own_returns(rig)
        for channel in own.channels
    }
    found = []
    for group in rig.loops:
        rest = Graph()
        for node in group:
            for after in rig.graph.after[node]:
                if after in rig.graph.before and (node, after) not in closing:
                    rest.join(node, after)
        left = [_within(rest, other) for other in rest.loops()] if closing else []
        graphs = left or [_within(rig.graph, group)]
        found += [_loop(rig, graph, own_returns=not left and bool(closing & _edges(graph))) for graph in graphs]
    return found


def _within(graph: Graph, group: Iterable[Node]) -> dict[Node, list[Node]]:
    """Return the ways between the nodes of a group."""
    members = set(group)
    return {node: [after for after in graph.after[node] if after in members] for node in members}


def _edges(ways: Mapping[Node, list[Node]]) -> set[tuple[Node, Node]]:
    return {(node, after) for node, others in ways.items() for after in others}


def _loop(rig: ResolvedRig, ways: Mapping[Node, list[Node]], own_returns: bool) -> Loop:
    """Return a group's loop: about its first mix in the order of the file, and the shortest way round from there."""
    start = next((Node("mix", name) for name in rig.rig.mixes if Node("mix", name) in ways), min(ways))
    return Loop(tuple(_round_from(ways, start)), ways, start.name, own_returns)


def _round_from(ways: Mapping[Node, list[Node]], start: Node) -> list[Node]:
    """Return a shortest way from a node back to itself, the node first and not repeated."""
    came_from: dict[Node, Node] = {}
    queue = [start]
    for node in queue:
        for after in ways[node]:
            if after == start:
                back = [node]
                while back[-1] != start:
                    back.append(came_from[back[-1]])
                return back[::-1]
            if after not in came_from:
                came_from[after] = node
                queue.append(after)
    raise AssertionError(f"{start} is in no loop")  # unreachable: the nodes reach each other


def way_words(rig: ResolvedRig, loop: Loop) -> str:
    """Say the way round: singer-mon → plate → channel 4 (Plate) → singer-mon."""
    spoken = [node for node in loop.way if node.kind in SPOKEN]
    return " → ".join(_spoken(rig, node) for node in (*spoken, *spoken[:1]))


def _spoken(rig: ResolvedRig, node: Node) -> str:
    if node.kind == "channel":
        return rig.rig.channel_words(_channel(rig, node))
    return node.name.rpartition("/")[2]


def _channel(rig: ResolvedRig, node: Node) -> Channel:
    console, _, number = node.name.partition("/channel/")
    return rig.rig.channels[console, int(number)]


def way_places(rig: ResolvedRig, loop: Loop) -> tuple[Place, ...]:
    """Return the places of a loop: each mix, channel and effects unit on the way round."""
    return tuple(_place(rig, node) for node in loop.way if node.kind in SPOKEN)


def _place(rig: ResolvedRig, node: Node) -> Place:
    if node.kind == "channel":
        return rig.place(_channel(rig, node).trail, node.name)
    if node.kind == "mix":
        return rig.place((*rig.rig.mixes[node.name].trail, "takes"), node.name)
    console, _, name = node.name.partition("/effects/")
    return rig.place(rig.rig.effects[console, name].trail, f"effects/{name}")


def cuts(rig: ResolvedRig, loop: Loop) -> Iterator[Cure]:
    """Yield, for each mix on the way round, the cure that takes out of it all that comes back to it."""
    for node in loop.way:
        if node.kind != "mix":
            continue
        mix = rig.rig.mixes[node.name]
        back = [before for before, after in loop.ways.items() if node in after]
        channels = sorted((_channel(rig, entry) for entry in back if entry.kind == "channel"), key=lambda c: c.number)
        signals = {entry.name for entry in back if entry.kind == "signal"}
        words = [rig.rig.channel_words(channel) for channel in channels]
        changes = []
        if channels:
            changes.append(without_channels(rig, mix, (channel.number for channel in channels)))
        if signals:
            changes.append(without_signals(rig, mix, signals))
            words += sorted(signals)
        yield Cure(f"take {joined(words)} out of what {mix.name} takes", merged(changes))


def without_channels(rig: ResolvedRig, mix: Mix, numbers: Iterable[int]) -> dict[str, Any]:
    """Return the change that takes channels out of what a mix takes, whichever way the file writes them."""
    gone = set(numbers)
    trail = (*mix.trail, "takes", "channels")
    written = rig.says(*trail)
    if isinstance(written, list):
        left = sorted(set(mix.sends) - gone)
        return nested(trail, [part.replace("–", "-") if "–" in part else int(part) for part in _parts(left)])
    changes = []
    for key, row in written.items():
        numbers_of_key = [number for number in number_range(str(key)) if number in mix.sends]
        left = [number for number in numbers_of_key if number not in gone]
        if len(left) < len(numbers_of_key):
            changes.append(nested((*trail, str(key)), None))
            changes += [nested((*trail, part.replace("–", "-")), row) for part in _parts(left)]
    return merged(changes)


def _parts(numbers: list[int]) -> list[str]:
    return spans(numbers).split(", ") if numbers else []


def without_signals(rig: ResolvedRig, mix: Mix, gone: set[str]) -> dict[str, Any]:
    """Return the change that takes signals, given by the names of their nodes, out of what a mix takes."""
    trail = (*mix.trail, "takes", "mixes")
    written = zip(rig.says(*trail), mix.takes, strict=True)
    return nested(trail, [text for text, signal in written if signal_node(signal).name not in gone])


def change_tap(rig: ResolvedRig, mix: Mix, now: str, then: str) -> dict[str, Any]:
    """Return the change that takes those channels at another point of the strip that a mix takes at `now`."""
    trail = (*mix.trail, "takes", "channels")
    keys = [
        str(key)
        for key, row in rig.says(*trail).items()  # a list says no tap
        if row.get("tap") == now and any(number in mix.sends for number in number_range(str(key)))
    ]
    return merged(nested((*trail, key, "tap"), then) for key in keys)
