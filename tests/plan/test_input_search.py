"""Who gets a socket, by brute force.

Those that matter most first, then the fewest changes, then the fewest pairs torn, then as few as can be of those that
work, then the shortest ways.
"""

from __future__ import annotations

import itertools
from collections import Counter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_rigs import INPUTS, hearing
from rigs import examples

from lint.plan.cures import FEWEST, PLUGS, Mending
from lint.plan.insearch import InputSearch
from lint.plan.intent import intent_of
from lint.rig.model import Models

# Wrong channels by priority, changes, torn pairs, plugs that worked and are moved, how far all are carried.
Worth = tuple[tuple[int, ...], int, int, int, int]


@st.composite
def wrong_rigs(draw: st.DrawFn) -> dict[str, Any]:
    """A console, two boxes that may be cut off, sources of several priorities anywhere, some in pairs, patched anyhow."""
    boxes = {f"box-{letter}": draw(st.sampled_from(["mini-2x2", "mini-3x2"])) for letter in "ab"}
    devices = {"desk": {"model": "console-mini"}} | {name: {"model": model} for name, model in boxes.items()}
    cables, feed = {}, "desk/link-1"
    for name in boxes:
        if draw(st.integers(0, 3)):  # else nobody reaches it
            length = draw(st.sampled_from([5, 20, 60]))
            cables[f"to-{name}"] = {"from": feed, "to": f"{name}/upstream", "length_m": length}
            feed = f"{name}/downstream"
    sockets = [f"{name}/in/{n}" for name, row in devices.items() for n in range(1, INPUTS[row["model"]] + 1)]
    at = draw(st.permutations(sockets))[: draw(st.integers(2, 4))]
    count = len(at)
    sources = {
        f"source-{i}": {"kind": "player", "plugged_into": socket, "priority": draw(st.integers(1, 3))}
        for i, socket in enumerate(at)
    }
    points = ["desk/in/1", "desk/in/2", *(f"desk/link-1/{slot}" for slot in range(1, 6))]
    return {
        "rig_format": 1, "devices": devices, "cables": cables, "sources": sources,
        "channels": {
            str(i + 1): {"carries": f"source-{i}", "patched_from": draw(st.sampled_from(points))} for i in range(count)
        },
        "pairs": {f"pair-{i}": {"left": f"source-{i}", "right": f"source-{i + 1}"} for i in range(0, count - 1, 2)},
    }  # fmt: skip


def least(data: dict[str, Any], may_patch: bool) -> Worth:
    """Return the best worth of all ways to plug, by counting along the chain; no plug is put where nobody hears it."""
    points = hearing(data)
    sources, channels = data["sources"], data["channels"]
    own = [row["plugged_into"] for row in sources.values()]
    best: Worth | None = None
    works = working(data)
    for places in itertools.permutations(dict.fromkeys((*own, *points)), len(own)):
        if any(place not in points and place != start for place, start in zip(places, own, strict=True)):
            continue
        at = dict(zip(sources, places, strict=True))
        changes = sum(place != start for place, start in zip(places, own, strict=True))
        wrong: Counter[int] = Counter()
        for row in channels.values():
            source = row["carries"]
            if points.get(at[source]) != row["patched_from"]:
                patched = may_patch and at[source] in points
                changes += patched
                wrong[sources[source]["priority"]] += not patched
        torn = sum(
            at[row["left"]].partition("/")[0] != at[row["right"]].partition("/")[0] for row in data["pairs"].values()
        )
        disturbed, way = carried(data, at, works)
        worth = (tuple(wrong[priority] for priority in (1, 2, 3)), changes, torn, disturbed, way)
        best = worth if best is None else min(best, worth)
    assert best is not None
    return best


def working(data: dict[str, Any]) -> set[str]:
    """Return the sources that their channels hear where they are."""
    points = hearing(data)
    return {
        row["carries"]
        for row in data["channels"].values()
        if points.get(data["sources"][row["carries"]]["plugged_into"]) == row["patched_from"]
    }


def carried(data: dict[str, Any], at: dict[str, str], works: set[str]) -> tuple[int, int]:
    """Return how many plugs that work are moved, and how far all are carried: decimetres first, then numbers."""
    disturbed = way = 0
    for name, end in at.items():
        start = data["sources"][name]["plugged_into"]
        if start != end:
            (one, _, old), (other, _, new) = start.split("/"), end.split("/")
            disturbed += name in works
            way += 1000 * apart_m(data, one, other) + abs(int(old) - int(new)) + 50 * (other == "desk")
    return disturbed, way


