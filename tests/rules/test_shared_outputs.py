"""Amplifiers and what else hangs on outputs: told once, at the plug that is wrong, and every change puts it right."""

from __future__ import annotations

import pytest
from example_rigs import Example

WRONG, SHARED, HOUSE, MONITOR = "amplifier-input-wrong", "output-shared", "monitor-to-house", "house-to-monitor"
LOUD = "outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}"
TWO_MIXES = (
    "mixes: {choir-mon: {kind: monitor, takes: {channels: [2]}}, foyer: {kind: house, takes: {channels: [1-3]}}}\n"
    "feeds: {desk/link-1: {2: choir-mon, 3: foyer}, desk/out: {1: foyer, 2: choir-mon}}\n"
)


def told(example: Example, rig: str) -> list[tuple[str, str]]:
    """The rules on outputs that say something, and about what; notes left out."""
    findings = example.check(rig).findings
    return [(f.rule, f.about) for f in findings if f.family in ("outputs", "plugs") and f.weight.value != "note"]


class TestAmplifierInputWrong:
    def test_two_amplifiers_in_each_others_socket_are_one_finding(self, example: Example) -> None:
        rig = TWO_MIXES + (
            f"amplifiers: {{bar: {{plugged_into: desk/out/2, expects: foyer, {LOUD}}}, "
            f"gallery: {{plugged_into: desk/out/1, expects: choir-mon, {LOUD}}}}}"
        )
        (finding,) = example.findings(rig, WRONG)
        assert finding.message == (
            "the amplifier bar (desk/out/2) receives choir-mon instead of foyer, and gallery (desk/out/1) receives foyer "
            "instead of choir-mon."
        )
        assert finding.cures[0].text == "exchange the plugs: bar to desk/out/1, gallery to desk/out/2"
        assert finding.cures[0].change is not None
        after = example.changed(example.document(rig), finding.cures[0].change)
        assert example.findings(after, WRONG, HOUSE) == []

    def test_an_amplifier_and_a_wedge_in_each_others_socket_are_one_finding(self, example: Example) -> None:
        rig = TWO_MIXES + (
            f"amplifiers: {{bar: {{plugged_into: west-box/out/2, expects: foyer, {LOUD}}}}}\n"
            "destinations: {choir-wedge: {kind: wedge, plugged_into: west-box/out/3, expects: choir-mon}}"
        )
        assert told(example, rig) == [(WRONG, "bar")]
        assert example.after_cures(rig, WRONG) == [[]]

    def test_the_plug_moves_to_a_free_socket_or_the_mix_is_sent(self, example: Example) -> None:
        rig = TWO_MIXES + f"amplifiers: {{bar: {{plugged_into: desk/out/4, expects: foyer, {LOUD}}}}}"
        (finding,) = example.findings(rig, WRONG)
        assert finding.message == (
            "the amplifier bar (desk/out/4) receives nothing instead of foyer: no mix is sent to desk/out/4."
        )
        assert [cure.text for cure in finding.cures] == [
            "move the plug of bar to desk/out/1",
            "send foyer to desk/out/4",
        ]
        assert example.after_cures(rig, WRONG) == [[], []]

    @pytest.mark.parametrize(
        ("change", "why"),
        [
            ("devices: {spare-box: {model: stage-box-8x8}}", "no console reaches its box"),
            (
                "devices: {west-box: {output_bank: null}}\ndestinations: {singer-wedge: null}",
                "no output bank is stated",
            ),
        ],
    )
    def test_a_box_with_nothing_else_on_it(self, example: Example, change: str, why: str) -> None:
        box = "spare-box" if "spare" in change else "west-box"
        (finding,) = example.findings(f"{change}\namplifiers: {{bar: {{plugged_into: {box}/out/2, {LOUD}}}}}", WRONG)
        assert why in finding.message

    def test_a_bank_past_the_link_is_told_at_the_box_where_anything_else_hangs_on_it(self, example: Example) -> None:
        rig = "clock: {sample_rate_hz: 96000}\ndevices: {east-box: {output_bank: 33-40}}\n"
        rig += f"amplifiers: {{amp: {{plugged_into: east-box/out/1, expects: house.mono, {LOUD}}}}}\n"
        assert example.findings(rig, WRONG) == []
        (alone,) = example.findings(rig + "destinations: {house-left: null, house-right: null}", WRONG)
        assert alone.message == (
            "the amplifier amp (east-box/out/1) receives nothing instead of house.mono: "
            "the bank of its box lies past the link's slots."
        )

    def test_a_selector_that_explains_it_is_told_at_the_box(self, example: Example) -> None:
        rig = "devices: {east-box: {output_bank: 17-24}}\nfeeds: {desk/link-1: {14: house.mono}}\n"
        rig += f"amplifiers: {{bar: {{plugged_into: east-box/out/6, expects: house.mono, {LOUD}}}}}"
        assert told(example, rig) == [("output-carries-nothing", "east-box")]

    def test_what_it_drives_says_it_itself(self, example: Example) -> None:
        rig = f"amplifiers: {{bar: {{plugged_into: desk/out/1, expects: house.mono, {LOUD}}}}}\n"
        rig += "destinations: {bar-line: {kind: zone-loudspeaker, plugged_into: desk/out/1, expects: house.mono}}"
        assert told(example, rig) == [("output-carries-nothing", "bar-line")]

    def test_the_socket_of_its_own_loudspeakers_is_free_for_it(self, example: Example) -> None:
        rig = TWO_MIXES + f"amplifiers: {{bar: {{plugged_into: desk/out/2, expects: foyer, {LOUD}}}}}\n"
        rig += "destinations: {bar-line: {kind: zone-loudspeaker, plugged_into: desk/out/1, expects: foyer}, "
        rig += "tape: {kind: recorder, plugged_into: desk/out/2, expects: choir-mon}}"
        (finding,) = example.findings(rig, WRONG, SHARED)
        assert [cure.text for cure in finding.cures] == ["move the plug of bar to desk/out/1"]
        assert example.after_cures(rig, WRONG) == [[]]

    def test_a_mix_that_only_an_amplifier_hears_is_heard(self, example: Example) -> None:
        rig = TWO_MIXES + f"amplifiers: {{bar: {{plugged_into: desk/out/1, expects: foyer, {LOUD}}}}}"
        assert example.findings(rig, "house-unheard") == []
        silent = example.findings(rig, "mix-unheard")
        assert [finding.message for finding in silent] == [
            "nothing hangs where it is sent: choir-mon to desk/link-1/2 and choir-mon to desk/out/2.",
            "nothing hangs where it is sent: foyer to desk/link-1/3.",
        ]


