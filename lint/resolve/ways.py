"""The ways of the signal graph: everything upstream of a thing, everything it feeds, every way between two things."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from typing import NamedTuple

from lint.resolve.dark import is_dark, were_all_lit, were_lit
from lint.resolve.follow import away_from
from lint.resolve.graph import Node
from lint.resolve.phantom import Supply
from lint.resolve.resolved import ResolvedRig
from lint.resolve.sided import Sided, sided_graph
from lint.resolve.silent import stops_on
from lint.resolve.step import UnknownSignalError, unknown
from lint.rig.address import Socket
from lint.rig.plant import Amplifier
from lint.rig.rig import Device

# The kinds of node in the order of the signal, and what the crew calls them.
KINDS: Mapping[str, str] = {
    "source": "sources",
    "input-socket": "input sockets",
    "input-slot": "slots towards the console",
    "channel": "channels",
    "effects": "effects units",
    "mix": "mixes",
    "signal": "what the console sends",
    "output-slot": "slots from the console",
    "output-socket": "output sockets",
    "amplifier": "amplifiers",
    "destination": "destinations",
}
MOST_WAYS = 200


class Ways(NamedTuple):
    """The ways between two things; `more` says that there are more than are given.

    `stops` has for each why nothing arrives by it: nothing where something does.
    """

    found: Sequence[Sequence[Node]]
    more: bool
    stops: Sequence[Sequence[str]]


def nodes_of(rig: ResolvedRig, what: str) -> list[Node]:
    """Return the points of the graph that a name, a label, a channel number or an address means.

    Raises UnknownSignalError.
    """
    found = _by_name(rig, what) or _by_label(rig, what)
    if not found and not _is_there(rig, what):
        raise UnknownSignalError(unknown(rig, what))
    return found


def _by_name(rig: ResolvedRig, what: str) -> list[Node]:
    """Return the points of an id, a number or an address.

    Of a console these are its channels, effects units and mixes; of a link cable or circuit what it carries.
    """
    rows, graph = rig.rig, rig.graph
    number = what.removeprefix("channel").strip(" /")
    named: dict[str, set[str]] = {kind: {what} for kind in KINDS}
    named["channel"] |= {c.address for c in rows.channels.values() if number == str(c.number) or c.console == what}
    if (pair := rows.pairs.get(what)) is not None and what not in rows.sources:
        named["source"] |= {pair.left, pair.right}
    units = [unit for unit in rows.effects.values() if what in (unit.name, unit.console)]
    named["effects"] |= {f"{unit.console}/effects/{unit.name}" for unit in units}
    named["mix"] |= {mix.name for mix in rows.mixes.values() if mix.console == what}
    if what not in {console.name for console in rows.consoles}:
        for kind in ("input-socket", "output-socket", "amplifier"):
            named[kind] |= {node.name for node in graph.after if node.kind == kind and node.name.startswith(f"{what}/")}
    carried = carried_by(rig, what)
    return [node for node in graph.after if node.name in named[node.kind] or node in carried]


def _by_label(rig: ResolvedRig, what: str) -> list[Node]:
    """Return the points that carry a label: not asked where something is called so, or one would hide the other."""
    rows, label = rig.rig, what.casefold()
    named = {"channel": {c.address for c in rows.channels.values() if c.label.casefold() == label != ""}}
    for kind, things in (("source", rows.sources), ("mix", rows.mixes), ("destination", rows.destinations)):
        named[kind] = {thing.name for thing in things.values() if thing.label.casefold() == label != ""}
    equipment = {node for name in _equipment_called(rig, what) for node in _by_name(rig, name)}
    return [node for node in rig.graph.after if node.name in named.get(node.kind, ()) or node in equipment]


def _equipment_called(rig: ResolvedRig, what: str) -> list[str]:
    """Return the devices and amplifiers that carry a label."""
    things: list[Device | Amplifier] = [*rig.rig.devices.values(), *rig.rig.amplifiers.values()]
    return [thing.name for thing in things if thing.label.casefold() == what.casefold() != ""]


def _called(rig: ResolvedRig, what: str) -> list[str]:
    """Return the device of a name, else the equipment that carries it as its label, where it is nothing else's name."""
    if what in rig.rig.devices:
        return [what]
    return [] if _by_name(rig, what) else _equipment_called(rig, what)


