"""What a wrong patch does to phantom power: told where it may harm, and not where the patch alone is the cause."""

from __future__ import annotations

from example_rigs import Example

BOTH_ENDS = """
devices: {mon: {model: console-16}}
splits: {wires: {kind: analogue, sources: [choir]}}
sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}
channels: {2: {phantom: null}, 3: {patched_from: desk/link-1/2}}
consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}
"""


def phantom_rules(example: Example, rig: str) -> list[str]:
    """The rules on phantom power that say no-go."""
    return [rule for rule in example.no_goes(rig) if rule.startswith("phantom")]


class TestTwoFeeds:
    def test_what_a_wrong_patch_feeds_is_a_second_feed_all_the_same(self, example: Example) -> None:
        """The piano's channel, which has it on, takes the choir's slot by mistake; mon feeds the choir."""
        assert phantom_rules(example, BOTH_ENDS) == ["phantom-two-feeds"]
        (finding,) = example.findings(BOTH_ENDS, "phantom-two-feeds")
        assert "channel 3 (Piano) on desk, meant for piano" in finding.message
        assert "desk/channel/3" in [place.address for place in finding.places]
        assert finding.cures[0].change == {"channels": {"3": {"phantom": "off"}}}, "what is there by mistake goes first"
        assert example.after_cures(BOTH_ENDS, "phantom-two-feeds")[0] == ["patch-carries-other"]

    def test_two_legs_on_one_switch_have_no_switch_to_turn(self, grouped: Example) -> None:
        rig = (
            "devices: {east-box: {model: group-box}}\n"
            "splits: {wires: {kind: analogue, sources: [piano]}}\n"
            "sources: {piano: {plugged_into: [east-box/in/1, east-box/in/2]}}\n"
        )
        (finding,) = grouped.findings(rig, "phantom-two-feeds")
        assert "east-box/in/1 and east-box/in/2 (channel 3 (Piano))" in finding.message
        assert [cure.text for cure in finding.cures] == [
            "with phantom power off, move one plug of piano to a socket where it is off"
        ]


class TestClash:
    """The piano gets its power by the east box, and shares a switch with a ribbon on the monitor console's box."""

    RIG = """
devices: {mon: {model: console-16}, mon-box: {model: group-box}}
cables: {mon-link: {from: mon/link-1, to: mon-box/upstream, kind: cat5e, length_m: 10}}
splits: {wires: {kind: analogue, sources: [piano, ribbon]}}
sources: {piano: {plugged_into: [east-box/in/1, mon-box/in/1]},
          ribbon: {kind: ribbon-microphone, plugged_into: mon-box/in/2}}
consoles: {mon: {channels: {1: {carries: piano, patched_from: mon/link-1/1},
                            2: {carries: ribbon, patched_from: mon/link-1/2}}}}
"""
    WRONG = "channels: {3: {patched_from: desk/link-1/2}}\n"

    def test_what_a_right_patch_brings_by_another_leg_is_no_clash(self, grouped: Example) -> None:
        assert phantom_rules(grouped, self.RIG) == []
        assert phantom_rules(grouped, self.RIG + self.WRONG) == ["phantom-missing"]
        (finding,) = grouped.findings(self.RIG + self.WRONG, "phantom-missing")
        assert "it is on at channel 3 (Piano) on desk, where piano does not arrive" in finding.message
        assert "put right what arrives at channel 3 (Piano) on desk" in finding.cures[0].text

    def test_nor_is_what_another_wrong_patch_brings_meanwhile_missing(self, grouped: Example) -> None:
        """Two channels that are crossed: whoever has the piano's leg now has phantom power on there."""
        crossed = self.RIG + "channels: {2: {patched_from: desk/link-1/17}, 3: {patched_from: desk/link-1/2}}\n"
        assert "phantom-missing" not in phantom_rules(grouped, crossed)
        assert "phantom-missing" in phantom_rules(grouped, crossed.replace("{2: {", "{2: {phantom: off, "))

    def test_what_no_patch_brings_is(self, grouped: Example) -> None:
        rig = self.RIG + self.WRONG.replace("{patched", "{phantom: off, patched")
        assert phantom_rules(grouped, rig) == ["phantom-group"]
        by_mon = self.RIG + "channels: {3: {phantom: off}}\n"
        wrong = by_mon.replace("mon/link-1/1}", "mon/link-1/3, phantom: on}")
        assert "phantom-group" in phantom_rules(grouped, wrong), (
            "its own patch, once right, asks it of this very switch"
        )


def test_where_nobody_can_switch_it_off_any_more_that_plug_comes_out_first(example: Example) -> None:
    rig = (
        "dead: {mon: no lamps}\n"
        "devices: {mon: {model: console-16}}\n"
        "splits: {wires: {kind: analogue, sources: [choir]}}\n"
        "sources: {choir: {kind: condenser-microphone, plugged_into: [west-box/in/2, mon/in/2]}}\n"
        "channels: {2: {phantom: off}}\n"
        "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}\n"
    )
    (finding,) = example.findings(rig, "phantom-missing")
    first = (
        "have mon switched off by whoever has charge of the mains, wait ten seconds, and take choir out of mon/in/2, muted: "
        "phantom power may still be on there, and both ends are too many; then "
    )
    assert finding.cures[0].text.startswith(first)
    assert finding.cures[0].change == {"channels": {"2": {"phantom": "on"}}}
