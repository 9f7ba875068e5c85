"""A console without mains: a suspect of what is dead, seen at a glance before anything that it would show."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from crew import ON_SCREEN, Crew, answered_at, hunted

from lint.hunt.causes import DEAD, NOISE, causes
from lint.hunt.hunt import NO, YES, Hunt, Suspect
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import UnknownTargetError, target_of
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.rig.dead import DeadPart

HERE = Path(__file__).parent
HALL = HERE / "powered-legs" / "rigs" / "hall.yaml"
BARN = HERE.parents[1] / "tests" / "clean" / "link-split" / "rigs" / "string-band.yaml"
DEMO = HERE.parents[1] / "lint" / "demo" / "rigs" / "clean-week.yaml"
WAYS = [
    (HALL, "kick", "hall", {"console desk"}),
    (HALL, "bass", "hall", {"console mon", "console desk"}),  # mon gives it its phantom power
    (HALL, "speech", "wedge", {"console desk", "console mon"}),
    (HALL, "radio", "hall", {"console desk"}),  # plugged into the console itself
    (HALL, "band", None, {"console mon"}),
    (HALL, "lead", "wedge", {"console mon"}),
    (BARN, "singer", "encoder", {"console foh", "console air"}),  # who listens to a link rides on its owner's mains
    (DEMO, "plate", None, {"console desk"}),
    (DEMO, "recorder", None, {"console desk"}),
]
ROWS = [(path, what, at, name) for path, what, at, names in WAYS for name in sorted(names)]


def begun(rig: ResolvedRig, what: str, at: str | None, symptom: str = DEAD) -> Hunt:
    parts = path_of(rig, target_of(rig, what, at))
    return Hunt(parts, symptom, likelihoods(parts, symptom)).answered(YES)


def dark(hunt: Hunt, name: str) -> Suspect:
    (found,) = [row for row in hunt.suspects if row.key == (name, "console-dark")]
    return found


@pytest.mark.parametrize(("path", "what", "at", "names"), WAYS)
def test_every_console_that_the_signal_needs_is_a_suspect_of_silence_alone(
    path: Path, what: str, at: str | None, names: set[str]
) -> None:
    rig = resolve_rig(load_rig(path))
    suspects = begun(rig, what, at).suspects
    assert {row.part.name for row in suspects if row.cause.name == "console-dark"} == names
    assert not any(row.cause.name == "console-dark" for row in begun(rig, what, at, NOISE).suspects)


@pytest.mark.parametrize(("path", "what", "at", "name"), ROWS)
def test_a_dark_console_is_found_before_anything_that_it_would_show_is_looked_at(
    path: Path, what: str, at: str | None, name: str
) -> None:
    """No link cable is changed because a lamp is dark that the console does not light."""
    rig = resolve_rig(load_rig(path))
    start = begun(rig, what, at)
    fault = dark(start, name)
    end, questions, seconds = hunted(start, Crew(rig, target_of(rig, what, at), fault))
    assert end.found is not None
    assert end.found.key == fault.key
    looks = [answer.key.rpartition(" / ")[2] for answer in end.answers if answer.key.startswith("look ")]
    assert not {"link-broken", "clock-lost", *ON_SCREEN} & set(looks)
    assert questions <= 6
    assert seconds <= 30


def test_what_waits_for_a_glance_at_the_console() -> None:
    waiting = {cause.name for cause in causes() if "console-dark" in cause.after}
    assert waiting == {"link-broken", "clock-lost", *ON_SCREEN}


def test_it_is_asked_and_mended_as_a_dark_box_is_with_whoever_hears_it_muted() -> None:
    hall = resolve_rig(load_rig(HALL))
    found = dark(begun(hall, "bass", "hall"), "console mon")
    assert found.words == "the console mon: no mains"
    assert found.filled(found.cause.look) == (
        "Glance at mon (stage left wing): are its screen and its lamps lit, as on a good day?"
    )
    cure = found.filled(found.cause.cure)
    assert "mute channel 7 on desk (phantom power comes back with mon); then see" in cure
    assert "do not reset a breaker again and again: one that trips again is for a licensed electrician" in cure


@pytest.mark.parametrize("point", ["input-meter", "neighbour", "others"])
def test_what_moves_a_meter_of_a_console_or_is_heard_by_it_clears_its_mains(point: str) -> None:
    start = begun(resolve_rig(load_rig(HALL)), "kick", "hall")
    left = {said: {row.part.name for row in answered_at(start, point, said).suspects} for said in (YES, NO)}
    assert ("console desk" in left[YES], "console desk" in left[NO]) == (False, True)


def test_another_console_that_is_lit_leaves_the_one_that_is_hunted() -> None:
    start = begun(resolve_rig(load_rig(HALL)), "lead", "hall")
    assert "console desk" in {row.part.name for row in answered_at(start, "split", YES).suspects}
    assert "console desk" not in {row.part.name for row in answered_at(start, "split", NO).suspects}


@pytest.mark.parametrize("what", ["lead", "kick"])
@pytest.mark.parametrize("expects", ["band", None])
def test_of_what_a_dead_console_sent_that_is_told_with_how_to_carry_on(what: str, expects: str | None) -> None:
    rig = load_rig(HALL)
    wedge = rig.destinations["wedge"]
    ends = {**rig.destinations, "wedge": wedge if expects else wedge._replace(expects=())}
    with pytest.raises(UnknownTargetError) as refused:
        dead = {"mon": DeadPart("mon", "mon", (), "no picture")}
        target_of(resolve_rig(replace(rig, dead=dead, destinations=ends)), what, "wedge")
    assert str(refused.value) == (
        "by the rig file itself mon is dead (no picture), and it is what sends to wedge: `rigwalk spares RIG mon` says how "
        "to carry on"
    )


@pytest.mark.parametrize("what", ["kick", "lead"])
def test_an_input_that_is_dead_by_the_rig_file_is_the_first_question(what: str) -> None:
    rig = load_rig(HALL)
    at = rig.sources[what].sockets[0]
    hall = resolve_rig(replace(rig, dead={str(at): DeadPart(str(at), at.device, (at,), "hiss")}))
    for symptom in (DEAD, NOISE):
        start = begun(hall, what, "hall", symptom)
        question = start.question
        assert question is not None
        assert question.suspect is not None
        assert (question.suspect.part.name, question.suspect.cause.name) == (f"socket {at}", "input-broken")
        assert question.text.startswith(f"By the rig file {at} is dead (hiss). ")
        assert start.suspects[0].key == question.suspect.key
    other = begun(hall, "bass", "hall").question
    assert other is not None
    assert "hiss" not in other.text