def _is_there(rig: ResolvedRig, what: str) -> bool:
    """Whether a thing is in the rig though no signal passes it: a box, a cable, a free socket, a slot nobody uses."""
    if what in rig.rig.cables or what in rig.rig.circuit_names or _equipment_called(rig, what):
        return True
    device, _, rest = what.partition("/")
    return device in rig.rig.devices and (not rest or rest.rpartition("/")[2].isdecimal())


def carried_by(rig: ResolvedRig, what: str, *, boxes: bool = False) -> set[Node]:
    """Return the points that are dead without a link cable or a mains circuit (or one of the `boxes`); empty for else.

    Of a cable these are the sockets of the boxes behind it, or the slots of a console that listens in by it. Of a
    circuit they are the sockets of its boxes and of those behind them, its consoles with their channels and mixes, its
    amplifiers and its destinations.
    """
    rows, circuits = rig.rig, rig.rig.circuit_names
    box = {name for name in _called(rig, what) if name in rig.boxes} if boxes else set()
    if what not in rows.cables and what not in circuits and not box:
        return set()
    devices = box | {device.name for device in rows.devices.values() if what in circuits and device.circuit == what}
    for chain in rig.chains.values():
        cut = (box.position for box in chain.boxes if box.cable.name == what or box.device in devices)
        if (first := min(cut, default=None)) is not None:
            devices |= {box.device for box in chain.boxes if box.position >= first}
    ends = rows.cables[what].ends if what in rows.cables else ()
    listening = {str(port) for port in rig.cabling.listens_to if port in ends}
    named = {
        "mix": {mix.name for mix in rows.mixes.values() if mix.console in devices},
        "amplifier": {entry.name for entry in rows.amplifiers.values() if what in circuits and entry.circuit == what},
        "destination": {e.name for e in rows.destinations.values() if what in circuits and e.circuit == what},
    }
    by_device = ("input-socket", "output-socket", "channel", "effects")
    return {
        node
        for node in rig.graph.after
        if (node.kind in by_device and node.name.partition("/")[0] in devices)
        or (node.kind == "input-slot" and node.name.rpartition("/")[0] in listening)
        or node.name.partition("/")[0] in named.get(node.kind, ())
    }


def silent_without(rig: ResolvedRig, what: str) -> list[str]:
    """Return sources that no channel or no destination hears, and destinations that no source gets to, without a thing.

    That is a link cable, a box or a mains circuit. A source whose phantom power is lost with it is silent too, and an
    amplifier that drives nothing by name counts as a destination. Only what is heard or reached with it is said, of
    what is dark already as if it were not; empty where `what` is none of them.
    """
    if is_dark(rig.rig, what):
        rig = were_lit(rig, what)
    dead = carried_by(rig, what, boxes=True)
    if not dead:
        return []
    nodes, sided = rig.graph.after, sided_graph(rig)
    ends = {kind: [node for node in nodes if node.kind == kind] for kind in ("source", "channel", "destination")}
    hang = {*ends["destination"], *(node for node, after in nodes.items() if node.kind == "amplifier" and not after)}
    silent = _silent_by_file(rig)

    def alive(without: Container[Node]) -> tuple[set[Node], ...]:
        def heard_at(kind: str) -> set[Node]:
            return sided.reached_from(ends[kind], backwards=True, without=without).intersection(ends["source"])

        reached = sided.reached_from(ends["source"], without=without).intersection(hang)
        return heard_at("channel"), heard_at("destination"), reached

    with_it = alive(silent)
    lost = (each - still for each, still in zip(with_it, alive(dead | silent), strict=True))
    return _names(rig, list(set().union(*lost) | (with_it[0] & _powered_through(rig, dead))))