class TestMonitorToHouse:
    @pytest.mark.parametrize(
        ("amplifier", "found"),
        [
            (LOUD, 0),  # whose loudspeakers these are nobody says
            ("outputs: {line: {line_v: 100, loudspeakers: [{tap_w: 5}]}}", 1),
        ],
    )
    def test_whose_loudspeakers_an_amplifier_drives(self, example: Example, amplifier: str, found: int) -> None:
        rig = TWO_MIXES + f"amplifiers: {{bar: {{plugged_into: desk/out/2, {amplifier}}}}}"
        assert told(example, rig).count((HOUSE, "bar")) == found

    def test_an_effects_send_is_private_too(self, example: Example) -> None:
        rig = (
            "mixes: {send: {kind: effects, takes: {channels: [1]}}}\neffects: {plate: {fed_by: send}}\n"
            "channels: {9: {carries: effects/plate, patched_from: effects/plate}}\nfeeds: {desk/link-1: {15-16: send}}"
        )
        (finding,) = example.findings(rig, HOUSE)
        assert finding.message == (
            "send, an effects send, goes to house loudspeakers: house-left (east-box/out/7), house-right (east-box/out/8)."
        )
        assert example.after_cures(rig, HOUSE) == [[]]

    def test_only_the_private_mix_is_taken_out_of_what_the_house_takes(self, example: Example) -> None:
        rig = "mixes: {talk: {kind: talkback}, subs: {kind: house, takes: {channels: [1]}}, house: {takes: {mixes: [subs, talk]}}}"
        (finding,) = example.findings(rig, HOUSE)
        assert [cure.change for cure in finding.cures] == [{"mixes": {"house": {"takes": {"mixes": ["subs"]}}}}]
        assert example.after_cures(rig, HOUSE) == [[]]

    def test_what_expects_another_mix_says_so_with_its_way_out(self, example: Example) -> None:
        line = "outputs: {line: {line_v: 100, loudspeakers: [{tap_w: 5}]}}"
        rig = TWO_MIXES + f"amplifiers: {{bar: {{plugged_into: desk/out/2, expects: foyer, {line}}}}}"
        assert told(example, rig) == [(WRONG, "bar")]

    def test_the_loudspeakers_at_its_socket_are_named_for_it(self, example: Example) -> None:
        rig = TWO_MIXES + f"amplifiers: {{bar: {{plugged_into: desk/out/2, expects: foyer, {LOUD}}}}}\n"
        rig += "destinations: {bar-line: {kind: zone-loudspeaker, plugged_into: desk/out/2}}"
        (finding,) = example.findings(rig, HOUSE, WRONG, SHARED)
        assert finding.message == "choir-mon, a monitor mix, goes to a house loudspeaker: bar-line (desk/out/2)."

    def test_a_mix_that_is_heard_elsewhere_too_is_not_called_wrongly(self, example: Example) -> None:
        rig = "destinations: {extra: {kind: fill-loudspeaker, plugged_into: desk/out/1, expects: singer-mon}}\n"
        rig += "feeds: {desk/out: {1: singer-mon}}"
        (finding,) = example.findings(rig, HOUSE)
        assert "kind may be wrong" not in finding.message


