"""What is noisy or distorted is muted while something else is listened to at the same end: it would be heard with it."""

from __future__ import annotations

import pytest
from crew import Crew, hunted
from rigs import BATTERIES, resolved

from lint.hunt.causes import DEAD, DISTORTED, NOISE, WRONG
from lint.hunt.hunt import NO, SKIP, YES, Hunt
from lint.hunt.sides import begun, sides_of
from lint.hunt.target import target_of
from lint.hunt.terminal import to_leave

SUBS = """
mixes: {subs: {kind: house, takes: {channels: [2], mixes: [house.mono]}}}
feeds: {desk/link-1: {14: subs}}
destinations: {sub: {kind: subwoofer, plugged_into: east-box/out/6, expects: subs}}
"""
PAIR = """
sources: {organ: {kind: passive-di, plugged_into: east-box/in/2}}
pairs: {keys: {left: piano, right: organ}}
channels: {4: {carries: organ, patched_from: desk/link-1/18}}
mixes: {wedge-mix: {takes: {channels: [1, 3, 4]}}}
"""


def start(what: str, symptom: str, at: str | None = None, week: str = "") -> Hunt:
    rig = resolved(BATTERIES, week)
    target = target_of(rig, what, at)
    return begun(rig, target, sides_of(rig, what, at, target), None, (symptom, ()))[1].answered(YES)


def told(hunt: Hunt, name: str) -> list[tuple[str, str]]:
    """Return the words of a question, and of what is put back after it, for each place where it is asked."""
    return [
        (point.ask.format(**hunt.parts[index].words), point.back.format(**hunt.parts[index].words))
        for index, point in hunt.points.values()
        if point.name == name
    ]


@pytest.mark.parametrize("symptom", [NOISE, DISTORTED])
def test_what_sounds_along_is_muted_for_the_question_and_unmuted_after_it(symptom: str) -> None:
    assert told(start("vocal", symptom, "left"), "others") == [
        (
            "Mute channel 1 for this question alone: listen at left to something else in the mix house, such as "
            "choir: is that right there?",
            "Unmute channel 1 again, slowly.",
        )
    ]
    _, (ask, back) = told(start("vocal", symptom, "sub", SUBS), "others")  # a mix in a mix may be noisy itself
    assert ask.startswith("Mute the mix house for this question alone: listen at sub ")
    assert back == "Unmute the mix house again, slowly."
    ((ask, back),) = told(start("keys", symptom, "wedge", PAIR), "other-side")
    assert ask.startswith("Mute channel 3 for this question alone: is the other side as it should be: organ at wed")
    assert back == "Unmute channel 3 again, slowly."


@pytest.mark.parametrize("symptom", [DEAD, WRONG])
def test_what_makes_no_noise_there_is_left_as_it_is(symptom: str) -> None:
    ((ask, back),) = told(start("vocal", symptom, "left"), "others")
    assert ask.startswith("Listen at left ")
    assert not back
    ((ask, back),) = told(start("keys", symptom, "wedge", PAIR), "other-side")
    assert ask.startswith("Is the other side ")
    assert not back


def test_of_the_sides_of_a_mix_each_is_heard_at_its_own_end() -> None:
    ((ask, _),) = told(start("house", NOISE), "other-side")
    assert ask.startswith("Is the other side ")


def test_a_mix_in_the_red_is_looked_at_before_what_drives_it_is_muted() -> None:
    points = [point for _, point in start("vocal", DISTORTED, "left").points.values() if point.back]
    assert points
    assert all("mix-in-red" in point.after for point in points if point.name == "others")


@pytest.mark.parametrize("said", [YES, NO, SKIP])
def test_it_is_unmuted_before_anything_else_is_asked_and_where_the_hunt_is_stopped(said: str) -> None:
    rig = resolved(BATTERIES)
    hunt = start("vocal", NOISE, "left")
    crew = Crew(rig, target_of(rig, "vocal", "left"), hunt.suspects[0])
    for _ in range(20):
        question = hunt.question
        assert question is not None
        if question.key.endswith("/ others"):
            break
        hunt = hunt.answered(crew.answer(hunt, question))
    assert question.key.endswith("/ others")
    assert to_leave(question) == "If you began the last test: Unmute channel 1 again, slowly."
    after = hunt.answered(said).question
    assert after is not None
    assert after.kind == "put-back"
    assert "nmute channel 1 again, slowly." in after.text


def test_the_source_of_a_noise_is_found_though_all_in_the_mix_would_be_heard_with_it() -> None:
    rig = resolved(BATTERIES)
    target, hunt = target_of(rig, "vocal", "left"), start("vocal", NOISE, "left")
    for fault in hunt.suspects:
        end, _, _ = hunted(hunt, Crew(rig, target, fault))
        assert end.found is not None
        assert end.found.key == fault.key
