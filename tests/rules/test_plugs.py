"""Sockets that do not exist, sockets with two plugs, and pairs whose plugs are apart: what is said, and where a plug should go."""

from __future__ import annotations

import pytest
from example_rigs import Example

MISSING, SHARED, SPLIT, CROSSED = "socket-missing", "socket-shared", "stereo-split", "stereo-crossed"


def told(example: Example, rig: str, rule: str) -> list[tuple[str, list[str]]]:
    """What a rule says, each finding with the words of its cures."""
    return [(finding.message, [cure.text for cure in finding.cures]) for finding in example.findings(rig, rule)]


class TestMissing:
    def test_a_source_goes_to_where_its_channel_listens(self, example: Example) -> None:
        rig = "channels: {1: {patched_from: desk/link-1/5}}\nsources: {lead-vocal: {plugged_into: west-box/in/17}}"
        assert told(example, rig, MISSING) == [
            (
                "lead-vocal is plugged into west-box/in/17, but west-box (stage-box-16x8) has 16 inputs.",
                ["plug lead-vocal into west-box/in/5, where channel 1 listens"],
            )
        ]
        assert example.after_cures(rig, MISSING) == [[]]

    @pytest.mark.parametrize("listens", ["desk/link-1/2", "desk/link-1/40", "desk/in/33"])
    def test_but_not_to_a_taken_socket_nor_to_none(self, example: Example, listens: str) -> None:
        rig = f"channels: {{1: {{patched_from: {listens}}}}}\nsources: {{lead-vocal: {{plugged_into: west-box/in/17}}}}"
        found = [cures for message, cures in told(example, rig, MISSING) if message.startswith("lead-vocal")]
        assert found == [[]]

    def test_a_destination_goes_to_where_its_mix_leaves(self, example: Example) -> None:
        rig = "destinations: {singer-wedge: {plugged_into: west-box/out/9}}\nfeeds: {desk/link-1: {1: null, 3: singer-mon}}"
        assert told(example, rig, MISSING) == [
            (
                "singer-wedge is plugged into west-box/out/9, but west-box (stage-box-16x8) has 8 outputs.",
                ["move the plug of singer-wedge to west-box/out/3"],
            )
        ]
        assert example.after_cures(rig, MISSING) == [[]]

    def test_a_channel_and_a_feed_of_the_desk(self, example: Example) -> None:
        rig = "channels: {1: {patched_from: desk/in/33}}\nfeeds: {desk/out: {17: singer-mon, 18: singer-mon}}"
        assert told(example, rig, MISSING) == [
            ("channel 1 (Lead vox) is patched from desk/in/33, but desk (console-32) has 32 inputs.", []),
            ("desk/out/17–18 are fed, but desk has 16 outputs.", ["take the feed of desk/out/17–18 out"]),
        ]

    def test_a_feed_past_the_link_says_at_which_rate_and_why_its_wedge_is_silent(self, example: Example) -> None:
        rig = "feeds: {desk/link-1: {1: null, 25: singer-mon}}\nclock: {sample_rate_hz: 96000}"
        (finding,) = [row for row in example.findings(rig, MISSING) if "fed" in row.message]
        assert finding.message == "desk/link-1/25 is fed, but that link has 24 slots at 96000 Hz."
        assert finding.facts == {"slots": 24, "sample_rate_hz": 96000}
        assert finding.explains == {("output-carries-nothing", "singer-wedge"), ("house-unheard", "singer-mon")}
        (cure,) = finding.cures
        assert cure.change == {"feeds": {"desk/link-1": {"25": None}}}

    def test_another_model_is_offered_where_it_puts_the_whole_chain_right(self, house: Example) -> None:
        """A model of the house that can't be read hides no other: whoever uses it is told."""
        assert house.house is not None
        (house.house / "models" / "a-broken.yaml").write_text("model_format: 1\nkind: nonsense\n", encoding="utf-8")
        rig = (
            "devices: {west-box: {model: stage-box-8x8}}\n"
            "sources: {lead-vocal: {plugged_into: west-box/in/15}, choir: {plugged_into: west-box/in/16}}\n"
            "channels: {1: {patched_from: desk/link-1/15}, 2: {patched_from: desk/link-1/16}}"
        )
        (finding,) = house.findings(rig, MISSING)
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            (
                "look at west-box: if it is a stage-box-16x8, write that model, and all of its chain is right",
                {"devices": {"west-box": {"model": "stage-box-16x8"}}},
            )
        ]
        assert house.after_cures(rig, MISSING) == [[]]