def apart_m(data: dict[str, Any], one: str, other: str) -> int:
    """Return the metres of link cable between two devices; 25 to one that nobody reaches."""
    if one == other:
        return 0
    at_m, here_m = {"desk": 0}, 0
    for cable in data["cables"].values():
        here_m += cable["length_m"]
        at_m[cable["to"].partition("/")[0]] = here_m
    if one in at_m and other in at_m:
        return abs(at_m[one] - at_m[other])
    return sum(at_m.get(name, 25) for name in (one, other))


@examples(3)
@given(st.data())
@pytest.mark.parametrize("way", [PLUGS, FEWEST])
def test_no_way_to_plug_is_worth_more(built: Any, models: Models, way: str, data: st.DataObject) -> None:
    rows = data.draw(wrong_rigs())
    rig = built(rows)
    mending = Mending(rig, rig, intent_of(rig), models=models)
    cure = mending.cure(way)
    result = cure.result
    torn = sum(
        len({result.rig.sources[name].sockets[0].device for name in (pair.left, pair.right)}) > 1
        for pair in result.rig.pairs.values()
    )
    assert cure.proved
    at = {name: str(row.sockets[0]) for name, row in result.rig.sources.items()}
    worth = (mending.wrong_in(result)[:3], cure.changes, torn, *carried(rows, at, working(rows)))
    assert worth == least(rows, way == FEWEST)


LOST_PAIR = """
rig_format: 1
devices: {desk: {model: console-16}, a: {model: stage-box-8x8, output_bank: 1-8}, b: {model: stage-box-8x8, output_bank: 9-16}}
cables: {one: {from: desk/link-1, to: a/upstream}}
"""


def test_a_pair_stays_whole_where_as_few_changes_do_it() -> None:
    from rigs import resolved

    taken = "".join(f"  a{n}: {{kind: player, plugged_into: a/in/{n}}}\n" for n in range(1, 8))
    text = (
        LOST_PAIR + "sources:\n" + taken + "  left: {kind: player, plugged_into: b/in/1}\n"
        "  right: {kind: player, plugged_into: b/in/2}\npairs: {wide: {left: left, right: right}}\n"
        "channels: {1: {carries: left, patched_from: desk/link-1/9}, 2: {carries: right, patched_from: desk/link-1/10}}\n"
    )
    rig = resolved(text)
    cure = Mending(rig, rig, intent_of(rig)).cure(FEWEST)
    ends = {str(cure.result.rig.sources[name].sockets[0]) for name in ("left", "right")}
    assert cure.changes == 4
    assert all(end.startswith("desk/in/") for end in ends)  # one of them alone would have found a/in/8, which is nearer


def test_a_pair_that_can_only_be_torn_is_not_tried_everywhere(built: Any, models: Models, monkeypatch: Any) -> None:
    """Where it is whole only at the price of a change more, the prices of the assignment say so without a second one."""
    data = {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-mini"}, "box-a": {"model": "mini-4x4"}},
        "cables": {"to-box-a": {"from": "desk/link-1", "to": "box-a/upstream"}},
        "sources": {"left": {"kind": "player", "plugged_into": "desk/in/1"},
                    "right": {"kind": "player", "plugged_into": "box-a/in/1"},
                    "solo": {"kind": "player", "plugged_into": "box-a/in/2"}},
        "channels": {"1": {"carries": "left", "patched_from": "desk/in/1"},
                     "2": {"carries": "right", "patched_from": "desk/link-1/1"},
                     "3": {"carries": "solo", "patched_from": "desk/link-1/3"}},
        "pairs": {"wide": {"left": "left", "right": "right"}},
    }  # fmt: skip
    rig = built(data)
    counted = []
    real = InputSearch._placed
    monkeypatch.setattr(
        InputSearch, "_placed", lambda self, state: counted.append(dict(state.pairs)) or real(self, state)
    )
    assert Mending(rig, rig, intent_of(rig), models=models).cure(FEWEST).changes == 1
    assert {pairs["wide"] for pairs in counted if pairs} == {""}


def test_a_pair_that_nobody_hears_stays_whole_where_another_is_saved_as_well(built: Any, models: Models) -> None:
    data = {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-mini"}, "box-a": {"model": "mini-2x2"}, "box-b": {"model": "mini-2x2"}},
        "sources": {name: {"kind": "player", "plugged_into": at}
                    for name, at in (("left", "box-a/in/1"), ("right", "box-a/in/2"), ("solo", "box-b/in/1"))},
        "channels": {str(n): {"carries": name, "patched_from": "desk/in/2"}
                     for n, name in enumerate(("left", "right", "solo"), start=1)},
        "pairs": {"wide": {"left": "left", "right": "right"}},
    }  # fmt: skip
    rig = built(data)
    cure = Mending(rig, rig, intent_of(rig), models=models).cure(PLUGS)
    assert [step.plug for step in cure.handlings] == ["solo"]
