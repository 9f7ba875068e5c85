"""A console that dies alone, its circuit still on: what is silent, what is still heard, what it powered."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
from test_both_ends import planned as both_ends
from test_dead_sockets import WAKES, Saved, last, saved
from test_second_console import CATALOGUE, POWERED_THERE, RIG, flat, planned

from lint.check.engine import check_rig
from lint.check.finding import Verdict
from lint.plan.cures import CONSOLE, PLUGS
from lint.plan.edit import PLANNED_DEAD, CannotDoError
from lint.plan.phantom import troubles
from lint.plan.rebuild import rebuilt
from lint.plan.unmet import Unmet
from lint.plan.words import patch_between
from lint.report.spares import spares_text, steps_of
from lint.report.steps import wrong_lines
from lint.report.whatif import whatif_text
from lint.resolve.resolved import resolve_rig
from lint.rig.address import Socket
from lint.rig.build import load_rig
from lint.rig.model import Models

__all__ = ["planned", "saved"]  # fixtures


class TestWhatIf:
    def test_its_channels_and_outputs_are_gone_and_what_it_powered_is_silent(self, planned: Any) -> None:
        plan = planned("lose mon", POWERED_THERE)
        assert plan.effect.silent == ("guitar",)
        assert [(row.end.name, row.now) for row in plan.effect.gone_silent] == [("wedge", None)]
        assert plan.checked.verdict is Verdict.NO_GO
        (told,) = [row for row in plan.checked.findings if "mon is dead" in row.message]
        assert told.about == "mon"
        (step,) = [step for step in plan.cures[CONSOLE].quiet.last if "nowhere else" in step]
        assert step == WAKES
        assert [*map(str, plan.cures[CONSOLE].unmet)] == ["wedge (mon/out/1) gets nothing, not singer-mon: mon is dead"]
        assert not plan.cures[PLUGS].changes
        assert plan.patch["dead"] == {"mon": PLANNED_DEAD}
        assert "rigwalk spares rig.yaml mon" in flat(whatif_text(plan))

    def test_its_links_are_dead_and_all_that_hangs_there(self, planned: Any) -> None:
        plan = planned("lose desk")
        assert not [chain for chain in plan.after.chains.values() if chain.boxes]
        assert set(plan.effect.silent) == {"guitar", "oboe", "horn", "drum"}
        assert plan.effect.house_lost == ("vocal",)
        assert [c.address for c in plan.cures[CONSOLE].quiet.woken] == ["mon/channel/2"]

    def test_a_console_of_which_no_channel_says_what_it_carries_is_a_no_go_too(self, planned: Any) -> None:
        data = copy.deepcopy(RIG)
        for row in data["consoles"]["mon"]["channels"].values():
            del row["carries"]
        assert planned("lose console mon", data).checked.verdict is Verdict.NO_GO

    def test_a_name_that_is_a_circuit_too_asks_which(self, planned: Any) -> None:
        data = copy.deepcopy(RIG)
        data["power"] = {"circuits": {"mon": {"volts": 230, "breaker_a": 16}}}
        with pytest.raises(CannotDoError, match="say `lose circuit mon` or `lose console mon`"):
            planned("lose mon", data)

    def test_of_what_is_no_console_that_is_told(self, planned: Any) -> None:
        with pytest.raises(CannotDoError, match="no console is called 'mom'; did you mean 'mon'"):
            planned("lose console mom")

    def test_a_console_that_listens_to_the_link_of_another_hears_nothing_and_switches_nothing(self) -> None:
        path = Path(__file__).parents[1] / "clean" / "link-split" / "rigs" / "string-band.yaml"
        band = resolve_rig(load_rig(path))
        listening = sorted({row.channel.console for row in band.arrivals.values()} - {"foh"})[0]
        dead = rebuilt(band, {"dead": {listening: "no picture"}})
        rows = [row for row in dead.arrivals.values() if row.channel.console == listening]
        assert rows
        assert {row.stop for row in rows} == {"console-dead"}
        assert not any(row.sources or row.effects or row.socket for row in rows)
        by = (c.console for supply in dead.phantom.worked.values() for c in supply.channels)
        assert listening not in set(by)
        assert not list(troubles(dead, {listening}))


class TestWhenItIsBack:
    LATER = (
        "once mon is back, first switch phantom power off on channel 2 on mon, muted: guitar would have it from both "
        "ends of the split"
    )

    def test_what_is_powered_elsewhere_now_is_told_and_written_as_it_may_still_be_there(
        self, saved: Saved, built: Any, models: Models
    ) -> None:
        cure = saved("mon").rescue.cure
        assert cure.quiet.last[-1] == self.LATER
        assert patch_between(built(POWERED_THERE), cure.result) == {
            "channels": {"2": {"phantom": "on"}},
            "dead": {"mon": PLANNED_DEAD},
        }
        rules = {found.rule for found in check_rig(resolve_rig(cure.result.rig), CATALOGUE).findings}
        assert not rules & {"phantom-two-feeds", "phantom-missing"}
        back = check_rig(rebuilt(cure.result, {"dead": None}, models), CATALOGUE)
        assert [found.about for found in back.findings if found.rule == "phantom-two-feeds"] == ["guitar"]

    def test_of_a_console_on_a_dark_circuit_too(self, planned: Any) -> None:
        data = copy.deepcopy(POWERED_THERE)
        data["power"] = {"circuits": {"side": {"volts": 230, "breaker_a": 16}}}
        data["devices"]["mon"]["circuit"] = "side"
        quiet = planned("lose side", data).cures[CONSOLE].quiet
        # It comes back with its mains, before anybody can switch anything off: the plug is out by then.
        assert quiet.out == {Socket("mon", "in", 2): "guitar"}
        assert any(step.startswith("take guitar out of mon/in/2, muted") for step in quiet.first)
        assert not [step for step in quiet.last if step.startswith("once ")]

    def test_another_plan_for_a_rig_that_says_it_is_dead_saves_what_it_powered_too(self, planned: Any) -> None:
        plan = planned("remove box-b", {**copy.deepcopy(POWERED_THERE), "dead": {"mon": "no lamps"}})
        cure = plan.cures[CONSOLE]
        assert {WAKES, self.LATER} <= set(cure.quiet.last)
        assert not [row for row in cure.unmet if "guitar" in str(row)]
        assert "guitar" not in plan.effect.silent, "it was silent before"

    def test_nothing_where_it_powered_nothing(self, saved: Saved) -> None:
        assert not [step for step in saved("mon", RIG).rescue.cure.quiet.last if "is back" in step]


class TestSpares:
    def test_what_is_lost_besides_is_named_and_whether_it_finds_a_socket(self, saved: Saved) -> None:
        data = copy.deepcopy(POWERED_THERE)
        data["power"] = {"circuits": {"side": {"volts": 230, "breaker_a": 16}}}
        for name in ("mon", "box-b"):
            data["devices"][name]["circuit"] = "side"
        spared = saved("side", data)
        names = list(dict.fromkeys(plug.source for plug in spared.rescue.lost))
        assert names
        text = flat(spares_text(spared))
        assert f"Of the rest {len(names)} sources lost: {', '.join(names)}." in text
        assert "a socket (" in text

    def test_what_is_still_heard_what_is_not_and_the_steps(self, saved: Saved) -> None:
        spared = saved("mon")
        assert (spared.rescue.deaf, spared.rescue.silent) == (("mon",), ())
        assert WAKES in steps_of(spared.outage, spared.rescue)
        text = flat(spares_text(spared))
        assert "Heard through desk once the steps are done: vocal, guitar, oboe, horn, drum" in text
        assert "What mon mixed (singer-mon) can be mixed at desk only by hand: the steps move no mixes." in text
        assert "Nobody hears" not in text
        assert "for good" not in text, "a written file says what is dead"
        assert last(spared) == "NO-GO: all of mon is gone; 1 thing stays wrong; the check finds 1 no-go."

    def test_of_the_console_that_has_the_boxes(self, saved: Saved) -> None:
        spared = saved("desk")
        assert spared.rescue.silent == ("oboe", "horn", "drum")
        assert spared.rescue.still == ("vocal", "guitar")
        assert "Nobody hears: oboe, horn, drum" in flat(spares_text(spared))
        assert not spared.is_go

    def test_of_the_only_console_nothing_is_left(self, saved: Saved) -> None:
        data = {key: value for key, value in copy.deepcopy(RIG).items() if key not in ("consoles", "splits")}
        del data["devices"]["mon"], data["destinations"]["wedge"], data["feeds"]["mon/out"], data["clock"]
        for name in ("vocal", "guitar"):
            data["sources"][name]["plugged_into"] = data["sources"][name]["plugged_into"][0]
        spared = saved("desk", data)
        assert spared.rescue.still == ()
        assert "Nobody hears: vocal, guitar, oboe, horn, drum" in flat(spares_text(spared))
        assert last(spared).startswith("NO-GO: all of desk is gone;")


class TestManyThatGoWithoutForOneReason:
    @pytest.fixture
    def dark(self, planned: Any) -> Any:
        data = copy.deepcopy(RIG)
        data["power"] = {"circuits": {"stage": {"volts": 230, "breaker_a": 16}}}
        for name in ("box-a", "box-b"):
            data["devices"][name]["circuit"] = "stage"
        return planned("lose stage", data)

    def test_they_are_one_step(self, dark: Any) -> None:
        steps = [step for step in dark.cures[CONSOLE].quiet.last if step.startswith("leave channel")]
        assert steps == [
            "leave channels 1–3, 5–6 on desk muted, and phantom power off on channels 2–3 on desk: they get nothing"
        ]

    def test_two_are_told_by_themselves(self, planned: Any) -> None:
        data = copy.deepcopy(RIG)
        data["power"] = {"circuits": {"stage": {"volts": 230, "breaker_a": 16}}}
        data["devices"]["box-b"]["circuit"] = "stage"
        steps = [s for s in planned("lose stage", data).cures[CONSOLE].quiet.last if s.startswith("leave channel")]
        assert steps == [
            "leave channel 5 on desk muted: it gets nothing, not horn",
            "leave channel 6 on desk muted: it gets nothing, not drum",
        ]

    def test_what_stays_wrong_is_a_line_a_reason(self) -> None:
        wrong = [
            Unmet(
                f"channel {n} on desk gets nothing, not s{n}",
                "a is dead",
                f"it is plugged into a/in/{n}, and ",
                f"s{n}",
            )
            for n in range(1, 4)
        ]
        hall = Unmet("hall (b/out/1) gets nothing, not house", "b is dead", "", "hall (b/out/1)", is_output=True)
        others = [Unmet("channel 9 gets s1, not s9"), hall]
        silent = Unmet("wedge (a/out/1) gets nothing, not mon", "a is dead", "", "wedge (a/out/1)", is_output=True)
        assert str(wrong[0]) == "channel 1 on desk gets nothing, not s1: it is plugged into a/in/1, and a is dead"
        assert [flat(line) for line in wrong_lines([*wrong, *others])] == [f"✗ {row}" for row in (*wrong, *others)]
        assert [flat(line) for line in wrong_lines([wrong[0], others[0], *wrong[1:], silent, others[1]])] == [
            "✗ a is dead; channels go without s1, s2, s3; silent: wedge (a/out/1)",
            "✗ channel 9 gets s1, not s9",
            "✗ hall (b/out/1) gets nothing, not house: b is dead",
        ]


def test_a_box_that_hung_on_another_console_is_not_silent_for_a_dead_one() -> None:
    for cure in both_ends("lose mon and remove box-b", "boxed").cures.values():
        told = [str(row) for row in cure.unmet]
        of_box = [words for words in told if "box-b/" in words]
        assert all("mon is dead" not in words for words in of_box), told
        assert all("mon is dead" in words for words in told if "(mon/out/" in words), told
    console = both_ends("lose mon and remove box-b", "boxed").cures["console"]
    assert any("box-b/" in str(row) and "no console reaches box-b" in str(row) for row in console.unmet)
