"""Dead input sockets: what is lost there, and what had its phantom power from there alone."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from test_second_console import CATALOGUE, POWERED_THERE, changed, flat

from lint.check.engine import check_rig
from lint.check.finding import Verdict
from lint.plan.cures import Mending
from lint.plan.edit import PLANNED_DEAD
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.rebuild import rebuilt
from lint.plan.rescue import Spared
from lint.plan.spares import Rescuer
from lint.plan.whatif import what_if
from lint.plan.words import patch_between
from lint.report.spares import spares_text, steps_of
from lint.resolve.resolved import resolve_rig
from lint.rig.address import Socket
from lint.rig.model import Models

Saved = Callable[..., Spared]
WAKES = (
    "switch phantom power on at channel 2 on desk, which had it off: guitar gets it from nowhere else now; and wait ten "
    "seconds"
)


@pytest.fixture
def saved(built: Any, models: Models) -> Saved:
    """What is saved of a rig once something in it is dead."""

    def rescue(what: str, data: dict[str, Any] = POWERED_THERE) -> Spared:
        before = built(data)
        outage = outage_of(before, what, models)
        found = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models)).rescue()
        return Spared(outage, found, check_rig(found.cure.result, CATALOGUE))

    return rescue


def last(spared: Spared) -> str:
    text = re.sub("\x1b\\[[0-9]+m", "", spares_text(spared))
    return flat(text.rstrip().rpartition("\n\n")[2])


class TestTheLegThatPowersIsInADeadSocket:
    @pytest.mark.parametrize("what", ["mon/in", "mon/in/1-2"])
    def test_the_other_console_is_told_to_power_it(self, saved: Saved, what: str) -> None:
        spared = saved(what)
        steps = steps_of(spared.outage, spared.rescue)
        assert WAKES in steps
        assert "leave channel 2 on mon muted and its phantom power off: it gets nothing, not guitar" in steps
        assert [c.address for c in spared.rescue.cure.quiet.woken] == ["desk/channel/2"]

    def test_the_rig_that_comes_out_has_it_on_there_and_off_at_the_dead_socket(self, saved: Saved, built: Any) -> None:
        result = saved("mon/in").rescue.cure.result
        assert patch_between(built(POWERED_THERE), result) == {
            "channels": {"2": {"phantom": "on"}},
            "consoles": {"mon": {"channels": {"2": {"phantom": "off"}}}},
            "dead": {"mon/in/1-2": PLANNED_DEAD},
        }
        # The written file says that the sockets are dead, and there is nothing to say of their phantom power.
        rules = [found.rule for found in check_rig(resolve_rig(result.rig), CATALOGUE).findings]
        assert "dead-in-use" in rules
        assert not [rule for rule in rules if rule.startswith("phantom") and rule != "phantom-while-patching"]

    def test_where_it_would_harm_a_neighbour_that_is_told_and_it_stays_off(self, saved: Saved) -> None:
        data = changed(
            (("channels", "2", "phantom"), "off"),
            (("consoles", "mon", "channels", "2", "phantom"), "on"),
            (("devices", "box-a", "model"), "grouped-4x2"),
            (("sources", "vocal", "kind"), "ribbon-microphone"),
            *(
                (("sources", f"tom-{number}"), {"kind": "dynamic-microphone", "plugged_into": at})
                for number, at in enumerate(("box-a/in/4", "box-b/in/4", "desk/in/1", "desk/in/2"))
            ),
        )
        spared = saved("mon/in", data)
        # Nor is there a free socket on another switch for any of its plugs.
        assert not spared.rescue.cure.quiet.woken
        told = "guitar (box-a/in/2) needs phantom power, and gets none: vocal on the same switch must not have it"
        assert told in map(str, spared.rescue.cure.unmet)
        assert told in flat(spares_text(spared))
        assert "1 thing stays wrong" in last(spared)

    @pytest.mark.parametrize("what", ["box-a/in/2", "box-a/in", "box-a"])
    def test_a_dead_socket_or_box_on_the_desk_s_side_that_nothing_can_stand_in_for(
        self, saved: Saved, what: str
    ) -> None:
        data = changed()
        taken = ("desk/in/1", "desk/in/2", "box-b/in/2", "box-b/in/4", "box-a/in/4")
        for index, socket in enumerate(taken):
            data["sources"][f"pad-{index}"] = {"kind": "player", "plugged_into": socket, "priority": 1}
        spared = saved(what, data)
        assert "guitar" in [plug.source for plug in spared.rescue.left]
        assert [c.address for c in spared.rescue.cure.quiet.woken] == ["mon/channel/2"]
        assert "guitar" not in spared.rescue.cure.result.phantom.unpowered
        assert not spared.is_go
        assert last(spared).startswith("NO-GO: ")


class TestTheLastLineIsTheTruth:
    def test_what_is_lost_is_a_no_go_and_named(self, saved: Saved) -> None:
        spared = saved("mon/in")
        assert spared.checked.verdict is Verdict.NO_GO
        assert last(spared) == "NO-GO: vocal, guitar stay lost at channels 1–2 on mon; the check finds 1 no-go."
        assert "for good" not in flat(spares_text(spared)), "a written file says what is dead"

    def test_of_channels_that_say_nothing_of_what_they_carry_too(self, saved: Saved) -> None:
        data = changed()
        for row in data["consoles"]["mon"]["channels"].values():
            del row["carries"]
        spared = saved("mon/in", data)
        assert spared.checked.verdict is not Verdict.NO_GO
        assert not spared.is_go
        assert last(spared) == "NO-GO: vocal, guitar stay lost at channels 1–2 on mon."

    def test_where_all_are_heard_again_it_is_a_go(self, saved: Saved) -> None:
        spared = saved("mon/in/1-2", changed((("devices", "mon", "model"), "console-32")))
        assert spared.is_go
        assert last(spared) == f"{spared.checked.verdict.name}: all that was lost is heard again.".replace("_", " ")

    def test_the_check_names_the_dead_sockets_and_calls_nothing_unplugged(self, saved: Saved) -> None:
        messages = [row.message for row in saved("mon/in").checked.findings if row.rule == "dead-in-use"]
        assert messages == [
            "mon/in/1–2 are dead (found dead; written by a plan of rigwalk), and vocal, guitar are plugged in there: "
            "channel 1 on mon should carry vocal, and gets nothing, channel 2 on mon should carry guitar, and gets nothing."
        ]

    def test_dead_slots_of_a_box_are_no_shift_of_the_patch(self, built: Any, models: Models) -> None:
        dead = outage_of(built(POWERED_THERE), "box-a/in", models).after
        rules = [row.rule for row in check_rig(dead, CATALOGUE).findings if row.rule.startswith(("patch", "dead"))]
        assert rules == ["dead-in-use"]


def test_what_is_dead_by_the_file_is_rescued_with_the_rest_and_goes_with_its_box(built: Any, models: Models) -> None:
    rig = built({**POWERED_THERE, "dead": {"box-a/in/1": "crackles", "desk/in/1": "crackles"}})
    outage = outage_of(rig, "box-a/in/1", models)
    assert outage.after.rig.dead["box-a/in/1"].note == "crackles", "what is known of it stays"
    rescue = Rescuer(Mending(rig, outage.after, intent_of(rig), outage.dead, outage.dead, models)).rescue()
    assert "vocal" in [plug.source for plug in rescue.lost]
    assert not {Socket("box-a", "in", 1), Socket("desk", "in", 1)} & set(rescue.places.values())
    replaced = what_if(rig, ["replace", "box-a", "mini-4x4"], models, CATALOGUE).after
    assert list(replaced.rig.dead) == ["desk/in/1"]


def test_a_dead_socket_gives_no_phantom_power(built: Any, models: Models) -> None:
    whole = built(changed((("devices", "box-a", "model"), "grouped-4x2")))
    at = Socket("box-a", "in", 2)
    dead = rebuilt(whole, {"dead": {str(at): "crackles"}}, models)
    assert whole.phantom.is_live(at)
    assert not dead.phantom.is_live(at)
    assert not dead.phantom.is_able(at)
    assert [c.address for c in whole.phantom.powering(whole.rig.sources["guitar"])] == ["desk/channel/2"]
    assert dead.phantom.powering(dead.rig.sources["guitar"]) == ()
    assert "guitar" in dead.phantom.unpowered


def test_all_inputs_that_the_file_says_are_dead_are_not_written_a_second_time(built: Any, models: Models) -> None:
    file = built(POWERED_THERE | {"dead": {"mon/in": "no signal"}})
    outage = outage_of(file, "mon/in", models)
    assert (outage.card, list(outage.after.rig.dead)) == ("mon/in", ["mon/in"])
    assert outage.after.dead == outage_of(built(POWERED_THERE), "mon/in", models).after.dead
