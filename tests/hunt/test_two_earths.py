"""Hum by way of a split: its shields join the earths of two devices; a lift opens that, never one of the mains."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from crew import Crew, answered_at, hunted

from lint.hunt.causes import DEAD, DISTORTED, NOISE, WRONG
from lint.hunt.hunt import NO, YES, Hunt, Suspect
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import target_of
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig

HERE = Path(__file__).parent
HALL, TWO_DESKS = HERE / "powered-legs" / "rigs" / "hall.yaml", HERE / "two-desks.yaml"
THEATRE = HERE.parents[1] / "tests" / "clean" / "monitor-split" / "rigs" / "folk-night.yaml"
WAYS = [(HALL, "bass", "hall"), (HALL, "bass", "wedge"), (HALL, "lead", "hall"), (HALL, "speech", "wedge"),
        (TWO_DESKS, "vox", "house-l"), (TWO_DESKS, "vox", "ears"), (THEATRE, "fiddle", "fiddle-wedge")]  # fmt: skip


@cache
def rig_of(path: Path) -> ResolvedRig:
    return resolve_rig(load_rig(path))


def begun(rig: ResolvedRig, what: str, at: str, symptom: str = NOISE) -> Hunt:
    parts = path_of(rig, target_of(rig, what, at))
    return Hunt(parts, symptom, likelihoods(parts, symptom)).answered(YES)


def loops(hunt: Hunt) -> list[Suspect]:
    return [row for row in hunt.suspects if row.cause.name == "split-ground-loop"]


@pytest.mark.parametrize(("path", "what", "at"), WAYS)
@pytest.mark.parametrize("twice", [False, True])
def test_a_truthful_crew_ends_in_the_very_cause_whether_one_end_of_the_split_hums_or_both(
    path: Path, what: str, at: str, twice: bool
) -> None:
    rig, start = rig_of(path), begun(rig_of(path), what, at)
    paid = 0.0
    for fault in start.suspects:
        end, _, seconds = hunted(start, Crew(rig, target_of(rig, what, at), fault, hums_twice=twice))
        assert end.found is not None, fault.key
        assert end.found.key == fault.key
        paid += fault.share * seconds
    assert paid <= start.expected_s() + 1e-6
    assert len(loops(start)) == 1


@pytest.mark.parametrize("symptom", [DEAD, WRONG, DISTORTED])
def test_it_is_a_suspect_of_noise_alone(symptom: str) -> None:
    assert not loops(begun(rig_of(HALL), "bass", "hall", symptom))


def test_one_device_has_one_earth() -> None:
    rig = load_rig(HALL)
    first, _ = rig.sources["lead"].sockets
    beside = rig.sources["lead"]._replace(sockets=(first, first._replace(number=16)))
    assert not loops(begun(resolve_rig(replace(rig, sources={**rig.sources, "lead": beside})), "lead", "hall"))
    assert not loops(begun(rig_of(HALL), "alto", "hall"))  # no split


def test_a_way_that_needs_no_phantom_power_is_lifted_or_unplugged_at_the_other_end() -> None:
    (loop,) = loops(begun(rig_of(HALL), "lead", "hall"))
    assert loop.words == "the split rack: hum by way of two earths"
    assert loop.filled(loop.cause.look) == (
        "Muted, press at the split rack the ground lift to mon/in/1, or take out its cable there (never "
        "a mains earth); opened, is the hum the same?"
    )
    assert loop.filled(loop.cause.cure) == (
        "leave the lift pressed at that one way alone; where there is none, put an isolating transformer for audio into "
        "the cable to mon/in/1; a protective earth is never lifted"
    )
    assert loop.cause.handles


def test_the_way_that_gives_phantom_power_is_never_the_one_that_is_lifted() -> None:
    (loop,) = loops(begun(rig_of(HALL), "bass", "hall"))  # mon gives it
    assert loop.filled(loop.cause.look).startswith(
        "Muted, press at the split rack the ground lift to west/in/7, through which no phantom power comes; s if there "
        "is none (never"
    )
    assert "transformer for audio" not in loop.filled(loop.cause.cure)
    (own,) = loops(begun(rig_of(HALL), "speech", "hall"))  # its own leg gives it
    assert "the ground lift to mon/in/4, or take out" in own.filled(own.cause.look)
    rig = load_rig(HALL)
    twice = {**rig.channels, ("desk", 7): rig.channels["desk", 7]._replace(phantom="on")}
    (both,) = loops(
        begun(resolve_rig(replace(rig, channels=twice)), "bass", "hall")
    )  # either way does without the other
    assert "the ground lift to mon/in/3, or take out" in both.filled(both.cause.look)


def test_the_other_end_and_what_else_goes_through_the_split_tell_nothing_of_it() -> None:
    start = begun(rig_of(HALL), "lead", "hall")
    for said in (YES, NO):
        assert loops(answered_at(start, "split-heard", said))
    assert loops(answered_at(start, "at-socket", YES))  # that takes its cable out: the loop is open
    assert not loops(answered_at(start, "at-source", YES))
