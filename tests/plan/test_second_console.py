"""A second console that is fed by a split and has phantom power off: what lives by the first console's leg alone."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import pytest

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.check.finding import Finding
from lint.plan.cures import CONSOLE, FEWEST, PLUGS
from lint.plan.phantom import troubles
from lint.plan.rebuild import rebuilt
from lint.plan.waking import woken
from lint.plan.whatif import WhatIf, what_if
from lint.report.trace import trace_text
from lint.report.whatif import steps_of, whatif_text
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.resolve.trace import trace_signal
from lint.rig.address import Socket
from lint.rig.build import load_rig
from lint.rig.model import Models

CATALOGUE = load_catalogue()
LEG_GONE = ["remove box-a", "lose box-a", "move box-a desk/link-2"]
RIG: dict[str, Any] = {
    "rig_format": 1,
    "clock": {"leader": ["desk", "mon"]},
    "devices": {
        "desk": {"model": "console-mini"},
        "mon": {"model": "console-mini"},
        "box-a": {"model": "mini-4x4", "output_bank": "1-4"},
        "box-b": {"model": "grouped-4x2", "output_bank": "5-6"},  # one phantom switch for 1-2, one for 3-4
    },
    "cables": {
        "trunk": {"from": "desk/link-1", "to": "box-a/upstream"},
        "hop": {"from": "box-a/downstream", "to": "box-b/upstream"},
    },
    "splits": {"stage": {"kind": "analogue", "sources": ["vocal", "guitar"]}},
    "sources": {
        "vocal": {"kind": "dynamic-microphone", "plugged_into": ["box-a/in/1", "mon/in/1"], "priority": 1},
        "guitar": {"kind": "active-di", "plugged_into": ["box-a/in/2", "mon/in/2"], "priority": 2},
        "oboe": {"kind": "condenser-microphone", "plugged_into": "box-a/in/3"},
        "horn": {"kind": "ribbon-microphone", "plugged_into": "box-b/in/1"},
        "drum": {"kind": "dynamic-microphone", "plugged_into": "box-b/in/3"},
    },
    "channels": {
        "1": {"carries": "vocal", "patched_from": "desk/link-1/1"},
        "2": {"carries": "guitar", "patched_from": "desk/link-1/2", "phantom": "on"},
        "3": {"carries": "oboe", "patched_from": "desk/link-1/3", "phantom": "on"},
        "5": {"carries": "horn", "patched_from": "desk/link-1/5", "phantom": "off"},
        "6": {"carries": "drum", "patched_from": "desk/link-1/7"},
    },
    "consoles": {
        "mon": {
            "channels": {
                "1": {"carries": "vocal", "patched_from": "mon/in/1", "phantom": "off"},
                "2": {"carries": "guitar", "patched_from": "mon/in/2", "phantom": "off"},
            },
            "mixes": {"singer-mon": {"kind": "monitor", "takes": {"channels": [1, 2]}}},
        }
    },
    "mixes": {"house": {"kind": "house", "takes": {"channels": [1, 2, 3, 5, 6]}}},
    "feeds": {"mon/out": {"1": "singer-mon"}, "desk/out": {"1": "house"}},
    "destinations": {
        "wedge": {"kind": "wedge", "plugged_into": "mon/out/1", "expects": "singer-mon"},
        "house-speaker": {"kind": "house-loudspeaker", "plugged_into": "desk/out/1", "expects": "house"},
    },
}


def changed(*changes: tuple[tuple[str, ...], object]) -> dict[str, Any]:
    """The rig with some of its values changed."""
    data = copy.deepcopy(RIG)
    for trail, value in changes:
        row = data
        for key in trail[:-1]:
            row = row[key]
        row[trail[-1]] = value
    return data


POWERED_THERE = changed((("consoles", "mon", "channels", "2", "phantom"), "on"), (("channels", "2", "phantom"), "off"))


@pytest.fixture
def planned(built: Any, models: Models) -> Any:
    def plan(words: str, data: dict[str, Any] = RIG) -> WhatIf:
        return what_if(built(data), words.split(), models, CATALOGUE)

    return plan


def findings(rig: ResolvedRig) -> list[Finding]:
    return list(check_rig(rig, CATALOGUE).findings)


def flat(text: str) -> str:
    return " ".join(text.split())


class TestTheLegThatPowersIsGone:
    @pytest.mark.parametrize("words", LEG_GONE)
    def test_the_statement_says_that_it_is_silent(self, planned: Any, words: str) -> None:
        plan = planned(words)
        assert "guitar" in plan.effect.silent
        assert "vocal" not in plan.effect.silent
        text = whatif_text(plan)
        assert "mon 2, without phantom power" in text
        assert "guitar (without phantom power)" in text
        heard = next(row for row in plan.effect.hearing if row.end.name == "wedge")
        assert heard.lost == ("guitar",)

    @pytest.mark.parametrize("words", LEG_GONE)
    def test_the_check_says_it_and_why(self, planned: Any, words: str) -> None:
        found = findings(planned(words).after)
        (missing,) = [row for row in found if row.rule == "phantom-missing"]
        assert missing.message == (
            "guitar (mon/in/2, channel 2 on mon) needs phantom power, but it is off there; it is on at channel 2 on desk, "
            "where guitar does not arrive."
        )
        near = words.startswith(
            "move"
        )  # the desk hears box-a still: patched there again it powers the guitar as before
        assert [cure.change is None for cure in missing.cures] == [near, not near]
        for row in found:
            if row.rule == "chain-box-unreached" and "box-a" in row.message:
                assert "Arrives by one end of its split only: vocal." in row.message
                assert "Silent at both ends of its split, without phantom power: guitar." in row.message

    @pytest.mark.parametrize("words", LEG_GONE)
    def test_the_trace_stops_there(self, planned: Any, words: str) -> None:
        rig = planned(words).after
        text = flat(trace_text(trace_signal(rig, "guitar")))
        assert "on channel 2 on mon it arrives without phantom power: silent" in text
        assert "guitar needs phantom power and gets none: silent" in flat(trace_text(trace_signal(rig, "wedge")))
        assert "phantom" not in flat(trace_text(trace_signal(rig, "vocal"))).split("vocal, dynamic")[0]

    @pytest.mark.parametrize("words", LEG_GONE)
    def test_what_the_second_console_powers_is_still_heard(self, planned: Any, words: str) -> None:
        plan = planned(words, POWERED_THERE)
        assert "guitar" not in plan.effect.silent
        assert not any(row.rule == "phantom-missing" for row in findings(plan.after))
        assert "without phantom power" not in whatif_text(plan)
        assert "gets none" not in trace_text(trace_signal(plan.after, "guitar"))

    def test_nor_is_what_needs_none_told(self, planned: Any) -> None:
        plan = planned("remove box-a", changed((("sources", "guitar", "powering"), "battery")))
        assert "guitar" not in plan.effect.silent
        assert not any(row.rule == "phantom-missing" for row in findings(plan.after))

    def test_one_leg_of_a_split_says_that_it_is_silent_there(self, built: Any) -> None:
        data = changed((("sources", "guitar", "plugged_into"), "mon/in/2"), (("channels", "2"), None))
        data["channels"].pop("2")
        data["mixes"]["house"]["takes"]["channels"] = [1, 3, 5, 6]
        (leg,) = [row for row in findings(built(data)) if row.rule == "split-leg-missing"]
        assert leg.message.endswith("is plugged in: mon/in/2. It gets no phantom power there, and is silent.")


class TestPowerThatComesAstray:
    """With box-a gone channel 2 takes box-b/in/2, on the switch of the ribbon in box-b/in/1."""

    def test_the_check_names_the_ribbon_first(self, planned: Any) -> None:
        first = findings(planned("remove box-a").after)[0]
        assert (first.rule, first.about, first.weight.value) == ("phantom-astray", "horn", "no-go")
        assert first.message == (
            "horn (box-b/in/1) is a ribbon microphone and must not have phantom power, but channel 2 on desk brings it "
            "there: box-b/in/1–2 have one phantom switch. Mute and switch it off first."
        )

    def test_the_statement_names_it_before_all_else(self, planned: Any) -> None:
        plan = planned("remove box-a")
        harm = "✗ horn (box-b/in/1) must not have phantom power, and would get it by channel 2 on desk."
        text = flat(whatif_text(plan))
        assert harm in text
        assert text.index(harm) < text.index("Goes silent")
        harmed = [(row.channel.address, row.harmed) for row in plan.phantom_astray if row.harmed]
        assert harmed == [("desk/channel/2", ("horn",))]

    def test_the_trace_of_the_ribbon_says_it_first(self, planned: Any) -> None:
        first = trace_signal(planned("remove box-a").after, "horn")[0].comes_to
        assert first.startswith(
            "horn must not have phantom power, and gets it by channel 2 on desk; horn does not reach"
        )

    @pytest.mark.parametrize("way", [CONSOLE, PLUGS, FEWEST])
    def test_no_cure_leaves_it_on(self, planned: Any, way: str) -> None:
        assert not planned("remove box-a").cures[way].result.phantom.harmed

    def test_a_ribbon_that_no_channel_takes_is_told_beside_a_rightful_neighbour(self, built: Any) -> None:
        data = changed((("sources", "oboe", "plugged_into"), "box-b/in/2"))
        data["channels"]["3"]["patched_from"] = "desk/link-1/6"
        data["channels"].pop("5")
        data["mixes"]["house"]["takes"]["channels"] = [1, 2, 3, 6]
        (astray,) = [row for row in findings(built(data)) if row.rule == "phantom-astray"]
        assert astray.about == "horn"
        assert astray.cures[0].change is None, "its neighbour needs it"


class TestPowerFromTheSecondConsole:
    def test_the_console_alone_puts_it_right(self, planned: Any) -> None:
        plan = planned("remove box-a")
        cure = plan.cures[CONSOLE]
        assert [channel.address for channel in cure.quiet.woken] == ["mon/channel/2"]
        assert cure.patch["consoles"]["mon"]["channels"]["2"] == {"phantom": "on"}
        assert not any("guitar" in words and "phantom" in words for words in map(str, cure.unmet))
        assert "guitar" not in cure.result.phantom.unpowered
        assert cure.changes == len(cure.turns) + 1

    def test_muted_first_and_ten_seconds_waited_before_it_is_opened(self, planned: Any) -> None:
        steps = steps_of(planned("remove box-a").cures[CONSOLE])
        muted = next(i for i, step in enumerate(steps) if "mute channels" in step and "channel 2 on mon" in step)
        on = steps.index(
            "switch phantom power on at channel 2 on mon, which had it off: guitar gets it from nowhere else now; and "
            "wait ten seconds"
        )
        opened = next(i for i, step in enumerate(steps) if "unmute" in step and "channel 2 on mon" in step)
        assert muted < on < opened
        assert not any("switch phantom power off" in step and "on mon" in step for step in steps)

    def test_not_where_it_would_harm_a_neighbour(self, planned: Any) -> None:
        data = changed((("devices", "mon", "model"), "console-pairs"))
        harmless = planned("remove box-a", data).cures[CONSOLE].quiet.woken
        assert [channel.number for channel in harmless] == [2]
        data["sources"]["vocal"]["kind"] = "ribbon-microphone"
        cure = planned("remove box-a", data).cures[CONSOLE]
        assert not cure.quiet.woken
        assert any(
            words.startswith("guitar (mon/in/2) needs phantom power, and gets none") for words in map(str, cure.unmet)
        )

    def test_not_by_a_console_that_only_listens_to_the_link(self) -> None:
        path = Path(__file__).parents[1] / "clean" / "link-split" / "rigs" / "string-band.yaml"
        band = resolve_rig(load_rig(path))
        off = rebuilt(band, {"channels": {"2": {"phantom": "off"}}}, Models(path.parents[1]))
        assert [channel.address for channel in woken(off, troubles(off))] == ["foh/channel/2"]
        on_the_air = rebuilt(band, {"channels": {"2": None}}, Models(path.parents[1]))
        assert [row.source.name for row in troubles(on_the_air)] == ["mandolin"]
        assert woken(on_the_air, troubles(on_the_air)) == ()

    def test_not_by_moving_plugs_alone(self, planned: Any) -> None:
        cure = planned("remove box-a").cures[PLUGS]
        assert not cure.quiet.woken
        assert not cure.turns


class TestThePlugThatPowers:
    """The guitar's leg on the desk's side is on a box that is gone; box-a has one socket left, on the oboe's switch."""

    GONE = changed(
        (("devices", "box-a", "model"), "grouped-4x2"),
        (("sources", "guitar", "plugged_into"), ["box-b/in/1", "mon/in/2"]),
        (("sources", "horn", "plugged_into"), "box-b/in/3"),
        (("sources", "drum", "plugged_into"), "box-a/in/2"),
        (("channels", "2", "patched_from"), "desk/link-1/5"),
        (("channels", "5", "patched_from"), "desk/link-1/7"),
        (("channels", "6", "patched_from"), "desk/link-1/2"),
    )

    def test_it_is_wanted_though_no_channel_takes_it(self, planned: Any) -> None:
        cure = planned("remove box-b", self.GONE).cures[PLUGS]
        assert cure.proved
        assert cure.result.rig.sources["guitar"].sockets[0] == Socket("box-a", "in", 4)
        assert "guitar" not in cure.result.phantom.unpowered
        (step,) = [step for step in steps_of(cure) if step.startswith("guitar: ")]
        assert step.startswith("guitar: from box-b/in/1 into box-a/in/4")
        assert "unplugged" not in step

    def test_where_its_power_is_lost_all_the_same_that_is_told(self, planned: Any) -> None:
        data = copy.deepcopy(self.GONE)
        data["channels"]["3"]["phantom"] = "off"
        data["sources"]["oboe"]["powering"] = "battery"
        cures = planned("remove box-b", data).cures
        assert not cures[PLUGS].changes
        assert any(words.startswith("guitar (mon/in/2) needs phantom power") for words in map(str, cures[PLUGS].unmet))
        assert [channel.address for channel in cures[CONSOLE].quiet.woken] == ["mon/channel/2"]


