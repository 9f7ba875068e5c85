"""`rigwalk spares`: what it says, what it writes, and what is not there."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from lint.cli import app
from lint.rig.build import load_rig

CLEAN = "hall/rigs/clean-week.yaml"


def call(*arguments: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, ["spares", *arguments])


@pytest.mark.usefixtures("house")
def test_a_dead_box_is_rescued_with_steps_and_labels() -> None:
    done = call(CLEAN, "east-box")
    text = done.stdout
    assert done.exit_code == 0
    assert text.startswith(
        "east-box is dead: nothing gets through it; no link cable at hand is known to\n  reach loft-box\n\n"
        "Below: first with what is at hand, then with a longer link cable (up to about 52\n"
        "  m for west-box/downstream to loft-box/upstream, to be measured first).\n\n14 sources lost: violin, cello,"
    )
    assert "All of them find a socket (42 free that any of them could use)." in text
    now, longer = text.split("\n\nIF A LONGER LINK CABLE IS FETCHED\n\n")
    assert "fetch" not in now
    assert "soprano: from loft-box/in/1 into desk/in/14, about 97 m off\n" in now
    assert "\nThe whole check after it: GO WITH CAUTIONS (" in now
    assert longer.startswith("7 sources lost: violin, cello,")
    assert "   1. fetch a link cable of 52 m or more for west-box/downstream to\n      loft-box/upstream" in longer
    assert "   5. take the link cable crossing out\n   6. take the link cable stairwell out\n" in longer
    assert "   7. plug the link cable that you fetched for stairwell from\n" in longer
    assert "this is 38 m" not in text
    assert "   8. violin: from east-box/in/1 into loft-box/in/8, about 38 m off\n" in longer
    assert "   3. switch phantom power off on channels 3, 5–7, 13–19, 22–23, 25–30, and wait\n" in longer
    assert "  loft-box/in/8   violin       17 (Violin)   on       38 m\n" in longer
    # 14 m, and not 38 m up to the gallery.
    assert "house-left: from east-box/out/7 into west-box/out/7, about 14 m off" in longer
    assert "The whole check after it: NO-GO (1 no-go, 5 notes)\n✗ the link cable stairwell is 38 m long" in longer
    for told in (now, longer):
        labels = told[told.index("New labels at the outputs") :].splitlines()
        assert "  west-box/out/7  house-left     house.left   14 m" in labels
    assert all(len(line) <= 80 for line in text.splitlines())


def test_json_has_the_rescue_with_a_longer_cable_beside_the_one_with_what_is_at_hand(house: Path) -> None:
    del house
    report = json.loads(call(CLEAN, "east-box", "--format", "json").stdout)
    longer = report["with_longer_cable"]
    assert (len(report["rescue"]), len(longer["rescue"])) == (14, 7)
    assert (report["verdict"], longer["verdict"]) == ("go-with-cautions", "no-go")
    assert (report["short_cables"], len(longer["short_cables"])) == ([], 1)
    assert longer["with_longer_cable"] is None


def test_the_rescued_rig_is_written_and_checks_as_was_said(house: Path) -> None:
    done = call(CLEAN, "stairwell", "--write", "hall/rigs/rescued.yaml")
    assert done.exit_code == 0
    assert CliRunner().invoke(app, ["check", "hall/rigs/rescued.yaml"]).exit_code == 0
    assert "# loft-box, choir gallery" in (house / "rigs" / "rescued.yaml").read_text(encoding="utf-8")


@pytest.mark.usefixtures("house")
def test_json_says_the_same() -> None:
    report = json.loads(call(CLEAN, "desk/in/1-3", "--format", "json").stdout)
    assert [(row["source"], row["to"]) for row in report["rescue"]] == [
        ("radio-1", "desk/in/7"), ("radio-2", "desk/in/8"), ("radio-3", "desk/in/9"),
    ]  # fmt: skip
    assert report["proved_best"] is True
    assert report["verdict"] == "go"
    assert report["patch"]["sources"]["radio-1"] == {"plugged_into": "desk/in/7"}


def test_who_finds_no_socket_is_told_and_what_may_make_room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("rig.yaml").write_text(
        """\
