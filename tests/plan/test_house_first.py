"""Where outputs are too few: the house loudspeakers first, then the rest of the house, musicians, and all else."""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import BUNDLED, examples, of_data
from test_rescue import rescuer
from typer.testing import CliRunner

from lint.cli import app
from lint.plan.whatif import what_if

# Written down again, not taken from the code.
ORDER = (
    {"house-loudspeaker"},
    {"subwoofer", "delay-loudspeaker", "fill-loudspeaker", "zone-loudspeaker", "hearing-assistance"},
    {"wedge", "ear-transmitter", "headphone-amplifier"},
    {"recorder", "stream-encoder", "broadcast-feed", "control-room-monitor"},
)
KINDS = sorted(set().union(*ORDER))


def outputs_rig(kinds: list[str], free: int) -> dict[str, Any]:
    """Destinations on a box that will be lost, and a console of whose own outputs so many are free."""
    mixes = {f"mix-{n}": {"kind": "monitor" if kind in ORDER[2] else "house"} for n, kind in enumerate(kinds)}
    hung = {
        f"end-{n}": {"kind": kind, "plugged_into": f"box/out/{n + 1}", "expects": f"mix-{n}"}
        for n, kind in enumerate(kinds)
    }
    mixes["own"] = {"kind": "record"}
    hung |= {
        f"own-{n}": {"kind": "recorder", "plugged_into": f"desk/out/{n}", "expects": "own"} for n in range(free + 1, 17)
    }
    return {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-32"}, "box": {"model": "stage-box-16x8", "output_bank": "1-8"}},
        "cables": {"trunk": {"from": "desk/link-1", "to": "box/upstream"}},
        "mixes": mixes,
        "feeds": {
            "desk/link-1": {str(n + 1): f"mix-{n}" for n in range(len(kinds))},
            "desk/out": {str(n): "own" for n in range(free + 1, 17)},
        },
        "destinations": hung,
    }


def left_by_rank(kinds: list[str], left: set[str]) -> list[int]:
    return [sum(kinds[int(name[4:])] in rank for name in left) for rank in ORDER]


@examples(1)
@given(st.lists(st.sampled_from(KINDS), min_size=1, max_size=6), st.integers(0, 6))
def test_a_rescue_gives_the_outputs_that_are_left_to_those_that_come_first(kinds: list[str], free: int) -> None:
    rescue = rescuer(json.dumps(outputs_rig(kinds, free)), "box").rescue()
    left = {f"end-{n}" for n in range(len(kinds))} - {row.name for row in rescue.outputs}
    count = max(0, len(kinds) - free)
    names = [f"end-{n}" for n in range(len(kinds))]
    assert left_by_rank(kinds, left) == min(
        left_by_rank(kinds, set(row)) for row in itertools.combinations(names, count)
    )


@pytest.mark.parametrize("way", ["plugs", "fewest"])
def test_a_cure_gives_them_to_the_house_too(way: str) -> None:
    data = outputs_rig(["wedge", "ear-transmitter", "recorder", "house-loudspeaker", "house-loudspeaker"], 2)
    if way == "plugs":  # the console sends at its own outputs what they are to carry
        data["feeds"]["desk/out"] |= {"1": "mix-0", "2": "mix-3"}
    plan = what_if(of_data(data), ["lose", "box"], BUNDLED, None)  # type: ignore[arg-type]
    cure = plan.cures[way]
    moved = {step.plug for step in cure.handlings}
    assert moved == ({"end-0", "end-3"} if way == "plugs" else {"end-3", "end-4"})


def test_one_of_the_house_outweighs_all_of_the_others_together() -> None:
    """The house takes a row of two plugs, both of which two musicians would have."""
    data = outputs_rig(["wedge", "wedge"], 2)
    data["mixes"]["pa"] = {"kind": "house", "width": "stereo"}
    data["feeds"]["desk/link-1"]["7-8"] = "pa"
    data["destinations"]["end-2"] = {"kind": "house-loudspeaker", "plugged_into": "box/out/7-8", "expects": "pa"}
    rescue = rescuer(json.dumps(data), "box").rescue()
    assert {row.name for row in rescue.outputs} == {"end-2 (plug 1)", "end-2 (plug 2)"}


def test_an_amplifier_of_the_house_comes_with_its_loudspeakers() -> None:
    data = outputs_rig(["wedge", "wedge", "wedge"], 1)
    data["mixes"]["pa"] = {"kind": "house"}
    data["amplifiers"] = {
        "amp": {
            "plugged_into": "box/out/8",
            "expects": "pa",
            "outputs": {"a": {"loudspeakers": [{"impedance_ohm": 8}]}},
        }
    }
    data["feeds"]["desk/link-1"]["8"] = "pa"
    rescue = rescuer(json.dumps(data), "box").rescue()
    assert [row.name.partition(" ")[0] for row in rescue.outputs] == ["amp"]


# -- what may be taken off ------------------------------------------------------------------------------------------


def full(own: str, lost: list[str]) -> dict[str, Any]:
    """A rig without a free output, on one of which hangs something of a kind."""
    data = outputs_rig(lost, 0)
    data["mixes"] |= {"last": {"kind": "monitor"}}
    data["feeds"]["desk/out"]["5"] = "last"
    data["destinations"]["own-5"] = {"kind": own, "plugged_into": "desk/out/5", "expects": "last"}
    for name, row in data["destinations"].items():
        if name.startswith("own-") and name != "own-5":
            row["kind"] = "house-loudspeaker"
    return data


