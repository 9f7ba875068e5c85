"""Phantom switches that sockets share: what is worth most by brute force, and what a cure says it leaves wrong."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_rigs import hearing
from rigs import examples

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.check.finding import Severity
from lint.plan.cures import FEWEST, PLUGS, WAYS, Cure, Mending
from lint.plan.intent import intent_of, unmet_channels
from lint.plan.whatif import what_if
from lint.report.whatif import steps_of
from lint.resolve.resolved import ResolvedRig
from lint.rig.model import Models
from lint.rules._phantom import must_not

CATALOGUE = load_catalogue()
GROUPED = "grouped-4x2"  # sockets 1-2 and 3-4 have a switch each
KINDS = {"on": "condenser-microphone", "off": "ribbon-microphone", "": "dynamic-microphone"}


def group_of(socket: str) -> tuple[str, int]:
    device, _, number = socket.split("/")
    return (device, (int(number) - 1) // 2) if device != "desk" else (device, int(number))


@st.composite
def rigs(draw: st.DrawFn, most: int, is_right: bool) -> dict[str, Any]:
    """A console and two boxes with shared switches; sources that need phantom power, must not have it, or don't mind.

    `is_right` where every channel hears its source, and no switch is asked for two states.
    """
    boxes = ["box-a", "box-b"]
    cables = {
        "to-box-a": {"from": "desk/link-1", "to": "box-a/upstream"},
        "to-box-b": {"from": "box-a/downstream", "to": "box-b/upstream"},
    }
    if not is_right and draw(st.booleans()):
        del cables["to-box-b"]
    devices = {"desk": {"model": "console-mini"}} | {
        name: {"model": GROUPED, "output_bank": f"{2 * i + 1}-{2 * i + 2}"} for i, name in enumerate(boxes)
    }
    sockets = [*(f"desk/in/{n}" for n in (1, 2)), *(f"{name}/in/{n}" for name in boxes for n in (1, 2, 3, 4))]
    at = draw(st.permutations(sockets))[: draw(st.integers(2, most))]
    data: dict[str, Any] = {"rig_format": 1, "devices": devices, "cables": cables}
    points = hearing(data)
    stands = {group: draw(st.sampled_from(["on", "off"])) for group in sorted({group_of(socket) for socket in at})}
    data["sources"], data["channels"] = {}, {}
    for i, socket in enumerate(at):
        needs = draw(st.sampled_from([stands[group_of(socket)], ""] if is_right else list(KINDS)))
        row = {"kind": KINDS[needs], "plugged_into": socket, "priority": draw(st.integers(1, 3))}
        data["sources"][f"source-{i}"] = row
        point = points[socket] if is_right else draw(st.sampled_from(sorted(points.values())))
        says = needs or (stands[group_of(socket)] if is_right else "off")
        data["channels"][str(i + 1)] = {"carries": f"source-{i}", "patched_from": point, "phantom": says}
    return data


def least(data: dict[str, Any], may_patch: bool) -> tuple[tuple[int, ...], int]:
    """Return the best worth of all ways to plug: wrong or starved by priority, then changes."""
    points, sources = hearing(data), data["sources"]
    own = [row["plugged_into"] for row in sources.values()]
    found = []
    for places in itertools.permutations(dict.fromkeys((*own, *points)), len(own)):
        if any(place not in points and place != start for place, start in zip(places, own, strict=True)):
            continue
        at = dict(zip(sources, places, strict=True))
        off = {group_of(at[name]) for name, row in sources.items() if row["kind"] == KINDS["off"]}
        changes, wrong, is_starved = 0, Counter[int](), False
        for channel in data["channels"].values():
            name = channel["carries"]
            row, place = sources[name], at[name]
            changes += (moved := place != row["plugged_into"])
            hears = points.get(place) == channel["patched_from"]
            if not hears and may_patch and place in points:
                hears, changes = True, changes + 1
            starved = hears and row["kind"] == KINDS["on"] and group_of(place) in off
            is_starved |= starved and moved
            wrong[row["priority"]] += starved or not hears
        if not is_starved:
            found.append((tuple(wrong[priority] for priority in (1, 2, 3)), changes))
    return min(found)


def is_asked_for_both(data: dict[str, Any]) -> bool:
    """Whether a switch is asked for two states by what arrives as it should: the file's fault, which no plan mends.

    It must leave nothing worse, then.
    """
    points, asked = hearing(data), Counter[tuple[str, int]]()
    for channel in data["channels"].values():
        row = data["sources"][channel["carries"]]
        if points.get(row["plugged_into"]) == channel["patched_from"] and row["kind"] != KINDS[""]:
            asked[group_of(row["plugged_into"])] |= 1 if row["kind"] == KINDS["on"] else 2
    return 3 in asked.values()


@examples(2)
@given(st.data())
@pytest.mark.parametrize("way", [PLUGS, FEWEST])
def test_no_way_to_plug_is_worth_more(built: Any, models: Models, way: str, data: st.DataObject) -> None:
    rows = data.draw(rigs(4, is_right=False))
    rig = built(rows)
    mending = Mending(rig, rig, intent_of(rig), models=models)
    worked = mending._worked_out(way)
    assert worked.proved
    priorities, before = (
        [
            rows["sources"][str(name)]["priority"]
            for name in unpowered_by_rules(each) | {str(wanted) for _, wanted in unmet_channels(mending.intent, each)}
        ]
        for each in (worked.result, rig)
    )
    wrong, was = (tuple(each.count(priority) for priority in (1, 2, 3)) for each in (priorities, before))
    if is_asked_for_both(rows):
        assert wrong <= was
        return
    patched = [turn for turn in worked.turns if turn.startswith("patch")]
    moved = {step.plug for step in worked.handlings}
    worth = wrong, len(patched) + len(moved)
    assert worth == least(rows, way == FEWEST)


def unpowered_by_rules(rig: ResolvedRig) -> set[str]:
    """The sources that the rules find without the phantom power that they need, or with what they must not have."""
    return {
        fed.source.name
        for fed in rig.phantom.fed
        if (bool(must_not(fed.source)) and fed.live) or (fed.source.needs_phantom and not fed.live)
    }


def unpowered_by_words(cure: Cure) -> set[str]:
    """The sources that a cure says it leaves so."""
    found = (
        re.match(r"(\S+) \(.*\) (?:needs|must not have) phantom power, and gets ", words)
        for words in map(str, cure.unmet)
    )
    return {row[1] for row in found if row}


CHANGES = ["order box-b box-a", "remove box-a", "remove box-b", "lose box-a", "lose to-box-b", "move box-a desk/link-2"]


@examples(1)
@given(st.data())
def test_what_a_cure_leaves_wrong_is_what_the_rules_say_of_its_rig(
    built: Any, models: Models, data: st.DataObject
) -> None:
    rows = data.draw(rigs(9, is_right=True))
    plan = what_if(built(rows), data.draw(st.sampled_from(CHANGES)).split(), models, CATALOGUE)
    for way in WAYS if plan.cures else ():
        cure = plan.cures[way]
        said = unpowered_by_words(cure)
        assert said == unpowered_by_rules(cure.result)
        findings = check_rig(cure.result, CATALOGUE).findings
        told = [f for f in findings if f.rule.startswith("phantom-") and f.weight is not Severity.NOTE]
        assert bool(told) == bool(said), (told, said)
        opened = " ".join(step for step in steps_of(cure) if "unmute" in step)
        for name in said:
            (channel,) = cure.result.channels_of[name]
            assert not re.search(rf"\b{channel.number}\b", opened) or channel.phantom != "on"
