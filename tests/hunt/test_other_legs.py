"""The legs of a split without transformers are one wire: a fault of the other leg is missed, or heard, on this one."""

from __future__ import annotations

from pathlib import Path

import pytest
from crew import LEGS, Crew, answered_at, hunted
from test_two_earths import HALL, TWO_DESKS, begun, loops, rig_of

from lint.hunt.causes import DEAD, DISTORTED, NOISE, WRONG
from lint.hunt.hunt import NO, YES, Hunt, Suspect
from lint.hunt.target import target_of
from lint.hunt.terminal import CARE, care_of

WAYS = [(HALL, "lead", "hall"), (HALL, "speech", "hall"), (TWO_DESKS, "vox", "house-l"), (TWO_DESKS, "vox", "ears"),
        (HALL, "lead", "wedge")]  # fmt: skip
OTHERS = ("other-leg-bad", "other-cable-bad")


def others(hunt: Hunt) -> list[Suspect]:
    return [row for row in hunt.suspects if row.cause.name in OTHERS]


@pytest.mark.parametrize(("path", "what", "at"), WAYS)
@pytest.mark.parametrize("symptom", [DEAD, NOISE, DISTORTED])
def test_a_fault_of_either_leg_that_is_met_on_all_is_found(path: Path, what: str, at: str, symptom: str) -> None:
    rig, start = rig_of(path), begun(rig_of(path), what, at, symptom)
    gives = what == "speech"  # its own leg gives it phantom power
    legs = {row.cause.name for row in start.suspects} & set(LEGS)
    assert legs == {"other-leg-bad", *(() if gives else ("own-leg-bad",))}
    paid = 0.0
    for fault in start.suspects:
        end, _, seconds = hunted(start, Crew(rig, target_of(rig, what, at), fault))
        assert end.found is not None, fault.key
        assert end.found.key == fault.key
        paid += fault.share * seconds
    assert paid <= start.expected_s() + 1e-6


def test_it_is_taken_out_with_all_muted_and_phantom_power_off_and_put_back_before_anything_else_is_asked() -> None:
    hunt = begun(rig_of(HALL), "speech", "hall", DEAD)  # its own leg gives it phantom power
    (leg,) = others(hunt)
    assert leg.words == "the other leg of the split rack, to mon/in/4: shorted, or loaded by what it is plugged into"
    assert leg.filled(leg.cause.look) == (
        "At the split rack, or if it is fixed there at mon/in/4, take out the cable to mon/in/4: is it right at hall with "
        "that?"
    )
    assert leg.filled(leg.cause.back).startswith("Mute channel 27 (Speech) on desk and channel 4 (Speech) on mon again")
    assert leg.filled(leg.cause.cure).startswith(
        "leave that cable out: speech is not heard on channel 4 (Speech) on mon"
    )
    met = False
    for fault in hunt.suspects:
        asked, crew = hunt, Crew(rig_of(HALL), target_of(rig_of(HALL), "speech", "hall"), fault)
        while (question := asked.question) is not None:
            asked = asked.answered(crew.answer(asked, question))
            if question.suspect is not None and question.suspect.key == leg.key and asked.found is None:
                met = True
                assert "phantom power off at east/in/3 and mon/in/4 by channel 27 on desk" in care_of(question, CARE)
                assert asked.question is not None
                assert asked.question.kind == "put-back"
    assert met


def test_the_leg_by_which_phantom_power_comes_is_never_taken_out() -> None:
    for symptom in (NOISE, DISTORTED):
        (leg,) = others(begun(rig_of(HALL), "bass", "hall", symptom))  # mon gives it
        assert leg.cause.name == "other-cable-bad"
        assert leg.filled(leg.cause.look).startswith("Put another cable that works between the split rack and mon/in/3")
    dead = begun(rig_of(HALL), "bass", "hall", DEAD)
    assert not others(dead)
    assert ("leg to mon/in/3", "cable-broken") in {row.key for row in dead.suspects}  # suspected as what powers it


def test_the_own_leg_is_judged_on_the_other_console() -> None:
    hunt = begun(rig_of(TWO_DESKS), "vox", "ears", DEAD)
    (own,) = [row for row in hunt.suspects if row.cause.name == "own-leg-bad"]
    assert own.filled(own.cause.look) == (
        "At the split voxsplit, or if it is fixed there at mon/in/1, take out the cable to mon/in/1: is it right on "
        "channel 1 (Vox) on desk with that, as it was not before?"
    )
    assert own.filled(own.cause.back).startswith("Mute channel 1 (Vox) on mon and channel 1 (Vox) on desk again")
    bass = begun(rig_of(HALL), "bass", "wedge", DEAD)  # the hunted leg gives it phantom power
    assert "own-leg-bad" not in {row.cause.name for row in bass.suspects}


@pytest.mark.parametrize(("symptom", "point"), [(DEAD, "split"), (NOISE, "split-heard"), (DISTORTED, "split-heard")])
def test_what_is_right_by_the_other_leg_clears_both_as_one_wire_and_what_is_not_blames_them(
    symptom: str, point: str
) -> None:
    hunt = begun(rig_of(TWO_DESKS), "vox", "house-l", symptom)
    legs = {"other leg to mon/in/1", "own leg to abox/in/1"}
    assert not legs & {row.part.name for row in answered_at(hunt, point, YES).suspects}
    assert legs <= {row.part.name for row in answered_at(hunt, point, NO).suspects}
    assert not others(begun(rig_of(TWO_DESKS), "vox", "house-l", WRONG))
    speech = answered_at(begun(rig_of(HALL), "speech", "hall", symptom), point, NO)  # its own leg is never taken out
    assert {"split rack to east/in/3", "leg to east/in/3"} <= {row.part.name for row in speech.suspects}


def test_what_alone_has_cured_a_hum_is_all_that_its_cure_asks_for() -> None:
    hunt = begun(rig_of(HALL), "lead", "wedge")
    (far,) = [row for row in hunt.suspects if row.cause.name == "out-ground-loop"]
    assert far.filled(far.cause.cure) == "leave the transformer in; a protective earth is never lifted"
    cures = [row.filled(row.cause.cure) for row in hunt.suspects if row.cause.name.endswith("ground-loop")]
    assert len(cures) > 1
    assert not any("circuit" in cure or "feed " in cure for cure in cures)


@pytest.mark.parametrize("twice", [False, True])
def test_two_earths_by_a_split_are_the_first_suspect_of_a_hum_and_are_looked_at_early(twice: bool) -> None:
    for path, what, at in WAYS:
        rig, start = rig_of(path), begun(rig_of(path), what, at)
        assert start.suspects[0] == loops(start)[0]
        end, asked, _ = hunted(start, Crew(rig, target_of(rig, what, at), loops(start)[0], hums_twice=twice))
        assert end.found is not None
        assert asked <= 6
