"""Selectors of boxes: output banks, and input banks of boxes whose inputs are addressed by a selector too."""

from __future__ import annotations

import pytest
from example_rigs import Example

CLASH, UNKNOWN, BEYOND, NOTHING = "bank-clash", "bank-unknown", "bank-beyond-link", "output-carries-nothing"
MODEL = """\
model_format: 1
kind: stage-box
inputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16, 25-32, 33-40]}
outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}
chain: {slots: {48000: 48, 96000: 24}}
"""


@pytest.fixture
def turned(house: Example) -> Example:
    """A house with a box whose inputs have a selector."""
    assert house.house is not None
    (house.house / "models" / "turned-box.yaml").write_text(MODEL, encoding="utf-8")
    return house


def two(first: str, second: str, horn: int) -> str:
    """Two such boxes behind the others: the oboe is awaited on slot 25, the horn in the second box's socket 2 on `horn`."""
    banks = [f", input_bank: {bank}" if bank else "" for bank in (first, second)]
    return (
        f"devices: {{a: {{model: turned-box{banks[0]}}}, b: {{model: turned-box{banks[1]}}}}}\n"
        "cables: {one: {from: east-box/downstream, to: a/upstream}, two: {from: a/downstream, to: b/upstream}}\n"
        "sources: {oboe: {kind: dynamic-microphone, plugged_into: a/in/1},\n"
        " horn: {kind: dynamic-microphone, plugged_into: b/in/2}}\n"
        "channels: {4: {carries: oboe, patched_from: desk/link-1/25},\n"
        f" 5: {{carries: horn, patched_from: desk/link-1/{horn}}}}}"
    )


class TestInputs:
    def test_one_bank_for_two_boxes_turns_the_one_that_no_channel_awaits_there(self, turned: Example) -> None:
        (finding,) = turned.findings(two("25-32", "25-32", 34), CLASH)
        assert finding.message == "a and b put their inputs on the same link slots, 25–32."
        assert [place.address for place in finding.places] == ["b", "a"]
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            ("set b's input selector to 33-40", {"devices": {"b": {"input_bank": "33-40"}}})
        ]
        assert finding.explains == {
            ("bank-clash", "a"),
            ("bank-clash", "b"),
            ("patch-carries-other", "desk/channel/5"),
            ("patch-carries-nothing", "desk/channel/5"),
            ("source-unheard", "horn"),
        }

    def test_its_cure_cures(self, turned: Example) -> None:
        assert turned.after_cures(two("25-32", "25-32", 34), CLASH) == [[]]

    @pytest.mark.parametrize("awaited", [10, 42])
    def test_where_no_bank_fits_it_is_left_to_the_crew(self, turned: Example, awaited: int) -> None:
        """Slots 9 to 16 are the west box's, which counts by its place, and the selector has no 41-48."""
        (finding,) = turned.findings(two("25-32", "25-32", awaited), CLASH)
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            ("set b's input selector to a bank of its own", None)
        ]

    def test_an_unstated_bank_is_told_with_what_it_feeds_and_the_one_that_fits(self, turned: Example) -> None:
        (finding,) = turned.findings(two("", "33-40", 34), UNKNOWN)
        assert finding.message == "a takes oboe, but its input bank is not stated."
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            (
                "set it to 25-32, which gives every channel what it should carry",
                {"devices": {"a": {"input_bank": "25-32"}}},
            )
        ]
        assert ("source-unheard", "oboe") in finding.explains
        assert turned.no_goes(two("", "33-40", 34)) == [UNKNOWN]

    def test_a_bank_that_the_selector_lacks(self, turned: Example) -> None:
        (finding,) = turned.findings(two("25-32", "41-48", 42), UNKNOWN)
        assert finding.message == (
            "b is set to input bank 41-48, which its selector does not have (1-8, 9-16, 25-32, 33-40)."
        )
        assert [cure.text for cure in finding.cures] == ["read the position off b and write it as input_bank"]

    def test_a_bank_that_leaves_its_channels_dead_is_turned(self, turned: Example) -> None:
        rig = two("33-40", "", 26).replace("b/in/2", "a/in/2").replace(", b: {model: turned-box}", "")
        rig = rig.replace(", two: {from: a/downstream, to: b/upstream}", "")
        (finding,) = turned.findings(rig, "patch-carries-nothing")
        assert finding.message.startswith("2 channels carry nothing, all patched 8 slots before where their sources")
        assert [(cure.text, cure.change) for cure in finding.cures[:1]] == [
            ("set a's input selector to 25-32", {"devices": {"a": {"input_bank": "25-32"}}})
        ]
        assert turned.after_cures(rig, "patch-carries-nothing") == [[], []]

    def test_each_box_at_its_own_place_is_a_go(self, turned: Example) -> None:
        assert turned.no_goes(two("25-32", "33-40", 34)) == []

    def test_a_box_by_selector_keeps_its_slots_while_the_others_change_places(self, turned: Example) -> None:
        rig = (
            "devices: {a: {model: turned-box, input_bank: 25-32}}\n"
            "sources: {oboe: {kind: player, plugged_into: a/in/1}, flute: {kind: player, plugged_into: a/in/2}}\n"
            "channels: {4: {carries: oboe, patched_from: desk/link-1/25}, 5: {carries: flute, patched_from: desk/link-1/26}}\n"
            "cables: {trunk: {to: east-box/upstream}, mid: {from: east-box/downstream, to: a/upstream},\n"
            " crossing: {from: a/downstream, to: west-box/upstream}}"
        )
        (finding,) = turned.findings(rig, "chain-swapped")
        assert finding.message == (
            "the boxes on desk/link-1 are cabled east-box, a, west-box, but the console is patched for west-box, a, "
            "east-box. Wrong now: channel 1 (Lead vox), channel 2 (Choir), channel 3 (Piano)."
        )
        assert turned.after_cures(rig, "chain-swapped") == [[], [], []]


