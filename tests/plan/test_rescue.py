"""Spares: who is lost, who is saved first, onto which sockets; against every way there is, on small rigs."""

from __future__ import annotations

import itertools
import json
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import BASE, examples, resolved
from scipy.optimize import linear_sum_assignment

from lint.plan.cures import Mending
from lint.plan.distance import lacks
from lint.plan.edit import CannotDoError
from lint.plan.intent import intent_of, unmet_channels
from lint.plan.outage import outage_of
from lint.plan.rescue import Rescue
from lint.plan.spares import Rescuer
from lint.rig.address import Port, Socket
from lint.rig.model import Models


def rescuer(text: str, what: str, week: str = "", models: Models | None = None) -> Rescuer:
    before = resolved(text, week)
    outage = outage_of(before, what, models or Models(None))
    mending = Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models or Models(None))
    return Rescuer(mending)


def placed(rescue: Rescue) -> dict[str, str]:
    return {plug.source: str(socket) for plug, socket in rescue.places.items()}


def test_a_dead_box_at_the_end_is_rescued_onto_the_nearest_box() -> None:
    rescue = rescuer(BASE, "east-box").rescue()
    assert placed(rescue) == {"piano": "west-box/in/3"}
    assert rescue.cure.turns[0] == "patch channel 3 from desk/link-1/3 (now: desk/link-1/17)"
    assert rescue.cure.unmet == ()
    assert rescue.cure.result.arrivals["desk", 3].sources == ("piano",)


def test_a_dead_box_in_the_chain_is_cabled_past() -> None:
    before = resolved(BASE)
    outage = outage_of(before, "west-box", Models(None))
    assert outage.cabling == (
        "take the link cable crossing out",
        "plug the link cable trunk from desk/link-1 to east-box/upstream (out of west-box/upstream into east-box/upstream; "
        "the plug in desk/link-1 stays)",
    )
    rescue = rescuer(BASE, "west-box").rescue()
    assert placed(rescue) == {"vocal": "east-box/in/2", "choir": "east-box/in/3"}
    assert "patch channel 3 from desk/link-1/1 (now: desk/link-1/17)" in rescue.cure.turns


def test_a_dead_link_port_is_left_for_a_free_one_and_no_plug_moves() -> None:
    rescue = rescuer(BASE, "desk/link-1").rescue()
    assert not rescue.lost
    assert not rescue.cure.handlings
    assert rescue.cure.unmet == ()
    assert outage_of(resolved(BASE), "desk/link-1", Models(None)).cabling == (
        "plug the link cable trunk from desk/link-1 into desk/link-2, which is free",
    )


def test_a_dead_cable_tells_where_its_spare_is_kept() -> None:
    rig = resolved(BASE, "cables: {crossing: {spare: under the desk}}")
    assert outage_of(rig, "crossing", Models(None)).spare == "under the desk"


def test_dead_input_sockets_are_not_used_and_the_rest_of_the_box_is() -> None:
    rescue = rescuer(BASE, "west-box/in/1-8").rescue()
    assert placed(rescue) == {"vocal": "west-box/in/9", "choir": "west-box/in/10"}


@pytest.mark.parametrize(
    ("what", "message"),
    [
        ("east-bx", "no box, link cable, link port, circuit or console is called 'east-bx'; did you mean 'east-box'?"),
        (
            "east-box/out",
            "east-box/out: output sockets are lost with their device alone; say east-box, or of its inputs",
        ),
        ("nobody/in", "no device is called 'nobody'"),
        ("east-box/in/9", "east-box (stage-box-8x8) has 8 inputs; east-box/in/9 is not there"),
        ("east-box/in/8-2", "found the range 8-2, which runs backwards; expected 2-8"),
    ],
)
def test_what_is_not_there_is_told(what: str, message: str) -> None:
    with pytest.raises(CannotDoError) as told:
        outage_of(resolved(BASE), what, Models(None))
    assert str(told.value).startswith(message)


