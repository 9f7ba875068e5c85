"""Outputs that are too few: what may be taken off for whom, how far that is carried, and what one side alone means."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from lint.cli import app

CONSOLE = """\
model_format: 1
kind: console
inputs: {count: 8}
outputs: {count: 2}
channels: 16
links: {link-1: {slots: {48000: 48}}}
"""


@pytest.fixture
def house(tmp_path: Path) -> Path:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "small-desk.yaml").write_text(CONSOLE, encoding="utf-8")
    (tmp_path / "house.yaml").write_text("rig_format: 1\n", encoding="utf-8")
    return tmp_path


def rig() -> dict[str, Any]:
    """The right of the house and a wedge hang on a box that is lost; wedges and a recorder have all other outputs."""
    wedges = {f"w{n}": {"kind": "wedge", "plugged_into": f"left/out/{n}", "expects": "mon"} for n in range(1, 9)}
    return {
        "rig_format": 1,
        "devices": {
            "desk": {"model": "small-desk", "along_stage_m": 30},
            "left": {"model": "stage-box-8x8", "output_bank": "1-8", "along_stage_m": 0},
            "right": {"model": "stage-box-8x8", "output_bank": "9-16", "along_stage_m": 9},
        },
        "cables": {
            "trunk": {"from": "desk/link-1", "to": "left/upstream", "length_m": 50},
            "crossing": {"from": "left/downstream", "to": "right/upstream", "length_m": 15},
        },
        "sources": {
            "lead": {"kind": "dynamic-microphone", "plugged_into": "left/in/1"},
            "fiddle": {"kind": "dynamic-microphone", "plugged_into": "right/in/1"},
        },
        "channels": {
            "1": {"carries": "lead", "patched_from": "desk/link-1/1"},
            "2": {"carries": "fiddle", "patched_from": "desk/link-1/9"},
        },
        "mixes": {
            "house": {"kind": "house", "width": "stereo", "takes": {"channels": [1, 2]}},
            "record": {"kind": "record", "width": "stereo", "takes": {"channels": [1, 2]}},
            "mon": {"kind": "monitor", "takes": {"channels": [1]}},
            "fiddle-mon": {"kind": "monitor", "takes": {"channels": [2]}},
        },
        "feeds": {
            "desk/link-1": {**{str(n): "mon" for n in range(1, 9)}, "9": "fiddle-mon", "15-16": "house"},
            "desk/out": {"1-2": "record"},
        },
        "destinations": {
            **wedges,
            "recorder": {"kind": "recorder", "plugged_into": "desk/out/1-2", "expects": "record"},
            "fiddle-wedge": {"kind": "wedge", "plugged_into": "right/out/1", "expects": "fiddle-mon"},
            "house-left": {"kind": "house-loudspeaker", "plugged_into": "right/out/7", "expects": "house.left"},
            "house-right": {"kind": "house-loudspeaker", "plugged_into": "right/out/8", "expects": "house.right"},
        },
    }


def told(house: Path, data: dict[str, Any]) -> str:
    path = house / "rig.yaml"
    path.write_text(json.dumps(data), encoding="utf-8")
    return " ".join(CliRunner().invoke(app, ["spares", str(path), "right"]).output.split())


def test_a_silent_wedge_is_no_reason_to_unplug_a_recorder(house: Path) -> None:
    data = rig()
    del data["destinations"]["house-left"]
    # All inputs of the left are taken, those of the desk too: the fiddle is lost, and its wedge has nothing to play.
    for device, numbers in (("left", range(2, 9)), ("desk", range(1, 9))):
        for number in numbers:
            data["sources"][f"{device}-{number}"] = {
                "kind": "dynamic-microphone",
                "plugged_into": f"{device}/in/{number}",
                "priority": 1,
            }
            point = f"desk/link-1/{number}" if device == "left" else f"desk/in/{number}"
            data["channels"][str(len(data["channels"]) + 1)] = {
                "carries": f"{device}-{number}",
                "patched_from": point,
            }
    text = told(house, data)
    assert "last of all what nothing plays on then (fiddle-wedge)" in text
    room = text.partition("To make room, unplug what comes after it, the first first: ")[2].partition("The whole")[0]
    assert room.strip() == (
        "recorder (desk/out/1, desk/out/2) for house-right, about 46 m off "
        "(or w1 (left/out/1), about 9 m off, though that comes before it)."
    )


def test_of_one_side_of_the_house_it_is_said_what_nobody_hears(house: Path) -> None:
    data = rig()
    for number in (7, 8):
        del data["destinations"][f"w{number}"]
        del data["feeds"]["desk/link-1"][str(number)]
    data["channels"]["1"]["pan"], data["channels"]["2"]["pan"] = "left", "right"
    assert "hears only" not in told(house, data)  # both sides find an output
    data["destinations"]["sub"] = {"kind": "subwoofer", "plugged_into": "left/out/8", "expects": "house.mono"}
    data["feeds"]["desk/link-1"]["8"] = "house.mono"
    assert (
        "The room hears only the left of house then (house-left): what is panned right (channel 2) is lost to it; pan it "
        "to the middle, or send house.mono instead of house.left at desk/link-1/7."
    ) in told(house, data)


def test_the_middle_is_not_sent_where_a_recorder_hears_that_side(house: Path) -> None:
    data = rig()
    for number in (7, 8):
        del data["destinations"][f"w{number}"]
        del data["feeds"]["desk/link-1"][str(number)]
    data["destinations"]["tape"] = {"kind": "recorder", "plugged_into": "left/out/8", "expects": "house.left"}
    data["feeds"]["desk/link-1"]["8"] = "house.left"
    data["feeds"]["desk/link-1"]["7"] = {"same_as": "desk/link-1/8"}
    text = told(house, data)
    assert "hears only the left of house" in text
    assert "instead of house.left" not in text
