"""The cable steps of a change, followed plug by plug, lead from the old cabling to that of the written file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from plan_rigs import changes, right_rigs
from rigs import BUNDLED, examples, resolved

from lint.check.catalogue import load_catalogue
from lint.plan.edit import CannotDoError
from lint.plan.whatif import WhatIf, what_if
from lint.report.whatif import whatif_text
from lint.resolve.resolved import ResolvedRig
from lint.rig.model import Models

CATALOGUE = load_catalogue()
FAIR = """
rig_format: 1
devices:
  desk: {model: console-32, along_stage_m: 6}
  ann: {model: stage-box-16x8, output_bank: 1-8, along_stage_m: 0}
  bob: {model: stage-box-8x8, output_bank: 9-16, along_stage_m: 9}
  cat: {model: stage-box-8x8, output_bank: 17-24, along_stage_m: 25}
cables:
  trunk: {from: desk/link-1, to: ann/upstream, length_m: 40, spare: desk drawer}
  cross: {from: ann/downstream, to: bob/upstream, length_m: 12}
  stair: {from: bob/downstream, to: cat/upstream, length_m: 30}
  loose: {length_m: 20}
sources: {sop: {kind: dynamic-microphone, plugged_into: cat/in/1}, lead: {kind: dynamic-microphone, plugged_into: ann/in/2}}
channels: {1: {carries: sop, patched_from: desk/link-1/25}, 2: {carries: lead, patched_from: desk/link-1/2}}
"""
NOTHING_LEFT = "cables: {trunk: {spare: null}, loose: {length_m: 5}, stair: {length_m: 17}}"


def planned(words: str, week: str = "") -> WhatIf:
    return what_if(resolved(FAIR, week), words.split(), BUNDLED, CATALOGUE)


def cabled(rig: ResolvedRig) -> dict[str, set[str]]:
    return {name: {str(end) for end in cable.ends} for name, cable in rig.rig.cables.items()}


def followed(plan: WhatIf) -> dict[str, set[str]]:
    """The cabling that a crew ends with who does every cable step; no port ever holds two plugs.

    Of a box that is replaced all plugs are out first, and those that are said to go in again do.
    """
    ends = {
        name: {port for port in ports if port.partition("/")[0] not in plan.bared}
        for name, ports in cabled(plan.before).items()
    }
    for words in plan.made:
        if found := re.fullmatch(r"plug the link cables into the new (\S+) again: (.*)", words):
            for name, port in (each.split() for each in found[2].split(", ")):
                ends[name].add(f"{found[1]}/{port}")
    for words in plan.relaid:
        if found := re.fullmatch(r"take the (?:dead )?link cable (\S+) out", words):
            ends.pop(found[1])
        elif found := re.fullmatch(r"take the link cable (\S+) out of (\S+)", words):
            ends[found[1]].remove(found[2])
        elif found := re.fullmatch(r"plug the link cable (\S+) into (\S+)", words):
            ends[found[1]] = {*ends.get(found[1], ()), found[2]}
        else:
            found = re.fullmatch(
                r"plug the (link cable (?:that you fetched for )?|spare of the link cable )(\S+)(?: \(.*?\))? from (\S+) to (\S+)"
                r"(?: \((?:both plugs move, )?(?:out of (.*?)|its free plug)(?: into (.*?); the plug in (\S+) stays)?(?:; the other is out already)?\))?",
                words,
            )
            assert found, words
            name = f"{found[2]}-spare" if found[1].startswith("spare") else found[2]
            held = set().union(*(ports for other, ports in ends.items() if other != name))
            assert not held & {found[3], found[4]}, words
            if found[5] or found[6]:  # which of its plugs moves
                assert ends[name] - set((found[5] or "").split(" and ")) == ({found[7]} if found[7] else set()), words
            ends[name] = {found[3], found[4]}
    return ends


def require_led_to_the_file(plan: WhatIf) -> None:
    end = followed(plan)
    wanted = cabled(plan.after)
    assert {name: ports for name, ports in end.items() if name in wanted} == wanted
    lost = {edit.lost for edit in plan.edits if edit.lost} | set(plan.dead)
    for name, ports in end.items():  # what else hangs there hangs at what failed
        at_dead = name in lost or any(port in lost or port.partition("/")[0] in lost for port in ports)
        # With one plug elsewhere and the other left behind, a box would be in backwards once it has mains again.
        assert name in wanted or len(ports) < 2 or (at_dead and ports == cabled(plan.before)[name])


def test_a_cable_that_goes_elsewhere_leaves_no_plug_in_what_is_dark() -> None:
    dark = (
        "power: {circuits: {side: {volts: 230, breaker_a: 16}}}\ndevices: {bob: {circuit: side}}\n"
        "cables: {loose: {length_m: 5}, stair: {length_m: 17}}"
    )
    plan = planned("lose side and order ann cat bob", dark)
    assert "take the link cable stair out of bob/downstream" in plan.relaid
    assert followed(plan)["stair"] == {"cat/downstream"}
    require_led_to_the_file(plan)


def test_the_selector_of_a_box_that_takes_anothers_place_may_be_turned() -> None:
    """Which box stands there is the change; where its selector stands is said only by `bank`."""
    outs = (
        "mixes: {low: {kind: monitor}, high: {kind: monitor}}\n"
        "feeds: {desk/link-1: {1: low, 9: high}}\n"
        "destinations:\n"
        "  front: {kind: wedge, plugged_into: ann/out/1, expects: low}\n"
        "  back: {kind: wedge, plugged_into: bob/out/1, expects: high}\n"
    )
    free = planned("bank ann 9-16 and replace bob stage-box-8x8", outs)
    turn = "turn the output selector of bob to 1-8 (now: 9-16)"
    assert turn in free.cures["console"].turns and not free.cures["console"].unmet
    held = planned("bank ann 9-16 and replace bob stage-box-8x8 and bank bob 9-16", outs)
    assert turn not in held.cures["console"].turns and held.cures["console"].unmet


@examples(3)
@given(st.data())
def test_the_cable_steps_of_every_change_lead_to_the_cabling_of_the_written_file(
    built: Any, models: Models, data: st.DataObject
) -> None:
    rig = built(data.draw(right_rigs()))
    first, second = (data.draw(changes(rig.rig.document.data)) for _ in range(2))
    words: Sequence[str] = [*first, "and", *second] if data.draw(st.booleans()) else first
    try:
        plan = what_if(rig, words, models, CATALOGUE)
    except CannotDoError:
        assume(False)
    if plan.made:
        require_led_to_the_file(plan)
    else:
        assert not plan.patch or all(edit.lost for edit in plan.edits)


WORDS = [
    "order ann cat bob", "order cat ann bob", "order cat bob ann", "remove ann", "remove bob", "remove cat",
    "move ann desk/link-2", "move cat desk/link-2", "add dan stage-box-8x8", "add dan stage-box-8x8 behind ann",
    "add dan stage-box-8x8 behind desk/link-2", "lose ann and remove ann", "lose stair and move cat desk/link-2",
    "lose bob and remove ann", "remove ann and order cat bob", "order ann cat bob and move bob desk/link-2",
    "lose trunk and order bob ann cat", "lose cross and remove ann", "lose desk/link-1 and move ann desk/link-2",
]  # fmt: skip


@pytest.mark.parametrize("week", ["", NOTHING_LEFT], ids=["spares", "none"])
@pytest.mark.parametrize("words", WORDS)
def test_the_cable_steps_lead_to_the_file_where_lengths_and_spares_count(words: str, week: str) -> None:
    plan = planned(words, week)
    assert plan.relaid
    require_led_to_the_file(plan)
    first = plan.made.index(plan.relaid[0])
    assert plan.made[first : first + len(plan.relaid)] == plan.relaid
    # What follows is at a new box alone, once its cables are in.
    assert all("the new " in step for step in plan.made[first + len(plan.relaid) :])


@pytest.mark.parametrize("order", ["ann cat bob", "bob ann cat", "cat bob ann", "bob cat ann"])
@pytest.mark.parametrize("box", ["ann", "bob", "cat"])
def test_a_box_that_is_replaced_as_others_change_places_has_each_cable_plugged_in_once(box: str, order: str) -> None:
    for words in (f"replace {box} stage-box-16x8 and order {order}", f"order {order} and replace {box} stage-box-16x8"):
        plan = planned(words)
        require_led_to_the_file(plan)
        plugged = [step for step in plan.made if step.startswith("plug the link cable")]
        for name in ("trunk", "cross", "stair", "loose"):
            said = [step for step in plugged if re.search(rf"\b{name} (?:from|upstream|downstream)", step)]
            assert len(said) <= 1, plan.made
        taken_out = f"label every plug of the old {box} and take them out, the link cables first"
        assert all(plan.made.index(taken_out) < plan.made.index(step) for step in plugged)


def test_another_order_says_which_cable_goes_where() -> None:
    assert planned("order ann cat bob").made == (
        "now make the change, by the next 3 steps: the boxes on desk/link-1 are cabled ann, cat, bob (before: ann, bob, cat)",
        "take the link cable cross out",
        "plug the link cable stair from ann/downstream to cat/upstream (out of bob/downstream into ann/downstream; the "
        "plug in cat/upstream stays)",
        "plug the link cable loose from cat/downstream to bob/upstream",  # and the trunk keeps its spare
    )


@pytest.mark.parametrize("words", ["lose stair and move cat desk/link-2", "move cat desk/link-2 and lose stair"])
def test_a_moved_box_gets_a_loose_cable_that_reaches_where_its_own_is_dead(words: str) -> None:
    plan = planned(words, "cables: {loose: {length_m: 55}}\n")  # 34 m from the desk to the stage, and 19 m along it
    assert plan.relaid == (
        "take the dead link cable stair out",
        "plug the link cable loose from desk/link-2 to cat/upstream",
    )
    assert plan.lacks == ()


def test_where_no_cable_is_left_one_is_fetched_and_the_written_file_is_no_go_until_it_is() -> None:
    plan = planned("lose stair and move cat desk/link-2", NOTHING_LEFT)
    assert [lack.fetching for lack in plan.lacks] == [
        "fetch a link cable of 53 m or more for desk/link-2 to cat/upstream: it is called to-cat in the file"
    ]
    assert plan.after.rig.document.data["cables"]["to-cat"] == {
        "from": "desk/link-2", "to": "cat/upstream", "way_m": 53,
    }  # fmt: skip
    assert not plan.is_go_with("fewest")
    found = [finding for finding in plan.cured("fewest").findings if finding.rule == "link-cable-short"]
    assert [finding.about for finding in found] == ["to-cat"]
    flat = " ".join(whatif_text(plan).split())
    assert "desk/link-2 to cat/upstream needs about 53 m, and none is left for it. Fetch one first." in flat


def test_a_new_box_needs_a_cable_of_which_nobody_knows_how_long() -> None:
    plan = planned("add dan stage-box-8x8")
    text = " ".join(whatif_text(plan).split())
    assert "1. fetch a link cable, length not known, for cat/downstream to dan/upstream: it is called to-dan" in text
    assert "plug the link cable that you fetched for to-dan from cat/downstream to dan/upstream" in text
    assert plan.is_go


@pytest.mark.parametrize("gone", ["ann", "bob", "cat"])
@pytest.mark.parametrize("lost", ["ann", "bob", "cat", "trunk", "cross", "stair", "desk/link-1"])
def test_what_died_may_be_taken_out_before_or_afterwards(gone: str, lost: str) -> None:
    one, other = planned(f"lose {lost} and remove {gone}"), planned(f"remove {gone} and lose {lost}")
    assert one.after.rig.document.data == other.after.rig.document.data
    assert (one.made, one.dead, one.is_go) == (other.made, other.dead, other.is_go)
    assert [edit.words for edit in one.edits] == [edit.words for edit in reversed(other.edits)]


def test_a_dead_box_that_is_taken_out_leaves_the_chain_closed() -> None:
    plan = planned("lose ann and remove ann")
    assert list(plan.after.boxes) == ["bob", "cat"]
    assert not plan.after.lost_boxes
