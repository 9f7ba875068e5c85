"""What a plan counts and names: each plug of a split by itself, what a plug is moved for, the worst that is heard."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Any

from test_legs import SHARING

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.plan.cures import FEWEST, PLUGS, Mending
from lint.plan.intent import intent_of
from lint.plan.moves import POWERS
from lint.plan.outage import outage_of
from lint.plan.rescue import Spared
from lint.plan.spares import Rescuer
from lint.plan.whatif import what_if
from lint.report.spares import spares_text
from lint.report.whatif import whatif_text
from lint.rig.model import Models

CATALOGUE = load_catalogue()


def with_both_legs_on(*boxes: str) -> dict[str, Any]:
    """Return the rig with one source heard at both consoles, its plugs on these boxes."""
    data = deepcopy(SHARING)
    data["sources"] = {"s1": {"kind": "dynamic-microphone", "plugged_into": [f"{box}/in/3" for box in boxes]}}
    data["splits"]["stage"]["sources"] = ["s1"]
    data["channels"] = {"2": {"carries": "s1", "patched_from": "desk/link-1/3"}}
    data["consoles"]["mon"]["channels"] = {"2": {"carries": "s1", "patched_from": "mon/link-1/3"}}
    return data


def test_both_plugs_of_a_split_source_are_counted(built: Any, models: Models) -> None:
    words = ["lose", "box-a", "and", "lose", "box-b"]
    plan = what_if(built(with_both_legs_on("box-a", "box-b")), words, models, CATALOGUE)
    cure = plan.cures[FEWEST]
    assert [(step.plug, str(step.start), str(step.end)) for step in cure.handlings] == [
        ("s1", "box-a/in/3", "desk/in/2"),
        ("s1", "box-b/in/3", "mon/in/2"),
    ]
    text = " ".join(whatif_text(plan).split())
    assert "(c) 2 changes at the console or a box and 2 plugs (to another device)." in text
    assert "to make room" not in text


def test_a_step_that_makes_room_is_no_plug_more(built: Any, models: Models) -> None:
    data = deepcopy(SHARING)
    data["sources"] = {f"s{n}": {"kind": "dynamic-microphone", "plugged_into": f"box-a/in/{n}"} for n in (1, 2)}
    data["splits"], data["consoles"] = {}, {"mon": {"channels": {}}}
    data["channels"] = {str(n): {"carries": f"s{n}", "patched_from": f"desk/link-1/{n}"} for n in (1, 2)}
    data["devices"]["box-c"] = {"model": "grouped-4x2"}
    data["sources"]["s3"] = {"kind": "dynamic-microphone", "plugged_into": "box-c/in/1"}
    data["channels"]["3"] = {"carries": "s3", "patched_from": "desk/link-1/5"}
    data["cables"]["to-box-c"] = {"from": "box-a/downstream", "to": "box-c/upstream"}
    plan = what_if(built(data), ["order", "box-c", "box-a"], models, CATALOGUE)
    cure = plan.cures[PLUGS]
    assert [(step.plug, str(step.end), step.is_on_the_way) for step in cure.handlings] == [
        ("s2", "box-c/in/2", False),
        ("s1", "box-a/in/3", True),
        ("s3", "box-a/in/1", False),
        ("s1", "box-c/in/1", False),
    ]
    text = " ".join(whatif_text(plan).split())
    assert "move plugs: 3 plugs (to another device), 1 step more to make room" in text


def test_a_rescue_counts_plugs_where_a_source_loses_two(built: Any, models: Models) -> None:
    data = with_both_legs_on("box-a", "box-b")
    data["power"] = {"jurisdiction": "eu", "circuits": {"stage": {"volts": 230, "breaker_a": 16}}}
    for box in ("box-a", "box-b"):
        data["devices"][box]["circuit"] = "stage"
    before = built(data)
    outage = outage_of(before, "stage", models)
    rescue = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models)).rescue()
    assert len(rescue.lost) == 2
    text = spares_text(Spared(outage, rescue, check_rig(rescue.cure.result, CATALOGUE)))
    assert "\n2 plugs of 1 source lost: s1.\n" in text


def test_a_plug_where_only_another_source_s_channel_listens_brings_phantom_power(built: Any, models: Models) -> None:
    data = deepcopy(SHARING)
    data["sources"]["s3"] = {"kind": "dynamic-microphone", "plugged_into": "box-a/in/4", "priority": 9}
    data["channels"]["4"] = {"carries": "s3", "patched_from": "desk/link-1/4", "phantom": "on"}
    data["sources"]["s0"]["priority"] = 1
    plan = what_if(built(data), ["lose", "mon"], models, CATALOGUE)
    steps = {(step.plug, str(step.start), str(step.end)): step.why for step in plan.cures[PLUGS].handlings}
    assert steps["s0", "box-b/in/1", "box-a/in/4"] == POWERS
    assert "s0" not in plan.cures[PLUGS].result.phantom.unpowered


def test_a_box_that_only_the_change_takes_from_its_console_is_not_said_to_be_cut_off_now(
    built: Any, models: Models
) -> None:
    words = ["lose", "box-a", "and", "move", "box-b", "desk/link-1"]
    cure = what_if(built(SHARING), words, models, CATALOGUE).cures[FEWEST]
    (off,) = [step for step in cure.quiet.first if "switch off box-" in step]
    assert off.startswith("once the change is made no console reaches box-a, box-b, and phantom power may still be on")
    lost = what_if(built(SHARING), words[:2], models, CATALOGUE).cures[FEWEST]
    assert any(step.startswith("no console reaches box-a now, and phantom power may") for step in lost.quiet.first)


def test_the_end_names_the_worst_three_that_get_a_wrong_mix(built: Any, models: Models) -> None:
    data: dict[str, Any] = {
        "rig_format": 1,
        "devices": {
            "desk": {"model": "console-mini"},
            "box-a": {"model": "mini-4x4", "output_bank": "1-4"},
            "box-b": {"model": "mini-4x4", "output_bank": "5-8"},
        },
        "cables": {
            "to-box-a": {"from": "desk/link-1", "to": "box-a/upstream"},
            "to-box-b": {"from": "box-a/downstream", "to": "box-b/upstream"},
        },
        "sources": {"vox": {"kind": "dynamic-microphone", "plugged_into": "box-a/in/1"}},
        "channels": {"1": {"carries": "vox", "patched_from": "desk/link-1/1"}},
        "mixes": {name: {"kind": "monitor", "takes": {"channels": [1]}} for name in ("m1", "m2", "m3", "click")}
        | {"house": {"kind": "house", "takes": {"channels": [1]}}},
        "feeds": {
            "desk/link-1": {
                "1": "click",
                "2": "click",
                "3": "click",
                "4": "click",
                "5": "m1",
                "6": "m2",
                "7": "m3",
                "8": "house",
            }
        },
        "destinations": {
            f"wedge-{n}": {"kind": "wedge", "plugged_into": f"box-b/out/{n}", "expects": f"m{n}"} for n in (1, 2, 3)
        }
        | {"house-pa": {"kind": "house-loudspeaker", "plugged_into": "box-b/out/4", "expects": "house"}},
    }
    plan = what_if(built(data), ["bank", "box-b", "1-4"], models, CATALOGUE)
    text = re.sub("\x1b\\[[0-9]+m", "", whatif_text(plan))
    short = text.partition("In short (all of it stands above)\n")[2].splitlines()
    assert [line.split(" (")[0] for line in short[1:4]] == ["✗ house-pa", "✗ wedge-1", "✗ wedge-2"]
    assert short[4] == "  and 1 more"