class TestHouseToMonitor:
    def test_its_kind_may_be_wrong_is_one_finding_for_all_its_wedges(self, example: Example) -> None:
        rig = "mixes: {singer-mon: {kind: house}}\nfeeds: {desk/out: {1: singer-mon}}\n"
        rig += "destinations: {second: {kind: wedge, plugged_into: desk/out/1, expects: singer-mon}}"
        (finding,) = example.findings(rig, MONITOR, "house-unheard")
        assert finding.message == (
            "singer-mon has kind house and goes only to singer-wedge and second: its kind may be wrong."
        )
        assert example.after_cures(rig, MONITOR) == [[]]

    def test_a_house_mix_that_loudspeakers_wait_for_is_a_house_mix(self, example: Example) -> None:
        rig = "feeds: {desk/link-1: {1: house.left, 15-16: null}}\ndestinations: {singer-wedge: {expects: house.left}}"
        assert [f.message for f in example.findings(rig, MONITOR)] == [
            "singer-wedge (west-box/out/1) carries house.left, the house mix itself."
        ]

    def test_a_tablet_that_moves_it_alone_is_its_performers(self, example: Example) -> None:
        rig = (
            "mixes: {front: {kind: house, takes: {channels: [1]}}}\nfeeds: {desk/link-1: {1: front}}\n"
            "destinations: {singer-wedge: {expects: front}}\n"
            "remote_control: {singer-tablet: {may_change: [front]}, lead-tablet: {may_change: [front, house]}}"
        )
        found = example.findings(rig, MONITOR, "house-unheard", "remote-may-change-house")
        assert [(finding.rule, finding.about) for finding in found] == [
            (MONITOR, "front"),
            ("remote-may-change-house", "lead-tablet"),
        ]


