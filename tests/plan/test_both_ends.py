"""Sources that a split gives to two consoles: which end feeds them phantom power, and who is muted when that changes."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from test_replay import fed_once, live, muted_for_nothing, named, replay

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.plan.cures import CONSOLE, FEWEST, Mending
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.rebuild import as_living, rebuilt
from lint.plan.rescue import Spared
from lint.plan.spares import Rescuer
from lint.plan.whatif import WhatIf, what_if
from lint.report.plan_json import spares_json
from lint.report.spares import spares_text, steps_of
from lint.report.whatif import steps_of as cure_steps
from lint.resolve.mixup import merged
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.rig.model import Models

HOUSE = Path(__file__).parent / "both_ends"
MODELS = Models(HOUSE)
CATALOGUE = load_catalogue()
CHANGES = [
    "remove box-a",
    "order box-b box-a box-c",
    "order box-a box-c box-b",
    "move box-c mon/link-1",
    "replace box-a stage-box-8x8",
    "bank box-a 9-16 and replace box-b stage-box-8x8",
    "lose box-a",
    "lose ab",
    "lose desk",
    "lose cl",
]
LOSSES = ["desk/link-1", "desk", "mon", "cl", "cr", "box-a", "box-b", "trunk", "ab", "bc", "mon/in", "desk/in"]


def rig_of(name: str, change: dict[str, Any] | None = None) -> ResolvedRig:
    rig = resolve_rig(load_rig(HOUSE / "rigs" / f"{name}.yaml"))
    return rebuilt(rig, change, MODELS) if change else rig


def planned(words: str, name: str = "base", change: dict[str, Any] | None = None) -> WhatIf:
    return what_if(rig_of(name, change), words.split(), MODELS, CATALOGUE)


def spared(what: str, name: str, change: dict[str, Any] | None = None) -> tuple[Spared, list[str]]:
    written = rig_of(name, change)
    outage, before = outage_of(written, what, MODELS), as_living(written, MODELS)
    dead = outage.dead
    rescue = Rescuer(Mending(before, outage.after, intent_of(before), dead, dead, MODELS, found=written)).rescue()
    return Spared(outage, rescue, check_rig(rescue.cure.result, CATALOGUE)), steps_of(outage, rescue)


def flat(text: str) -> str:
    return " ".join(re.sub("\x1b\\[[0-9]+m", "", text).split())


def test_what_the_other_end_feeds_then_is_opened_where_the_first_end_must_stay_off() -> None:
    cure = planned("replace box-a grouped-8x8").cures[FEWEST]
    assert cure.unmet == ()
    steps = cure_steps(cure)
    assert (
        "leave phantom power off on channel 3 on desk: ribbon, on the same switch, must not have it; acoustic gets it "
        "from channel 3 on mon"
    ) in steps
    assert not any("goes without" in step for step in steps)
    (opening,) = [step for step in steps if "unmute" in step]
    opened = {channel.address for channel in named(cure.result, opening.split("unmute ")[1].split(", one by one")[0])}
    assert "desk/channel/3" in opened
    assert cure.result.rig.channels["desk", 3].phantom == "off"


def test_where_nobody_else_feeds_it_that_channel_stays_muted() -> None:
    change = {"devices": {"mon": {"model": "no-phantom"}}}
    steps = cure_steps(planned("replace box-a grouped-8x8", change=change).cures[CONSOLE])
    assert (
        "leave channel 3 on desk muted and phantom power off there: ribbon, on the same switch, must not have it; acoustic "
        "needs it and goes without"
    ) in steps
    (opening,) = [step.split("unmute ")[1].split(", one by one")[0] for step in steps if "unmute" in step]
    assert opening.startswith("channels 1–2, 4–16 on desk")


@pytest.mark.parametrize("name", ["base", "few"])
@pytest.mark.parametrize("words", CHANGES)
def test_whoever_hears_a_source_is_muted_while_its_phantom_power_is_switched(words: str, name: str) -> None:
    plan = planned(words, name)
    made = [] if any(edit.lost for edit in plan.edits) else ["now make the change"]
    for cure in plan.cures.values():
        steps = cure_steps(cure, made)
        if not made:
            count = len(cure.quiet.first)
            steps = [*steps[:count], "now make the change", *steps[count:]]
        replay(plan.before, steps, merged(edit.patch for edit in plan.edits), MODELS, plan.dead)
        assert muted_for_nothing(cure.result, steps) == []
        if not made:
            fed_once(plan.before, plan.after, cure.result, steps)


@pytest.mark.parametrize("words", ["order box-b box-a box-c", "move box-c mon/link-1", "replace box-a stage-box-8x8"])
def test_the_other_console_is_muted_where_its_sources_lose_their_power_for_a_while(words: str) -> None:
    cures = planned(words).cures
    cure = cures[FEWEST]
    muted = cure.quiet.first[0].split(" and mute ")[1]
    assert {("mon", 3), ("mon", 4)} <= {channel.key for channel in named(cure.result, muted)}
    # Muted alone: its own switches are left as they are.
    assert not any("phantom power off" in step and "on mon" in step for step in cure.quiet.first)
    (opening,) = [step for step in cure.quiet.last if "unmute" in step]
    assert " 3–4 on mon" in opening or "1–4 on mon" in opening


@pytest.mark.parametrize("name", ["base", "few"])
@pytest.mark.parametrize("what", LOSSES)
def test_nothing_is_fed_from_both_ends_while_a_rescue_is_under_way(what: str, name: str) -> None:
    plan, steps = spared(what, name)
    replay(rig_of(name), steps, {}, MODELS, plan.outage.dead)
    assert muted_for_nothing(plan.rescue.cure.result, steps) == []
    about = fed_once(rig_of(name), plan.outage.after, plan.rescue.cure.result, steps)
    if (what, name) in {("desk/link-1", "few"), ("desk", "base"), ("desk", "few")}:
        assert about == ["acoustic", "choir-left"]
    if (what, name) == ("cl", "few"):
        assert about == ["choir-left"]  # the other box is dark


def test_all_boxes_that_may_still_give_power_are_switched_off_before_it_comes_on_elsewhere() -> None:
    _, steps = spared("desk/link-1", "few")
    off = next(i for i, step in enumerate(steps) if step.startswith("no console reaches box-a, box-b, box-c now"))
    on = next(i for i, step in enumerate(steps) if step.startswith("switch phantom power on at channels 3–4 on mon"))
    assert off < on
    assert "switch off box-a (circuit cl) and box-b (circuit cr) and box-c (circuit cl) at their own" in steps[off]
    assert (
        "Before any of that has mains again, take acoustic out of box-a/in/3 and choir-left out of box-b/in/1: they get "
        "phantom power from the other end of their split then."
    ) in steps[off]
    _, steps = spared("desk", "base")
    (off_words,) = [step for step in steps if step.startswith("no console reaches box-a, box-b now")]
    assert (
        "box-c (" not in off_words.partition("switch off ")[2].partition(", and wait")[0]
    )  # it feeds nobody elsewhere


def test_what_lives_by_such_a_box_is_not_silenced() -> None:
    """The choir's left half can be fed at both ends, the right one at the box alone: mon's end of it has no supply."""
    change = {
        "devices": {"annex": {"model": "no-phantom"}},
        "splits": {"choir": {"kind": "analogue", "sources": ["choir-right"]}},
        "sources": {"choir-right": {"plugged_into": ["box-b/in/2", "annex/in/1"]}},
        "consoles": {
            "annex": {"channels": {1: {"carries": "choir-right", "patched_from": "annex/in/1"}}},
        },
        "clock": {"leader": ["desk", "mon", "annex"]},
    }
    _, steps = spared("desk", "base", change)
    (pull,) = [step for step in steps if "take choir-left out of box-b/in/1, muted" in step]
    assert pull.startswith("no console reaches box-b now, and phantom power may still be on there: ")
    assert not any(
        "switch off" in step and "box-b (" in step.partition("switch off ")[2].split(", and")[0] for step in steps
    )
    assert "leave box-b on: choir-right has phantom power from nowhere else" in steps


def test_what_lives_by_a_box_that_a_plug_leaves_has_it_back_before_it_is_heard_again() -> None:
    deaf = {"devices": {"mon": {"model": "no-phantom"}}}
    _, steps = spared("desk/link-1", "few", deaf)
    (again,) = [
        i for i, step in enumerate(steps) if step.startswith("have box-a on again, and wait ten seconds: acoustic")
    ]
    off = next(i for i, step in enumerate(steps) if "switch off box-a (circuit cl)" in step)
    assert off < again < next(i for i, step in enumerate(steps) if "unmute" in step)
    _, steps = spared("box-a", "few", deaf)
    assert not any(step.startswith("have box-a on") for step in steps)  # it is that box that is dead


def test_a_dead_console_is_switched_off_where_its_own_inputs_may_still_give_power() -> None:
    change = {
        "sources": {"acoustic": {"plugged_into": ["desk/in/3", "mon/in/3"]}},
        "channels": {"3": {"patched_from": "desk/in/3"}},
    }
    plan, steps = spared("desk", "base", change)
    (off,) = [step for step in steps if " and desk is dead now, and phantom power may still be on there" in step]
    assert "switch off box-b (circuit cr) and desk (circuit cd) at their own" in off
    assert "acoustic out of desk/in/3" in off
    assert live(plan.rescue.cure.result)


def test_who_finds_no_socket_and_is_heard_by_the_other_leg_is_told_so() -> None:
    plan, _ = spared("desk/link-1", "few")
    text = flat(spares_text(plan))
    assert "✗ choir-left (channel 9 on desk); it is still heard at channel 4 on mon ✗" in text
    assert "✗ choir-right (channel 10 on desk) ✗" in text
    # Not where it is silent there, for want of phantom power.
    silent = {"devices": {"mon": {"model": "no-phantom"}}}
    text = flat(spares_text(spared("desk/link-1", "few", silent)[0]))
    assert "✗ choir-left (channel 9 on desk) ✗" in text
    assert "✗ backing (channel 2 on desk); it is still heard at channel 2 on mon ✗" in text
    report = json.loads(spares_json(rig_of("few"), plan, None))
    heard = {row["source"]: row["still_heard_at"] for row in report["rescue"]}
    assert (heard["choir-left"], heard["choir-right"]) == (["mon/channel/4"], [])
    assert not any(row["still_heard_at"] for row in report["rescue"] if row["to"] is not None)
    assert {"choir-left", "backing"} <= set(report["still_heard"])
    assert set(report["still_heard"]).isdisjoint(report["silent"])


def test_the_way_by_the_console_says_the_same() -> None:
    steps = cure_steps(planned("lose desk").cures[CONSOLE])
    assert any(
        step.startswith("no console reaches box-a, box-b now, and phantom power may still be on") for step in steps
    )


@pytest.mark.parametrize("change", ["bank box-a 17-24", "lose box-c", "bank box-b 1-8"])
def test_what_is_fed_at_a_dead_socket_too_is_fed_by_one_end_once_its_plug_is_moved(change: str) -> None:
    """Both consoles say on; the file has the socket at one end as dead, so that the cure that moves the plug sees to it."""
    dead = {"mon/in/3": "hums"}
    twice = {"dead": dead, "consoles": {"mon": {"channels": {"3": {"phantom": "on"}}}}}
    plan = planned(change, change=twice)
    cure = plan.cures[FEWEST]
    assert any(step.plug == "acoustic" and str(step.start) == "mon/in/3" for step in cure.handlings)
    (leave,) = [step for step in cure.quiet.last if "acoustic has it from" in step]
    assert leave.startswith("leave phantom power off on channel 3 on mon: acoustic has it from channel 3 on desk now")
    assert len(cure.result.phantom.live_at(cure.result.rig.sources["acoustic"])) == 1
    assert "phantom-two-feeds" not in {row.rule for row in check_rig(cure.result, CATALOGUE).findings}


@pytest.mark.parametrize(
    ("words", "plays"),
    [("lose box-c", True), ("remove box-c", False), ("lose box-b", True), ("order box-a box-c box-b", False)],
)
def test_what_stands_before_a_box_that_is_lost_plays_on(words: str, plays: bool) -> None:
    """Nobody lays a hand on the chain before it. One that is taken out has its cable pulled, and all wait for that."""
    steps = cure_steps(planned(words, "boxed").cures[FEWEST])
    muted = {
        channel.address
        for step in steps
        if " and mute " in step
        for channel in named(rig_of("boxed"), step.partition(" mute ")[2])
    }
    assert ("desk/channel/7" not in muted) == plays, steps[0]


def test_a_dead_socket_on_a_switch_that_others_live_by_takes_nothing_from_them() -> None:
    """Box b has phantom power by fours. A microphone that stays in a dead socket there is muted, and that is all."""
    cure = planned("bank box-a 17-24", change={"dead": {"box-b/in/2": "crackles"}}).cures[CONSOLE]
    steps = cure_steps(cure)
    assert not [step for step in steps if step.startswith("switch phantom power")]
    assert steps[0].endswith("and mute channel 10 on desk")
    assert (
        "leave channel 10 (Choir R) on desk muted: it gets nothing, not choir-right; its phantom power stays on with the "
        "switch that it shares"
    ) in steps
    assert [cure.result.rig.channels["desk", number].phantom for number in (9, 10)] == ["on", "on"]
