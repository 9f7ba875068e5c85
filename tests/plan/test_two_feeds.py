"""A source that has its phantom power from another console: it is kept from sockets that would feed it once more."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from plan_rigs import write_models
from test_second_console import CATALOGUE, POWERED_THERE, RIG

from lint.check.engine import check_rig
from lint.plan.cures import CONSOLE, FEWEST, PLUGS, Mending
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.phantom import troubles
from lint.plan.rebuild import rebuilt
from lint.plan.rescue import Rescue
from lint.plan.spares import Rescuer
from lint.plan.waking import rested
from lint.plan.whatif import what_if
from lint.read.document import Document
from lint.read.parse import parse
from lint.report.whatif import steps_of, whatif_text
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

# The guitar has its power from mon; a violin has the phantom switch of box-b/in/3–4 on.
VIOLIN = {"kind": "condenser-microphone", "plugged_into": "box-b/in/3"}


def rig(*free_at_b: int) -> dict[str, Any]:
    """The rig of the second console without the oboe, nothing free at the desk, and at box-b what is named."""
    sources = {name: row for name, row in POWERED_THERE["sources"].items() if name not in ("oboe", "horn")}
    channels = {key: row for key, row in POWERED_THERE["channels"].items() if key not in ("3", "5")}
    sources |= {"vocal": {**sources["vocal"], "priority": 5}, "drum": VIOLIN}
    channels["6"] = {**channels["6"], "phantom": "on"}
    taken = ["desk/in/1", "desk/in/2", *(f"box-b/in/{number}" for number in (1, 2, 4) if number not in free_at_b)]
    for number, at in enumerate(taken, 10):
        point = at if at.startswith("desk") else f"desk/link-1/{4 + int(at[-1])}"
        state = "on" if at.endswith("/4") else "off"
        sources[f"s{number}"] = {"kind": "dynamic-microphone", "plugged_into": at, "priority": 1}
        channels[str(number)] = {"carries": f"s{number}", "patched_from": point, "phantom": state}
    house = {"kind": "house", "takes": {"channels": ["1-16"]}}
    return {**POWERED_THERE, "sources": sources, "channels": channels, "mixes": {"house": house}}


@pytest.fixture
def rescued(built: Any, models: Models) -> Any:
    def rescue(data: dict[str, Any]) -> Rescue:
        before = built(data)
        outage = outage_of(before, "box-a", models)
        mending = Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models)
        return Rescuer(mending).rescue()

    return rescue


def rules_of(rescue: Rescue) -> set[str]:
    return {finding.rule for finding in check_rig(rescue.cure.result, CATALOGUE).findings}


@pytest.mark.parametrize("free", [(2, 4), (1, 4), (1, 2, 4)])
def test_a_socket_without_a_second_feed_is_preferred(rescued: Any, free: tuple[int, ...]) -> None:
    rescue = rescued(rig(*free))
    places = {plug.source: str(socket) for plug, socket in rescue.places.items()}
    assert places["guitar"] in ("box-b/in/1", "box-b/in/2")
    assert places["vocal"] == "box-b/in/4" or len(free) == 3
    assert "phantom-two-feeds" not in rules_of(rescue)


def test_where_there_is_no_other_the_end_that_nothing_else_needs_goes_off(rescued: Any) -> None:
    rescue = rescued(rig(4))
    assert [str(socket) for socket in rescue.places.values()] == ["box-b/in/4"]
    steps = steps_of(rescue.cure)
    assert any(step.startswith("switch phantom power off on") and "channel 2 on mon" in step for step in steps)
    off = (
        "leave phantom power off on channel 2 on mon: guitar has it from channel 6 on desk now, and both ends of its "
        "split must not feed it"
    )
    (on,) = [step for step in steps if step.startswith("switch phantom power on again")]
    assert steps.index(off) < steps.index(on)
    assert "on mon" not in on
    assert rescue.cure.quiet.switched == 1
    assert rescue.cure.result.rig.channels["mon", 2].phantom == "off"
    assert "phantom-two-feeds" not in rules_of(rescue)


def test_where_both_ends_are_needed_that_is_said_and_never_called_harmless(rescued: Any) -> None:
    data = rig(4)
    data["devices"] = {**data["devices"], "mon": {"model": "console-pairs"}}
    data["sources"]["vocal"]["kind"] = "condenser-microphone"
    rescue = rescued(data)
    assert [str(socket) for socket in rescue.places.values()] == ["box-b/in/4"]
    (step,) = [row for row in steps_of(rescue.cure) if "with it on channel 2 on desk" in row]
    assert "harm" not in step
    assert (
        "(the same switch; but guitar then has it from channel 2 on mon too, and both ends of its split must not feed "
        "it: agree which one does, and switch it off at the other)"
    ) in step
    assert "phantom-two-feeds" in rules_of(rescue)


def test_one_that_had_it_from_both_ends_before_has_it_from_one_once_it_is_rescued(rescued: Any, built: Any) -> None:
    data = rig(2)
    data["channels"]["2"] = {**data["channels"]["2"], "phantom": "on"}
    assert "phantom-two-feeds" in {finding.rule for finding in check_rig(built(data), CATALOGUE).findings}
    rescue = rescued(data)
    assert {plug.source for plug in rescue.places} >= {"guitar"}
    result = rescue.cure.result
    assert [at for at in result.rig.sources["guitar"].sockets if result.phantom.is_live(at)]
    assert "guitar" not in result.phantom.unpowered
    assert "phantom-two-feeds" not in rules_of(rescue)
    (off,) = [step for step in steps_of(rescue.cure) if step.startswith("leave phantom power off")]
    assert "channels 2, 12 on desk: guitar has it from channel 2 on mon" in off


class TestTwoFeedsAfterAChange:
    """A box with one switch for two sockets takes the place of one with a switch each: a neighbour needs it on."""

    @pytest.fixture
    def plan(self, built: Any, models: Models) -> Any:
        data = copy.deepcopy(POWERED_THERE)
        data["sources"]["oboe"], data["channels"]["3"]["patched_from"] = (
            {
                "kind": "condenser-microphone",
                "plugged_into": "box-a/in/1",
            },
            "desk/link-1/1",
        )
        data["sources"]["vocal"]["plugged_into"] = ["box-a/in/3", "mon/in/1"]
        data["channels"]["1"]["patched_from"] = "desk/link-1/3"
        return what_if(built(data), ["replace", "box-a", "grouped-4x2"], models, CATALOGUE)

    @pytest.mark.parametrize("way", [CONSOLE, FEWEST])
    def test_one_switch_more_settles_it(self, plan: Any, way: str) -> None:
        cure = plan.cures[way]
        assert cure.unmet == ()
        assert (cure.changes, cure.proved, cure.handlings) == (1, True, ())
        assert cure.result.rig.channels["mon", 2].phantom == "off"
        assert not [row for row in plan.cured(way).findings if row.rule == "phantom-two-feeds"]
        assert f"({'a' if way == CONSOLE else 'c'}) " in whatif_text(plan)

    def test_plugs_alone_leave_every_switch(self, plan: Any) -> None:
        assert plan.cures[PLUGS].quiet.switched == 0
        assert plan.cures[PLUGS].result.rig.channels["mon", 2].phantom == "on"


def test_where_either_end_can_be_off_the_one_that_was_stays_off(built: Any, models: Models) -> None:
    before = built(POWERED_THERE)
    both = rebuilt(before, {"channels": {"2": {"phantom": "on"}}}, models)
    assert [c.address for c in rested(before, both, troubles(both))] == ["desk/channel/2"]
    assert rested(both, both, troubles(both)) == ()


class TestTheOtherConsoleIsQuietToo:
    """A plug of a split source that is pulled clicks at both ends, and 48 V from the other end is on it all the time."""

    @pytest.fixture
    def cures(self, built: Any, models: Models) -> Any:
        def cures(words: str) -> Any:
            return what_if(built(POWERED_THERE), words.split(), models, CATALOGUE).cures

        return cures

    @pytest.mark.parametrize("words", ["order box-b box-a", "remove box-a"])
    def test_around_a_change_of_plugs(self, cures: Any, words: str) -> None:
        cure = cures(words)[PLUGS]
        assert {"vocal", "guitar"} <= {step.plug for step in cure.handlings}
        mute, off = cure.quiet.first[:2]
        assert "channels 1–2 on mon" in mute
        assert "channel 2 on mon" in off
        assert "wait ten seconds" in off
        last = " ".join(cure.quiet.last)
        assert "channel 2 on mon" in last.partition("switch phantom power on again")[2].partition("wait ten")[0]
        assert "channels 1–2 on mon" in last.partition("unmute")[2]

    def test_around_a_change_of_patch_alone_nothing_there_is_touched(self, cures: Any) -> None:
        cure = cures("order box-b box-a")[CONSOLE]
        assert not cure.handlings
        assert "on mon" not in " ".join((*cure.quiet.first, *cure.quiet.last))

    def test_around_a_box_that_is_replaced_with_all_its_plugs(self, cures: Any) -> None:
        cure = cures("replace box-a mini-3x2")[CONSOLE]
        assert "channels 1–2 on mon" in cure.quiet.first[0]
        assert "channel 2 on mon" in cure.quiet.first[1]

    def test_around_a_rescue(self, rescued: Any) -> None:
        first = rescued(rig(2, 4)).cure.quiet.first
        assert "channels 1–2 on mon" in first[0]
        assert "channel 2 on mon" in first[1]


def test_the_headline_tells_a_no_go_that_no_cure_is_asked_for(tmp_path: Path) -> None:
    """A box that can't run at the clock's rate: every channel can be put right, and the rig is a no-go all the same."""
    write_models(tmp_path)
    (tmp_path / "models" / "slow.yaml").write_text(
        "model_format: 1\nkind: stage-box\ninputs: {count: 3}\nchain: {slots: {44100: 10}}\n"
        "outputs: {count: 4, addressed: by-selector, selector: [1-4]}\nsample_rates_hz: [44100]\n",
        encoding="utf-8",
    )
    models = Models(tmp_path)
    data, marks = parse(json.dumps(RIG), "rig.yaml")
    before = resolve_rig(build_rig(Document(data, marks, ("rig.yaml",), ()), "rig.yaml", models))
    plan = what_if(before, ["replace", "box-a", "slow"], models, CATALOGUE)
    assert plan.cures[CONSOLE].unmet == ()
    assert [row.rule for row in plan.no_gos_left(CONSOLE)] == ["clock-rate-unsupported"]
    text = " ".join(whatif_text(plan).split())
    assert "(a) 2 changes at the console or a box; checked again it is NO-GO all the same (1 no-go); (b)" in text
