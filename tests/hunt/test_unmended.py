"""What is dark and can't be lit ends a hunt: it is the cause, and nothing behind it can be seen as long as it is so."""

from __future__ import annotations

import json
from dataclasses import replace

from rigs import BASE, resolved
from test_every_cause import begun
from test_splits import TWO_DESKS

from lint.hunt.causes import DEAD
from lint.hunt.hunt import CARRY_ON, NO, YES, Answer, Hunt
from lint.hunt.target import target_of
from lint.record.hunts import _left_words, _still_to_do
from lint.report.hunt_json import BeforeIt, hunt_json


def seen_dark(hunt: Hunt, key: str) -> Hunt:
    """Return a hunt in which a part was seen dark, and its cure did not help."""
    seen = (Answer(f"look {key}", NO), Answer(f"cured {key}", NO))
    return replace(hunt, answers=(*hunt.answers, *seen))


def test_a_box_that_cannot_be_lit_is_what_was_found() -> None:
    rig = resolved(BASE)
    target = target_of(rig, "piano")
    hunt = seen_dark(begun(rig, target, DEAD), "box east-box / box-dark")
    assert hunt.question is not None
    assert (hunt.question.kind, hunt.question.text) == ("lit", "Has east-box mains now: are its lamps lit?")
    end = hunt.answered(NO)
    assert end.question is None
    assert end.found is None
    assert end.unmended is not None
    assert end.unmended.words == "the box east-box: no mains"
    assert "`rigwalk spares RIG east-box`" in end.unmended.filled(CARRY_ON)
    assert _left_words(end) == "found and not mended: the box east-box: no mains"
    assert "`rigwalk spares RIG east-box`" in _still_to_do(end)
    report = json.loads(hunt_json("a.yaml", target, end, [], BeforeIt([], [], [], [])))
    assert report["unmended"]["cause"] == "box-dark"
    assert (report["suspects"], report["found"]) == ([], None)


def test_what_is_lit_again_and_was_not_the_fault_is_cleared() -> None:
    rig = resolved(BASE)
    hunt = seen_dark(begun(rig, target_of(rig, "piano"), DEAD), "box east-box / box-dark").answered(YES)
    assert hunt.unmended is None
    assert hunt.question is not None
    assert "box east-box" not in {row.part.name for row in hunt.suspects}


def test_what_a_dark_console_powers_may_have_it_from_the_other_end() -> None:
    powered = "sources: {vox: {kind: condenser-microphone}}\nconsoles: {mon: {channels: {1: {phantom: on}}}}"
    rig = resolved(TWO_DESKS.read_text(), powered)
    hunt = begun(rig, target_of(rig, "vox"), DEAD)
    (row,) = [row for row in hunt.suspects if row.key == ("console mon", "console-dark")]
    text = row.filled(CARRY_ON)
    assert (
        "vox can have its phantom power from channel 1 (Vox) on desk meanwhile, where abox is lit: mute channel 1 (Vox) on desk"
        in text
    )
    assert "it is off there again before the other end is lit" in text


def test_what_nobody_has_said_to_be_lit_stays_suspected_and_is_not_called_mended() -> None:
    """Stopped at that question, the next crew must not be told that it was put right."""
    rig = resolved(BASE)
    hunt = seen_dark(begun(rig, target_of(rig, "piano"), DEAD), "box east-box / box-dark")
    assert hunt.question is not None
    assert hunt.question.kind == "lit"
    assert "box east-box" in {row.part.name for row in hunt.suspects}
    assert hunt.mended_in_vain == []
    assert hunt.answered(YES).mended_in_vain == ["the box east-box: no mains"]
