"""A house whose small box has one phantom switch for four sockets: what the commands say of its losses and changes."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from lint.check.catalogue import load_catalogue
from lint.check.finding import Verdict
from lint.cli import app
from lint.plan.cures import CONSOLE, FEWEST, PLUGS
from lint.plan.outage import outage_of
from lint.plan.whatif import WhatIf, what_if
from lint.report.whatif import steps_of, whatif_text
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.rig.model import Models

HOUSE = Path(__file__).parent / "grouped"
CATALOGUE = load_catalogue()


def rig() -> ResolvedRig:
    return resolve_rig(load_rig(HOUSE / "rigs" / "week.yaml"))


def planned(words: str) -> WhatIf:
    return what_if(rig(), words.split(), Models(HOUSE), CATALOGUE)


@pytest.fixture
def week(tmp_path: Path) -> str:
    shutil.copytree(HOUSE, tmp_path / "hall")
    return str(tmp_path / "hall" / "rigs" / "week.yaml")


def call(*arguments: str) -> Result:
    return CliRunner(env={"COLUMNS": "200"}).invoke(app, list(arguments))


def test_the_ribbon_makes_room_on_the_switch_that_others_need_on() -> None:
    plan = planned("remove abox")
    fewest, plugs = plan.cures[FEWEST], plan.cures[PLUGS]
    assert (fewest.unmet, plan.cured(FEWEST).verdict, fewest.proved) == ((), Verdict.GO, True)
    on_again = (
        "switch phantom power on again on channels 3–7 on desk, and with it on channels 1–2 on desk (the same switch; it "
        "does no harm there), and wait ten seconds"
    )
    assert on_again in fewest.quiet.last
    assert not fewest.quiet.left_off
    assert not any("phantom" in words for words in map(str, plugs.unmet))
    assert {f.rule for f in plan.cured(PLUGS).findings}.isdisjoint({"phantom-missing", "phantom-group"})


def test_a_plug_that_no_channel_takes_is_left_unplugged() -> None:
    steps = steps_of(planned("remove abox").cures[PLUGS])
    assert (
        "ribbon: out of bbox/in/5; no channel takes it, so leave it unplugged (the file has it in cbox/in/5)" in steps
    )
    assert not any(step.startswith("ribbon") and " off" in step for step in steps)
    text = " ".join(whatif_text(planned("remove abox")).split())
    assert (
        "The check reads the file: it has what you leave unplugged in a free socket (fiddle in bbox/in/7, ribbon in"
        in text
    )


def test_by_the_console_a_selector_is_turned_too() -> None:
    plan = planned("move cbox desk/link-1")
    console = plan.cures[CONSOLE]
    assert (console.unmet, console.changes, console.proved) == ((), 5, True)
    assert "turn the output selector of cbox to 17-24 (now: 1-8)" in console.turns
    assert plan.cured(CONSOLE).verdict is Verdict.GO


def test_a_dark_circuit_is_cabled_past_like_a_dead_box() -> None:
    models = Models(HOUSE)
    box, dark = outage_of(rig(), "abox", models), outage_of(rig(), "left", models)
    assert dark.cabling == box.cabling
    # bbox stands nearer to the console than abox does, so that the cable of abox reaches.
    assert dark.cabling[-1] == (
        "plug the link cable main from desk/link-1 to bbox/upstream (out of abox/upstream into bbox/upstream; the plug in "
        "desk/link-1 stays)"
    )
    assert dark.after.is_reached("bbox")


def test_what_a_dark_console_sends_is_nothing(week: str) -> None:
    text = call("spares", week, "left").stdout
    assert "leave ears turned down: it gets nothing: mon has no mains\n" in text
    assert "not vox-ears\n" not in text[: text.index("Still wrong")]


def test_a_box_is_switched_off_by_itself_and_what_hangs_on_its_circuit_is_told() -> None:
    (off,) = (step for step in planned("lose abox").cures[FEWEST].quiet.first if step.startswith("no console reaches"))
    assert "switch off abox (circuit left) and bbox (circuit right) at their own switches or mains plugs" in off
    assert "more goes off with it (left: mon, house-l, a-wedge, amp-a; right: cbox, house-r, c-wedge, amp-c)" in off
    assert "have it on again once the plugs are out, before anything is unmuted" in off


def test_two_orders_that_come_to_nothing_are_no_work(week: str) -> None:
    plan = planned("order bbox abox and order abox bbox")
    assert (plan.patch, plan.made) == ({}, ())
    assert (
        "link cable loose"
        not in call("whatif", week, *["order", "bbox", "abox", "and", "order", "abox", "bbox"]).stdout
    )


def test_what_is_said_twice_counts_once_and_contradictions_are_refused(week: str) -> None:
    assert len(planned("lose abox and lose abox").edits) == 1
    done = call("whatif", week, *["bank", "abox", "1-8", "and", "bank", "abox", "9-16"])
    assert done.exit_code == 2
    assert "`bank abox 1-8` and `bank abox 9-16` can't both be so; say one of them" in " ".join(done.stderr.split())
    for other in ("replace abox mini-box", "bank abox 1-8", "move abox desk/link-2"):
        done = call("whatif", week, *f"remove abox and {other}".split())
        assert done.exit_code == 2
        assert f"`remove abox` and `{other}` can't both be so; say one of them" in " ".join(done.stderr.split())
    done = call("whatif", week, "lose", "abox", "and")
    assert done.exit_code == 2
    assert "nothing stands after the last `and`" in " ".join(done.stderr.split())


def test_a_cable_that_hangs_already_says_which_of_its_plugs_moves() -> None:
    assert any(
        step
        == "plug the link cable main from desk/link-1 to bbox/upstream (out of abox/upstream into bbox/upstream; the plug "
        "in desk/link-1 stays)"
        for step in planned("order bbox abox").made
    )


def test_a_cable_of_unknown_length_is_a_caution_and_no_no_go(week: str) -> None:
    done = call("whatif", week, "add", "dbox", "mini-box")
    assert done.exit_code == 0
    assert "! A link cable more is needed, how long is not known" in done.stdout
    assert "✗" not in done.stdout