class TestHouseUnheard:
    def heard(self, example: Example, rig: str) -> list[str]:
        return [finding.message for finding in example.findings(rig, "house-unheard")]

    @pytest.mark.parametrize(
        ("band", "takers", "why"),
        [
            ("", "", "it is sent nowhere"),
            ("width: stereo, ", "", "band.left and band.right are sent nowhere"),
            ("", "rec: {kind: record, takes: {mixes: [band]}}", "only rec takes it"),
            (
                "",
                "rec: {kind: record, takes: {mixes: [band]}}, net: {kind: stream, takes: {mixes: [band]}}",
                "only rec and net take it",
            ),
        ],
    )
    def test_why_it_is_not_heard(self, example: Example, band: str, takers: str, why: str) -> None:
        rig = f"mixes: {{band: {{kind: house, {band}takes: {{channels: [1]}}}}, {takers}}}"
        assert self.heard(example, rig) == [f"band reaches no house loudspeaker: {why}."]

    def test_a_loudspeaker_that_waits_for_it_in_vain_is_told_itself(self, example: Example) -> None:
        """Another one hears the mix, so that it is sent somewhere."""
        rig = (
            "mixes: {foyer: {kind: house, takes: {channels: [1]}}}\nfeeds: {desk/out: {1: foyer}}\n"
            "destinations: {first: {kind: house-loudspeaker, plugged_into: desk/out/1},\n"
            " second: {kind: fill-loudspeaker, plugged_into: desk/out/2, expects: foyer}}"
        )
        assert self.heard(example, rig) == []
        assert example.no_goes(rig) == ["output-carries-nothing"]

    def test_the_mono_sum_of_a_stereo_mix_is_the_mix(self, example: Example) -> None:
        rig = (
            "mixes: {foyer: {kind: house, width: stereo, takes: {channels: [1]}}}\nfeeds: {desk/out: {1: foyer.mono}}\n"
            "destinations: {first: {kind: house-loudspeaker, plugged_into: desk/out/1, expects: foyer.mono}}"
        )
        assert self.heard(example, rig) == []

    def test_a_mix_within_one_that_is_heard_is_heard(self, example: Example) -> None:
        rig = "mixes: {band: {kind: house, takes: {channels: [1]}}, house: {takes: {mixes: [band]}}}"
        assert self.heard(example, rig) == []

    def test_who_waits_for_it_is_told_with_it(self, example: Example) -> None:
        rig = "feeds: {desk/link-1: {15-16: null, 15: house.left}}"
        assert self.heard(example, rig) == [
            "house reaches no house loudspeaker: house.right is sent nowhere. Waiting for it: house-right (east-box/out/8)."
        ]
        assert example.no_goes(rig) == ["house-unheard"]
        assert example.after_cures(rig, "house-unheard") == [[]]

    def test_sent_elsewhere_it_is_told_at_the_loudspeakers(self, example: Example) -> None:
        rig = "feeds: {desk/link-1: {15-16: null}, desk/out: {1-2: house}}"
        assert self.heard(example, rig) == []
        assert example.no_goes(rig) == ["output-carries-nothing"]


