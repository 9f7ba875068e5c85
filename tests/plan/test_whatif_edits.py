"""Edits: what each does to the chain, that its inverse is the way back, and what can't be done."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from plan_rigs import changes, right_rigs
from rigs import BASE, BUNDLED, examples, resolved

from lint.plan.edit import CannotDoError
from lint.plan.rebuild import change_between, rebuilt
from lint.plan.words import edits_of
from lint.read.merge import merge_patch
from lint.resolve.resolved import ResolvedRig
from lint.rig.model import Models

THREE = """
devices:
  loft-box: {model: stage-box-8x8, output_bank: 17-24, circuit: gallery}
cables:
  stairs: {from: loft-box/upstream, to: east-box/downstream}
"""


def three() -> ResolvedRig:
    return resolved(BASE, THREE)


def after(words: str, rig: ResolvedRig | None = None) -> ResolvedRig:
    return edits_of(rig or three(), words.split(), BUNDLED)[1]


def chain(rig: ResolvedRig) -> str:
    boxes = sorted(rig.boxes.values(), key=lambda box: (box.link, box.position))
    return " ".join(f"{box.link.name[-1]}:{box.device}" for box in boxes)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("order east-box west-box loft-box", "1:east-box 1:west-box 1:loft-box"),
        ("order loft-box, east-box, west-box", "1:loft-box 1:east-box 1:west-box"),
        ("remove west-box", "1:east-box 1:loft-box"),
        ("remove east-box", "1:west-box 1:loft-box"),
        ("remove loft-box", "1:west-box 1:east-box"),
        ("move west-box desk/link-2", "1:east-box 1:loft-box 2:west-box"),
        ("move loft-box to desk/link-2 and move east-box to desk/link-2", "1:west-box 2:loft-box 2:east-box"),
        ("add pit stage-box-8x8", "1:west-box 1:east-box 1:loft-box 1:pit"),
        ("add pit stage-box-8x8 behind west-box bank 1-8", "1:west-box 1:pit 1:east-box 1:loft-box"),
        ("add pit stage-box-8x8 behind desk/link-1", "1:pit 1:west-box 1:east-box 1:loft-box"),
        ("add pit stage-box-8x8 behind desk/link-2", "1:west-box 1:east-box 1:loft-box 2:pit"),
        ("replace east-box by stage-box-16x8", "1:west-box 1:east-box 1:loft-box"),
        ("lose crossing", "1:west-box"),
        ("lose east-box", "1:west-box"),
        ("lose gallery", "1:west-box 1:east-box"),
        ("lose desk/link-1", ""),
        ("bank loft-box to 1-8", "1:west-box 1:east-box 1:loft-box"),
    ],
)
def test_what_the_chain_is_afterwards(words: str, expected: str) -> None:
    assert chain(after(words)) == expected


def test_a_cable_stays_at_its_place_in_the_chain_and_keeps_the_way_it_is_written() -> None:
    edits, _ = edits_of(three(), ["order", "loft-box", "east-box", "west-box"], BUNDLED)
    assert edits[0].patch["cables"] == {
        "trunk": {"from": "desk/link-1", "to": "loft-box/upstream"},
        "crossing": {"from": "loft-box/downstream", "to": "east-box/upstream"},
        "stairs": {"to": "east-box/downstream", "from": "west-box/upstream"},
    }


def test_a_box_that_is_in_backwards_is_put_right_by_cabling_it_anew() -> None:
    backwards = resolved(BASE, "cables: {crossing: {to: east-box/downstream}}")
    assert "east-box" in backwards.lost_boxes
    assert chain(after("order west-box east-box", backwards)) == "1:west-box 1:east-box"


@pytest.mark.parametrize(
    ("model", "bank"), [("stage-box-16x8", "9-16"), ("stage-box-32x16", "none: it has no such position")]
)
def test_a_new_model_keeps_its_selector_where_it_can(model: str, bank: str) -> None:
    edits, rig = edits_of(three(), ["replace", "east-box", model], BUNDLED)
    kept = rig.device("east-box").output_bank
    assert (kept or edits[0].words.rpartition("becomes ")[2]) == bank


def test_the_selector_of_a_new_box_is_set_as_it_is_turned_in_the_same_breath() -> None:
    words = ["replace", "east-box", "stage-box-16x8", "and", "bank", "east-box", "17-24"]
    edits, rig = edits_of(three(), words, BUNDLED)
    assert rig.device("east-box").output_bank == "17-24"
    assert "set the output selector of the new east-box to 17-24" in edits[0].then


def test_a_dark_circuit_takes_its_loudspeakers_and_amplifiers_with_it() -> None:
    week = """
    devices: {east-box: {circuit: stage}}
    destinations: {wedge: {circuit: stage}}
    amplifiers:
      amp: {circuit: stage, plugged_into: east-box/out/7, outputs: {one: {least_load_ohm: 4, loudspeakers: [{impedance_ohm: 8}]}}}
    """
    edits, rig = edits_of(resolved(BASE, week), ["lose", "circuit", "stage"], BUNDLED)
    assert edits[0].dead == {"east-box", "wedge", "left", "amp"}
    assert chain(rig) == "1:west-box"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("order west-box east-box", "the order names 2 of the 3 boxes on desk/link-1, not loft-box; with what is left at the end it is `order west-box east-box loft-box`"),
        ("order west-box west-box east-box", "the order names west-box twice; on desk/link-1 there are west-box, east-box, loft-box"),
        ("order west-bx east-box loft-box", "no box is called 'west-bx'; did you mean 'west-box'?"),
        ("order desk", "desk is no stage box; known here: west-box, east-box, loft-box"),
        ("order", "an order names the boxes of a chain, from the console outwards"),
        ("bank east-box 1-16", "east-box (stage-box-8x8) has no selector position 1-16; it has 1-8, 9-16, 17-24, 25-32, 33-40, 41-48; slot 1 is on 1-8"),
        ("bank east-box x", "east-box (stage-box-8x8) has no selector position x; it has 1-8, 9-16, 17-24, 25-32, 33-40, 41-48"),
        ("replace east-box console-16", "console-16 is no stage box, so it can't stand in for east-box"),
        ("replace east-box stage-box-8x9", "no model is called 'stage-box-8x9'; did you mean 'stage-box-8x8'?"),
        ("add east-box stage-box-8x8", "there is a device called east-box already; call the new box otherwise"),
        ("add Pit stage-box-8x8", "a box can't be called 'Pit'; expected a name in lower-case letters, digits and hyphens, such as west-box"),
        ("add pit console-16", "console-16 is no stage box, so it can't be put into a chain"),
        ("add pit stage-box-8x8 bank 2-9", "stage-box-8x8 has no selector position 2-9; it has 1-8, 9-16, 17-24, 25-32, 33-40, 41-48; slot 2 is on 1-8"),
        ("move east-box desk/link-1", "east-box is on desk/link-1 already; `order` changes its place there"),
        ("move east-box desk/link-7", "no console has the link port 'desk/link-7'; did you mean 'desk/link-2'?"),
        ("lose crosing", "no box, link cable, link port, circuit or console is called 'crosing'; did you mean 'crossing'?"),
        ("lose desk/link-2", "nothing is cabled to desk/link-2, so nothing is lost with it"),
        ("lose desk/in/1", "a change loses no input sockets by themselves; `rigwalk spares RIG desk/in/1` says what is lost with them"),
        ("lose west-box/out/1", "west-box/out/1: output sockets are lost with their device alone; say west-box, or of its inputs `rigwalk spares RIG west-box/in`"),
        ("lose circuit kitchen", "no circuit is called 'kitchen'; known here: gallery"),
        ("explode east-box", "'explode' is nothing that can be planned; say one of: order BOX BOX ...; add NAME MODEL [behind BOX] [bank POSITION]; remove BOX; replace BOX MODEL; move BOX CONSOLE/LINK; bank BOX POSITION; lose BOX|CABLE|CIRCUIT|CONSOLE|CONSOLE/LINK"),
        ("oder west-box", "'oder' is nothing that can be planned; did you mean 'order'?; say one of"),
        ("remove", "found `remove`, expected `remove BOX`"),
        ("remove east-box and", "nothing stands after the last `and`"),
        ("add pit stage-box-8x8 behind", "found `add pit stage-box-8x8 behind`, expected `add NAME MODEL"),
        ("lose crossing and order west-box east-box", "the order names 2 of the 3 boxes on desk/link-1, not loft-box"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_said_with_the_best_that_can(words: str, message: str) -> None:
    with pytest.raises(CannotDoError) as told:
        after(words)
    assert str(told.value).startswith(message)


def test_one_name_for_two_things_must_be_told_apart() -> None:
    rig = resolved(BASE, "devices: {west-box: {circuit: crossing}}")
    with pytest.raises(CannotDoError, match="of a cable and of a circuit; say `lose cable crossing` or `lose circuit"):
        after("lose crossing", rig)
    assert chain(after("lose cable crossing", rig)) == "1:west-box"
    assert chain(after("lose circuit crossing", rig)) == ""


@examples(4)
@given(st.data())
def test_every_edit_and_then_its_inverse_is_the_identity(built: Any, models: Models, data: st.DataObject) -> None:
    rig = built(data.draw(right_rigs()))
    words = data.draw(changes(rig.rig.document.data))
    try:
        _, changed = edits_of(rig, words, models)
    except CannotDoError:
        assume(False)
    old, new = rig.rig.document.data, changed.rig.document.data
    back = rebuilt(changed, change_between(new, old), models)
    assert back.rig.document.data == old
    assert back.arrivals == rig.arrivals
    assert back.departures == rig.departures
    assert merge_patch(old, change_between(old, new)) == new


@examples(1)
@given(st.data())
def test_another_order_and_the_old_order_again_is_the_identity(built: Any, models: Models, data: st.DataObject) -> None:
    rig = built(data.draw(right_rigs()))
    boxes = [box.device for box in max(rig.chains.values(), key=lambda chain: len(chain.boxes)).boxes]
    other = data.draw(st.permutations(boxes))
    _, changed = edits_of(rig, ["order", *other], models)
    assert [box.device for box in changed.chains[rig.boxes[boxes[0]].link].boxes] == list(other)
    _, back = edits_of(changed, ["order", *boxes], models)
    assert back.arrivals == rig.arrivals
    assert back.rig.document.data == rig.rig.document.data