class TestShared:
    def test_who_is_awaited_elsewhere_goes_home(self, example: Example) -> None:
        rig = "sources: {choir: {plugged_into: west-box/in/1}}"
        assert told(example, rig, SHARED)[0][1] == [
            "move the plug of choir to west-box/in/2, where its channel listens"
        ]
        assert example.after_cures(rig, SHARED) == [[]]

    @pytest.mark.parametrize(
        ("taken", "free"),
        [("", "west-box/in/2"), ("horn: {kind: player, plugged_into: west-box/in/2}", "west-box/in/3")],
    )
    def test_else_the_last_goes_to_the_nearest_free_socket(self, example: Example, taken: str, free: str) -> None:
        rig = f"sources: {{choir: {{plugged_into: west-box/in/1}}, {taken}}}\nchannels: {{2: {{patched_from: desk/link-1/1}}}}"
        assert told(example, rig, SHARED)[0][1] == [
            f"move the plug of choir to {free}, which is free, and patch its channel from there"
        ]

    def test_of_two_as_near_the_lower_and_on_a_full_box_none(self, example: Example) -> None:
        def full(*but: int) -> str:
            rows = [f"s{n}: {{kind: player, plugged_into: east-box/in/{n}}}" for n in range(1, 9) if n not in but]
            more = "viola: {kind: player, plugged_into: east-box/in/4}"
            return f"sources: {{piano: {{plugged_into: desk/in/1}}, {', '.join(rows)}, {more}}}"

        for but, end in (((3, 5), "in/3"), ((5, 8), "in/5"), ((1, 7), "in/1"), ((1, 8), "in/1"), ((8,), "in/8")):
            assert f"east-box/{end}, which is free" in told(example, full(*but), SHARED)[0][1][0]
        assert told(example, full(), SHARED)[0][1] == []


class TestDeadChannels:
    """Several channels that carry nothing, told as one: only what holds for all of them is said of all."""

    MON = "devices: {mon: {model: console-16}}\nconsoles: {mon: {channels: {}}}\n"

    @pytest.mark.parametrize(
        ("rig", "words"),
        [
            (
                "channels: {1: {patched_from: desk/link-1/9}, 2: {patched_from: desk/link-1/10}}",
                "2 channels carry nothing, all patched 8 slots behind where their sources arrive: lead-vocal arrives on "
                "desk/link-1/1, and its channel is patched from desk/link-1/9. Channel 1 (Lead vox) should carry "
                "lead-vocal, channel 2 (Choir) should carry choir.",
            ),
            (
                "sources: {lead-vocal: {plugged_into: west-box/in/9}, choir: {plugged_into: west-box/in/10}}",
                "2 channels carry nothing, all patched 8 slots before where their sources arrive: lead-vocal arrives on "
                "desk/link-1/9, and its channel is patched from desk/link-1/1. Channel 1 (Lead vox) should carry "
                "lead-vocal, channel 2 (Choir) should carry choir.",
            ),
            (
                "sources: {lead-vocal: {plugged_into: west-box/in/9}}\nchannels: {2: {patched_from: desk/link-1/10}}",
                "2 channels carry nothing, all patched 8 slots away from where their sources arrive: lead-vocal arrives on "
                "desk/link-1/9, and its channel is patched from desk/link-1/1. Channel 1 (Lead vox) should carry "
                "lead-vocal, channel 2 (Choir) should carry choir.",
            ),
            (
                "channels: {1: {patched_from: desk/link-2/1}, 2: {patched_from: desk/link-2/9}}",
                "2 channels carry nothing: no box hangs on desk/link-2. Channel 1 (Lead vox) should carry lead-vocal, "
                "channel 2 (Choir) should carry choir.",
            ),
            (
                "channels: {1: {patched_from: desk/link-2/1}, 4: {carries: lead-vocal, patched_from: desk/link-1/6}}",
                "2 channels carry nothing: channel 1 (Lead vox) should carry lead-vocal, but no box hangs on desk/link-2, "
                "so nothing arrives on desk/link-2/1; channel 4 should carry lead-vocal, but nothing is plugged into "
                "west-box/in/6 (desk/link-1/6). lead-vocal is in west-box/in/1.",
            ),
            (
                "channels: {1: {patched_from: null}, 4: {carries: lead-vocal, patched_from: null}}",
                "2 channels carry nothing: channel 1 (Lead vox) should carry lead-vocal, but it is not patched from "
                "anywhere; channel 4 should carry lead-vocal, but it is not patched from anywhere. lead-vocal is in "
                "west-box/in/1.",
            ),
            (
                MON + "sources: {lead-vocal: {plugged_into: mon/in/1}}\n"
                "channels: {1: {patched_from: desk/link-1/5}, 4: {carries: lead-vocal, patched_from: desk/link-1/6}}",
                "2 channels carry nothing: channel 1 (Lead vox) on desk should carry lead-vocal, but nothing is plugged "
                "into west-box/in/5 (desk/link-1/5); channel 4 on desk should carry lead-vocal, but nothing is plugged "
                "into west-box/in/6 (desk/link-1/6). lead-vocal is in mon/in/1.",
            ),
        ],
    )
    def test_why(self, example: Example, rig: str, words: str) -> None:
        (finding,) = example.findings(rig, "patch-carries-nothing")
        assert finding.message == words
        assert finding.facts == {"channels": 2}
        assert all(left == [] for left in example.after_cures(rig, "patch-carries-nothing"))