class TestFeedCopied:
    def told(self, example: Example, rig: str) -> list[tuple[str, str, object]]:
        found = example.findings(rig, "feed-copied")
        return [(finding.message, finding.cures[0].text, finding.cures[0].change) for finding in found]

    def test_both_sides_of_a_mix_are_one_finding_and_one_word(self, example: Example) -> None:
        rig = (
            "feeds: {desk/out: {1-2: {same_as: desk/link-1/15-16}}}\n"
            "destinations: {lobby: {kind: zone-loudspeaker, plugged_into: desk/out/1-2}}"
        )
        assert self.told(example, rig) == [
            (
                "house.left and house.right leave at lobby (desk/out/1 and desk/out/2) as well, which does not say what "
                "it expects; house-left and house-right expect them.",
                "where lobby is meant to hear it, say `expects: house` there",
                {"destinations": {"lobby": {"expects": "house"}}},
            )
        ]
        crossed = rig.replace("1-2: {same_as: desk/link-1/15-16}", "1: house.right, 2: house.left")
        ((_, text, change),) = self.told(example, crossed)
        assert (text, change) == ("where lobby is meant to hear it, say there what it expects", None)

    def test_a_direct_output_is_written_as_the_rig_writes_it(self, example: Example) -> None:
        rig = (
            "feeds: {desk/out: {1-2: channel/1}}\n"
            "destinations: {tape: {kind: recorder, plugged_into: desk/out/1},\n"
            " spare: {kind: recorder, plugged_into: desk/out/2, expects: channel/1}}"
        )
        ((message, text, change),) = self.told(example, rig)
        assert message.startswith("direct output of channel 1 leaves at tape (desk/out/1) as well")
        assert text == "where tape is meant to hear it, say `expects: channel/1` there"
        assert change == {"destinations": {"tape": {"expects": "channel/1"}}}
        assert example.findings(example.changed(example.document(rig), change), "feed-copied") == []

    def test_what_nobody_else_expects_is_no_copy(self, example: Example) -> None:
        rig = (
            "mixes: {foyer: {kind: house, takes: {channels: [1]}}}\nfeeds: {desk/out: {1: foyer}}\n"
            "destinations: {lobby: {kind: zone-loudspeaker, plugged_into: desk/out/1}}"
        )
        assert self.told(example, rig) == []


class TestOutputShared:
    def second(self, more: str = "") -> str:
        row = f"kind: recorder, plugged_into: west-box/out/1, expects: singer-mon{more}"
        return f"destinations: {{second: {{{row}}}}}"

    def test_either_of_the_two_may_say_it(self, example: Example) -> None:
        assert told(example, self.second()) == [(SHARED, "west-box/out/1")]
        assert told(example, self.second(", shared_by: y-lead")) == []
        first = self.second().replace("second: {", "singer-wedge: {shared_by: loop-through}, second: {")
        assert told(example, first) == []

    def test_of_three_plugs_two_must_say_it(self, example: Example) -> None:
        third = ", third: {kind: recorder, plugged_into: west-box/out/1, expects: singer-mon"
        rig = self.second(", shared_by: y-lead")[:-1]
        assert told(example, f"{rig}{third}, shared_by: y-lead}}}}") == []
        rig = f"{self.second()[:-1]}{third}}}}}"
        (finding,) = example.findings(rig, SHARED)
        assert "has 3 plugs, and nothing says how: singer-wedge, second and third." in finding.message
        assert example.after_cures(rig, SHARED) == [[]]

    def test_a_stereo_output_is_one_finding(self, example: Example) -> None:
        rig = "feeds: {desk/out: {1-2: house}}\ndestinations:\n"
        rig += "  tape: {kind: recorder, plugged_into: desk/out/1-2, expects: house}\n"
        rig += "  disc: {kind: recorder, plugged_into: desk/out/1-2, expects: house}\n"
        (finding,) = example.findings(rig, SHARED)
        assert finding.message == "desk/out/1 and desk/out/2 have 2 plugs, and nothing says how: tape and disc."

    def test_a_plug_that_gets_the_wrong_mix_is_told_as_that(self, example: Example) -> None:
        rig = self.second().replace("expects: singer-mon", "expects: house.left")
        assert told(example, rig) == [("output-carries-other", "second")]

    @pytest.mark.parametrize(
        ("loudspeaker", "found"),
        [
            ("kind: zone-loudspeaker", 0),  # what the amplifier drives
            ("kind: wedge", 0),
            ("kind: zone-loudspeaker, watts: 200", 1),  # has an amplifier of its own
            ("kind: recorder", 1),
        ],
    )
    def test_what_an_amplifier_drives_is_no_second_plug(self, example: Example, loudspeaker: str, found: int) -> None:
        rig = f"feeds: {{desk/out: {{1: house.mono}}}}\namplifiers: {{bar: {{plugged_into: desk/out/1, {LOUD}}}}}\n"
        rig += f"destinations: {{there: {{{loudspeaker}, plugged_into: desk/out/1, expects: house.mono}}}}"
        assert len(example.findings(rig, SHARED)) == found
