"""Phantom power on a ribbon does harm as long as it is on: it is looked for before anything else is tried."""

from __future__ import annotations

import pytest
from crew import Crew, hunted
from rigs import BASE, resolved
from test_every_cause import begun

from lint.hunt.causes import DEAD, DISTORTED, NOISE
from lint.hunt.hunt import SKIP, YES
from lint.hunt.target import target_of

RIBBON = "sources: {vocal: {kind: ribbon-microphone}, tape: {kind: player, plugged_into: west-box/in/5}}\n"
RIBBON += "channels: {4: {carries: tape, patched_from: desk/link-1/5}}\nmixes: {house: {takes: {channels: [1-4]}}}"


@pytest.mark.parametrize("symptom", [DEAD, NOISE, DISTORTED])
def test_it_is_the_first_question_about_a_ribbon(symptom: str) -> None:
    rig = resolved(BASE, RIBBON)
    target = target_of(rig, "vocal")
    start = begun(rig, target, symptom)
    assert start.question is not None
    assert start.question.text == "Look at channel 1: is its phantom power off, as vocal needs it?"
    for said in (YES, SKIP):
        later = start.answered(said).question
        assert later is not None
        assert later.key != start.question.key
    promised = start.expected_s()
    paid = sum(fault.share * hunted(start, Crew(rig, target, fault))[2] for fault in start.suspects)
    assert paid <= promised + 1e-6


def test_what_bears_it_is_hunted_by_cost_alone() -> None:
    start = begun(resolved(BASE, RIBBON), target_of(resolved(BASE, RIBBON), "tape"), DEAD)
    assert start.question is not None
    assert not start.question.key.endswith("phantom-on")
