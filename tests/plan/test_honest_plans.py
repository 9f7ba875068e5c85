"""Plans that tell what they can't do: no mains, no cable that long, too few sockets, a cure that is none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from amped import AMPED
from rigs import resolved
from test_amplifiers import planned, rescued
from typer.testing import CliRunner, Result

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.check.finding import Verdict
from lint.cli import app
from lint.plan.cures import CONSOLE, FEWEST, PLUGS, Mending
from lint.plan.distance import lacking_words
from lint.plan.intent import intent_of
from lint.plan.outage import Outage, outage_of
from lint.plan.quiet import DOWN, UP
from lint.plan.rescue import Spared
from lint.plan.spares import Rescuer
from lint.plan.whatif import what_if
from lint.report.spares import spares_text
from lint.report.whatif import steps_of
from lint.resolve.resolved import ResolvedRig
from lint.rig.model import Models

CATALOGUE = load_catalogue()
DEMO = "hall/rigs/clean-week.yaml"


@pytest.fixture
def evening(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(tmp_path)
    Path("rig.yaml").write_text(AMPED, encoding="utf-8")
    return "rig.yaml"


def call(*arguments: str) -> Result:
    return CliRunner(env={"COLUMNS": "200"}).invoke(app, list(arguments))


def demo() -> ResolvedRig:
    from lint.resolve.resolved import resolve_rig
    from lint.rig.build import load_rig

    return resolve_rig(load_rig(Path(__file__).parents[2] / "lint" / "demo" / "rigs" / "clean-week.yaml"))


# -- no mains ----------------------------------------------------------------------------------------------------------


def test_what_hangs_on_a_dark_circuit_is_silent_in_every_check_of_the_rig() -> None:
    plan = planned("lose porch")
    assert plan.edits[0].words == "the circuit porch is dark: right, main-right, horn-amp, porch-amp"
    assert {row.end.name for row in plan.effect.gone_silent} == {"main-right", "horn-amp", "porch-amp"}
    found = {finding.rule: finding.message for finding in plan.checked.findings}
    assert "so right, horn-amp, porch-amp and main-right are without mains and silent" in found["circuit-dark"]
    assert "amplifier-input-wrong" not in found  # what they are sent is not why they are silent


def test_a_rescue_from_a_dark_circuit_stays_no_go_also_once_it_is_written(evening: str) -> None:
    done = call("spares", evening, "porch", "--write", "rescued.yaml")
    assert done.exit_code == 1
    assert "✗ main-right has no mains: the circuit porch is dark\n" in done.stdout
    assert "phantom power may still be on there" not in done.stdout
    checked = call("check", "rescued.yaml")
    assert checked.exit_code == 1
    assert "the circuit porch is dark, so horn-amp, porch-amp and main-right are without mains" in checked.stdout
    assert "  porch: {volts: 230, breaker_a: 10, residual_current_device: true, dark: true}" in Path(
        "rescued.yaml"
    ).read_text(encoding="utf-8")


def test_where_the_console_s_circuit_is_dark_no_source_is_heard_and_that_is_said(evening: str) -> None:
    text = call("spares", evening, "back").stdout
    assert "No source loses its socket" not in text
    assert "No source is heard through desk" in text
    assert (
        "✗ desk has no mains; silent: vox-wedge (left/out/1), drum-ears (left/out/2), main-left (left/out/7)," in text
    )


def test_a_dark_circuit_that_nothing_needs_is_no_finding() -> None:
    rows = resolved(AMPED, "power: {circuits: {yard: {volts: 230, dark: true}}}")
    assert check_rig(rows, CATALOGUE).verdict is Verdict.GO


# -- a box that is replaced, a selector that is turned -----------------------------------------------------------------


def test_a_replaced_box_is_quiet_first_and_everything_is_plugged_again(evening: str) -> None:
    plan = planned("replace right stage-box-16x8")
    assert not plan.cures
    first, last = plan.doing.quiet.first, plan.doing.quiet.last
    assert first == (
        f"{DOWN}, and mute channels 1, 4, 6, 9–12",
        "switch phantom power off on channels 4, 10–12, and wait ten seconds",
    )
    assert last[-1].endswith(UP)
    assert plan.made == (
        "now make the change, by the next 8 steps: right is replaced by a stage-box-16x8",
        "switch off or turn down what is fed from right or behind it: horn-amp, porch-amp",
        "have the lead or whoever has charge of the mains switch the old right off and pull its mains plug (circuit "
        "porch), and wait ten seconds. Open nothing that has mains; local codes and a licensed electrician decide",
        "label every plug of the old right and take them out, the link cables first",
        "set the output selector of the new right to 9-16",
        "plug the link cables into the new right again: hop upstream",
        "plug into the new right again, at the same numbers: horn in/3, sax in/4, choir-l in/5, choir-r in/6, "
        "horn-amp out/1, porch-amp out/2",
        "have the lead or whoever has charge of the mains plug the new right into the mains (circuit porch) and switch "
        "it on, what it feeds still off or down",
        "have horn-amp, porch-amp on again, still turned down",
    )
    text = call("whatif", evening, "replace", "right", "stage-box-16x8").stdout
    assert text.index("How to make the change") < text.index("   1. turn the house") < text.index("   3. now make")
    assert "A link cable that falls out or comes back may send noise at full level." in text


def test_a_turned_selector_begins_with_the_house_down() -> None:
    for way in (CONSOLE, FEWEST):
        quiet = planned("bank left 9-16").cures[way].quiet
        *low, up = quiet.last
        assert (quiet.first, up) == ((DOWN,), UP)
        assert all(step.startswith("leave ") and " turned down: it gets " in step for step in low)


# -- link cables -------------------------------------------------------------------------------------------------------


def outage(what: str, week: str = "") -> Outage:
    return outage_of(resolved(AMPED, week), what, Models(None))


def test_where_no_cable_reaches_it_is_said_and_is_no_go(evening: str) -> None:
    lost = outage("left").longer
    assert lost is not None
    assert outage("left").lacks == ()
    assert lacking_words(lost.lacks) == (
        "The link cables you have may not reach: desk/link-1 to right/upstream needs up to about 45 m, trunk is 30 m. "
        "Measure the way, or fetch one first."
    )
    done = call("whatif", evening, "remove", "left")
    assert done.exit_code == 1
    assert "   1. fetch a link cable of 45 m or more for desk/link-1 to right/upstream: trunk" in done.stdout


def test_a_spare_of_another_cable_is_taken_where_it_reaches() -> None:
    kept = outage("hop", "cables: {trunk: {spare: in the drawer}}")
    assert kept.cabling == (
        "take the dead link cable hop out",
        "plug the spare of the link cable trunk (in the drawer) from left/downstream to right/upstream",
    )
    assert list(kept.after.boxes) == ["left", "right"]
    cable = kept.after.rig.cables["trunk-spare"]
    assert (cable.kind, cable.length_m, kept.after.rig.cables["trunk"].spare) == ("cat5e", 30, None)


def test_the_freed_cable_that_lacks_least_is_chosen_and_none_that_works_is_touched() -> None:
    plan = what_if(demo(), ["remove", "east-box"], Models(None), CATALOGUE)
    assert [(lack.cable.name, lack.need_m) for lack in plan.lacks] == [("stairwell", 52)]
    assert not plan.is_go
    assert str(plan.after.rig.cables["trunk"].ends[1]) == "west-box/upstream"


def test_without_a_spare_the_cables_are_exchanged_so_that_the_box_that_matters_least_is_lost() -> None:
    # The cable to the second box is dead; the one behind it reaches there, and the third box has the least on it.
    week = """\
