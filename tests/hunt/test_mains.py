"""Noise from the mains: a circuit is named only where the rig file says that it has room and nothing against it."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved

from lint.check.engine import check_rig
from lint.hunt.causes import NOISE
from lint.hunt.path import path_of
from lint.hunt.target import target_of

FED = (
    BASE.replace("{model: console-32}", "{model: console-32, circuit: hall, watts: 250}").replace(
        "expects: house.left}", "expects: house.left, circuit: stage, watts: 400}"
    )
    + """
power:
  circuits:
    hall: {volts: 230, breaker_a: 16, residual_current_device: true}
    stage: {volts: 230, breaker_a: 16, residual_current_device: true}
"""
)
SPEAK_AGAINST = {"circuit-overloaded", "circuit-shared-with-dimmers", "stage-without-residual-current-device"}
FULL = "power: {circuits: {hall: {loads: {heater: {watts: 3300, hours: 1}}}}}"


def mains_noise(week: str = "") -> tuple[str, str]:
    """Return the look and the cure."""
    rig = resolved(FED, week)
    (found,) = [
        (cause.look.format(**part.words), cause.cure.format(**part.words))
        for part in path_of(rig, target_of(rig, "left"))
        for cause in part.causes(NOISE)
        if cause.name == "mains-noise"
    ]
    return found


def found_by_check(week: str) -> set[str]:
    return {each.rule for each in check_rig(resolved(FED, week)).findings} & SPEAK_AGAINST


def test_a_circuit_with_room_is_tried_with_the_thing_off_while_its_plug_moves() -> None:
    look, cure = mains_noise()
    assert look == (
        "Turn left down; have it switched off, fed from the circuit that desk is on (hall), which has room by the rig "
        "file, and switched on last, by whoever has charge of the mains: is the noise the same with that?"
    )
    assert cure.startswith("leave it on that circuit, ")
    moved = "destinations: {left: {circuit: hall}}"
    assert not found_by_check(moved)
    assert found_by_check(f"{moved}\n{FULL}") == {"circuit-overloaded"}


@pytest.mark.parametrize(
    "week",
    [
        FULL,
        "power: {circuits: {hall: {dimmers: true}}}",
        "power: {circuits: {hall: {residual_current_device: false}}}",
        "power: {circuits: {hall: {residual_current_device: null, outdoor: true}}}",
        "power: {circuits: {hall: {dark: true}}}",
        "power: {circuits: {hall: {breaker_a: null}}}",
        "destinations: {left: {watts: null}}",
        "devices: {desk: {circuit: null}}",
        "devices: {desk: {circuit: stage}}",  # it is on that circuit already
    ],
)
def test_no_circuit_is_named_that_something_speaks_against(week: str) -> None:
    look, cure = mains_noise(week)
    assert "hall" not in look + cure
    shared = "dimmers, motors and chargers on circuit stage"
    assert look.startswith(f"Have {shared} switched off for a moment, by whoever has charge of them: ")
    assert cure.startswith(f"have {shared} fed from elsewhere, each switched off first, by whoever has charge")
