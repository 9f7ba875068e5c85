"""Moves one after the other lay their cables as if they were one: what a later move frees may reach where another can't."""

from __future__ import annotations

from itertools import permutations

import pytest
from rigs import BASE, BUNDLED, resolved

from lint.plan.distance import Stage, lacks
from lint.plan.words import edits_of
from lint.resolve.resolved import ResolvedRig


def rig(trunk_m: float, crossing_m: float) -> ResolvedRig:
    week = (
        "devices: {desk: {along_stage_m: 0}, west-box: {along_stage_m: 30}, east-box: {along_stage_m: 40},"
        " side: {model: console-16, along_stage_m: 45}}\n"
        "consoles: {side: {channels: {}}}\n"
        f"cables: {{trunk: {{from: side/link-1, length_m: {trunk_m}}}, crossing: {{length_m: {crossing_m}}}}}\n"
    )
    return resolved(BASE, week)


@pytest.mark.parametrize(
    "words",
    [
        "move west-box desk/link-1 and move east-box desk/link-1",
        "move east-box desk/link-1 and move west-box desk/link-1",
        "move west-box desk/link-1",
        "move east-box desk/link-1",
    ],
)
@pytest.mark.parametrize(("trunk_m", "crossing_m"), [(60, 15), (15, 60), (60, 60), (20, 20), (80, 30), (30, 80)])
def test_as_few_as_can_be_are_too_short(words: str, trunk_m: float, crossing_m: float) -> None:
    before = rig(trunk_m, crossing_m)
    _, after = edits_of(before, words.split(), BUNDLED)
    stage = Stage(before)
    ways = [
        (stage.way_m(start, box.device), box.cable.name)
        for chain in after.chains.values()
        for start, box in zip((chain.link.device, *(b.device for b in chain.boxes)), chain.boxes, strict=False)
    ]
    lengths = {name: cable.length_m or 0.0 for name, cable in before.rig.cables.items()}
    short = [
        sum(way is not None and way > lengths[name] for (way, _), name in zip(ways, order, strict=True))
        for order in permutations(lengths)
    ]
    assert {name for _, name in ways} == set(lengths)
    assert len(lacks(before, after)) <= min(short)
