"""The legs of a split without transformers are one wire: a fault of the other leg is missed, or heard, on this one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from crew import Crew, answered_at, hunted
from test_two_earths import HALL, TWO_DESKS, begun, loops, rig_of

from lint.hunt.causes import DEAD, DISTORTED, NOISE, WRONG
from lint.hunt.hunt import NO, YES, Hunt, Suspect
from lint.hunt.target import target_of
from lint.hunt.terminal import CARE, care_of
from lint.resolve.resolved import resolve
from lint.rig.build import load_rig

WAYS = [(HALL, "lead", "hall"), (HALL, "speech", "hall"), (TWO_DESKS, "vox", "house-l"), (TWO_DESKS, "vox", "ears"),
        (HALL, "lead", "wedge")]  # fmt: skip
OTHERS = ("other-leg-bad", "other-cable-bad")


def others(hunt: Hunt) -> list[Suspect]:
    return [row for row in hunt.suspects if row.cause.name in OTHERS]


@pytest.mark.parametrize(("path", "what", "at"), WAYS)
@pytest.mark.parametrize("symptom", [DEAD, NOISE, DISTORTED])
@pytest.mark.parametrize("pulls_down", [False, True])
def test_a_fault_of_either_leg_is_found_whether_it_is_missed_on_one_console_or_on_both(
    path: Path, what: str, at: str, symptom: str, pulls_down: bool
) -> None:
    rig, start = rig_of(path), begun(rig_of(path), what, at, symptom)
    assert [row.cause.name for row in others(start)] == ["other-leg-bad"]
    home = target_of(rig, what, at).socket
    legs = (f"other leg to {others(start)[0].part.words['far']}", f"leg to {home}", f"socket {home}")
    paid = 0.0
    for fault in start.suspects:
        crew = Crew(rig, target_of(rig, what, at), fault, pulls_down=pulls_down and fault.part.name in legs)
        end, _, seconds = hunted(start, crew)
        assert end.found is not None, fault.key
        assert end.found.key == fault.key
        paid += fault.share * seconds
    assert paid <= start.expected_s() + 1e-6


def test_it_is_taken_out_with_all_muted_and_phantom_power_off_and_put_back_before_anything_else_is_asked() -> None:
    hunt = begun(rig_of(HALL), "speech", "hall", DEAD)  # its own leg gives it phantom power
    (leg,) = others(hunt)
    assert leg.words == "the other leg of the split rack, to mon/in/4: shorted, or loaded by what it is plugged into"
    assert leg.filled(leg.cause.look) == (
        "At the split rack take out the cable to mon/in/4; where it is fixed there, take it out at mon/in/4: is it right "
        "at hall with that?"
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


def test_what_arrives_by_the_other_leg_clears_it_and_what_hums_may_do_so_here_alone() -> None:
    dead, hum = (begun(rig_of(TWO_DESKS), "vox", "house-l", symptom) for symptom in (DEAD, NOISE))
    assert not others(answered_at(dead, "split", YES))
    assert others(answered_at(dead, "split", NO))
    own = {"split voxsplit to abox/in/1", "leg to abox/in/1", "socket abox/in/1"}
    assert own <= {row.part.name for row in answered_at(dead, "split", NO).suspects}
    for said in (YES, NO):
        left = answered_at(hum, "split-heard", said)
        assert others(left)
        assert own <= {row.part.name for row in left.suspects}
    assert not others(begun(rig_of(TWO_DESKS), "vox", "house-l", WRONG))


def test_one_circuit_is_no_cure_where_both_are_on_one_by_the_rig_file() -> None:
    rig = load_rig(HALL)
    one = {name: row._replace(circuit="left") for name, row in rig.devices.items()}
    apart = {**one, "mon": rig.devices["mon"]._replace(circuit="right")}
    for devices, said in ((one, False), (apart, True)):
        (loop,) = loops(begun(resolve(replace(rig, devices=devices)), "lead", "hall"))
        assert ("feed west and mon from one circuit" in loop.filled(loop.cause.cure)) is said


@pytest.mark.parametrize("twice", [False, True])
def test_two_earths_by_a_split_are_the_first_suspect_of_a_hum_and_are_looked_at_early(twice: bool) -> None:
    for path, what, at in WAYS:
        rig, start = rig_of(path), begun(rig_of(path), what, at)
        assert start.suspects[0] == loops(start)[0]
        end, asked, _ = hunted(start, Crew(rig, target_of(rig, what, at), loops(start)[0], hums_twice=twice))
        assert end.found is not None
        assert asked <= 6
