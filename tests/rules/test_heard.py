"""What is heard in a mix and how: only through effects, by half, twice, over talkback, and effects that do not come back."""

from __future__ import annotations

import pytest
from example_rigs import Example

DRY, HALF, TALK, TWICE = "only-through-effects", "pair-half-in-mix", "talkback-in-house", "signal-twice"
RETURN, BEFORE, GAIN = "effects-unreturned", "effects-before-fader", "preamplifier-two-gains"
PLATE = (
    "effects: {plate: {fed_by: verb-send}}\n"
    "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}\n"
)


def mixes(**written: str) -> str:
    rows = ", ".join(f"{name.replace('_', '-')}: {{{row}}}" for name, row in written.items())
    return f"mixes: {{{rows}}}\n"


def takes(*channels: object) -> str:
    return f"takes: {{channels: [{', '.join(map(str, channels))}]}}"


SEND = f"kind: effects, {takes('1-3')}"


class TestOnlyThroughEffects:
    def rig(self, house: str, **more: str) -> str:
        return PLATE + mixes(verb_send=SEND, house=house, **more)

    def test_all_of_one_send_are_one_finding_and_its_change_puts_them_in(self, example: Example) -> None:
        rig = self.rig(takes(1, 4))
        (finding,) = example.findings(rig, DRY)
        assert finding.message.startswith("choir, piano are heard only through the effects: verb-send takes")
        assert finding.cures[0].change == {"mixes": {"house": {"takes": {"channels": [1, 4, 2, 3]}}}}
        assert example.after_cures(rig, DRY) == [[]]

    def test_the_change_keeps_the_levels_that_are_written(self, example: Example) -> None:
        rig = self.rig("takes: {channels: {1: {}, 2: {level_db: -3}, 4: {}}}")
        (finding,) = example.findings(rig, DRY)
        assert finding.cures[0].change == {"mixes": {"house": {"takes": {"channels": {"3": {}}}}}}
        assert example.after_cures(rig, DRY) == [[]]

    def test_of_two_house_mixes_the_lead_says_which(self, example: Example) -> None:
        (finding,) = example.findings(self.rig(takes(1, 2, 4), front=f"kind: house, {takes(1)}"), DRY)
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            ("say under mixes/ which house mix takes channel 3 (Piano)", None)
        ]

    def test_a_recording_or_a_mix_that_the_house_takes_counts(self, example: Example) -> None:
        recorded = self.rig(takes(1, 2, 4), record=f"kind: record, {takes(3)}")
        assert example.findings(recorded, DRY) == []
        grouped = self.rig("takes: {channels: [1, 4], mixes: [band]}", band=f"kind: house, {takes(2, 3)}")
        assert example.findings(grouped, DRY) == []

    def test_its_direct_output_counts(self, example: Example) -> None:
        rig = self.rig(takes(1, 2, 4)) + "feeds: {desk/out: {1: channel/3}}"
        assert example.findings(rig, DRY) == []

    def test_a_performers_own_effects_are_theirs(self, example: Example) -> None:
        """The return is in no mix for the house: the monitor has it, and the source itself."""
        rig = self.rig(takes(1, 2), singer_mon="takes: {channels: {1: {}, 3: {}, 4: {}}}")
        assert example.findings(rig, DRY) == []
        assert len(example.findings(rig.replace("[1, 2]", "[1, 2, 4]"), DRY)) == 1

    def test_what_is_waived_for_one_is_not_waived_for_the_other(self, example: Example) -> None:
        waiver = (
            "waivers: [{rule: only-through-effects, about: choir, because: a ghost, by: B. Lind, until: 2099-01-01}]"
        )
        found = example.findings(self.rig(takes(1, 4)) + waiver, DRY)
        assert {(finding.about, finding.waived is not None) for finding in found} == {("choir", True), ("piano", False)}


class TestPairHalfInMix:
    PAIR = "pairs: {keys: {left: lead-vocal, right: choir}}\n"

    def test_the_other_half_through_another_mix_is_there(self, example: Example) -> None:
        rig = self.PAIR + mixes(house="takes: {channels: [1, 3], mixes: [band]}", band=f"kind: house, {takes(2)}")
        assert example.findings(rig, HALF) == []

    @pytest.mark.parametrize("other", ["singer_mon='x'", "", "mono"])
    def test_a_half_that_no_mix_takes_and_a_mono_mix_are_not_told_here(self, example: Example, other: str) -> None:
        if other == "mono":
            rig = self.PAIR + mixes(singer_mon="takes: {channels: {1: {}}}")
        else:
            rig = self.PAIR + mixes(house=takes(1, 3))
        assert example.findings(rig, HALF) == []

    def test_what_takes_that_mix_is_not_told_as_well(self, example: Example) -> None:
        rig = self.PAIR + mixes(
            house=takes(1, 3),
            singer_mon="takes: {channels: {2: {}}}",
            record="kind: record, width: stereo, takes: {mixes: [house.left, house.right]}",
        )
        (finding,) = example.findings(rig, HALF)
        assert (finding.about, finding.cures[0].text) == ("keys", "let house take channel 2 (Choir) as well")
        assert example.after_cures(rig, HALF) == [[]]

    def test_a_half_that_is_left_to_the_effects_is_told_as_that(self, example: Example) -> None:
        rig = self.PAIR + PLATE + mixes(verb_send=SEND, house=takes(1, 3, 4))
        assert [finding.rule for finding in example.findings(rig, DRY, HALF)] == [DRY]


