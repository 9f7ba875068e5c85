"""How far a link cable has to reach: by where the rig says that both ends stand, else no more than the cables there."""

from __future__ import annotations

import json
from typing import Any

import pytest
from rigs import resolved
from test_rescue import three_boxes

from lint.plan.distance import Lack, Stage, lacking_words, lacks


@pytest.mark.parametrize(("at_m", "way_m"), [(-5, 50), (0, 45), (4, 44), (9, 42), (20, 41), (40, 45), (44, 49)])
def test_the_way_from_a_desk_to_a_box_is_shorter_where_that_stands_nearer(at_m: int, way_m: int) -> None:
    """45 m of trunk from a desk at 20 to a box at 0: to one at 9 it is 41.8 m straight, and 36 m at right angles."""
    rows = three_boxes((45, 15, 15))
    for name, place_m in zip(("desk", "a", "b", "c"), (20, 0, at_m, 0), strict=True):
        rows["devices"][name]["along_stage_m"] = place_m
    before = resolved(json.dumps(rows))
    assert Stage(before).way_m("desk", "b") == way_m


@pytest.mark.parametrize(("at_m", "way_m"), [(0, 45), (9, 42), (-5, 50)])
def test_the_way_from_a_desk_to_the_box_of_another_console_goes_by_its_own_trunk(at_m: int, way_m: int) -> None:
    """A desk in the house is 45 m off, though it stands abreast of a box of the stage's."""
    rows = three_boxes((45, 15, 15))
    places = {"desk": 20, "a": 0, "b": 0, "c": 0, "mon": at_m, "d": at_m}
    rows["devices"] |= {"mon": {"model": "console-16"}, "d": dict(rows["devices"]["a"])}
    for name, place_m in places.items():
        rows["devices"][name]["along_stage_m"] = place_m
    rows["cables"]["lead"] = {"from": "mon/link-1", "to": "d/upstream", "length_m": 8}
    stage = Stage(resolved(json.dumps(rows)))
    assert stage.way_m("desk", "d") == way_m
    assert stage.apart_m("d", "desk") == way_m
    assert stage.apart_m("mon", "d") == 8


def lacking(edits: dict[str, Any]) -> tuple[Lack, ...]:
    """What box b lacks, cabled to the desk by 30 m of trunk in the place of box a; box c is left out."""
    rows = three_boxes((30, 15, 15))
    for device in rows["devices"].values():
        device.pop("along_stage_m")
    for name, values in edits.items():
        rows["devices" if name in rows["devices"] else "cables"][name] |= values
    laid = {"cables": {"cable-1": {"to": "b/upstream"}, "cable-2": None, "cable-3": None}}
    return lacks(resolved(json.dumps(rows)), resolved(json.dumps(rows), json.dumps(laid)))


def test_where_nobody_says_where_the_boxes_stand_the_cables_are_the_most_that_it_can_be() -> None:
    (lack,) = lacking({})
    assert str(lack) == "it needs up to about 45 m, this is 30 m"
    assert lacking_words([lack]) == (
        "The link cables you have may not reach: desk/link-1 to b/upstream needs up to about 45 m, cable-1 is 30 m. "
        "Measure the way, or fetch one first."
    )
    assert lack.fetching == (
        "fetch a link cable of 45 m or more for desk/link-1 to b/upstream: cable-1 is 30 m; measure the way first, it may "
        "be shorter"
    )
    assert lack.longer == "up to about 45 m for desk/link-1 to b/upstream, to be measured first"


def test_where_the_rig_says_where_both_stand_the_way_is_told_as_it_is() -> None:
    (lack,) = lacking({"desk": {"along_stage_m": 0}, "a": {"along_stage_m": 10}, "b": {"along_stage_m": 22}})
    assert str(lack) == "it needs about 42 m, this is 30 m"
    assert lacking_words([lack]).startswith("It can't be done with the link cables you have: desk/link-1 to b/upstream")
    assert lack.longer == "42 m or more for desk/link-1 to b/upstream"
    assert lack.fetching == "fetch a link cable of 42 m or more for desk/link-1 to b/upstream: cable-1 is 30 m"


def test_a_cable_of_which_there_is_none_is_missing_however_short_the_way() -> None:
    (lack,) = lacking({})
    missing = lack._replace(cable=lack.cable._replace(length_m=None))
    assert lacking_words([missing]).startswith("It can't be done")
    assert "up to about 45 m, and none is left for it" in lacking_words([missing])