def full_house(priorities: list[int], free: int) -> dict[str, Any]:
    """A rig whose second box is dead, and whose first and console have a few free sockets left."""
    sources = {
        f"s{i}": {"kind": "dynamic-microphone", "plugged_into": f"b/in/{i + 1}", "priority": p}
        for i, p in enumerate(priorities)
    }
    channels = {
        str(i + 1): {"carries": f"s{i}", "patched_from": f"desk/link-1/{8 + i + 1}"} for i in range(len(priorities))
    }
    for number in range(1, 9 - free):
        sources[f"own{number}"] = {"kind": "dynamic-microphone", "plugged_into": f"a/in/{number}", "priority": 7}
        channels[str(20 + number)] = {"carries": f"own{number}", "patched_from": f"desk/link-1/{number}"}
    devices = {"desk": {"model": "console-32"}, "a": {"model": "stage-box-8x8"}, "b": {"model": "stage-box-8x8"}}
    cables = {"one": {"from": "desk/link-1", "to": "a/upstream"}, "two": {"from": "a/downstream", "to": "b/upstream"}}
    for number in range(1, 33):
        sources[f"desk{number}"] = {"kind": "player", "plugged_into": f"desk/in/{number}", "priority": 9}
    return {"rig_format": 1, "devices": devices, "cables": cables, "sources": sources, "channels": channels}


def test_with_too_few_sockets_the_most_important_are_saved_and_the_rest_is_told() -> None:
    rescue = rescuer(json.dumps(full_house([3, 1, 5, 2, 9, 1], free=3)), "b").rescue()
    assert set(placed(rescue)) == {"s1", "s5", "s3"}
    assert [plug.source for plug in rescue.left] == ["s0", "s2", "s4"]
    assert [(row.plug.source, [plug.source for plug in row.saves]) for row in rescue.room] == [
        ("desk1", ["s0"]), ("desk2", ["s2"]), ("desk3", ["s4"])
    ]  # fmt: skip
    left = {channel.carries for channel, _ in unmet_channels(rescue_intent(rescue), rescue.cure.result)}
    assert left == {"s0", "s2", "s4"}


def rescue_intent(rescue: Rescue) -> Any:
    return intent_of(rescue.cure.result)


@examples(2)
@given(st.lists(st.integers(1, 9), min_size=1, max_size=8), st.integers(0, 8))
def test_no_other_set_of_sources_matters_more(priorities: list[int], free: int) -> None:
    rescue = rescuer(json.dumps(full_house(priorities, free)), "b").rescue()
    saved = sorted(priorities[int(plug.source[1:])] for plug in rescue.places)
    every = itertools.combinations(sorted(priorities), min(free, len(priorities)))
    assert saved == min(map(list, every))  # sorted: the first that differs decides
    assert rescue.proved


@examples(0.5)
@given(st.lists(st.tuples(st.integers(1, 9), st.integers(0, 60)), min_size=2, max_size=30))
def test_the_whole_rescue_costs_what_scipy_says(rows: list[tuple[int, int]]) -> None:
    """One priority, no phantom: the metres and socket steps of the rescue are SciPy's least."""
    sources = {f"s{i}": {"kind": "dynamic-microphone", "plugged_into": f"lost/in/{i + 1}"} for i in range(len(rows))}
    channels = {str(i + 1): {"carries": f"s{i}", "patched_from": f"desk/link-1/{8 + i + 1}"} for i in range(len(rows))}
    devices = {
        "desk": {"model": "console-32", "along_stage_m": rows[0][1]},
        "near": {"model": "stage-box-8x8", "along_stage_m": rows[1][1]},
        "lost": {"model": "stage-box-32x16", "along_stage_m": 30},
    }
    cables = {
        "a": {"from": "desk/link-1", "to": "near/upstream"},
        "b": {"from": "near/downstream", "to": "lost/upstream"},
    }
    data = {"rig_format": 1, "devices": devices, "cables": cables, "sources": sources, "channels": channels}
    found = rescuer(json.dumps(data), "lost")
    rescue = found.rescue()

    def way(number: int, socket: Socket) -> int:
        metres = abs(30 - devices[socket.device]["along_stage_m"])
        return 100_000 * metres + min(abs(socket.number - number), 99)

    costs = np.array([[way(i + 1, socket) for socket in found.free] for i in range(len(rows))])
    least = costs[linear_sum_assignment(costs)].sum()
    assert sum(way(int(plug.source[1:]) + 1, socket) for plug, socket in rescue.places.items()) == least