rig_format: 1
devices: {desk: {model: console-16}, a: {model: stage-box-8x8, output_bank: 1-8}, b: {model: stage-box-8x8, output_bank: 9-16}}
cables: {one: {from: desk/link-1, to: a/upstream}, two: {from: a/downstream, to: b/upstream}}
sources:
"""
        + "".join(f"  a{n}: {{kind: dynamic-microphone, plugged_into: a/in/{n}, priority: 7}}\n" for n in range(1, 9))
        + "".join(f"  d{n}: {{kind: player, plugged_into: desk/in/{n}, priority: 3}}\n" for n in range(1, 17))
        + "  vocal: {kind: dynamic-microphone, plugged_into: b/in/1, priority: 1}\n"
        + "channels:\n  1: {carries: vocal, patched_from: desk/link-1/9}\n",
        encoding="utf-8",
    )
    done = call("rig.yaml", "b")
    assert done.exit_code == 1
    assert "0 find a socket, 1 does not (0 free that it could use)." in done.stdout
    assert "No socket is left for\n✗ vocal (channel 1)\n" in done.stdout
    assert "To make room, unplug what matters less by its priority, the first first: a1" in done.stdout
    assert "(a/in/1) for vocal." in done.stdout
    assert "d16 (desk/in/16)" not in done.stdout.partition("The whole check")[0]  # one is enough


@pytest.mark.usefixtures("house")
def test_where_nobody_is_left_over_a_no_go_of_the_rescued_rig_is_1_all_the_same() -> None:
    faulty = call("hall/rigs/faulty-week.yaml", "desk/in/1-3", "--format", "json")
    report = json.loads(faulty.stdout)
    assert report["rescue"]
    assert all(row["to"] is not None for row in report["rescue"])
    assert (report["verdict"], faulty.exit_code) == ("no-go", 1)
    told = call("hall/rigs/faulty-week.yaml", "desk/in/1-3")
    assert told.exit_code == 1
    assert "All of them find a socket" in told.stdout
    assert "The whole check after it: NO-GO" in told.stdout


def test_what_is_not_there_is_told(house: Path) -> None:
    del house
    done = call(CLEAN, "eastbox")
    assert (done.exit_code, done.stdout) == (2, "")
    assert " ".join(done.stderr.split()) == (
        f"{CLEAN}: no box, link cable, link port, circuit or console is called 'eastbox'; did you mean 'east-box'?"
    )


@pytest.mark.usefixtures("house")
def test_a_socket_that_nobody_uses_has_a_verdict_all_the_same() -> None:
    done = call(CLEAN, "desk/in/16")
    assert done.exit_code == 0
    assert "No source loses its socket." in done.stdout
    assert done.stdout.splitlines()[-1].endswith(": no source is lost.")


def test_the_written_file_says_what_is_dead_and_what_goes_round_it(house: Path) -> None:
    done = call(CLEAN, "west-box/in/1-2", "--write", "hall/rigs/round.yaml")
    assert done.exit_code == 0
    assert "west-box/in/1-2: found dead; written by a plan of rigwalk" in (house / "rigs" / "round.yaml").read_text()
    again = json.loads(call("hall/rigs/round.yaml", "west-box/in/1-2", "--format", "json").stdout)
    assert again["rescue"] == [], "nobody is in a dead socket any more"
    console = call(CLEAN, "desk", "--write", "hall/rigs/dead.yaml")
    assert console.exit_code == 1
    assert "desk: found dead; written by a plan of rigwalk" in (house / "rigs" / "dead.yaml").read_text()
    assert "desk is dead" in CliRunner().invoke(app, ["check", "hall/rigs/dead.yaml"]).stdout


def test_what_lies_loose_in_a_written_file_is_told(house: Path) -> None:
    done = call(CLEAN, "loft-box", "--write", "hall/rigs/saved.yaml")
    (loose,) = load_rig(house / "rigs" / "saved.yaml").loose_cables
    flat = " ".join(done.stdout.split())
    assert f"In the file the link cable {loose} lies loose: write the ends in again once used." in flat


@pytest.mark.usefixtures("house")
@pytest.mark.parametrize("numbers", ["0", "x", "", "1-", "03", "100000"])
def test_inputs_by_no_number_are_told_with_those_that_there_are(numbers: str) -> None:
    done = call(CLEAN, f"west-box/in/{numbers}")
    said = " ".join(done.stderr.split())
    assert done.exit_code == 2
    assert said.endswith(f"west-box/in/{numbers} is not there: west-box (stage-box-16x8) has west-box/in/1–16")
    assert "rigwalk spares" not in said
