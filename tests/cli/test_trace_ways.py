"""`rigwalk trace --upstream`, `--downstream` and `--to`."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from lint.cli import app

CLEAN, FAULTY = "hall/rigs/clean-week.yaml", "hall/rigs/faulty-week.yaml"
pytestmark = pytest.mark.usefixtures("house")


def trace(*arguments: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, ["trace", *arguments])


def test_everything_that_gets_to_a_wedge() -> None:
    done = trace(CLEAN, "singer-wedge", "--upstream")
    assert done.exit_code == 0
    assert done.stdout.startswith(
        "Everything that gets to singer-wedge\n  sources (5): lead-vocal, backing-1, backing-2, keys-left, keys-right\n"
    )


def test_everything_that_a_socket_feeds() -> None:
    done = trace(CLEAN, "west-box/in/10", "--downstream")
    assert done.exit_code == 0
    assert "  destinations (11): house-left, house-right, sub, recorder," in done.stdout


def test_every_way_between_two_things() -> None:
    done = trace(CLEAN, "lead-vocal", "--to", "singer-wedge")
    assert done.exit_code == 0
    assert done.stdout == (
        "1 way from lead-vocal to singer-wedge\n"
        "  1. lead-vocal → west-box/in/10 → desk/link-1/10 → desk/channel/10 → singer-mon\n"
        "       → desk/link-1/1 → west-box/out/1 → singer-wedge\n"
        "     ✓ nothing stops it by the file\n\n"
    )


def test_no_way_and_nothing_upstream_are_1() -> None:
    assert trace(CLEAN, "lead-vocal", "--to", "choir-wedge").stdout.startswith("✗ No signal gets from lead-vocal to")
    assert trace(CLEAN, "lead-vocal", "--to", "choir-wedge").exit_code == 1
    assert trace(CLEAN, "east-box/in/8", "--downstream").exit_code == 1


def test_what_stops_a_signal_stands_first_with_what_was_expected_below() -> None:
    done = trace(FAULTY, "house-left")
    assert done.exit_code == 1
    assert done.stdout.startswith(
        "✗ east-box/out/7 carries slot desk/link-1/7 (selector: 1-8): nothing is sent\n  there\n✗ "
    )
    assert "  → expected: house.left\n    → house.left leaves on slot desk/link-1/15\n" in done.stdout


def test_two_questions_at_once_and_unknown_things_are_2() -> None:
    done = trace(CLEAN, "kick", "--upstream", "--downstream")
    assert (done.exit_code, done.stderr) == (
        2, "--to, --upstream and --downstream are three questions; ask one at a time\n",
    )  # fmt: skip
    assert trace(CLEAN, "kick", "--to", "singer-wedg").stderr == (
        f"{CLEAN}: nothing here is called 'singer-wedg'; did you mean\n  'singer-wedge'? "
        "(a source, pair, channel number, mix, destination, box,\n  amplifier, link cable, circuit, socket or slot)\n"
    )


def test_a_source_that_comes_out_on_another_channel_is_told_first(house: Path) -> None:
    text = (house / "rigs" / "clean-week.yaml").read_text(encoding="utf-8")
    wrong = text.replace("desk/link-1/10,", "desk/link-1/0,").replace("desk/link-1/11,", "desk/link-1/10,")
    (house / "rigs" / "wrong.yaml").write_text(wrong.replace("desk/link-1/0,", "desk/link-1/11,"), encoding="utf-8")
    done = trace("hall/rigs/wrong.yaml", "lead-vocal")
    assert done.exit_code == 1
    lines = done.stdout.splitlines()
    assert lines[0] == "✗ lead-vocal does not reach channel 10 (Lead vox); it comes out on channel 11"
    assert trace(CLEAN, "lead-vocal").stdout.startswith("✓ Nothing stops it")


def test_a_link_cable_tells_what_rides_on_it_and_a_circuit_what_it_feeds() -> None:
    lines = [line.strip() for line in trace(CLEAN, "crossing").stdout.splitlines()]
    assert "crossing, link cable from west-box/downstream to east-box/upstream" in lines
    assert "→ east-box/in/1 → desk/link-1/17: violin" in lines
    assert any(line.startswith("→ loft-box, ") for line in lines)
    assert not any("west-box/in" in line for line in lines)
    fed = trace(CLEAN, "stage-right").stdout
    assert "stage-right, mains circuit, feeds" in fed
    assert "east-box/in/1 → desk/link-1/17: violin" in fed


def test_ways_from_a_whole_box_are_each_told_once() -> None:
    text = trace(CLEAN, "west-box", "--to", "singer-wedge").stdout
    ways = " ".join(text.split()).split(". ")[1:]
    ends = [way.rpartition(" ")[0] for way in ways]
    assert len(set(ends)) == len(ends)
    assert not any(way.startswith("west-box/out") and "west-box/in" in way for way in ways)


def test_what_rides_on_a_link_cable_and_what_is_silent_without_it() -> None:
    done = trace(CLEAN, "stairwell", "--downstream")
    assert done.exit_code == 0
    text = " ".join(done.stdout.split())
    assert text.startswith("Everything that stairwell feeds input sockets (7): loft-box/in/1, loft-box/in/2,")
    assert text.endswith(
        "silent without stairwell (8): soprano, alto, tenor, choir-bass, organ-left, organ-right, soloist, choir-wedge"
    )
    come = " ".join(trace(CLEAN, "stairwell", "--upstream").stdout.split())
    assert "loft-box/in/1, loft-box/in/2," in come
    assert "output sockets" not in come
    assert "silent without" not in come
    assert "  1. soprano → loft-box/in/1\n" in trace(CLEAN, "soprano", "--to", "stairwell").stdout


def test_a_circuit_takes_the_boxes_behind_its_own_along() -> None:
    text = " ".join(trace(CLEAN, "stage-right", "--downstream").stdout.split())
    assert "input sockets (14): east-box/in/1," in text
    silent = text.partition("silent without stage-right (")[2]
    assert {"violin", "organ-left", "strings-wedge", "house-left"} <= set(silent.partition(": ")[2].split(", "))
    assert "kick" not in silent


def test_json_has_one_shape_for_every_question() -> None:
    path = json.loads(trace(FAULTY, "house-left", "--format", "json").stdout)
    assert path["question"] == "path"
    assert not path["whole"]
    assert path["wrong"][0].startswith("east-box/out/7 carries slot desk/link-1/7")
    assert path["steps"][0]["text"].startswith("house-left")
    done = trace(CLEAN, "crossing", "--downstream", "--format", "json")
    fed = json.loads(done.stdout)
    assert done.exit_code == 0
    assert "loft-box/in/1" in fed["reached"]["input-socket"]
    assert "violin" in fed["silent_without"]
    ways = json.loads(trace(CLEAN, "lead-vocal", "--to", "singer-wedge", "--format", "json").stdout)
    assert [node["name"] for node in ways["ways"][0]][-2:] == ["west-box/out/1", "singer-wedge"]
    assert (ways["to"], ways["steps"], ways["more_ways"]) == ("singer-wedge", None, False)


def test_what_stops_is_told_with_its_subject_first() -> None:
    lines = trace(FAULTY, "lead-vocal").stdout.splitlines()
    assert "✗ house.left leaves on slot desk/link-1/15: no box's selector takes that slot" in lines
    assert not any(line.startswith(("✗ it ", "✗ no ")) for line in lines)


def test_the_console_is_traced_too_and_feeds_all_that_its_mixes_do() -> None:
    done = trace(CLEAN, "desk")
    assert done.exit_code == 0
    lines = [line.strip() for line in done.stdout.splitlines()]
    assert "desk, console-48: console" in lines
    assert "→ desk/link-1: west-box, east-box, loft-box" in lines
    assert "→ desk/in/1: radio-1 → channel 33 (HH red)" in lines
    assert "→ desk/out/5 carries foyer-mix: foyer" in lines
    fed = " ".join(trace(CLEAN, "desk", "--downstream").stdout.split())
    assert "destinations (14): singer-wedge," in fed or "destinations (14): house-left," in fed
    come = trace(CLEAN, "desk", "--upstream").stdout
    assert "  sources (36): " in come
    assert "what the console sends" not in come


LABELLED = """
rig_format: 1
extends: clean-week.yaml
channels: {10: {label: Lead-vocal}}
"""


def test_a_name_means_that_alone_and_not_a_channel_with_such_a_label(house: Path) -> None:
    (house / "rigs" / "labelled.yaml").write_text(LABELLED, encoding="utf-8")
    assert trace("hall/rigs/labelled.yaml", "lead-vocal", "--upstream").stdout.startswith(
        "Everything that gets to lead-vocal: nothing."
    )
    assert "  channels (3): desk/channel/10," in trace("hall/rigs/labelled.yaml", "lead-vocal", "--downstream").stdout


def test_the_order_of_what_is_told_is_the_same_at_every_run(house: Path) -> None:
    command = [str(Path(sys.executable).parent / "rigwalk"), "trace", CLEAN, "lead-vocal", "--downstream"]
    told = {
        subprocess.run(
            command, cwd=house.parent, env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, text=True, check=False
        ).stdout
        for seed in ("1", "2", "3")
    }  # fmt: skip
    assert len(told) == 1
    assert "what the console sends" in told.pop()


def test_a_pair_stands_for_both_its_sources() -> None:
    done = trace(CLEAN, "organ")
    assert done.exit_code == 0
    tops = [line for line in done.stdout.splitlines() if line and line[0] not in " ✓"]
    assert tops == ["organ-left, condenser-microphone", "organ-right, condenser-microphone"]
    ways = trace(CLEAN, "organ", "--to", "recorder").stdout
    assert "organ-left → loft-box/in/5" in ways
    assert "organ-right → loft-box/in/6" in ways
    one = trace(CLEAN, "organ", "--to", "house-left").stdout  # organ-right is panned away from there
    assert "1 way from organ to house-left" in one
    assert "house (panned left)" in " ".join(one.split())
    assert trace(CLEAN, "organ-right", "--to", "house-left").exit_code == 1
    assert "house (left)" in trace(CLEAN, "house-left", "--upstream").stdout
    assert "input sockets (2): loft-box/in/5, loft-box/in/6" in trace(CLEAN, "organ", "--downstream").stdout
    assert "did you mean 'organ'?" in " ".join(trace(CLEAN, "orgn").stderr.split())


@pytest.mark.parametrize("what", ["desk/in/40", "desk/out/12", "desk/link-1/48"])
def test_a_socket_that_nothing_uses_is_no_fault(what: str) -> None:
    done = trace(CLEAN, what)
    assert done.stdout.startswith("Nothing uses it, so there is no signal to follow.\n")
    assert done.exit_code == 0
    assert json.loads(trace(CLEAN, what, "--format", "json").stdout)["wrong"] == []


TWO_DESKS = Path(__file__).parents[1] / "hunt" / "two-desks.yaml"


@pytest.mark.parametrize(
    ("what", "to", "more", "why"),
    [
        ("hat", "house-l", "", []),
        ("kick", "house-l", "dead: {abox/in/2: crackles}", ["abox/in/2 is dead (crackles), so nothing gets through"]),
        ("hat", "house-l", "no phantom", ["hat needs phantom power and gets none: silent"]),
        (
            "vox",
            "ears",
            "power: {circuits: {left: {dark: true}, back: {}}}",
            ["mon has no mains: its circuit left is dark, so nothing gets through"],
        ),
        ("kick", "desk/channel/2", "dead: {desk: no picture}", ["desk is dead (no picture), so nothing gets through"]),
        ("house", "house-l", "dead: {abox/in/2: crackles}", []),
    ],
)
def test_each_way_says_whether_anything_arrives_in_the_words_of_the_trace(
    tmp_path: Path, what: str, to: str, more: str, why: list[str]
) -> None:
    text, week = TWO_DESKS.read_text(encoding="utf-8"), str(tmp_path / "week.yaml")
    off = text.replace("desk/link-1/3, phantom: on", "desk/link-1/3, phantom: off")
    Path(week).write_text(off if more == "no phantom" else f"{text}{more}\n", encoding="utf-8")
    done = trace(week, what, "--to", to)
    flat = " ".join(done.stdout.split())
    report = json.loads(trace(week, what, "--to", to, "--format", "json").stdout)
    assert report["ways_stopped_by"] == [why] * len(report["ways"])
    assert report["ways"]
    assert ("✓ nothing stops it by the file" in flat) is (not why)
    assert done.exit_code == int(bool(why))
    assert report["whole"] is not bool(why)
    for reason in why:
        assert f"✗ {reason}" in flat
        assert reason.removesuffix(", so nothing gets through") in " ".join(trace(week, what).stdout.split())
