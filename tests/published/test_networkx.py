"""A second opinion on our graphs: networkx, an independent code base (BSD licence), on random graphs, rigs and cablings.

The rigs are turned into a networkx graph by code that shares nothing with ours: slots are counted from the list of
boxes, as shared/design/addressing.md says.
"""

from __future__ import annotations

import itertools
import json
from typing import Any

import networkx as nx
from build_rigs import FILE
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lint.read.document import Document
from lint.read.parse import parse
from lint.resolve.chain import follow_cables
from lint.resolve.graph import Graph, Node
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.resolve.sided import sided_graph
from lint.resolve.ways import MOST_WAYS, reached, ways_between
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.rig.rig import Rig
from lint.rules import chain_ring

MODELS = Models(None)


def many(count: int) -> Any:
    return settings(max_examples=count, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def built(data: dict[str, Any]) -> Rig:
    """Build a rig by way of its text; the schema, which other tests hold, is left out for speed."""
    read, marks = parse(json.dumps(data), FILE)
    return build_rig(Document(read, marks, (FILE,), ()), FILE, MODELS)


# -- random graphs -----------------------------------------------------------------------------------------------

EDGES = st.integers(1, 14).flatmap(
    lambda size: st.lists(st.tuples(st.integers(0, size - 1), st.integers(0, size - 1)), max_size=2 * size)
)
STARTS = st.sets(st.integers(0, 16), max_size=3)


def both(edges: list[tuple[int, int]]) -> tuple[Graph, nx.DiGraph]:
    graph, other = Graph(), nx.DiGraph()
    for first, second in edges:
        graph.join(node(first), node(second))
        other.add_edge(node(first), node(second))
    graph.add(node(99))
    other.add_node(node(99))
    return graph, other


def node(number: int) -> Node:
    return Node("mix", f"mix-{number}")


def require_agreement(graph: Graph, other: nx.DiGraph, starts: set[Node]) -> None:
    """Reachability both ways, and the groups that feed back into themselves."""
    known = starts & set(other)
    for backwards, reach in ((False, nx.descendants), (True, nx.ancestors)):
        expected = known.union(*(reach(other, start) for start in known))
        assert graph.reached_from(starts, backwards=backwards) == expected
    loops = graph.loops()
    groups = [group for group in nx.strongly_connected_components(other) if is_loop(other, group)]
    assert sorted(map(sorted, loops)) == sorted(map(sorted, groups))
    assert all(len(set(loop)) == len(loop) for loop in loops)


def is_loop(other: nx.DiGraph, group: set[Node]) -> bool:
    return len(group) > 1 or any(other.has_edge(entry, entry) for entry in group)


@many(1500)
@given(EDGES, STARTS)
def test_reachability_and_loops_of_random_graphs(edges: list[tuple[int, int]], starts: set[int]) -> None:
    graph, other = both(edges)
    assert {(first, second) for first, ways in graph.after.items() for second in ways} == set(other.edges)
    require_agreement(graph, other, {node(number) for number in starts} | {node(99)})


def test_a_chain_as_long_as_no_stack_of_python_takes() -> None:
    graph, other = both([(number, number + 1) for number in range(100, 20_100)] + [(20_100, 100)])
    require_agreement(graph, other, {node(100)})


# -- graphs of random rigs ---------------------------------------------------------------------------------------

INPUTS = {"stage-box-8x8": 8, "stage-box-16x8": 16, "stage-box-32x16": 32}
BANKS = {"stage-box-8x8": range(1, 42, 8), "stage-box-16x8": range(1, 42, 8), "stage-box-32x16": (1, 17, 33)}
OUTPUTS = {"stage-box-8x8": 8, "stage-box-16x8": 8, "stage-box-32x16": 16}
LINKS = ("link-1", "link-2")


@st.composite
def rigs(draw: st.DrawFn) -> dict[str, Any]:
    """A random rig of one console with up to two chains, of which a box may be in backwards: its data."""
    rate = draw(st.sampled_from([48000, 48000, 96000]))
    data: dict[str, Any] = {"rig_format": 1, "clock": {"sample_rate_hz": rate, "leader": "desk"}, "cables": {}}
    data["devices"] = {"desk": {"model": "console-32"}}
    for link in LINKS:
        feed = f"desk/{link}"
        for number in range(draw(st.integers(0, 3))):
            box, model = f"box-{link[-1]}{number}", draw(st.sampled_from(sorted(INPUTS)))
            first = draw(st.sampled_from(BANKS[model]))
            data["devices"][box] = {"model": model, "output_bank": f"{first}-{first + OUTPUTS[model] - 1}"}
            near, far = ("downstream", "upstream") if draw(st.integers(0, 9)) == 9 else ("upstream", "downstream")
            data["cables"][f"to-{box}"] = {"from": feed, "to": f"{box}/{near}"}
            feed = f"{box}/{far}"
    add_inputs(draw, data)
    add_mixes(draw, data)
    add_outputs(draw, data)
    return data


def devices_of(data: dict[str, Any]) -> st.SearchStrategy[str]:
    boxes = [name for name in data["devices"] if name != "desk"]
    return st.sampled_from(["desk", *boxes, *boxes])


def add_inputs(draw: st.DrawFn, data: dict[str, Any]) -> None:
    """Sources, and channels that mostly listen where one is."""
    device = devices_of(data)
    data["sources"] = {
        f"source-{number}": {"kind": "passive-di", "plugged_into": f"{draw(device)}/in/{draw(st.integers(1, 9))}"}
        for number in range(draw(st.integers(1, 4)))
    }
    heard = [slot_of(data, row["plugged_into"]) for row in data["sources"].values()]
    meant = st.sampled_from([*filter(None, heard), "effects/plate"])
    slot = st.tuples(st.sampled_from(LINKS), st.integers(1, 28)).map(lambda at: f"desk/{at[0]}/{at[1]}")
    stray = slot | st.integers(1, 9).map(lambda number: f"desk/in/{number}")
    numbers = range(1, draw(st.integers(1, 5)) + 1)
    data["channels"] = {str(number): {"patched_from": draw(meant | meant | stray)} for number in numbers}


def add_mixes(draw: st.DrawFn, data: dict[str, Any]) -> None:
    """Mixes that take channels and each other, in loops too, and an effects unit fed by one of them."""
    numbers = st.sampled_from([int(number) for number in data["channels"]])
    widths = {f"mix-{number}": draw(st.sampled_from(["mono", "stereo"])) for number in range(draw(st.integers(1, 4)))}
    signals = st.sampled_from([*signals_of(widths), *widths])
    data["mixes"] = {
        name: {
            "kind": "monitor",
            "width": width,
            "takes": {
                "channels": draw(st.lists(numbers, min_size=draw(st.integers(0, 1)), max_size=2, unique=True)),
                "mixes": draw(st.just([]) | st.lists(signals, max_size=2, unique=True)),
            },
        }
        for name, width in widths.items()
    }
    data["effects"] = {"plate": {"fed_by": draw(signals)}}


def signals_of(widths: dict[str, str]) -> list[str]:
    sides = {"mono": ("",), "stereo": (".left", ".right", ".mono")}
    return [f"{name}{side}" for name, width in widths.items() for side in sides[width]]


def add_outputs(draw: st.DrawFn, data: dict[str, Any]) -> None:
    """Destinations, and feeds mostly where one hangs; some outputs repeat a slot of the first link."""
    device = devices_of(data)
    data["destinations"] = {
        f"wedge-{number}": {"kind": "wedge", "plugged_into": f"{draw(device)}/out/{draw(st.integers(1, 8))}"}
        for number in range(draw(st.integers(1, 4)))
    }
    signals = signals_of({name: row["width"] for name, row in data["mixes"].items()})
    sent = st.sampled_from([*signals, *(f"channel/{number}" for number in data["channels"])])
    data["feeds"] = feeds = {"desk/link-1": draw(st.dictionaries(st.integers(1, 28).map(str), sent, max_size=3))}
    for row in data["destinations"].values():
        point = output_of(data, row["plugged_into"])
        if point is not None and draw(st.integers(0, 4)):
            port, _, number = point.rpartition("/")
            copied = st.sampled_from([*feeds["desk/link-1"], "1"]).map(copy_of)
            feeds.setdefault(port, {})[number] = draw(sent if port == "desk/link-1" else sent | copied)


def copy_of(slot: str) -> dict[str, str]:
    return {"same_as": f"desk/link-1/{slot}"}


def chains(data: dict[str, Any]) -> dict[str, list[str]]:
    """The boxes that each link reaches: up to the first one that is in backwards."""
    found = {}
    for link in LINKS:
        rows = [(name[3:], row) for name, row in data["cables"].items() if name.startswith(f"to-box-{link[-1]}")]
        good = itertools.takewhile(lambda row: row[1]["to"].endswith("/upstream"), rows)
        found[link] = [name for name, _ in good]
    return found


def slot_of(data: dict[str, Any], text: str) -> str | None:
    """The point that a console hears an input socket on, counted along the chain; None where it hears it nowhere."""
    device, _, number = text.split("/")
    if device == "desk":
        return text
    most = 24 if data["clock"]["sample_rate_hz"] == 96000 else 48
    for link, boxes in chains(data).items():
        if device in boxes:
            before = sum(INPUTS[data["devices"][box]["model"]] for box in boxes[: boxes.index(device)])
            slot = before + int(number)
            exists = int(number) <= INPUTS[data["devices"][device]["model"]]
            return f"desk/{link}/{slot}" if slot <= most and exists else None
    return None


def output_of(data: dict[str, Any], text: str) -> str | None:
    """The console output that an output socket carries, by its box's selector; None where it carries nothing."""
    device, _, number = text.split("/")
    if device == "desk":
        return text
    most = 24 if data["clock"]["sample_rate_hz"] == 96000 else 48
    first = int(data["devices"][device]["output_bank"].split("-")[0])
    for link, boxes in chains(data).items():
        if device in boxes:
            slot = first + int(number) - 1
            return f"desk/{link}/{slot}" if slot <= most else None
    return None


def by_hand(data: dict[str, Any]) -> nx.DiGraph:
    """The ways of all signals of a rig's data, without sockets and slots in between."""
    other = nx.DiGraph()
    for section in ("source", "channel", "mix", "destination"):
        names = data["mixes" if section == "mix" else f"{section}s"]
        other.add_nodes_from((section, name) for name in names)
    points = {name: slot_of(data, row["plugged_into"]) for name, row in data["sources"].items()}
    for number, row in data["channels"].items():
        if row["patched_from"] == "effects/plate":
            other.add_edge(("effects", "plate"), ("channel", number))
        for name, point in points.items():
            if point == row["patched_from"]:
                other.add_edge(("source", name), ("channel", number))
    for name, row in data["mixes"].items():
        other.add_edges_from((("channel", str(number)), ("mix", name)) for number in row["takes"]["channels"])
        other.add_edges_from((origin(text), ("mix", name)) for text in row["takes"]["mixes"])
    other.add_edge(origin(data["effects"]["plate"]["fed_by"]), ("effects", "plate"))
    sent = {f"{port}/{number}": value for port, rows in data["feeds"].items() for number, value in rows.items()}
    for name, row in data["destinations"].items():
        value = sent.get(output_of(data, row["plugged_into"]) or "")
        if isinstance(value, dict):
            value = sent.get(value["same_as"])
        if value is not None:
            other.add_edge(origin(value), ("destination", name))
    return other


def origin(text: str) -> tuple[str, str]:
    return ("channel", text[8:]) if text.startswith("channel/") else ("mix", text.partition(".")[0])


def short(entry: Node) -> tuple[str, str]:
    return entry.kind, entry.name.rpartition("/")[2]


KINDS = ("source", "channel", "mix", "effects", "destination")


@many(1200)
@given(rigs())
def test_what_every_source_reaches_and_every_destination_hears(data: dict[str, Any]) -> None:
    rig = resolve_rig(built(data))
    graph = rig.graph
    other = by_hand(data)
    for entry in graph.after:
        if entry.kind in KINDS:
            for backwards, reach in ((False, nx.descendants), (True, nx.ancestors)):
                got = {short(met) for met in graph.reached_from([entry], backwards) if met.kind in KINDS}
                assert got == {short(entry), *reach(other, short(entry))}
    assert sorted(map(sorted, rig.loops)) == sorted(map(sorted, graph.loops()))
    groups = [{short(met) for met in group if met.kind in KINDS} for group in graph.loops()]
    expected = [group for group in nx.strongly_connected_components(other) if is_loop(other, group)]
    assert sorted(map(sorted, groups)) == sorted(map(sorted, expected))


@many(300)
@given(rigs(), st.randoms(use_true_random=False))
def test_reachability_and_loops_of_the_graphs_of_random_rigs(data: dict[str, Any], random: Any) -> None:
    graph = resolve_rig(built(data)).graph
    other = nx.DiGraph()
    other.add_nodes_from(graph.after)
    other.add_edges_from((first, second) for first, ways in graph.after.items() for second in ways)
    assert {(first, second) for second, ways in graph.before.items() for first in ways} == set(other.edges)
    require_agreement(graph, other, set(random.sample(sorted(graph.after), k=min(3, len(graph.after)))))


@many(150)
@given(rigs(), st.randoms(use_true_random=False))
def test_every_way_between_two_things_and_everything_upstream(data: dict[str, Any], random: Any) -> None:
    rig = resolve_rig(built(data))
    # Side by side: what a stereo mix takes of the right of another gets to none of its left.
    sided = sided_graph(rig)
    other = nx.DiGraph()
    other.add_nodes_from(sided.graph.after)
    other.add_edges_from((first, second) for first, ways in sided.graph.after.items() for second in ways)
    start, end = (random.choice(sorted(data[section])) for section in ("sources", "destinations"))
    first, second = Node("source", start), Node("destination", end)
    every = {tuple(sided.plain[node] for node in way) for way in nx.all_simple_paths(other, first, second)}
    expected = [way for way in every if len({*way}) == len(way)]
    ways = ways_between(rig, start, end)
    if len(expected) <= MOST_WAYS:
        assert sorted(map(tuple, ways.found)) == sorted(expected)
        assert not ways.more
    else:
        assert ways.more
        assert set(map(tuple, ways.found)) <= set(expected)
    upstream = {(kind, name) for kind, names in reached(rig, end, upstream=True).items() for name in names}
    assert upstream == {sided.plain[node] for node in nx.ancestors(other, second)}
    downstream = {(kind, name) for kind, names in reached(rig, start, upstream=False).items() for name in names}
    assert downstream == {sided.plain[node] for node in nx.descendants(other, first)}


# -- rings of cables ---------------------------------------------------------------------------------------------

PORTS = {
    "desk": ("link-1", "link-2"),
    "mon": ("link-1", "link-2"),
    "foyer": ("link-1",),
    **{f"box-{number}": ("upstream", "downstream") for number in range(6)},
}
EVERY_PORT = [f"{device}/{port}" for device, ports in PORTS.items() for port in ports]


@st.composite
def cablings(draw: st.DrawFn) -> dict[str, tuple[str, str]]:
    """Random cables between random ports, parallel ones, shared ports and cables back to the same device among them."""
    boxes = draw(st.integers(1, 6))
    ports = [port for port in EVERY_PORT if not port.startswith("box-") or int(port[4]) < boxes]
    favoured = ports if draw(st.booleans()) else [port for port in ports if port.startswith("box-")]
    end = st.sampled_from(favoured)
    pairs = draw(st.lists(st.tuples(end, end).filter(lambda pair: pair[0] != pair[1]), max_size=9))
    return {f"cable-{number}": pair for number, pair in enumerate(pairs)}


def cabled(cables: dict[str, tuple[str, str]]) -> Rig:
    devices = {name: {"model": "stage-box-8x8"} for name in PORTS if name.startswith("box-")}
    devices |= {"desk": {"model": "console-32"}, "mon": {"model": "console-32"}, "foyer": {"model": "console-16"}}
    rows = {name: {"from": first, "to": second} for name, (first, second) in cables.items()}
    return built({"rig_format": 1, "devices": devices, "cables": rows})


def is_box(device: str) -> bool:
    return device.startswith("box-")


def device_of(port: str) -> str:
    return port.partition("/")[0]


def ring_cables(cables: dict[str, tuple[str, str]]) -> set[str]:
    """The cables on a closed way through boxes (and shared ports) that passes through at most one console, once.

    A console's ports are points of their own; each pair of them is in turn joined into one, and what is then on a
    cycle is what is no bridge. Each cable is a point too, so that parallel cables stay apart.
    """
    found: set[str] = set()
    for joined in [(), *console_pairs(cables)]:
        merged = dict.fromkeys(joined, joined[0] if joined else "")
        other = nx.Graph()
        for name, ends in cables.items():
            first, second = (merged.get(end, device_of(end) if is_box(device_of(end)) else end) for end in ends)
            if first == second:
                found.add(name)
                continue
            other.add_edges_from([(first, ("cable", name)), (("cable", name), second)])
        bridges = {frozenset(edge) for edge in nx.bridges(other)}
        found.update(
            name[1]
            for name in other
            if isinstance(name, tuple) and all(frozenset((name, end)) not in bridges for end in other[name])
        )
    return found


def console_pairs(cables: dict[str, tuple[str, str]]) -> list[tuple[str, str]]:
    used = sorted({end for ends in cables.values() for end in ends if not is_box(device_of(end))})
    return [pair for pair in itertools.combinations(used, 2) if device_of(pair[0]) == device_of(pair[1])]


def ring_groups(cables: dict[str, tuple[str, str]], on_ring: set[str]) -> list[list[str]]:
    """The cables on rings, grouped where rings share a box, or a console on one and the same chain."""
    split = nx.Graph()
    for ends in cables.values():
        split.add_edge(*(device_of(end) if is_box(device_of(end)) else end for end in ends))
    part = {met: index for index, group in enumerate(nx.connected_components(split)) for met in group}
    other = nx.Graph()
    for name in on_ring:
        for end in cables[name]:
            device = device_of(end)
            other.add_edge(("cable", name), device if is_box(device) else (device, part[end]))
    groups = [[met[1] for met in group if met[0] == "cable"] for group in nx.connected_components(other)]
    return sorted(sorted(group) for group in groups)


@many(1500)
@given(cablings())
def test_the_rings_of_random_cablings(cables: dict[str, tuple[str, str]]) -> None:
    faults = [fault for fault in follow_cables(cabled(cables)).faults if fault.kind == "ring"]
    on_ring = ring_cables(cables)
    assert {cable.name for fault in faults for cable in fault.cables} == on_ring
    assert sorted(sorted(cable.name for cable in fault.cables) for fault in faults) == ring_groups(cables, on_ring)
    for fault in faults:
        ends = {str(end) for cable in fault.cables for end in cable.ends}
        assert {str(port) for port in fault.consoles} == {end for end in ends if not is_box(device_of(end))}
        assert set(fault.devices) >= {device_of(end) for end in ends if is_box(device_of(end))}


@many(300)
@given(cablings())
def test_one_finding_a_ring_that_names_its_cables(cables: dict[str, tuple[str, str]]) -> None:
    findings = list(chain_ring.check.function(ResolvedRig(cabled(cables))))
    named = [[place.address for place in finding.places if place.address in cables] for finding in findings]
    assert sorted(map(sorted, named)) == ring_groups(cables, ring_cables(cables))


@many(300)
@given(cablings())
def test_unplugging_a_cable_of_each_ring_in_turn_leaves_none_and_takes_no_other_cable(
    cables: dict[str, tuple[str, str]],
) -> None:
    left = dict(cables)
    while faults := [fault for fault in follow_cables(cabled(left)).faults if fault.kind == "ring"]:
        del left[faults[0].cables[-1].name]
    assert ring_cables(left) == set()
    assert set(cables) - set(left) <= ring_cables(cables)


@many(600)
@given(cablings())
def test_every_box_is_reached_lost_or_told(cables: dict[str, tuple[str, str]]) -> None:
    """Whatever is cabled, no box drops out of sight: it is on one chain, lost behind a fault, or told by one."""
    cabling = follow_cables(cabled(cables))
    on_chain = [box.device for chain in cabling.chains.values() for box in chain.boxes]
    lost = [box.device for chain in cabling.chains.values() for box in chain.lost]
    told = {name for fault in cabling.faults for name in fault.devices}
    assert len({*on_chain, *lost}) == len(on_chain) + len(lost)
    assert {*on_chain, *lost, *told} == {name for name in PORTS if is_box(name)}
    other = nx.Graph()
    other.add_nodes_from(name for name in PORTS)
    other.add_edges_from((device_of(first), device_of(second)) for first, second in cables.values())
    for name in on_chain:
        assert any(nx.has_path(other, name, console) for console in ("desk", "mon", "foyer"))