@examples(0.5)
@given(st.sampled_from(KINDS), st.lists(st.sampled_from(KINDS), min_size=1, max_size=4))
def test_only_what_comes_after_those_that_are_left_may_be_taken_off(own: str, lost: list[str]) -> None:
    def rank(kind: str) -> int:
        return next(n for n, kinds in enumerate(ORDER) if kind in kinds)

    rescue = rescuer(json.dumps(full(own, lost)), "box").rescue()
    assert rescue.is_short_of_outputs
    first = min(map(rank, lost))
    if first >= rank(own):
        assert rescue.output_room == ()
        return
    (row,) = rescue.output_room
    assert (row.plug, [str(socket) for socket in row.sockets]) == ("own-5", ["desk/out/5"])
    (saved,) = row.saves
    assert rank(lost[int(saved[4:])]) == first


def test_it_is_told_who_comes_first_and_what_may_be_taken_off(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(json.dumps(full("wedge", ["wedge", "house-loudspeaker"])), encoding="utf-8")
    shown = " ".join(CliRunner().invoke(app, ["spares", str(path), "box"]).output.split())
    assert (
        "Of the outputs the house loudspeakers, then subwoofers, fills, delays, zones and hearing assistance alike, then"
        in shown
    )
    assert "unplug what comes after it, the first first: own-5 (desk/out/5) for end-1." in shown
    data = json.loads(CliRunner().invoke(app, ["spares", str(path), "box", "--format", "json"]).output)
    assert data["outputs_that_may_be_unplugged"] == [{"plug": "own-5", "from": ["desk/out/5"], "for": ["end-1"]}]
    path.write_text(json.dumps(outputs_rig(["wedge", "house-loudspeaker"], 1)), encoding="utf-8")
    shown = " ".join(CliRunner().invoke(app, ["whatif", str(path), "lose", "box"]).output.split())
    assert "of the outputs the house loudspeakers, then" in shown


def test_the_labels_say_what_a_left_and_a_right_get_wherever_each_is_plugged() -> None:
    data = outputs_rig(["wedge"] * 6 + ["house-loudspeaker"] * 2, 2)
    rescue = rescuer(json.dumps(data), "box").rescue()
    assert {row.name: str(row.signal) for row in rescue.outputs} == {"end-6": "mix-6", "end-7": "mix-7"}
    result = rescue.cure.result
    for row in rescue.outputs:
        assert result.rig.destinations[row.name].sockets == (row.socket,)
        assert result.departure(row.socket).signal == row.signal


# -- what nothing plays on ------------------------------------------------------------------------------------------


def test_a_wedge_that_nothing_would_play_on_comes_after_all_that_plays() -> None:
    """The first wedge hears what is lost with the box alone; the recorder and the other wedge hear what lives."""
    data = outputs_rig(["wedge", "wedge", "recorder"], 2)
    data["sources"] = {
        "lost": {"kind": "dynamic-microphone", "plugged_into": "box/in/1"},
        "lives": {"kind": "dynamic-microphone", "plugged_into": "desk/in/1"},
    } | {f"own-{n}": {"kind": "player", "plugged_into": f"desk/in/{n}", "priority": 1} for n in range(2, 33)}
    data["channels"] = {
        "1": {"carries": "lost", "patched_from": "desk/link-1/1"},
        "2": {"carries": "lives", "patched_from": "desk/in/1"},
    }
    for name, channel in (("mix-0", 1), ("mix-1", 2), ("mix-2", 2)):
        data["mixes"][name]["takes"] = {"channels": [channel]}
    rescue = rescuer(json.dumps(data), "box").rescue()
    assert {row.name for row in rescue.outputs} == {"end-1", "end-2"}
    assert rescue.mute == ("end-0",)
    # Where its source finds a socket it comes before the recorder as ever.
    del data["sources"]["own-2"]
    assert {row.name for row in rescuer(json.dumps(data), "box").rescue().outputs} == {"end-0", "end-1"}


def test_of_what_nothing_plays_on_the_first_comes_first_and_it_is_said(tmp_path: Path) -> None:
    data = outputs_rig(["recorder", "wedge", "wedge"], 2)
    data["sources"] = {"lost": {"kind": "dynamic-microphone", "plugged_into": "box/in/1"}}
    data["sources"] |= {f"own-{n}": {"kind": "player", "plugged_into": f"desk/in/{n}"} for n in range(1, 33)}
    data["channels"] = {
        "1": {"carries": "lost", "patched_from": "desk/link-1/1"},
        "2": {"carries": "own-1", "patched_from": "desk/in/1"},
    }
    for name, channel in (("mix-0", 1), ("mix-1", 1), ("mix-2", 2)):
        data["mixes"][name]["takes"] = {"channels": [channel]}
    rescue = rescuer(json.dumps(data), "box").rescue()
    assert {row.name for row in rescue.outputs} == {"end-1", "end-2"}
    rig = tmp_path / "rig.yaml"
    rig.write_text(json.dumps(data), encoding="utf-8")
    text = " ".join(CliRunner().invoke(app, ["spares", str(rig), "box"]).output.split())
    assert "then recorders, streams and the rest; last of all what nothing plays on then (end-0, end-1)." in text
