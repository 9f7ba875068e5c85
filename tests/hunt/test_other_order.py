"""Boxes in another order: only what goes by the place of a box is moved by it, or tells of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from crew import Crew, answered_at, hunted
from rigs import BASE, resolved
from test_every_cause import DEMO, begun, rig_of, targets
from test_splits import TWO_DESKS

from lint.hunt.causes import DEAD, ELSEWHERE, WRONG
from lint.hunt.hunt import NO, YES, Hunt
from lint.hunt.sides import begun as side_begun
from lint.hunt.sides import sides_of
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


BOX = """
model_format: 1
kind: stage-box
inputs: {count: 16}
outputs: {count: 8, addressed: by-chain-order}
chain: {slots: {48000: 48}, max_boxes: 4, cable_kind: cat5e, cable_shielded: true, max_cable_m: 80}
"""


@pytest.mark.parametrize("symptom", [WRONG, ELSEWHERE])
def test_where_outputs_go_by_the_order_too_every_fault_is_found(tmp_path: Path, symptom: str) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "ordered.yaml").write_text(BOX)
    text = BASE.replace("{model: stage-box-16x8, output_bank: 1-8}", "{model: ordered}")
    text = text.replace("{model: stage-box-8x8,  output_bank: 9-16}", "{model: ordered}")
    rig = resolved(text, SPOKEN, tmp_path)
    hunted_order = 0
    for target in targets(rig, symptom, 1):
        start = begun(rig, target, symptom)
        paid = 0.0
        for fault in start.suspects:
            end, _, seconds = hunted(start, Crew(rig, target, fault))
            assert end.found is not None, (target.name, fault.key)
            assert end.found.key == fault.key, target.name
            paid += fault.share * seconds
            hunted_order += fault.cause.name == ORDER
        assert paid <= start.expected_s() + 1e-6
    assert hunted_order > 3


@pytest.mark.parametrize(("mate", "is_left"), [("choir", False), ("piano", True)])
def test_the_other_side_tells_of_the_order_only_from_the_same_box(mate: str, is_left: bool) -> None:
    rig = resolved(BASE, f"pairs: {{both: {{left: vocal, right: {mate}}}}}")
    target = target_of(rig, "both")
    _, hunt = side_begun(rig, target, sides_of(rig, "both", None, target), "left", (WRONG, []))
    assert (ORDER in suspected(answered_at(hunt.answered(YES), "other-side", YES))) is is_left