devices: {far: {model: stage-box-8x8, circuit: porch, output_bank: 17-24, watts: 30, along_stage_m: 12}}
cables: {on: {from: right/downstream, to: far/upstream, kind: cat6, shielded: true, length_m: 12}}
"""
    lost = outage("hop", week)
    assert list(lost.after.boxes) == ["left", "right"]
    assert lost.after.boxes["right"].cable.name == "on"
    assert lost.words.endswith("with other cables all but far can be reached")
    # With nothing on it the box in the middle is the one to go without.
    bare = (
        "sources: {horn: null, sax: null, choir-l: null, choir-r: null, bell: {kind: player, plugged_into: far/in/1}}\n"
    )
    bare += "channels: {9: null, 10: null, 11: null, 12: null}\npairs: {choir: null}\namplifiers: null\n"
    assert list(outage("hop", week + bare).after.boxes) == ["left", "far"]


def test_no_spare_is_used_up_for_a_box_that_nothing_hangs_on() -> None:
    spare = "cables: {trunk: {spare: in the drawer}}\n"
    bare = (
        "sources: {horn: null, sax: null, choir-l: null, choir-r: null}\n"
        "channels: {9: null, 10: null, 11: null, 12: null}\npairs: null\namplifiers: null\n"
    )
    lost = outage("hop", spare + bare)
    assert (list(lost.after.boxes), lost.cabling) == (["left"], ())
    assert list(outage("hop", spare).after.boxes) == ["left", "right"]


def test_a_cable_that_lies_there_comes_before_the_spare_of_another() -> None:
    week = "cables: {trunk: {spare: in the drawer}, old: {kind: cat6, shielded: true, length_m: 40}}"
    kept = outage("hop", week)
    assert kept.after.boxes["right"].cable.name == "old"
    assert kept.after.rig.cables["trunk"].spare == "in the drawer"
    assert kept.fetched == ("fetch the link cable old, which lies loose",)
    # One that hangs in a port is there.
    there = outage("hop", week.replace("old: {", "old: {from: left/downstream, "))
    assert (there.after.boxes["right"].cable.name, there.fetched) == ("old", ())


# -- too few sockets ---------------------------------------------------------------------------------------------------


def few(free: int) -> Spared:
    """Three sources of one weight on a dead box, a pair among them, and so many sockets left."""
    own = "".join(
        f"  d{n}: {{kind: player, plugged_into: desk/in/{n}, priority: {6 + n % 2}}}\n" for n in range(1, 17 - free)
    )
    text = (
        "rig_format: 1\ndevices: {desk: {model: console-16}, b: {model: stage-box-8x8, output_bank: 1-8}}\n"
        "cables: {one: {from: desk/link-1, to: b/upstream}}\nsources:\n" + own
        + "".join(f"  {name}: {{kind: dynamic-microphone, plugged_into: b/in/{n}, priority: 2}}\n"
                  for n, name in enumerate(("left", "solo", "right"), start=1))
        + "pairs: {wide: {left: left, right: right}}\nchannels:\n"
        + "".join(f"  {n}: {{carries: {name}, patched_from: desk/link-1/{n}}}\n"
                  for n, name in enumerate(("left", "solo", "right"), start=1))
    )  # fmt: skip
    before = resolved(text)
    gone = outage_of(before, "b", Models(None))
    rescue = Rescuer(Mending(before, gone.after, intent_of(before), gone.dead, gone.dead, Models(None))).rescue()
    return Spared(gone, rescue, check_rig(rescue.cure.result, CATALOGUE))


@pytest.mark.parametrize(("free", "saved"), [(1, {"solo"}), (2, {"left", "right"}), (3, {"left", "right", "solo"})])
def test_no_pair_is_torn_while_whole_ones_can_be_saved(free: int, saved: set[str]) -> None:
    rescue = few(free).rescue
    assert {plug.source for plug in rescue.places} == saved
    assert (rescue.torn, rescue.proved) == ({}, True)


def test_as_many_as_make_room_for_all_may_be_unplugged() -> None:
    spared = few(1)
    rows = spared.rescue.room
    assert [(row.plug.source, *([plug.source for plug in each] for each in row[1:])) for row in rows] == [
        ("d1", ["left", "right"], ["solo"]), ("d3", ["solo"], [])
    ]  # fmt: skip
    told = " ".join(spares_text(spared).split())
    assert "d1 (desk/in/1) for left, right in place of solo; d3 (desk/in/3) for solo." in told


# -- cures that are none -----------------------------------------------------------------------------------------------


def test_a_cure_pulls_no_plug_that_works_for_one_that_matters_less() -> None:
    cure = planned("remove left").cures[PLUGS]
    moved = {step.plug for step in cure.handlings}
    assert "vox" in moved
    assert not {"choir-l", "choir-r"} & moved
    assert len(cure.unmet) < len(planned("remove left").mending.unmet)


def test_a_cure_that_helps_nothing_says_so_and_not_that_it_is_the_same_as_another(evening: str) -> None:
    text = call("whatif", evening, "bank", "right", "1-8").stdout
    assert "(a) Leave the plugs, change the console: 7 changes at the console or a box\n" in text  # left's selector too
    assert "(b) Leave the console, move plugs: nothing was found that helps\n" in text
    assert "(c) The fewest patches and plugs: 2 changes at the console or a box and 2 plugs\n" in text


def test_what_stands_after_a_rescue_is_named(evening: str) -> None:
    text = call("spares", evening, "porch").stdout
    tail = text[text.index("The whole check after it: NO-GO (1 no-go") :]
    assert "\n✗ the circuit porch is dark, so horn-amp, porch-amp and main-right are without mains" in tail
    assert rescued("right").cure.unmet == ()


def test_what_a_cure_leaves_on_the_wrong_mix_stays_turned_down() -> None:
    plan = what_if(demo(), ["bank", "east-box", "1-8"], Models(None), CATALOGUE)
    assert plan.cures[CONSOLE].unmet == ()  # by the selector of another box
    *_, low, up = plan.cures[PLUGS].quiet.last
    assert low == "leave strings-wedge turned down: it gets singer-mon, not strings-mon"
    assert up == UP


def test_a_box_that_is_still_reached_has_its_phantom_switched_off_from_the_console_before_it_is_taken_out() -> None:
    planned_steps = planned("remove left").cures[FEWEST].quiet.first
    assert planned_steps[1].startswith("switch phantom power off on channels ")
    assert not any("no console reaches" in step for step in planned_steps)
    crew = "crew: {lead: R. Adeyemi}\npower: {circuits: {stage: {location: back wall}}}"
    lost = planned("lose left", crew).cures[FEWEST].quiet.first
    assert lost[-1].startswith(
        "no console reaches left, right now, and phantom power may still be on there: have the lead (R. Adeyemi) or "
        "whoever has charge of the mains switch off left (circuit stage, back wall) and right (circuit porch) at their "
        "own switches or mains plugs, and wait ten seconds"
    )
    assert lost[-1].endswith("Open nothing that has mains; local codes and a licensed electrician decide")


def test_a_box_that_died_and_is_replaced_works_again(evening: str) -> None:
    plan = planned("lose right and replace right stage-box-16x8")
    other = planned("replace right stage-box-16x8")
    assert plan.edits[0].words == "right is dead, and another box takes its place"
    assert (plan.dead, plan.patch, plan.made) == (frozenset(), other.patch, other.made)
    assert not plan.effect.silent
    assert not plan.cures
    assert (
        call("whatif", evening, *["lose", "box", "right", "and", "replace", "right", "stage-box-16x8"]).exit_code == 0
    )
    # Said the other way round it is the same.
    turned = planned("replace right stage-box-16x8 and lose right")
    assert (turned.dead, turned.patch, turned.made, turned.cures) == (frozenset(), other.patch, other.made, {})
    assert steps_of(turned.doing, turned.made) == steps_of(plan.doing, plan.made)


def test_a_plug_that_goes_to_another_box_is_said_to_need_a_cable_that_reaches(evening: str) -> None:
    plan = planned("lose right")
    (step, *_) = [step for step in plan.cures[FEWEST].handlings if step.plug == "sax"]
    assert (step.is_carried, step.way_m) == (True, 10)
    text = call("whatif", evening, "lose", "right").stdout
    assert f"sax: from right/in/4 into {step.end}, about 10 m off\n" in text
    rows = json.loads(call("whatif", evening, "lose", "right", "--format", "json").stdout)["cures"][2]["moves"]
    by_plug = {row["plug"]: row for row in rows}
    assert by_plug["sax"]["first"] == ""
    assert (by_plug["sax"]["to_other_device"], by_plug["sax"]["way_m"]) == (True, 10)
    assert by_plug["horn-amp"]["first"] == "the amplifier off or turned down first"