@pytest.mark.parametrize(
    ("week", "told"),
    [
        ("cables: {trunk: {length_m: 20}, crossing: {length_m: 15}}", "it needs up to about 35 m, this is 20 m"),
        ("cables: {trunk: {length_m: 20}}", ""),  # nobody knows how far it is to the second box
        ("cables: {trunk: {length_m: 40}, crossing: {length_m: 0.5}}", "it needs up to about 40.5 m, this is 40 m"),
        ("cables: {trunk: {length_m: 40}}\ndevices: {desk: {along_stage_m: 0}, east-box: {along_stage_m: 12}}", ""),
        (
            "cables: {trunk: {length_m: 8}, crossing: {length_m: 7}}\n"
            "devices: {desk: {along_stage_m: 0}, east-box: {along_stage_m: 12}}",
            "it needs about 12 m, this is 8 m",
        ),
    ],
)
def test_a_link_cable_that_is_too_short_for_its_new_way_is_told(week: str, told: str) -> None:
    outage = outage_of(resolved(BASE, week), "west-box", Models(None))
    assert outage.lacks == ()
    if told:
        assert outage.longer is not None
        assert list(map(str, outage.longer.lacks)) == [told]
        assert outage.longer.cabling[-2:] == (
            "take the link cable trunk out",
            "plug the link cable that you fetched for trunk from desk/link-1 to east-box/upstream",
        )
        assert list(outage.after.boxes) == []
        reach = "is known to reach" if "up to" in told else "reaches"
        assert outage.words.endswith(f"; no link cable at hand {reach} east-box")
    else:
        assert outage.longer is None
        assert outage.cabling[-1].startswith("plug the link cable trunk from desk/link-1 to east-box/upstream (out of ")


def test_a_loudspeaker_that_lost_its_output_goes_to_the_nearest_box_by_the_metres() -> None:
    rows = three_boxes((5, 7, 31), "stage-box-16x8")
    for name, at_m, bank in (("a", 4, "1-8"), ("b", 28, "9-16"), ("c", 30, "17-24")):
        rows["devices"][name] |= {"along_stage_m": at_m, "output_bank": bank}
    rows["destinations"] = {"wedge": {"kind": "wedge", "plugged_into": "c/out/1", "expects": "mon"}}
    rows["mixes"] = {"mon": {"kind": "monitor"}}
    rows["feeds"] = {"desk/link-1": {"17": "mon"}}
    cure = rescuer(json.dumps(rows), "c").rescue().cure
    assert str(cure.result.rig.destinations["wedge"].sockets[0]) == "b/out/1"
    for name, at_m in (("a", 28), ("b", 4)):
        rows["devices"][name]["along_stage_m"] = at_m
    cure = rescuer(json.dumps(rows), "c").rescue().cure
    assert str(cure.result.rig.destinations["wedge"].sockets[0]) == "a/out/1"


def test_a_pair_whose_other_half_works_stays_on_its_device() -> None:
    rows = full_house([5, 5], free=1)
    rows["sources"]["s1"]["plugged_into"] = "b/in/2"
    rows["pairs"] = {"wide": {"left": "s0", "right": "s1"}}
    assert placed(rescuer(json.dumps(rows), "b/in/1").rescue()) == {"s0": "b/in/3"}


def test_the_most_important_gets_the_nearest_and_the_pair_goes_on_together() -> None:
    """One socket is near, two are far: all three metres and changes are the same whoever gets the near one."""
    rows = full_house([7, 7, 1], free=1)
    del rows["sources"]["desk31"], rows["sources"]["desk32"]
    rows["pairs"] = {"wide": {"left": "s0", "right": "s1"}}
    places = placed(rescuer(json.dumps(rows), "b").rescue())
    assert places["s2"] == "a/in/8"
    assert {places["s0"], places["s1"]} == {"desk/in/31", "desk/in/32"}
    rows["sources"]["s2"]["priority"] = 8  # even the least may stay near where that keeps a pair whole
    assert placed(rescuer(json.dumps(rows), "b").rescue())["s2"] == "a/in/8"


# -- link cables that do not reach -----------------------------------------------------------------------------------

IN_PLACE = (("desk", "a"), ("a", "b"), ("b", "c"))
STAGE = {"desk": 0, "a": 4, "b": 10, "c": 30}


def three_boxes(lengths: tuple[float, float, float], model: str = "stage-box-8x8") -> dict[str, Any]:
    """Boxes a, b and c on one link, at known places, with cables of these lengths between them."""
    devices: dict[str, Any] = {"desk": {"model": "console-32"}} | {name: {"model": model} for name in "abc"}
    for name, at_m in STAGE.items():
        devices[name]["along_stage_m"] = at_m
    ends = [("desk/link-1", "a"), ("a/downstream", "b"), ("b/downstream", "c")]
    cables = {
        f"cable-{number}": {"from": start, "to": f"{box}/upstream", "kind": "cat5e", "length_m": length_m}
        for number, ((start, box), length_m) in enumerate(zip(ends, lengths, strict=True), start=1)
    }
    return {"rig_format": 1, "devices": devices, "cables": cables}