class TestTalkbackInHouse:
    def test_a_monitor_or_a_recording_may_have_it(self, example: Example) -> None:
        rig = mixes(
            talk=f"kind: talkback, {takes(3)}",
            house=takes(1, 2),
            record=f"kind: record, {takes(3)}",
            singer_mon="takes: {channels: {3: {}}}",
        )
        assert example.findings(rig, TALK) == []

    def test_two_house_mixes_are_one_finding(self, example: Example) -> None:
        rig = mixes(talk=f"kind: talkback, {takes(3)}", foyer=f"kind: house, {takes('2-3')}")
        (finding,) = example.findings(rig, TALK)
        assert finding.message == "channel 3 (Piano) feeds the talkback talk, and house and foyer take it as well."
        after = example.changed(example.document(rig), dict(finding.cures[0].change or {}))
        assert example.findings(after, TALK) == []


class TestSignalTwice:
    def record(self, more: str) -> str:
        return mixes(record=f"kind: record, width: stereo, takes: {{{more}}}", house=takes(1, 2))

    def test_left_and_right_of_one_mix_are_one_way(self, example: Example) -> None:
        assert example.findings(self.record("channels: [3], mixes: [house.left, house.right]"), TWICE) == []

    def test_the_change_leaves_the_other_way(self, example: Example) -> None:
        rig = self.record("channels: [1-3], mixes: [house.left, house.right]")
        (finding,) = example.findings(rig, TWICE)
        assert finding.cures[0].change == {"mixes": {"record": {"takes": {"channels": [3]}}}}

    @pytest.mark.parametrize("kind", ["monitor", "cue"])
    def test_a_listener_may_want_more_of_one_thing(self, example: Example, kind: str) -> None:
        rig = mixes(more_me=f"kind: {kind}, takes: {{channels: [1], mixes: [house.mono]}}")
        assert example.findings(rig, TWICE) == []

    def test_an_effect_of_it_is_another_signal(self, example: Example) -> None:
        rig = PLATE + mixes(verb_send=SEND, house=takes("1-4"))
        assert example.findings(rig, TWICE) == []

    def test_a_mix_that_is_taken_with_what_it_takes(self, example: Example) -> None:
        rig = mixes(
            words=f"kind: house, {takes(1)}",
            house="takes: {channels: [2-3], mixes: [words]}",
            record="kind: record, takes: {mixes: [words, house.mono]}",
        )
        (finding,) = example.findings(rig, TWICE)
        assert finding.message == "record takes channel 1 (Lead vox) through words and again through house."


class TestEffects:
    def test_a_mono_return_is_both_sides(self, example: Example) -> None:
        assert example.findings(PLATE + mixes(verb_send=SEND), RETURN) == []

    def test_a_return_that_is_patched_wrongly_is_told_at_its_channel(self, example: Example) -> None:
        rig = PLATE.replace("patched_from: effects/plate", "patched_from: desk/link-1/5") + mixes(verb_send=SEND)
        assert [f.rule for f in example.findings(rig, RETURN, "patch-carries-nothing")] == ["patch-carries-nothing"]

    def test_a_send_with_no_word_about_its_tap_is_let_be(self, example: Example) -> None:
        assert example.findings(PLATE + mixes(verb_send="kind: effects, takes: {channels: {1: {}}}"), BEFORE) == []


class TestDoublePatch:
    def test_three_on_one_socket_are_all_told_and_cured_together(self, example: Example) -> None:
        row = "{carries: lead-vocal, patched_from: desk/link-1/1%s}"
        (finding,) = example.findings(f"channels: {{4: {row % ''}, 5: {row % ''}}}", "channel-double-patch")
        assert finding.message == (
            "channel 1 (Lead vox), channel 4 and channel 5 all take west-box/in/1 (desk/link-1/1)."
        )
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            (
                "where that is meant, say `doubles: 1` at channels 4 and 5",
                {"channels": {"4": {"doubles": 1}, "5": {"doubles": 1}}},
            ),
            ("patch channels 4 and 5 from another slot or socket", None),
        ]
        said = f"channels: {{4: {row % ', doubles: 1'}, 5: {row % ''}}}"
        assert [found.message for found in example.findings(said, "channel-double-patch")] == [
            "channel 1 (Lead vox) and channel 5 both take west-box/in/1 (desk/link-1/1)."
        ]


class TestPreamplifierTwoGains:
    def second(self, more: str, first: str = "gain_db: 30") -> str:
        row = f"carries: lead-vocal, patched_from: desk/link-1/1, {more}"
        return f"channels: {{1: {{{first}}}, 4: {{{row}}}}}"

    def test_the_change_writes_the_firsts(self, example: Example) -> None:
        rig = self.second("doubles: 1, gain_db: 24")
        (finding,) = example.findings(rig, GAIN)
        assert finding.cures[0].change == {"channels": {"4": {"gain_db": 30}}}

    @pytest.mark.parametrize("more", ["doubles: 1", "doubles: 1, gain_db: 30.0", "gain_db: 24"])
    def test_one_gain_or_a_doubling_that_nobody_declared(self, example: Example, more: str) -> None:
        assert example.findings(self.second(more), GAIN) == []
