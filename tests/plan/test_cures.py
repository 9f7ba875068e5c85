"""The cures: each resolves again to what the rig is meant to do, and none is longer than it must be."""

from __future__ import annotations

import itertools
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st
from plan_rigs import OUTPUTS, SLOTS, carrying, changes, hearing, right_rigs, wrong_by_hand
from rigs import examples

from lint.plan.cures import CONSOLE, FEWEST, PLUGS, Cure, Mending
from lint.plan.edit import CannotDoError
from lint.plan.intent import intent_of
from lint.plan.words import edits_of
from lint.read.merge import merge_patch
from lint.rig.model import Models

Data = dict[str, Any]


def mended(built: Any, models: Models, data: st.DataObject, **sizes: int) -> tuple[Data, Mending]:
    """Draw a rig and something done to it; return its data afterwards and what there is to mend."""
    rig = built(data.draw(right_rigs(**sizes)))
    assert wrong_by_hand(rig.rig.document.data) == set()
    try:
        edits, after = edits_of(rig, data.draw(changes(rig.rig.document.data)), models)
    except CannotDoError:
        assume(False)
    edit = edits[0]
    mending = Mending(rig, after, intent_of(rig), edit.dead, edit.settled, models)
    return after.rig.document.data, mending


def holds(data: Data, cure: Cure) -> None:
    """Hold a cure against a reading of its result by hand, and against what it says of itself."""
    result = merge_patch(data, dict(cure.patch))
    assert cure.result.rig.document.data == result
    assert len(wrong_by_hand(result)) == len(cure.unmet)
    sockets = [row["plugged_into"] for row in result["sources"].values()]
    assert len(set(sockets)) == len(sockets)
    assert cure.changes == counted(data, result)
    assert result["cables"] == data["cables"]


def counted(old: Data, new: Data) -> int:
    """Count what differs: plugs, channels, outputs, selectors."""
    count = sum(old["sources"][name]["plugged_into"] != row["plugged_into"] for name, row in new["sources"].items())
    count += sum(old["channels"][name]["patched_from"] != row["patched_from"] for name, row in new["channels"].items())
    count += sum(
        old["destinations"][name]["plugged_into"] != row["plugged_into"] for name, row in new["destinations"].items()
    )
    count += sum(
        old["devices"][name].get("output_bank") != row.get("output_bank") for name, row in new["devices"].items()
    )
    sent = {(port, number): mix for port, rows in new["feeds"].items() for number, mix in rows.items()}
    was = {(port, number): mix for port, rows in old["feeds"].items() for number, mix in rows.items()}
    return count + sum(sent.get(key) != was.get(key) for key in sent.keys() | was.keys())


@examples(10)
@given(st.data())
def test_every_cure_resolves_again_to_what_the_rig_is_meant_to_do(
    built: Any, models: Models, data: st.DataObject
) -> None:
    after, mending = mended(built, models, data)
    console, plugs, fewest = (mending.cure(way) for way in (CONSOLE, PLUGS, FEWEST))
    for cure in (console, plugs, fewest):
        holds(after, cure)
    assert not console.handlings
    assert console.result.rig.sources == mending.rig.rig.sources
    assert not plugs.turns
    assert plugs.result.rig.channels == mending.rig.rig.channels
    assert plugs.result.rig.feeds == mending.rig.rig.feeds
    assert len(fewest.unmet) <= min(len(console.unmet), len(plugs.unmet))
    for other in (console, plugs):
        if len(other.unmet) == len(fewest.unmet):
            assert fewest.changes <= other.changes
    for name in mending.settled & after["devices"].keys():
        assert fewest.result.rig.devices[name] == mending.rig.rig.devices[name]


# -- none is longer than it must be ------------------------------------------------------------------------------


