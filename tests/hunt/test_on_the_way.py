"""A source on each box that a signal passes: whether it arrives clears, or blames, the way from there at once."""

from __future__ import annotations

import time

from crew import Crew, answered_at, hunted
from test_every_cause import begun
from test_powered_legs import hall

from lint.hunt.causes import DEAD
from lint.hunt.hunt import NO, YES
from lint.hunt.target import target_of


def test_it_clears_or_blames_the_way_from_that_box_and_tells_nothing_of_the_order() -> None:
    hunt = begun(hall(), target_of(hall(), "alto"), DEAD)
    way = {"box west", "link cable trunk", "console desk", "clock desk/link-1"}
    behind = {"box east", "link cable second", "link cable first"}
    right = {row.part.name for row in answered_at(hunt, "on-the-way west", YES).suspects}
    wrong = {row.part.name for row in answered_at(hunt, "on-the-way west", NO).suspects}
    assert not way & right
    assert behind <= right
    assert wrong == way | {"chain desk/link-1"}
    riser = {row.part.name for row in answered_at(hunt, "on-the-way riser", NO).suspects}
    assert riser == way | {"chain desk/link-1", "box riser", "link cable first"}


def test_a_bad_link_far_off_is_found_in_fewer_seconds() -> None:
    start = begun(hall(), target_of(hall(), "alto"), DEAD)
    (fault,) = [row for row in start.suspects if row.key == ("link cable second", "link-broken")]
    end, questions, seconds = hunted(start, Crew(hall(), target_of(hall(), "alto"), fault))
    assert end.found is not None
    assert end.found.key == fault.key
    assert any("on-the-way" in answer.key for answer in end.answers)
    assert questions <= 9
    assert seconds <= 75  # 95 without it


def test_the_next_question_keeps_its_speed() -> None:
    hunt = begun(hall(), target_of(hall(), "alto"), DEAD)
    began = time.perf_counter()
    assert hunt.answered(NO).question is not None
    assert time.perf_counter() - began < 0.5  # about 10 ms; a machine that is busy takes longer
