"""A pair that nobody may power goes where its own channels listen: what is told is why it is silent, not that it crossed."""

from __future__ import annotations

from pathlib import Path

from lint.check.catalogue import load_catalogue
from lint.plan.cures import PLUGS, Cure
from lint.plan.whatif import what_if
from lint.read.document import Document
from lint.read.parse import parse
from lint.report.whatif import steps_of
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

MODELS = Models(Path(__file__).parent / "both_ends")
ORDER = ["order", "box-b", "box-a"]
RIG = """
rig_format: 1
devices:
  desk:  {model: tiny}
  box-a: {model: grouped-8x8, output_bank: 1-8}
  box-b: {model: stage-box-8x8, output_bank: 9-16}
cables:
  trunk: {from: desk/link-1, to: box-a/upstream}
  ab:    {from: box-a/downstream, to: box-b/upstream}
sources:
  acoustic: {kind: active-di, plugged_into: box-a/in/1, priority: 1}
  choir:    {kind: condenser-microphone, plugged_into: box-a/in/2, priority: 1}
  oh-left:  {kind: condenser-microphone, plugged_into: box-b/in/LEFT, priority: 6}
  oh-right: {kind: condenser-microphone, plugged_into: box-b/in/RIGHT, priority: 6}
  radio:    {kind: wireless-receiver, plugged_into: box-b/in/3, priority: 1}
pairs: {oh: {left: oh-left, right: oh-right}}
channels:
  1: {carries: acoustic, patched_from: desk/link-1/1, phantom: on}
  2: {carries: choir, patched_from: desk/link-1/2, phantom: on}
  3: {carries: oh-left, patched_from: desk/link-1/LEFT_SLOT, phantom: on}
  4: {carries: oh-right, patched_from: desk/link-1/RIGHT_SLOT, phantom: on}
  5: {carries: radio, patched_from: desk/link-1/11, phantom: off}
"""

# Every other socket of both boxes is taken: the pair can go nowhere else.
REST = [*(("box-a", number, number) for number in range(3, 9)), *(("box-b", n, 8 + n) for n in range(4, 9))]
TOMS = "\n".join(
    f"  tom-{slot}: {{kind: dynamic-microphone, plugged_into: {box}/in/{number}}}" for box, number, slot in REST
)
TOM_CHANNELS = "\n".join(
    f"  {channel}: {{carries: tom-{slot}, patched_from: desk/link-1/{slot}, phantom: off}}"
    for channel, (_, _, slot) in enumerate(REST, 6)
)


def by_plugs(left: int, right: int) -> Cure:
    """The cure by plugs alone of a rig with the halves of the pair in these sockets of box-b."""
    text = RIG.replace("LEFT_SLOT", str(8 + left)).replace("RIGHT_SLOT", str(8 + right))
    text = text.replace("LEFT", str(left)).replace("RIGHT", str(right)).replace("pairs:", f"{TOMS}\npairs:")
    read, marks = parse(text + TOM_CHANNELS, "rig.yaml")
    rig = resolve_rig(build_rig(Document(read, marks, ("rig.yaml",), ()), "rig.yaml", MODELS))
    return what_if(rig, ORDER, MODELS, load_catalogue()).cures[PLUGS]


def test_what_no_channel_may_power_stands_before_its_own_channel() -> None:
    for left, right in ((1, 2), (2, 1)):
        cure = by_plugs(left, right)
        sockets = {name: str(cure.result.rig.sources[name].sockets[0]) for name in ("oh-left", "oh-right")}
        assert sockets == {"oh-left": f"box-a/in/{left}", "oh-right": f"box-a/in/{right}"}
        assert sorted(map(str, cure.unmet)) == [
            f"{name} ({sockets[name]}) needs phantom power, and gets none: radio on the same switch must not have it"
            for name in ("oh-left", "oh-right")
        ]
        (left_off,) = [step for step in steps_of(cure) if step.startswith("leave channels")]
        assert "radio, on the same switch, must not have it; oh-left and oh-right need it and go without" in left_off