class TestTwoSockets:
    """A recorder in two sockets is one destination, whose plugs move together to two sockets in a row."""

    TAPE = "destinations: {tape: {kind: recorder, plugged_into: west-box/out/3-4, expects: house}}\n"
    OTHER = "output-carries-other"

    def test_it_is_one_destination_and_its_plugs_move_together(self, example: Example) -> None:
        rig = self.TAPE + "feeds: {desk/link-1: {3: singer-mon, 4: singer-mon}, desk/out: {5-6: house}}"
        (finding,) = example.findings(rig, self.OTHER)
        assert finding.message.startswith(
            "tape receives the wrong mix: tape (west-box/out/3) receives singer-mon instead"
        )
        assert (finding.members, finding.facts) == (("tape",), {"destinations": 1})
        assert [(cure.text, cure.change) for cure in finding.cures[:1]] == [
            (
                "move the plugs of tape to desk/out/5 and desk/out/6",
                {"destinations": {"tape": {"plugged_into": "desk/out/5-6"}}},
            )
        ]
        assert example.after_cures(rig, self.OTHER) == [[], []]

    @pytest.mark.parametrize(
        "sent", ["5: house.left, 7: house.right", "5: house.right, 6: house.left", "16: house.left"]
    )
    def test_two_sockets_apart_are_no_place_for_it(self, example: Example, sent: str) -> None:
        rig = self.TAPE + f"feeds: {{desk/link-1: {{3: singer-mon, 4: singer-mon}}, desk/out: {{{sent}}}}}"
        (finding,) = example.findings(rig, self.OTHER)
        assert [cure.text for cure in finding.cures] == [
            "send house.left to desk/link-1/3, house.right to desk/link-1/4"
        ]

    def test_nothing_at_both_is_one_destination_too(self, example: Example) -> None:
        (finding,) = example.findings(self.TAPE, NOTHING)
        assert finding.message.endswith("It expects house.left, house.right.")
        assert (finding.members, finding.facts) == (("tape",), {"destinations": 1})