@examples(1)
@given(st.data())
def test_the_input_side_against_every_way_to_plug_and_patch(built: Any, models: Models, data: st.DataObject) -> None:
    after, mending = mended(built, models, data, most_boxes=2, most_plugs=4)
    points = {socket: point for socket, point in hearing(after).items() if socket.partition("/")[0] not in mending.dead}
    hears = {point: socket for socket, point in points.items()}
    best: dict[str, tuple[int, int]] = {}
    names = list(after["sources"])
    own = [row["plugged_into"] for row in after["sources"].values()]
    sockets = sorted({*points, *own})
    for places in itertools.permutations(sockets, len(names)):
        moved = sum(place != start for place, start in zip(places, own, strict=True))
        if any(place not in points and place != start for place, start in zip(places, own, strict=True)):
            continue
        at = dict(zip(names, places, strict=True))
        wrong = patched = lost = 0
        for row in after["channels"].values():
            right = hears.get(row["patched_from"]) == at[row["carries"]] and at[row["carries"]] in points
            wrong += not right
            patched += not right and at[row["carries"]] in points
            lost += at[row["carries"]] not in points
        for way, cost in ((PLUGS, (wrong, moved)), (FEWEST, (lost, moved + patched))):
            best[way] = min(best.get(way, cost), cost)
        if not moved:
            best[CONSOLE] = (lost, patched)
    for way, (unmet, count) in best.items():
        cure = mending.cure(way)
        outputs = sum(words.startswith("wedge") for words in map(str, cure.unmet))
        assert len(cure.unmet) - outputs == unmet, way
        assert cure.changes - output_changes(cure, after) == count, way


def output_changes(cure: Cure, after: Data) -> int:
    result = cure.result.rig.document.data
    only = {**after, "sources": result["sources"], "channels": result["channels"]}
    return counted(only, result)


MOST_BY_FORCE = 2


@examples(1)
@given(st.data())
def test_the_output_side_against_every_way_to_plug_feed_and_turn(
    built: Any, models: Models, data: st.DataObject
) -> None:
    """Where a cure rights everything, no smaller number of changes does, of all there are (up to two)."""
    after, mending = mended(built, models, data, most_boxes=3, most_plugs=1)
    for way in (CONSOLE, PLUGS, FEWEST):
        cure = mending.cure(way)
        if any(words.startswith("wedge") for words in map(str, cure.unmet)) or not cure.proved:
            continue
        fewer = min(MOST_BY_FORCE, output_changes(cure, after) - 1)
        for count in range(fewer + 1):
            for made in itertools.combinations(single_changes(after, way, mending), count):
                assert not rights_all(after, made), way


Change = tuple[str, ...]


def single_changes(data: Data, way: str, mending: Mending) -> list[Change]:
    """Every change that may be made of the outputs: (what, which, to what)."""
    carried = carrying(data)
    found: list[Change] = []
    if way != PLUGS:
        wanted = sorted({row["expects"] for row in data["destinations"].values()})
        found += [("feed", point, mix) for point in sorted(set(every_point())) for mix in wanted]
    if way != CONSOLE:
        found += [("plug", name, socket) for name in data["destinations"] for socket in carried]
    if way == FEWEST:
        boxes = [box.name for box in mending.rig.rig.boxes if box.name not in mending.settled]
        found += [("turn", box, bank) for box in boxes for bank in banks_of(data, box)]
    return found


def banks_of(data: Data, box: str) -> list[str]:
    width = OUTPUTS[data["devices"][box]["model"]]
    return [f"{first}-{first + width - 1}" for first in range(1, SLOTS - width + 2, width)]


def every_point() -> list[str]:
    return [
        *(f"desk/{link}/{slot}" for link in ("link-1", "link-2") for slot in range(1, SLOTS + 1)),
        "desk/out/1",
        "desk/out/2",
    ]


def rights_all(data: Data, made: tuple[Change, ...]) -> bool:
    changed = {**data, "feeds": {port: dict(rows) for port, rows in data["feeds"].items()}}
    changed["destinations"] = {name: dict(row) for name, row in data["destinations"].items()}
    changed["devices"] = {name: dict(row) for name, row in data["devices"].items()}
    for what, which, value in made:
        if what == "feed":
            port, _, number = which.rpartition("/")
            changed["feeds"].setdefault(port, {})[number] = value
        elif what == "plug":
            changed["destinations"][which]["plugged_into"] = value
        else:
            changed["devices"][which]["output_bank"] = value
    sockets = [row["plugged_into"] for row in changed["destinations"].values()]
    if len(set(sockets)) < len(sockets):
        return False
    return not any(name.startswith("wedge") for name in wrong_by_hand(changed))