def cabled(rows: dict[str, Any], dead: str) -> tuple[list[tuple[str, str]], Any]:
    outage = outage_of(resolved(json.dumps(rows)), dead, Models(None))
    return [(box.device, box.cable.name) for box in outage.after.chains[Port("desk", "link-1")].boxes], outage


def test_past_a_dead_box_goes_the_cable_that_is_long_enough() -> None:
    boxes, outage = cabled(three_boxes((5, 7, 31)), "a")
    # cable-1 (5 m) would have to bridge its own 5 m to a and 6 m on to b; cable-2 (7 m) lacks less, and cable-3 is needed to c.
    assert boxes == [("b", "cable-3")]  # what is at hand gets to one of them, and the first is as good
    assert outage.longer is not None
    chain = outage.longer.after.chains[Port("desk", "link-1")]
    assert [(box.device, box.cable.name) for box in chain.boxes] == [("b", "cable-2"), ("c", "cable-3")]
    assert [lack.fetching for lack in outage.longer.lacks] == [
        "fetch a link cable of 11 m or more for desk/link-1 to b/upstream: cable-2 is 7 m"
    ]
    boxes, outage = cabled(three_boxes((5, 12, 31)), "a")
    assert boxes == [("b", "cable-2"), ("c", "cable-3")]
    assert tuple(words.partition(" (out of ")[0].partition(" (both ")[0] for words in outage.cabling) == (
        "take the link cable cable-1 out",
        "plug the link cable cable-2 from desk/link-1 to b/upstream",
    )
    assert outage.after.rig.cables["cable-2"].length_m == 12
    assert "reach in this way" in outage.words


@pytest.mark.parametrize(("week", "verdict"), [({}, "NO-GO"), ({"way_m": 15}, "GO")])
def test_the_way_to_a_desk_in_a_balcony_is_not_shorter_than_its_trunk(week: dict[str, Any], verdict: str) -> None:
    """The desk is abreast of box a, and 40 m of trunk away: an idle cable of 20 m does not do it unless `way_m` says so."""
    rows = three_boxes((40, 12, 30))
    rows["cables"]["cable-1"] |= week
    rows["cables"]["idle"] = {"kind": "cat5e", "length_m": 20}
    rows["sources"] = {"vocal": {"kind": "dynamic-microphone", "plugged_into": "a/in/1"}}
    rows["channels"] = {"1": {"carries": "vocal", "patched_from": "desk/link-1/1"}}
    boxes, outage = cabled(rows, "cable-1")
    assert boxes == ([("a", "idle"), ("b", "cable-2"), ("c", "cable-3")] if week else [])
    moved = {"cables": {"cable-2": {"from": "desk/link-1", "to": "a/upstream"}, "cable-1": None, "cable-3": None}}
    after = resolved(json.dumps(rows), json.dumps(moved))
    assert [lack.need_m for lack in lacks(resolved(json.dumps(rows)), after)] == ([15] if week else [40])
    assert (len(outage.after.boxes) == 0) == (verdict == "NO-GO")


def test_where_no_cable_reaches_in_the_old_order_another_order_is_found() -> None:
    rows = three_boxes((31, 7, 21))
    rows["devices"]["a"]["along_stage_m"], rows["devices"]["c"]["along_stage_m"] = 30, 10
    rows["devices"]["b"]["along_stage_m"] = 30
    # desk 0, a 30, b 30, c 10: without b, cable-2 (7 m) can't go from a to c, and cable-3 does it.
    assert cabled(rows, "b")[0] == [("a", "cable-1"), ("c", "cable-3")]
    rows["cables"]["cable-1"]["length_m"], rows["cables"]["cable-3"]["length_m"] = 20, 11
    # Now only c is near enough to the desk, and from there 20 m go on to a.
    boxes, outage = cabled(rows, "b")
    assert boxes == [("c", "cable-3"), ("a", "cable-1")]
    assert tuple(
        words.partition(" (out of ")[0].partition(" (both ")[0] for words in outage.cabling
    ) == (  # cable-2 hangs on a still, where nothing else is to be plugged in
        "plug the link cable cable-1 from c/downstream to a/upstream",
        "plug the link cable cable-3 from desk/link-1 to c/upstream",
    )


