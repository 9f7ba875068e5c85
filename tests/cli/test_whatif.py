"""`rigwalk whatif`: what it says, what it writes, and what can't be done."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from lint.cli import app
from lint.rig.build import load_rig

CLEAN = "hall/rigs/clean-week.yaml"
ORDER = ["order", "east-box", "west-box", "loft-box"]
Run = Callable[..., Any]


def call(*arguments: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, ["whatif", *arguments])


@pytest.mark.usefixtures("house")
def test_a_mix_on_the_wrong_loudspeaker_is_named_first() -> None:
    done = call(CLEAN, "bank", "east-box", "1-8")
    assert done.exit_code == 1
    lines = done.stdout.splitlines()
    assert lines[:9] == [
        "What if the output selector of east-box is turned to 1-8 (before: 9-16)",
        "",
        "NO-GO  1 wrong mix at a destination, 3 outputs silent.",
        "",
        "Heard where it should not be",
        "✗ strings-wedge (east-box/out/1) gets singer-mon; it expects strings-mon",
        "",
        "Goes silent",
        "✗ house-left (east-box/out/7) carried house.left",
    ]
    assert lines[12:16] == [  # before the tables: what there is to choose from; (b) gives the house the booth's outputs
        "To mend it, step by step below: (a) 9 changes at the console or a box; (b) 4",
        "  plugs (2 of them to another device); it leaves 4 things wrong; (c) 4 changes",
        "  at the console or a box and 1 plug.",
        "None of them lays link cables otherwise than the change itself.",
    ]
    assert "(c) The fewest patches and plugs: 4 changes at the console or a box and 1 plug" in lines
    assert all(len(line) <= 80 for line in lines)


@pytest.mark.usefixtures("house")
def test_another_order_says_what_each_source_becomes_and_how_to_mend_it() -> None:
    text = call(CLEAN, *ORDER).stdout
    assert "  kick         west-box/in/1   1 → 9                1 → 9\n" in text
    assert "   7. take the link cable trunk out\n" in text
    assert "  10. plug the link cable crossing from east-box/downstream to west-box/upstream\n" in text
    assert "None of them lays link cables otherwise than the change itself.\n" in text
    assert "  12. patch channel 1 (Kick) from desk/link-1/9 (now: desk/link-1/1)\n" in text
    assert (
        "(b) Leave the console, move plugs: 23 plugs (15 of them to another device), 7\n    steps more to make room\n"
        in text
    )
    assert "  care: Patch, sends, selectors and link cables reach the house" in text
    assert (  # the demo does not say where its boxes stand: 59 m is the most that it can be
        "✗ The link cables you have may not reach: desk/link-1 to east-box/upstream needs\n  up to about 59 m" in text
    )
    assert "   1. fetch a link cable of 59 m or more for desk/link-1 to east-box/upstream:\n" in text
    assert "(c) The fewest patches and plugs: the same as (a).\n" in text
    assert (
        "(b) 23\n  plugs (15 of them to another device), 7 steps more to make room; (c) the same\n  as (a).\n" in text
    )
    assert text.count("Resolved again: NO-GO (2 no-go, 1 note)") == 2
    assert "✗ the link cable trunk is 45 m long, and from desk/link-1 to east-box/upstream" in text


def test_phantom_power_that_stays_on_for_another_source_is_told_before_anything_is_moved(house: Path) -> None:
    week = "rig_format: 1\nextends: clean-week.yaml\nchannels: {4: {phantom: on}}\n"
    (house / "rigs" / "hot.yaml").write_text(week, encoding="utf-8")
    hot = "hall/rigs/hot.yaml"
    lines = call(hot, *ORDER).stdout.splitlines()
    at = next(number for number, line in enumerate(lines) if line.startswith("! Phantom power is on at channels 3–7, "))
    assert at < lines.index("What each source becomes")
    harm = next(
        number for number, line in enumerate(lines) if line.startswith("✗ trumpet (east-box/in/4) must not have")
    )
    assert harm < at
    assert "and would get it by channel 4." in " ".join(" ".join(lines[harm : harm + 2]).split())
    rows = json.loads(call(hot, *ORDER, "--format", "json").stdout)["phantom_on_other_source"]
    row = {"channel": "desk/channel/4", "should_get": "floor-tom", "gets": ["trumpet"], "must_not_have_it": ["trumpet"]}
    assert row in rows
    assert not any("Phantom power is on" in line for line in call(CLEAN, "bank", "east-box", "1-8").stdout.splitlines())


@pytest.mark.usefixtures("house")
def test_a_change_that_changes_nothing_says_so() -> None:
    done = call(CLEAN, "order", "west-box", "east-box", "loft-box")
    assert done.exit_code == 0
    assert "Nothing else changes: every source and destination stays what it is." in done.stdout
    assert "Nothing to mend" in done.stdout


@pytest.mark.parametrize("cure", ["console", "plugs", "fewest"])
def test_the_written_rig_keeps_every_comment_and_checks_as_was_said(house: Path, cure: str) -> None:
    done = call(CLEAN, *ORDER, "--write", "hall/rigs/planned.yaml", "--cure", cure)
    assert done.exit_code == 1
    assert done.stdout.endswith("\nWritten: hall/rigs/planned.yaml (NO-GO)\n")
    text = (house / "rigs" / "planned.yaml").read_text(encoding="utf-8")
    old = (house / "rigs" / "clean-week.yaml").read_text(encoding="utf-8")
    assert [line for line in old.splitlines() if "#" in line] == [line for line in text.splitlines() if "#" in line]
    checked = json.loads(CliRunner().invoke(app, ["check", "hall/rigs/planned.yaml", "--format", "json"]).stdout)
    found = {row["rule"] for row in checked["rigs"][0]["findings"] if row["severity"] == "no-go"}
    assert found == {"link-cable-short"}
    assert [box["from"] for box in load_rig(Path("hall/rigs/planned.yaml")).document.data["cables"].values()] == [
        "desk/link-1", "east-box/downstream", "west-box/downstream",
    ]  # fmt: skip


def test_json_says_the_same_and_its_patches_are_the_changes(house: Path) -> None:
    del house
    done = call(CLEAN, *ORDER, "and", "bank", "loft-box", "25-32", "--format", "json")
    report = json.loads(done.stdout)
    assert done.exit_code == 1
    assert report["verdict"] == "no-go"
    assert len(report["short_cables"]) == 2
    assert report["cures"][0]["first"][0].startswith(
        "turn the house and the monitors down at the loudspeakers or amplifiers themselves, ears out, and mute channels"
    )
    assert report["cures"][0]["last"]
    assert [edit.split()[0] for edit in report["edits"]] == ["the", "the"]
    assert report["patch"]["devices"] == {"loft-box": {"output_bank": "25-32"}}
    assert {row["source"]: row["is_on"] for row in report["sources"]}["kick"] == ["desk/channel/9"]
    assert [row["destination"] for row in report["outputs"]] == ["choir-wedge"]
    assert {cure["way"]: cure["verdict"] for cure in report["cures"]}["fewest"] == "no-go"  # no cable reaches
    assert any(finding["new"] for finding in report["findings"])


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["order", "east-box"], "the order names 1 of the 3 boxes on desk/link-1"),
        (["lose", "nothing"], "no box, link cable, link port, circuit or console is called 'nothing'"),
        (["dance"], "'dance' is nothing that can be planned"),
        ([*ORDER, "--write", CLEAN], f"{CLEAN} is there already, and is left as it is"),
        ([*ORDER, "--write", "planned.yaml"], f"planned.yaml must stand beside {CLEAN}"),
        (["add", "effects", "stage-box-8x8"], "devices/effects: effects/... means an effects unit"),
    ],
)
def test_what_cannot_be_done_is_told_and_writes_nothing(house: Path, words: list[str], message: str) -> None:
    before = sorted(house.rglob("*"))
    done = call(CLEAN, *words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert message in " ".join(done.stderr.split())
    assert sorted(house.rglob("*")) == before


def test_a_cure_that_mends_nothing_says_what_is_wrong_and_which_does_and_nothing_is_written(house: Path) -> None:
    done = call(CLEAN, "lose", "west-box", "--write", "hall/rigs/planned.yaml", "--cure", "console")
    assert (done.exit_code, done.stdout) == (2, "")
    flat = " ".join(done.stderr.split())
    assert "the console alone can't mend any of 39 things that would be wrong (channel 15 (Lectern) gets " in flat
    assert "and 36 more); --cure plugs puts right what comes first, and as many others wrong" in flat
    assert "--cure fewest puts 37 of them right" in flat
    assert not (house / "rigs" / "planned.yaml").exists()


def test_where_nothing_is_to_be_mended_the_changed_rig_is_written_with_any_cure(house: Path) -> None:
    same = ["order", "west-box", "east-box", "loft-box"]
    done = call(CLEAN, *same, "--write", "hall/rigs/planned.yaml", "--cure", "console")
    assert done.exit_code == 0
    assert "Nothing to mend" in done.stdout
    assert (house / "rigs" / "planned.yaml").exists()


def test_the_exit_status_speaks_of_the_rig_that_is_written(house: Path) -> None:
    bare = call(CLEAN, "bank", "east-box", "1-8", "--write", "hall/rigs/bare.yaml")
    mended = call(CLEAN, "bank", "east-box", "1-8", "--write", "hall/rigs/mended.yaml", "--cure", "fewest")
    for done, name, status in ((bare, "bare", 1), (mended, "mended", 0)):
        assert done.exit_code == status
        assert CliRunner().invoke(app, ["check", f"hall/rigs/{name}.yaml"]).exit_code == status
        assert f"Written: hall/rigs/{name}.yaml ({'NO-GO' if status else 'no NO-GO'})" in done.stdout
    assert (house / "rigs" / "mended.yaml").exists()


def test_errors_are_wrapped_at_the_width_of_the_terminal(house: Path) -> None:
    del house
    done = call(CLEAN, "order", "east-box")
    assert done.exit_code == 2
    assert len(done.stderr.splitlines()) > 1
    assert all(len(line) <= 80 for line in done.stderr.splitlines())


@pytest.mark.usefixtures("house")
@pytest.mark.parametrize("lost", ["trunk", "desk/link-1"])
def test_a_lost_link_points_to_its_spare_first_and_to_the_rescue(lost: str) -> None:
    flat = " ".join(call(CLEAN, "lose", lost).stdout.split())
    assert flat.index("try the tested spare cable (on the hook under the desk)") < flat.index("`rigwalk spares")
    assert f"`rigwalk spares {CLEAN} {lost}` says how to carry on" in flat
    assert "than the change itself. `rigwalk spares` does: fewer changes may be enough." in flat


@pytest.mark.usefixtures("house")
@pytest.mark.parametrize("command", [["whatif", CLEAN, "lose", "stage-left"], ["spares", CLEAN, "stage-left"]])
def test_a_dark_circuit_comes_with_who_decides(command: list[str]) -> None:
    done = CliRunner(env={"COLUMNS": "80"}).invoke(app, command)
    flat = " ".join(done.stdout.split())
    assert "CAUTION: A breaker that trips again is not reset again and again" in flat
    assert "let a licensed electrician decide, by the local codes" in flat


def test_the_house_s_own_rules_count_in_the_check(house: Path) -> None:
    rule = house / "rules" / "no-kick.yaml"
    rule.parent.mkdir(exist_ok=True)
    rule.write_text(
        "rule_format: 1\nrule: no-kick\ntitle: No kick on the west box\nseverity: no-go\nbecause: it is loud\n"
        "do: Plug it elsewhere.\nfor_each: sources\nwhere: {id: kick}\nexpect: {box: east-box}\n"
        'message: "{id} is plugged into {socket}"\n',
        encoding="utf-8",
    )
    done = call(CLEAN, "order", "west-box", "east-box", "loft-box")
    assert done.exit_code == 1
    assert "kick is plugged into west-box/in/1 (no-kick)" in done.stdout
    rescued = CliRunner(env={"COLUMNS": "80"}).invoke(app, ["spares", CLEAN, "east-box", "--write", "hall/rigs/r.yaml"])
    assert "kick is plugged into west-box/in/1 (no-kick)" in rescued.stdout
    assert rescued.exit_code == 1
    assert CliRunner().invoke(app, ["check", "hall/rigs/r.yaml"]).exit_code == 1


def test_a_rig_that_cannot_be_read_is_told(run: Run) -> None:
    done = run("whatif", "nowhere.yaml", "lose", "west-box")
    assert (done.returncode, done.stderr) == (2, "nowhere.yaml: there is no such file\n")


@pytest.mark.usefixtures("house")
def test_the_end_says_what_is_heard_where_it_should_not_be() -> None:
    _, _, short = call(CLEAN, "bank", "east-box", "1-8").stdout.partition("In short (all of it stands above)\n")
    assert "\n✗ strings-wedge (east-box/out/1) gets singer-mon; it expects strings-mon\n" in short
