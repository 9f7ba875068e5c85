"""Moves one after the other lay their cables as if they were one: what a later move frees may reach where another can't."""

from __future__ import annotations

import random
from itertools import permutations

import pytest
from rigs import BASE, BUNDLED, resolved

from lint.plan.distance import Stage, lacks
from lint.plan.words import edits_of
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port


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


def best_of(rig: ResolvedRig, after: ResolvedRig) -> tuple[int, int]:
    """The fewest cables that are too short in the chains of `after`, and the fewest spares for that, tried every way.

    A cable that stays where it is reaches, and of the spares only such are taken as do.
    """
    way_m, cables = Stage(rig).way_m, rig.rig.cables
    ways = [
        (start, box.device, set(box.cable.ends))
        for chain in after.chains.values()
        for start, box in zip((chain.link.device, *(b.device for b in chain.boxes)), chain.boxes, strict=False)
    ]
    every = [(name, is_spare) for name in cables for is_spare in (False, True) if cables[name].spare or not is_spare]

    def lacks_there(way: tuple[str, str, set[Port]], name: str, is_spare: bool) -> bool:
        if not is_spare and set(cables[name].ends) == way[2]:
            return False
        need_m = way_m(way[0], way[1])
        return need_m is not None and need_m > (cables[name].length_m or 0.0)

    return min(
        (sum(short), sum(is_spare for _, is_spare in picked))
        for picked in permutations(every, len(ways))
        if (short := [lacks_there(way, *one) for way, one in zip(ways, picked, strict=True)])
        and not any(lack and is_spare for lack, (_, is_spare) in zip(short, picked, strict=True))
    )


@pytest.mark.parametrize("seed", range(40))
def test_a_spare_is_taken_where_that_alone_reaches_and_none_besides(seed: int) -> None:
    draw = random.Random(seed)
    at = {name: draw.randrange(0, 60) for name in ("desk", "west-box", "east-box", "side")}
    lengths = {name: draw.randrange(5, 70) for name in ("trunk", "crossing")}
    spared = [name for name in lengths if draw.random() < 0.7]
    stage = ", ".join(f"{name}: {{along_stage_m: {m}}}" for name, m in at.items() if name != "side")
    cables = ", ".join(
        f"{name}: {{length_m: {m}{', spare: shelf' if name in spared else ''}}}" for name, m in lengths.items()
    )
    week = (
        f"devices: {{{stage}, side: {{model: console-16, along_stage_m: {at['side']}}}}}\n"
        f"consoles: {{side: {{channels: {{}}}}}}\ncables: {{{cables}}}\n"
    )
    before = resolved(BASE, week)
    for words in (
        "move west-box side/link-1 and move east-box side/link-1",
        "move east-box side/link-1 and move west-box side/link-1",
        "move west-box side/link-1",
        "move east-box side/link-1",
        "order east-box west-box",
    ):
        _, after = edits_of(before, words.split(), BUNDLED)
        used = sum(name not in lengths for name in after.rig.cables)
        assert (len(lacks(before, after)), used) == best_of(before, after), words
