"""A split source that a dead console powered: of two plugs that could move, that moves which sits in what is dead."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from lint.cli import app

MODEL = """\
model_format: 1
kind: stage-box
inputs: {count: 8, phantom: groups, phantom_group_size: 4}
outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}
chain: {slots: {48000: 48}}
"""
RIG = """\
rig_format: 1
devices:
  desk:  {{model: console-32, along_stage_m: 30}}
  mon:   {{model: console-16, along_stage_m: 12}}
  left:  {{model: stage-box-16x8, along_stage_m: 0}}
  right: {{model: by-fours, along_stage_m: 9}}
  mbox:  {{model: stage-box-8x8, along_stage_m: {place_m}}}
cables:
  trunk:    {{from: desk/link-1, to: left/upstream}}
  crossing: {{from: left/downstream, to: right/upstream}}
  montrunk: {{from: mon/link-1, to: mbox/upstream}}
sources:
  keys:   {{kind: active-di, plugged_into: [right/in/1, mbox/in/1]}}
  {others}
splits: {{snake: {{kind: analogue, sources: [keys]}}}}
channels:
  1: {{carries: keys, patched_from: desk/link-1/17, phantom: off}}
  2: {{carries: violin, patched_from: desk/link-1/18, phantom: off}}
  3: {{carries: harp, patched_from: desk/link-1/21, phantom: off}}
consoles:
  mon: {{channels: {{1: {{carries: keys, patched_from: mon/link-1/1, phantom: on}}}}}}
"""
# Ribbons on both switches of the right box: keys has no phantom power in any socket of it.
RIBBONS = (
    "violin: {kind: ribbon-microphone, plugged_into: right/in/2}\n"
    "  harp: {kind: ribbon-microphone, plugged_into: right/in/5}"
)


@pytest.fixture
def house(tmp_path: Path) -> Path:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "by-fours.yaml").write_text(MODEL, encoding="utf-8")
    (tmp_path / "house.yaml").write_text("rig_format: 1\n", encoding="utf-8")
    return tmp_path


def told(house: Path, place_m: int) -> str:
    path = house / "rig.yaml"
    path.write_text(RIG.format(others=RIBBONS, place_m=place_m), encoding="utf-8")
    return " ".join(CliRunner().invoke(app, ["spares", str(path), "mon"]).output.split())


def test_the_plug_leaves_what_is_dead_and_no_trap_stays(house: Path) -> None:
    text = told(house, 10)
    assert "keys: from mbox/in/1 into left/in/1, about 10 m off" in text
    assert "take keys out of mbox/in/1" not in text
    assert "once mon is back" not in text


def test_it_does_not_where_that_is_carried_much_farther(house: Path) -> None:
    text = told(house, 28)
    assert "keys: from right/in/1 into left/in/1, about 9 m off" in text
    assert "once mon is back, first switch phantom power off on channel 1 on mon" in text