def test_all_that_share_a_switch_are_named_when_it_comes_on_again(planned: Any) -> None:
    """Channels that say nothing of phantom power too: it reaches their sources all the same."""
    data = changed((("devices", "box-a", "model"), "grouped-4x2"))
    data["sources"]["drum"]["plugged_into"] = "box-a/in/4"
    data["channels"]["6"]["patched_from"] = "desk/link-1/4"
    steps = steps_of(planned("order box-b box-a", data).cures[CONSOLE])
    assert (
        "switch phantom power on again on channels 2–3 on desk, and with it on channels 1, 6 on desk (the same switch; "
        "it does no harm there), and wait ten seconds"
    ) in steps


def test_what_the_house_loses_and_a_wedge_keeps_is_told_by_name_and_the_end_says_it_in_short(planned: Any) -> None:
    plan = planned("lose box-a")
    assert plan.effect.house_lost == ("vocal",)  # guitar has its phantom power from there: it is silent
    text = re.sub("\x1b\\[[0-9]+m", "", whatif_text(plan))
    assert "No longer heard in the house, only elsewhere\n✗ vocal\n" in text
    assert text.partition("In short (all of it stands above)\n")[2].startswith("NO-GO  ")


def test_what_fits_on_a_screen_is_not_said_twice(planned: Any) -> None:
    assert "In short" not in whatif_text(planned("bank box-a 1-4"))