class TestOutputs:
    def test_a_plug_goes_to_its_own_box_before_another(self, example: Example) -> None:
        rig = "feeds: {desk/link-1: {1: null%s}, desk/out: {2: singer-mon}}"
        for own, socket in ((", 3: singer-mon", "west-box/out/3"), ("", "desk/out/2")):
            (finding,) = example.findings(rig % own, NOTHING)
            assert [cure.text for cure in finding.cures] == [
                f"move the plug of singer-wedge to {socket}",
                "send singer-mon to desk/link-1/1",
            ]
            assert example.after_cures(rig % own, NOTHING) == [[], []]

    def test_a_bank_where_nothing_is_sent_is_one_finding_at_the_box(self, example: Example) -> None:
        rig = "devices: {east-box: {output_bank: 17-24}}"
        (finding,) = example.findings(rig, NOTHING)
        assert (finding.about, finding.members) == ("east-box", ("house-left", "house-right"))
        assert [cure.text for cure in finding.cures] == [
            "set east-box's selector to 9-16: then everything on it gets what it expects",
            "send house.left to desk/link-1/23, house.right to desk/link-1/24",
        ]
        assert example.after_cures(rig, NOTHING) == [[], []]

    @pytest.mark.parametrize("box", ["west-box", "desk"])
    def test_what_says_nothing_of_what_it_expects_and_gets_nothing(self, example: Example, box: str) -> None:
        rig = f"destinations: {{lobby: {{kind: zone-loudspeaker, plugged_into: {box}/out/4}}}}"
        (finding,) = example.findings(rig, NOTHING)
        where = "desk/link-1/4" if box == "west-box" else "desk/out/4"
        assert finding.message == f"lobby ({box}/out/4) receives nothing: no mix is sent to {where}."
        assert [cure.text for cure in finding.cures] == [f"send a mix to {where}"]

    def test_a_bank_past_the_link_and_one_that_is_no_bank_are_told_apart(self, example: Example) -> None:
        rig = "devices: {east-box: {output_bank: %s}}\nclock: {sample_rate_hz: 96000}"
        (finding,) = example.findings(rig % "33-40", BEYOND, UNKNOWN)
        assert finding.message == (
            "east-box is on output bank 33-40, but the link has 24 slots at 96000 Hz. Dead outputs: house-left, house-right."
        )
        assert finding.rule == BEYOND
        (finding,) = example.findings(rig % "30-37", BEYOND, UNKNOWN)
        assert finding.rule == UNKNOWN

    def test_the_whole_rig_is_slowed_down_only_where_no_device_has_a_rate_of_its_own(self, example: Example) -> None:
        rig = (
            "clock: {sample_rate_hz: 96000}\ndevices: {east-box: {output_bank: 33-40}, west-box: {sample_rate_hz: %s}}"
        )
        for rate, cures in (("null", 2), ("96000", 1)):
            (finding,) = example.findings(rig % rate, BEYOND)
            texts = ["set east-box's selector to 9-16", "run the whole rig at 48 kHz"]
            assert [cure.text for cure in finding.cures] == texts[:cures]

    def test_outputs_of_different_boxes_in_each_others_place_are_no_selector(self, example: Example) -> None:
        rig = (
            "mixes: {drum-mon: {kind: monitor, takes: {channels: [1]}}}\n"
            "feeds: {desk/link-1: {1: drum-mon, 9: singer-mon}}\n"
            "destinations: {drum-wedge: {kind: wedge, plugged_into: east-box/out/1, expects: drum-mon}}"
        )
        (finding,) = example.findings(rig, "output-carries-other")
        assert [cure.text for cure in finding.cures] == [
            "move the plugs: singer-wedge to east-box/out/1, drum-wedge to west-box/out/1",
            "send singer-mon to desk/link-1/1, drum-mon to desk/link-1/9",
        ]
        assert example.after_cures(rig, "output-carries-other") == [[], []]