@given(st.tuples(*[st.integers(3, 40)] * 3), st.permutations([0, 4, 10, 30]), st.sampled_from("ab"))
def test_the_way_past_is_the_nearest_to_the_old_order_of_all_that_reach(
    lengths: tuple[int, int, int], places: list[int], dead: str
) -> None:
    rows = three_boxes(lengths)
    for name, at_m in zip("abc", places, strict=False):
        rows["devices"][name]["along_stage_m"] = at_m
    at = {name: device["along_stage_m"] for name, device in rows["devices"].items()}
    left = [name for name in "abc" if name != dead]
    chain, outage = cabled(rows, dead)

    def way_m(one: str, other: str) -> int:
        # Between boxes their places say it; to a desk a cable may be that long for a reason.
        by_cable = zip(lengths, IN_PLACE, strict=True) if "desk" in (one, other) else ()
        ran = [length for length, ends in by_cable if set(ends) == {one, other}]
        # The desk is at 0: beyond box a it is as much longer, and on this side of it shorter, at right angles or straight.
        is_known = one == "desk" and lengths[0] >= at["a"]
        square, straight = lengths[0] + at[other] - at["a"], lengths[0] ** 2 - at["a"] ** 2 + at[other] ** 2
        by_desk = [max(square, math.ceil(math.sqrt(straight)))] if is_known else []
        return max(abs(at[one] - at[other]), *ran, *by_desk, 0)

    def reaches(order: tuple[str, ...], cables: tuple[int, ...]) -> bool:
        ways = zip(("desk", *order), order, strict=False)
        # Where a cable is it reaches, whatever the rig says of its length.
        return all(
            (one, other) == IN_PLACE[i] or way_m(one, other) <= lengths[i]
            for (one, other), i in zip(ways, cables, strict=True)
        )

    possible = [
        order for order in (tuple(left), tuple(reversed(left)))
        if any(reaches(order, cables) for cables in itertools.permutations(range(3), 2))
    ]  # fmt: skip
    found = tuple(name for name, _ in chain)
    if possible:
        assert found == possible[0]
        assert reaches(found, tuple(int(cable[-1]) - 1 for _, cable in chain))
        assert outage.longer is None
    else:
        alone = [name for name in left if any(reaches((name,), (i,)) for i in range(3))]
        assert len(found) == min(1, len(alone))
        assert set(found) <= set(alone)
        assert outage.longer is not None
        assert list(outage.longer.after.boxes) == left
        assert any("that you fetched for" in step for step in outage.longer.cabling)
    assert outage.lacks == ()


def paired(left: int, right: int, free: tuple[int, int]) -> str:
    """A pair in a dead box, and a box beside it with two free sockets."""
    taken = [number for number in range(1, 9) if number not in free]
    data: dict[str, Any] = {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-32"}, "b": {"model": "stage-box-8x8"}, "a": {"model": "stage-box-8x8"}},
        "cables": {
            "one": {"from": "desk/link-1", "to": "b/upstream"},
            "two": {"from": "b/downstream", "to": "a/upstream"},
        },
        "sources": {
            "keys-l": {"kind": "passive-di", "plugged_into": f"a/in/{left}"},
            "keys-r": {"kind": "passive-di", "plugged_into": f"a/in/{right}"},
            **{f"s{n}": {"kind": "player", "plugged_into": f"b/in/{n}", "priority": 1} for n in taken},
        },
        "pairs": {"keys": {"left": "keys-l", "right": "keys-r"}},
        "channels": {
            "1": {"carries": "keys-l", "patched_from": f"desk/link-1/{8 + left}"},
            "2": {"carries": "keys-r", "patched_from": f"desk/link-1/{8 + right}"},
        },
    }
    return json.dumps(data)


@pytest.mark.parametrize("free", [(1, 2), (3, 4), (2, 5)])
@pytest.mark.parametrize(("left", "right"), [(5, 6), (6, 7), (7, 8)])
def test_where_it_is_as_near_the_left_is_on_the_lower_number(left: int, right: int, free: tuple[int, int]) -> None:
    assert placed(rescuer(paired(left, right, free), "a").rescue()) == {
        "keys-l": f"b/in/{free[0]}",
        "keys-r": f"b/in/{free[1]}",
    }


def test_a_pair_that_was_crosswise_stays_so_where_that_is_nearer() -> None:
    assert placed(rescuer(paired(8, 1, (2, 7)), "a").rescue()) == {"keys-l": "b/in/7", "keys-r": "b/in/2"}