def _silent_by_file(rig: ResolvedRig) -> set[Node]:
    """Return the points that nothing gets through by the file: what is dead or dark."""
    dark = (name for name in rig.rig.circuits if is_dark(rig.rig, name))
    sockets = (Node("input-socket", str(at)) for row in rig.rig.dead.values() for at in row.sockets)
    return {*sockets, *(node for name in dark for node in carried_by(rig, name, boxes=True))}


def _powered_through(rig: ResolvedRig, dead: Container[Node]) -> set[Node]:
    """Return the sources that get the phantom power that they need only at sockets, or from channels, of `dead`."""
    found = set()
    for source in rig.rig.sources.values():
        live = rig.phantom.live_at(source) if source.needs_phantom else {}
        if live and all(_is_powered_by(dead, at, supply) for at, supply in live.items()):
            found.add(Node("source", source.name))
    return found


def _is_powered_by(dead: Container[Node], socket: Socket, supply: Supply) -> bool:
    switching = (Node("channel", channel.address) for channel in supply.says_on)
    return Node("input-socket", str(socket)) in dead or all(node in dead for node in switching)


def reached(rig: ResolvedRig, what: str, upstream: bool) -> Mapping[str, list[str]]:
    """Return everything that gets to `what` (or that it feeds), by kind, the kinds in the order of the signal.

    What rides on a cable or a circuit is among it: these are no points of the signal themselves. A box feeds its own
    sockets, and passes on all that hangs behind it.

    Raises UnknownSignalError.
    """
    carried = carried_by(rig, what, boxes=not upstream)
    start = list(dict.fromkeys((*nodes_of(rig, what), *carried)))
    sided = sided_graph(rig)
    met = sided.plainly(sided.reached_from(start, backwards=upstream)) - (set(start) - carried)
    if upstream:  # what a console's own mix takes of another of its mixes stays inside
        if what in rig.rig.cables:  # it feeds these
            met = {node for node in met if node.kind != "output-socket"}
        own = {node.name for node in start if node.kind == "mix"}
        met = {node for node in met if node.kind != "signal" or node.name.partition(".")[0] not in own}
    return {kind: names for kind in KINDS if (names := _names(rig, [node for node in met if node.kind == kind]))}


def sides_reached(rig: ResolvedRig, what: str, upstream: bool) -> Mapping[str, str]:
    """Return of the stereo mixes by whose one side alone something gets to `what`, or which it feeds alone, that side.

    Raises UnknownSignalError.
    """
    sided = sided_graph(rig)
    met = sided.reached_from((*nodes_of(rig, what), *carried_by(rig, what, boxes=not upstream)), backwards=upstream)
    by_mix: dict[str, list[str]] = {}
    for half in met & sided.side.keys():
        by_mix.setdefault(sided.plain[half].name, []).append(sided.side[half])
    return {name: sides[0] for name, sides in by_mix.items() if len(sides) == 1}


def _names(rig: ResolvedRig, nodes: Sequence[Node]) -> list[str]:
    """Return the names in the order of the files where they are names there, else by device, side and number.

    What has neither stands as in the graph.
    """
    named = {
        name: index
        for index, name in enumerate((*rig.rig.sources, *rig.rig.mixes, *rig.rig.amplifiers, *rig.rig.destinations))
    }
    places = {node: index for index, node in enumerate(rig.graph.after)}

    def key(node: Node) -> tuple[int, str, int, int]:
        place, _, number = node.name.rpartition("/")
        order = named.get(node.name, 0) if node.kind != "signal" else 0
        return order, place, int(number) if number.isdecimal() else 0, places[node]

    return [node.name for node in sorted(nodes, key=key)]


