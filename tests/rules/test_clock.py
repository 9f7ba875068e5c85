"""Clock leaders and sample rates, island by island."""

from __future__ import annotations

import pytest
from example_rigs import Example

LEADERS = ("clock-leader-missing", "clock-leader-two")
RATES = ("clock-rate-mismatch", "clock-rate-unsupported")

# A second island: a monitor console with a box of its own, behind an analogue split or none at all.
SECOND = (
    "devices: {mon: {model: console-16}, mon-box: {model: stage-box-8x8}}\n"
    "consoles: {mon: {}}\n"
    "cables: {mine: {from: mon/link-1, to: mon-box/upstream}}\n"
)


def about(example: Example, rig: str, *rules: str) -> list[tuple[str, str]]:
    return [(finding.rule, finding.about) for finding in example.findings(rig, *rules)]


class TestIslands:
    def test_each_island_needs_a_leader_of_its_own(self, example: Example) -> None:
        assert about(example, SECOND, *LEADERS) == [("clock-leader-missing", "mon")]
        assert example.after_cures(SECOND, "clock-leader-missing") == [[]]

    def test_the_cure_leaves_the_leader_of_the_other_island(self, example: Example) -> None:
        (finding,) = example.findings(SECOND, "clock-leader-missing")
        assert [cure.change for cure in finding.cures] == [{"clock": {"leader": ["desk", "mon"]}}]

    def test_a_leader_for_each_is_a_go(self, example: Example) -> None:
        assert about(example, SECOND + "clock: {leader: [desk, mon]}", *LEADERS) == []

    def test_two_leaders_in_one_island_and_none_in_the_other(self, example: Example) -> None:
        rig = SECOND + "clock: {leader: [desk, east-box]}"
        assert about(example, rig, *LEADERS) == [("clock-leader-two", "east-box"), ("clock-leader-missing", "mon")]

    def test_a_split_link_makes_one_island_of_two_consoles(self, example: Example) -> None:
        rig = (
            "devices: {mon: {model: console-16}}\nconsoles: {mon: {}}\n"
            "cables: {far: {from: east-box/downstream, to: mon/link-1}}\n"
            "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}\n"
        )
        assert about(example, rig, *LEADERS) == []
        assert about(example, rig + "clock: {leader: [desk, mon]}", *LEADERS) == [("clock-leader-two", "mon")]

    def test_a_console_joins_the_boxes_of_its_two_links(self, example: Example) -> None:
        rig = (
            "devices: {third-box: {model: stage-box-8x8, clock_from: internal}}\n"
            "cables: {far: {from: desk/link-2, to: third-box/upstream}}"
        )
        assert about(example, rig, *LEADERS) == [("clock-leader-two", "third-box")]

    def test_a_named_leader_that_follows_the_link_is_set_to_its_own_clock(self, example: Example) -> None:
        rig = SECOND.replace("stage-box-8x8", "stage-box-8x8, clock_from: link") + "clock: {leader: [desk, mon-box]}"
        (finding,) = example.findings(rig, *LEADERS)
        assert finding.message == "mon-box is named as the clock leader of mon, but takes its own clock from the link."
        assert [cure.change for cure in finding.cures] == [{"devices": {"mon-box": {"clock_from": "internal"}}}]
        assert example.after_cures(rig, "clock-leader-missing") == [[]]

    def test_or_who_has_a_clock_of_its_own_takes_its_place(self, example: Example) -> None:
        own = SECOND.replace("console-16", "console-16, clock_from: internal")
        rig = own.replace("stage-box-8x8", "stage-box-8x8, clock_from: link") + "clock: {leader: [desk, mon-box]}"
        (finding,) = example.findings(rig, *LEADERS)
        assert [cure.change for cure in finding.cures] == [{"clock": {"leader": ["desk", "mon"]}}]
        assert example.after_cures(rig, "clock-leader-missing") == [[]]

    def test_an_island_behind_a_missing_cable_is_not_asked_for_a_leader(self, example: Example) -> None:
        far = "devices: {a: {model: stage-box-8x8}, b: {model: stage-box-8x8}}\ncables: {far: {from: a/downstream, to: b/upstream}}"
        assert about(example, far, *LEADERS, "chain-box-unreached") == [("chain-box-unreached", "a")]

    def test_a_lone_device_hides_no_island_behind_it(self, example: Example) -> None:
        rig = SECOND.replace("devices: {", "devices: {spare: {model: console-16}, ").replace(
            "{mon: {}}", "{spare: {}, mon: {}}"
        )
        assert about(example, rig, *LEADERS) == [("clock-leader-missing", "mon")]

    def test_where_all_follow_the_link_the_console_is_named_and_set_to_its_own_clock(self, example: Example) -> None:
        devices = "desk: {clock_from: link}, west-box: {clock_from: link}, east-box: {clock_from: link}"
        rig = f"clock: {{leader: null}}\ndevices: {{{devices}}}"
        (finding,) = example.findings(rig, *LEADERS)
        assert [cure.change for cure in finding.cures] == [
            {"clock": {"leader": "desk"}, "devices": {"desk": {"clock_from": "internal"}}}
        ]
        assert example.after_cures(rig, "clock-leader-missing") == [[]]

    def test_what_a_missing_cable_may_part_from_its_leader_waits_for_the_cable(self, example: Example) -> None:
        stray = SECOND.replace("devices: {", "devices: {stray: {model: stage-box-8x8}, ")
        assert about(example, stray, *LEADERS) == []
        assert about(example, stray + "clock: {leader: null}", *LEADERS) == [
            ("clock-leader-missing", "desk"),
            ("clock-leader-missing", "mon"),
        ]

    def test_a_lone_device_needs_no_leader(self, example: Example) -> None:
        rig = "devices: {mon: {model: console-16, clock_from: internal}}\nconsoles: {mon: {}}"
        assert about(example, rig, *LEADERS, *RATES) == []

    def test_boxes_that_no_console_reaches_are_told_by_their_cables_alone(self, example: Example) -> None:
        assert example.no_goes("cables: {trunk: null}") == ["chain-box-unreached"]

    def test_a_rig_without_a_clock_section_is_not_asked(self, example: Example) -> None:
        rig = "clock: null\ndevices: {west-box: {clock_from: internal}, desk: {clock_from: internal}}"
        assert about(example, rig, *LEADERS) == []