class TestPairs:
    def apart(self, left: str, right: str, more: str = "") -> str:
        return (
            "pairs: {keys: {left: choir, right: piano}}\n"
            f"sources: {{choir: {{plugged_into: {left}}}, piano: {{plugged_into: {right}}}}}\n{more}"
        )

    def test_a_half_that_no_channel_carries_is_not_crossed(self, example: Example) -> None:
        rig = "pairs: {keys: {left: lead-vocal, right: choir}}\nchannels: {1: {pan: right}, 2: null}"
        rig += "\nmixes: {house: {takes: {channels: [1, 3]}}}"
        assert example.findings(rig, CROSSED) == []

    def test_on_two_boxes_is_told_and_on_one_is_not(self, example: Example) -> None:
        assert told(example, self.apart("west-box/in/2", "east-box/in/1"), SPLIT) == [
            (
                "the pair keys is on two boxes: choir in west-box/in/2, piano in east-box/in/1.",
                ["plug piano into west-box as well, beside choir, and patch its channel from there"],
            )
        ]
        patched = "channels: {3: {patched_from: desk/link-1/3}}"
        assert example.findings(self.apart("west-box/in/2", "west-box/in/3", patched), SPLIT) == []

    def test_a_plug_in_the_wrong_socket_is_told_as_that(self, example: Example) -> None:
        """Both channels listen at the west box: the piano's plug is in the wrong place, and the pair is not apart."""
        rig = self.apart("west-box/in/2", "east-box/in/1", "channels: {3: {patched_from: desk/link-1/3}}")
        assert example.findings(rig, SPLIT) == []
        assert example.no_goes(rig) == ["patch-carries-nothing"]

    def test_crossed_on_three_channels_is_one_finding_that_patches_all(self, example: Example) -> None:
        rig = self.apart(
            "west-box/in/2",
            "west-box/in/3",
            "channels: {2: {patched_from: desk/link-1/3}, 3: {patched_from: desk/link-1/2},\n"
            " 4: {carries: choir, patched_from: desk/link-1/3, doubles: 2}}",
        )
        ((message, cures),) = told(example, rig, CROSSED)
        assert message == (
            "the pair keys is crossed: channel 2 (Choir), channel 3 (Piano) and channel 4 receive each the other side."
        )
        assert cures[0] == (
            "patch channel 2 from desk/link-1/2; patch channel 3 from desk/link-1/3; patch channel 4 from desk/link-1/2"
        )
        assert example.after_cures(rig, CROSSED)[0] == []

    def test_returns_panned_to_one_side_or_the_wrong_way_round_unless_the_patch_is_wrong(
        self, example: Example
    ) -> None:
        rig = (
            "mixes: {send: {kind: effects, takes: {channels: [1]}}}\neffects: {plate: {fed_by: send}}\n"
            "channels: {8: {carries: effects/plate.left, patched_from: effects/plate.left, pan: %s},\n"
            " 9: {carries: effects/plate.right, patched_from: effects/plate.right, pan: %s}}"
        )
        assert told(example, rig % ("left", "right"), CROSSED) == []
        assert told(example, rig % ("right", "left"), CROSSED) == [
            (
                "the returns of plate are panned the wrong way round: plate.left (channel 8) right, "
                "plate.right (channel 9) left.",
                ["pan channel 8 left and channel 9 right"],
            )
        ]
        assert told(example, rig % ("left", "left"), CROSSED)[0][0] == (
            "both halves of the returns of plate are panned left: plate.left (channel 8) and plate.right (channel 9)."
        )
        patched = (rig % ("left", "left")).replace(
            "patched_from: effects/plate.left", "patched_from: effects/plate.right"
        )
        assert told(example, patched, CROSSED) == []