def ways_between(rig: ResolvedRig, first: str, second: str) -> Ways:
    """Return every way from one thing to another that passes nothing twice, the shortest first.

    What is named may be several points (a box and all its sockets); a way that only begins further on, or has the same
    names, is the same way. But what enters the console by a box or cable may well come back by the same. The ways of a
    link cable begin at the slots that it brings, and at the inputs whose signals it takes away. Where there is none for
    what is dead by the file, they are those that were there if it were not.

    Raises UnknownSignalError.
    """
    ways = _found_between(rig, first, second)
    if ways.found or not rig.rig.dead:
        return ways
    alive = _found_between(were_all_lit(rig), first, second)
    stops = [stops_on(rig, way) for way in alive.found]
    return Ways(alive.found, alive.more, stops) if all(stops) else ways


def _found_between(rig: ResolvedRig, first: str, second: str) -> Ways:
    starts, ends = _begins(rig, first), set(nodes_of(rig, second))
    behind = carried_by(rig, first) if first in rig.rig.cables else set()
    sided = sided_graph(rig)
    near = sided.reached_from(ends, backwards=True)
    found: list[list[Node]] = []
    told: set[tuple[str, ...]] = set()
    for start in starts:
        others = {one for one in starts if start.kind != "input-socket" or one.kind == start.kind} - {start}
        for way in (way for half in sided.halves[start] for way in _ways(sided, half, ends, near)):
            names = tuple(dict.fromkeys(node.name for node in way))
            past_the_cable = start.kind == "output-slot" and behind and behind.isdisjoint(way[1:2])
            if names in told or past_the_cable or not others.isdisjoint(way):
                continue
            told.add(names)
            found.append(way)
            if len(found) > MOST_WAYS:
                return _told(rig, found[:MOST_WAYS], more=True)
    return _told(rig, found, more=False)


def _told(rig: ResolvedRig, found: Sequence[Sequence[Node]], more: bool) -> Ways:
    ways = sorted(found, key=len)
    return Ways(ways, more, [stops_on(rig, way) for way in ways])


def _begins(rig: ResolvedRig, what: str) -> list[Node]:
    """Return where the ways of a thing begin: its points; of a link cable the slots that its outputs take from it."""
    points, graph = nodes_of(rig, what), rig.graph
    if what not in rig.rig.cables:
        return points
    slots = (one for node in points if node.kind == "output-socket" for one in graph.before[node])
    return list(dict.fromkeys((*(node for node in points if node.kind != "output-socket"), *slots)))


def _ways(sided: Sided, start: Node, ends: set[Node], near: set[Node]) -> Iterator[list[Node]]:
    """Yield the ways from a node, as nodes of the rig's own graph.

    Only what gets to an end at all is followed: nothing but a loop is tried in vain.
    """
    if start not in near:
        return
    trail = [sided.plain[start]]
    waiting = [iter(sided.graph.after[start])]
    if trail[0] in ends:
        yield list(trail)
    while waiting:
        half = next((one for one in waiting[-1] if one in near and sided.plain[one] not in trail), None)
        if half is None:
            waiting.pop()
            trail.pop()
            continue
        trail.append(sided.plain[half])
        if trail[-1] in ends:
            yield list(trail)
            trail.pop()
        else:
            waiting.append(iter(sided.graph.after[half]))


def words_of(rig: ResolvedRig, way: Sequence[Node]) -> list[str]:
    """Return the names on a way, each once, and at a stereo mix to which side a channel is panned in it."""
    rows = rig.rig
    words: dict[str, str] = {}
    panned = {channel.address: channel.pan for channel in rows.channels.values() if away_from(channel) is not None}
    for before, node in zip((None, *way), way, strict=False):
        pan = panned.get(before.name) if before is not None and node.kind == "mix" else None
        is_sided = pan is not None and rows.mixes[node.name].width == "stereo"
        words.setdefault(node.name, f"{node.name} (panned {pan})" if is_sided else node.name)
    return list(words.values())