class TestLeaders:
    @pytest.mark.parametrize(
        ("devices", "leader", "found"),
        [
            ("desk: {clock_from: internal}", "desk", []),
            ("desk: {clock_from: external}", "desk", []),
            ("east-box: {clock_from: link}", "desk", []),
            ("east-box: {clock_from: internal}", "desk", [("clock-leader-two", "east-box")]),
            ("desk: {clock_from: link}", "desk", [("clock-leader-missing", "desk")]),
            ("desk: {clock_from: link}, east-box: {clock_from: internal}", "desk", [("clock-leader-missing", "desk")]),
            ("east-box: {clock_from: internal}", "null", [("clock-leader-missing", "east-box")]),
            (
                "desk: {clock_from: internal}, east-box: {clock_from: internal}",
                "null",
                [("clock-leader-two", "east-box")],
            ),
        ],
    )
    def test_named_and_own_clocks(
        self, example: Example, devices: str, leader: str, found: list[tuple[str, str]]
    ) -> None:
        rig = f"clock: {{leader: {leader}}}\ndevices: {{{devices}}}"
        assert about(example, rig, *LEADERS) == found
        assert all(left == [] for rule, _ in found for left in example.after_cures(rig, rule))

    def test_three_leaders_are_one_finding_with_a_cure_for_each(self, example: Example) -> None:
        rig = "clock: {leader: [west-box, desk]}\ndevices: {east-box: {clock_from: internal}}"
        (finding,) = example.findings(rig, "clock-leader-two")
        assert (
            "have 3 clock leaders: west-box (named), desk (named), and east-box (on its internal clock)"
            in finding.message
        )
        assert example.after_cures(rig, "clock-leader-two") == [[], [], []]


class TestRates:
    def test_a_device_that_does_not_know_its_own_rate_is_told_once(self, example: Example) -> None:
        rig = "devices: {east-box: {sample_rate_hz: 192000}}"
        assert about(example, rig, *RATES) == [("clock-rate-mismatch", "east-box")]
        assert example.after_cures(rig, "clock-rate-mismatch") == [[]]

    def test_a_leader_that_runs_faster_than_the_rig(self, example: Example) -> None:
        rig = "devices: {desk: {sample_rate_hz: 96000}}"
        assert about(example, rig, *RATES) == [("clock-rate-mismatch", "desk")]
        assert example.after_cures(rig, "clock-rate-mismatch") == [[], []]

    def test_an_island_at_one_rate_of_its_own_is_let_be(self, example: Example) -> None:
        rig = (
            SECOND.replace("console-16", "console-16, sample_rate_hz: 44100").replace(
                "stage-box-8x8", "stage-box-8x8, sample_rate_hz: 44100"
            )
            + "clock: {leader: [desk, mon]}"
        )
        assert about(example, rig, *RATES) == []

    def test_two_devices_that_each_differ_are_two_findings(self, example: Example) -> None:
        rig = "devices: {desk: {sample_rate_hz: 96000}, east-box: {sample_rate_hz: 44100}}"
        assert about(example, rig, *RATES) == [("clock-rate-mismatch", "desk"), ("clock-rate-mismatch", "east-box")]

    def test_the_rate_of_the_rig_is_cured_by_the_nearest_that_all_know(self, house: Example) -> None:
        assert house.house is not None
        (house.house / "models" / "old-box.yaml").write_text(
            "model_format: 1\nkind: stage-box\ninputs: {count: 8}\n"
            "outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}\n"
            "chain: {slots: {48000: 48}}\nsample_rates_hz: [44100, 48000]\n"
        )
        rig = "clock: {sample_rate_hz: 96000}\ndevices: {east-box: {model: old-box}}"
        (finding,) = house.findings(rig, *RATES)
        assert finding.message == (
            "east-box can't run at 96 kHz. All devices that exchange digital audio with it know 44.1 and 48 kHz."
        )
        assert [cure.change for cure in finding.cures] == [{"clock": {"sample_rate_hz": 48000}}]
        assert house.after_cures(rig, finding.rule) == [[]]

    def test_devices_with_no_rate_in_common(self, house: Example) -> None:
        assert house.house is not None
        (house.house / "models" / "odd-box.yaml").write_text(
            "model_format: 1\nkind: stage-box\ninputs: {count: 8}\n"
            "outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}\n"
            "chain: {slots: {32000: 48}}\nsample_rates_hz: [32000]\n"
        )
        (finding,) = house.findings("devices: {east-box: {model: odd-box}}", *RATES)
        assert "No rate is known to all devices" in finding.message
        assert [cure.change for cure in finding.cures] == [None]
