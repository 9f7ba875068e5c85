"""Sources behind a split that live by the phantom power of one leg: what is worth most by brute force."""

from __future__ import annotations

import itertools
from collections import Counter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_rigs import hearing
from rigs import examples

from lint.check.catalogue import load_catalogue
from lint.plan.cures import CONSOLE, FEWEST, PLUGS
from lint.plan.whatif import WhatIf, what_if
from lint.rig.model import Models

CATALOGUE = load_catalogue()
KINDS = {"on": "condenser-microphone", "off": "ribbon-microphone", "": "dynamic-microphone"}
CHANGES = [
    "remove box-a",
    "remove box-b",
    "order box-b box-a",
    "lose to-box-a",
    "lose to-box-b",
    "move box-a desk/link-2",
]


def group_of(data: dict[str, Any], socket: str) -> tuple[str, int]:
    device, _, number = socket.split("/")
    is_grouped = data["devices"][device]["model"] == "grouped-4x2"
    return device, (int(number) - 1) // 2 if is_grouped else int(number)


@st.composite
def rigs(draw: st.DrawFn) -> dict[str, Any]:
    """A right rig of a console and two boxes; two of its sources have a second leg at a monitor console.

    That has phantom power off there, or feeds what the first console does not.
    """
    devices = {"desk": {"model": "console-mini"}, "mon": {"model": "console-mini"}} | {
        name: {"model": draw(st.sampled_from(["grouped-4x2", "grouped-4x2", "mini-2x2"]))}
        for name in ("box-a", "box-b")
    }
    cables = {
        "to-box-a": {"from": "desk/link-1", "to": "box-a/upstream"},
        "to-box-b": {"from": "box-a/downstream", "to": "box-b/upstream"},
    }
    data: dict[str, Any] = {"rig_format": 1, "devices": devices, "cables": cables, "sources": {}, "channels": {}}
    points = hearing(data)
    at = draw(st.permutations(sorted(points)))[: draw(st.integers(2, 5))]
    groups = sorted({group_of(data, socket) for socket in at})
    stands = {group: draw(st.sampled_from(["on", "on", "off"])) for group in groups}
    mon = {}
    for i, socket in enumerate(at):
        stand = stands[group_of(data, socket)]
        is_fed = i < 2 and stand == "off" and draw(st.booleans())  # it has its power from the monitor console
        needs = "on" if is_fed else draw(st.sampled_from([stand, ""]))
        row: dict[str, Any] = {"kind": KINDS[needs], "plugged_into": socket, "priority": draw(st.integers(1, 3))}
        says = stand if is_fed else needs or stand
        data["channels"][str(i + 1)] = {"carries": f"s{i}", "patched_from": points[socket], "phantom": says}
        if i < 2 and needs != "off":
            row["plugged_into"] = [socket, f"mon/in/{i + 1}"]
            mon[str(i + 1)] = {
                "carries": f"s{i}",
                "patched_from": f"mon/in/{i + 1}",
                "phantom": "on" if is_fed else "off",
            }
        data["sources"][f"s{i}"] = row
    data["splits"] = {"stage": {"kind": "analogue", "sources": [f"s{int(key) - 1}" for key in mon]}} if mon else {}
    data["consoles"] = {"mon": {"channels": mon}}
    return data


def first_leg(row: dict[str, Any]) -> str:
    legs = row["plugged_into"]
    return str(legs if isinstance(legs, str) else legs[0])


def worth(data: dict[str, Any], at: dict[str, str], points: dict[str, str], may_patch: bool) -> Any:
    """Return what is wrong by priority and the changes of one way to plug the first legs; None where it is none."""
    sources = data["sources"]
    off = {group_of(data, at[name]) for name, row in sources.items() if row["kind"] == KINDS["off"]}
    right, lit, changes = set(), set(), 0
    for channel in data["channels"].values():
        name = channel["carries"]
        changes += at[name] != first_leg(sources[name])
        if points.get(at[name]) == channel["patched_from"]:
            right.add(name)
        elif may_patch and at[name] in points:
            right.add(name)
            changes += 1
        if name in right and channel["phantom"] == "on" and group_of(data, at[name]) not in off:
            lit.add(group_of(data, at[name]))
    wrong: Counter[int] = Counter()
    fed = {row["carries"] for row in data["consoles"]["mon"]["channels"].values() if row["phantom"] == "on"}
    for name, row in sources.items():
        is_split = isinstance(row["plugged_into"], list)
        if name in fed:
            is_twice = group_of(data, at[name]) in lit
            changes += is_twice and may_patch  # the monitor console's own switch goes off
            wrong[row["priority"]] += (name not in right) + (is_twice and not may_patch)
            continue
        powered = row["kind"] != KINDS["on"] or group_of(data, at[name]) in lit
        if not powered and is_split and may_patch:
            powered, changes = True, changes + 1
        if name in right and not powered and at[name] != first_leg(row):
            return None
        wrong[row["priority"]] += (name not in right or not powered) + (is_split and not powered)
    return tuple(wrong[priority] for priority in (1, 2, 3)), changes


