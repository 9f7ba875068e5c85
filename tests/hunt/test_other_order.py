"""Boxes in another order: only what goes by the place of a box is moved by it, or tells of it."""

from __future__ import annotations

import pytest
from crew import answered_at
from rigs import BASE, resolved
from test_every_cause import DEMO, begun, rig_of
from test_splits import TWO_DESKS

from lint.hunt.causes import DEAD, WRONG
from lint.hunt.hunt import NO, YES, Hunt
from lint.hunt.target import target_of

ORDER = "chain-order"
SPOKEN = """
sources: {pastor: {kind: wireless-receiver, plugged_into: desk/in/1}}
channels: {16: {carries: pastor, patched_from: desk/in/1}}
mixes: {house: {takes: {channels: [1-3, 16]}}}
"""


def suspected(hunt: Hunt) -> set[str]:
    return {row.cause.name for row in hunt.suspects}


@pytest.mark.parametrize(("said", "is_left"), [(YES, True), (NO, False)])
def test_what_comes_by_no_box_tells_nothing_of_their_order(said: str, is_left: bool) -> None:
    """Heard by an output whose slots a selector gives, it is right in any order; so if it is wrong, that is not why."""
    rig = resolved(BASE, SPOKEN)
    hunt = begun(rig, target_of(rig, "vocal"), WRONG)
    assert "pastor" in next(point.ask for _, point in hunt.points.values() if point.name == "others")
    assert (ORDER in suspected(answered_at(hunt, "others", said))) is is_left


def test_nothing_else_in_the_mix_of_the_demo_clears_the_order_unless_it_is_of_that_box() -> None:
    rig = rig_of(DEMO)
    for name, source in rig.rig.sources.items():
        hunt = begun(rig, target_of(rig, name), WRONG)
        others = [point for _, point in hunt.points.values() if point.name == "others"]
        if ORDER not in suspected(hunt) or not others:
            continue
        other = others[0].ask.partition("such as ")[2].partition(":")[0]
        is_same_box = rig.rig.sources[other].sockets[0].device == source.sockets[0].device
        assert (ORDER in suspected(answered_at(hunt, "others", YES))) is not is_same_box, (name, other)


def test_what_no_order_moves_is_not_suspected_of_it() -> None:
    rig = resolved(BASE, SPOKEN)
    assert ORDER in suspected(begun(rig, target_of(rig, "vocal"), WRONG))
    assert ORDER not in suspected(begun(rig, target_of(rig, "pastor"), WRONG))
    alone = rig_of(TWO_DESKS)  # one box has no order
    assert ORDER not in suspected(begun(alone, target_of(alone, "kick"), DEAD))