def least(data: dict[str, Any], may_patch: bool) -> Any:
    points, own = hearing(data), {name: first_leg(row) for name, row in data["sources"].items()}
    ways = itertools.permutations(dict.fromkeys((*own.values(), *points)), len(own))
    each = (dict(zip(own, way, strict=True)) for way in ways)
    fits = (at for at in each if all(place in points or place == own[name] for name, place in at.items()))
    return min(found for at in fits if (found := worth(data, at, points, may_patch)) is not None)


def planned(built: Any, models: Models, rows: dict[str, Any], words: str) -> WhatIf:
    return what_if(built(rows), words.split(), models, CATALOGUE)


@examples(3)
@given(st.data())
@pytest.mark.parametrize("way", [PLUGS, FEWEST])
def test_no_way_to_plug_is_worth_more(built: Any, models: Models, way: str, data: st.DataObject) -> None:
    rows = data.draw(rigs())
    plan = planned(built, models, rows, data.draw(st.sampled_from(CHANGES)))
    worked = plan.mending._worked_out(way)
    found = tuple(plan.mending.wrong_in(worked.result)[:3]), worked.changes
    best = least(dict(plan.after.rig.document.data), way == FEWEST)
    assert found >= best
    assert not worked.proved or found == best


def test_a_plug_that_is_fed_by_its_other_end_goes_to_a_switch_that_stays_off(built: Any, models: Models) -> None:
    """Two moves: s4 to where its channel listens, whose switch comes on with it, and s0 out of there, to the other."""
    condenser, groups = {"kind": "condenser-microphone", "priority": 1}, {"model": "grouped-4x2"}
    rows = {
        "rig_format": 1,
        "devices": {key: {"model": "console-mini"} for key in ("desk", "mon")} | {"box-a": groups, "box-b": groups},
        "cables": {
            "to-box-a": {"from": "desk/link-1", "to": "box-a/upstream"},
            "to-box-b": {"from": "box-a/downstream", "to": "box-b/upstream"},
        },
        "sources": {
            "s0": condenser | {"plugged_into": ["box-b/in/1", "mon/in/1"]},
            "s4": condenser | {"plugged_into": "box-a/in/1"},
        },
        "splits": {"stage": {"kind": "analogue", "sources": ["s0"]}},
        "channels": {
            "1": {"carries": "s0", "patched_from": "desk/link-1/5", "phantom": "off"},
            "5": {"carries": "s4", "patched_from": "desk/link-1/1", "phantom": "on"},
        },
        "consoles": {"mon": {"channels": {"1": {"carries": "s0", "patched_from": "mon/in/1", "phantom": "on"}}}},
    }
    cure = planned(built, models, rows, "remove box-a").cures[PLUGS]
    assert {step.plug: str(step.end) for step in cure.handlings} == {"s0": "box-b/in/3", "s4": "box-b/in/1"}
    assert len(cure.unmet) == 1  # s0 at the desk


@examples(3)
@given(st.data())
def test_by_the_console_each_change_is_needed(built: Any, models: Models, data: st.DataObject) -> None:
    rows = data.draw(rigs())
    plan = planned(built, models, rows, data.draw(st.sampled_from(CHANGES)))
    after = dict(plan.after.rig.document.data)
    worked = plan.mending._worked_out(CONSOLE)
    own = {name: first_leg(row) for name, row in after["sources"].items()}
    found = tuple(plan.mending.wrong_in(worked.result)[:3]), worked.changes
    assert worked.proved
    assert found == worth(after, own, hearing(after), may_patch=True)
