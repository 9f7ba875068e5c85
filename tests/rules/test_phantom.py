"""Phantom power: who needs it, who must not have it, and what one switch can do.

IEC 61938 gives P48 as 48 V ± 4 V through 6.8 kΩ in each leg (check-values.md, section 1). A balanced dynamic
microphone, ribbon or transformer sees no difference between its legs; an unbalanced one takes the full voltage.
"""

from __future__ import annotations

from typing import ClassVar

import pytest
from example_rigs import Example

RULES = (
    "phantom-missing",
    "phantom-unbalanced",
    "phantom-on-ribbon",
    "phantom-on-line",
    "phantom-on-passive-di",
    "phantom-group",
    "phantom-two-feeds",
)
MON = (
    "devices: {mon: {model: console-16}}\n"
    "splits: {wires: {kind: analogue, sources: [choir]}}\n"
    "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
)


def told(example: Example, rig: str, *rules: str) -> list[tuple[str, str, str]]:
    """(severity, rule, what it is about) of the findings on phantom power but for the daily caution."""
    return [(f.weight.value, f.rule, f.about) for f in example.findings(rig, *(rules or RULES))]


def one(kind: str, phantom: str, more: str = "") -> str:
    """One more source in the west box, with the phantom power of its channel."""
    return (
        f"sources: {{it: {{kind: {kind}, plugged_into: west-box/in/4{more}}}}}\n"
        f"channels: {{4: {{carries: it, patched_from: desk/link-1/4, phantom: {phantom}}}}}"
    )


def split(stage: str, mon: str) -> str:
    """The choir's microphone at both ends of an analogue split, with the phantom power of each end."""
    return MON + (
        f"channels: {{2: {{phantom: {stage}}}}}\n"
        f"consoles: {{mon: {{channels: {{2: {{carries: choir, patched_from: mon/in/2, phantom: {mon}}}}}}}}}"
    )


class TestKinds:
    @pytest.mark.parametrize(
        ("kind", "on", "off"),
        [
            ("dynamic-microphone", None, None),
            ("condenser-microphone", None, ("no-go", "phantom-missing")),
            ("boundary-microphone", None, ("no-go", "phantom-missing")),
            ("active-ribbon-microphone", None, ("no-go", "phantom-missing")),
            ("active-di", None, ("no-go", "phantom-missing")),
            ("passive-di", ("note", "phantom-on-passive-di"), None),
            ("ribbon-microphone", ("caution", "phantom-on-ribbon"), None),
            ("wireless-receiver", ("caution", "phantom-on-line"), None),
            ("player", ("caution", "phantom-on-line"), None),
            ("instrument-line", ("caution", "phantom-on-line"), None),
            ("intercom", ("caution", "phantom-on-line"), None),
        ],
    )
    def test_what_each_kind_takes(
        self, example: Example, kind: str, on: tuple[str, str] | None, off: tuple[str, str] | None
    ) -> None:
        assert told(example, one(kind, "on")) == ([(*on, "it")] if on else [])
        assert told(example, one(kind, "off")) == ([(*off, "it")] if off else [])
        assert told(example, one(kind, "null")) == ([(*off, "it")] if off else []), "unsaid counts as off"

    @pytest.mark.parametrize("connection", ["unbalanced", "unbalanced-adapter", "jack-patch-point"])
    @pytest.mark.parametrize("kind", ["dynamic-microphone", "ribbon-microphone", "player", "passive-di", "active-di"])
    def test_one_leg_takes_it_all_whatever_the_kind_and_is_told_once(
        self, example: Example, kind: str, connection: str
    ) -> None:
        rig = one(kind, "on", f", connection: {connection}")
        assert told(example, rig) == [("no-go", "phantom-unbalanced", "it")]
        (finding,) = example.findings(rig, "phantom-unbalanced")
        assert "one leg takes the full 48 V" in finding.message
        assert finding.facts == {"volts": 48}
        assert all(left == [] for left in example.after_cures(rig, "phantom-unbalanced"))

    def test_parallel_powering_is_another_system(self, example: Example) -> None:
        rig = one("condenser-microphone", "on", ", powering: parallel")
        assert told(example, rig) == [("no-go", "phantom-unbalanced", "it")]
        assert told(example, rig.replace("phantom: on", "phantom: off")) == []
        assert example.after_cures(rig, "phantom-unbalanced") == [[]]

    @pytest.mark.parametrize("powering", ["battery", "internal", "none"])
    def test_a_condenser_with_a_supply_of_its_own_needs_none(self, example: Example, powering: str) -> None:
        assert told(example, one("condenser-microphone", "off", f", powering: {powering}")) == []

    def test_what_needs_it_and_is_unbalanced_is_cured_at_the_plug_first(self, example: Example) -> None:
        rig = one("active-di", "off", ", connection: unbalanced-adapter")
        assert told(example, rig) == [("no-go", "phantom-missing", "it")]
        (finding,) = example.findings(rig, "phantom-missing")
        (cure,) = finding.cures
        assert cure.text.startswith("with phantom power off, connect it by a balanced cable")
        assert example.after_cures(rig, "phantom-missing") == [[]]

    def test_the_place_is_the_source_then_its_channel(self, example: Example) -> None:
        (finding,) = example.findings(one("condenser-microphone", "off"), "phantom-missing")
        assert [place.address for place in finding.places] == ["it", "desk/channel/4"]

    def test_a_console_socket_is_checked_like_any_other(self, example: Example) -> None:
        rig = one("condenser-microphone", "off").replace("west-box/in/4", "desk/in/4").replace("link-1/4", "in/4")
        assert told(example, rig) == [("no-go", "phantom-missing", "it")]


class TestManyTogether:
    """Three or more of one console: a hand passed over a row of switches, and that is one finding."""

    HEADS: ClassVar = {
        ("player", "on"): ("phantom-on-line", "phantom power is on for 3 line sources", ", a player"),
        ("ribbon-microphone", "on"): (
            "phantom-on-ribbon",
            "phantom power is on for 3 ribbon microphones that do not need it",
            "",
        ),
        ("condenser-microphone", "off"): ("phantom-missing", "3 sources need phantom power, and get none", ""),
    }

    def rig(self, kind: str, phantom: str, many: int = 3) -> str:
        rows = range(4, 4 + many)
        sources = ", ".join(f"p{n}: {{kind: {kind}, plugged_into: west-box/in/{n}}}" for n in rows)
        channels = ", ".join(f"{n}: {{carries: p{n}, patched_from: desk/link-1/{n}, phantom: {phantom}}}" for n in rows)
        return f"sources: {{{sources}}}\nchannels: {{{channels}}}\n"

    @pytest.mark.parametrize(("kind", "phantom"), HEADS)
    def test_one_finding_for_all_and_one_change(self, example: Example, kind: str, phantom: str) -> None:
        rule, head, brief = self.HEADS[kind, phantom]
        (finding,) = example.findings(self.rig(kind, phantom), rule)
        rows = "; ".join(f"p{n} (west-box/in/{n}, channel {n}){brief}" for n in (4, 5, 6))
        assert finding.message == f"{head}: {rows}."
        assert (finding.about, finding.members) == ("desk", ("p4", "p5", "p6"))
        assert finding.facts == {"volts": 48, "sources": 3}
        other = "on" if phantom == "off" else "off"
        assert finding.cures[0].change == {"channels": {str(n): {"phantom": other} for n in (4, 5, 6)}}
        assert example.after_cures(self.rig(kind, phantom), rule)[0] == []

    @pytest.mark.parametrize(("kind", "phantom"), HEADS)
    def test_two_are_two_and_what_is_waived_stands_by_itself(self, example: Example, kind: str, phantom: str) -> None:
        rule = self.HEADS[kind, phantom][0]
        assert [f.about for f in example.findings(self.rig(kind, phantom, 2), rule)] == ["p4", "p5"]
        waived = f"waivers: [{{rule: {rule}, about: p5, because: a test, by: A. Person, until: 2099-01-01}}]"
        found = example.findings(self.rig(kind, phantom) + waived, rule)
        assert {(f.about, f.waived is not None) for f in found} == {("p4", False), ("p5", True), ("p6", False)}


class TestOneCause:
    def test_swapped_plugs_are_told_with_the_patch_alone(self, example: Example) -> None:
        rig = "sources: {lead-vocal: {plugged_into: west-box/in/2}, choir: {plugged_into: west-box/in/1}}"
        assert example.no_goes(rig) == ["patch-carries-other"]

    def test_a_source_on_a_box_that_no_console_reaches(self, example: Example) -> None:
        assert example.no_goes("cables: {crossing: null}\nchannels: {3: {phantom: off}}") == ["chain-box-unreached"]

    def test_two_plugs_in_one_socket(self, example: Example) -> None:
        rig = "sources: {lead-vocal: {plugged_into: west-box/in/2}}\nchannels: {2: {phantom: off}}"
        assert told(example, rig) == []
        assert example.no_goes(rig)

    def test_a_second_wrong_channel_hides_nothing_of_the_right_one(self, example: Example) -> None:
        """Channel 3 is patched to the choir's slot by mistake, and its phantom power is on; channel 2's is off."""
        rig = "channels: {2: {phantom: off}, 3: {patched_from: desk/link-1/2}}"
        assert example.no_goes(rig) == ["patch-carries-other", "phantom-missing"]

    def test_a_source_that_no_channel_hears_is_not_judged(self, example: Example) -> None:
        rig = "sources: {spare: {kind: condenser-microphone, plugged_into: west-box/in/9}}"
        assert told(example, rig) == []


class TestSplit:
    def test_one_feed_is_enough_from_either_end(self, example: Example) -> None:
        assert told(example, split("on", "off")) == []
        assert told(example, split("off", "on")) == []

    def test_neither_end_feeds_it(self, example: Example) -> None:
        assert told(example, split("off", "off")) == [("no-go", "phantom-missing", "choir")]
        assert example.after_cures(split("off", "off"), "phantom-missing") == [[], []]

    def test_both_ends_feed_it(self, example: Example) -> None:
        assert told(example, split("on", "on")) == [("no-go", "phantom-two-feeds", "choir")]
        assert example.after_cures(split("on", "on"), "phantom-two-feeds") == [[], []]

    def test_an_unbalanced_source_with_both_feeds_is_told_once(self, example: Example) -> None:
        rig = split("on", "on").replace("choir: {plugged", "choir: {connection: unbalanced, plugged")
        assert told(example, rig) == [("no-go", "phantom-unbalanced", "choir")]


class TestSwitch:
    """A model of the house's own with one switch for each four sockets, and one without phantom power."""

    def rig(self, socket: int, source: str, phantom: str = "null", more: str = "") -> str:
        """The piano's active DI box in socket 1 of the east box, with something else in the given socket."""
        return (
            "devices: {east-box: {model: group-box}}\n"
            f"sources: {{it: {{kind: {source}, plugged_into: east-box/in/{socket}{more}}}}}\n"
            f"channels: {{4: {{carries: it, patched_from: desk/link-1/{16 + socket}, phantom: {phantom}}}}}"
        )

    @pytest.mark.parametrize(
        ("source", "more", "why"),
        [
            ("ribbon-microphone", "", "is a ribbon microphone"),
            ("player", "", "is a line source (player)"),
            ("dynamic-microphone", ", connection: unbalanced", "is connected unbalanced"),
            ("condenser-microphone", ", powering: parallel", "is powered in parallel, between its two signal wires"),
        ],
    )
    @pytest.mark.parametrize("phantom", ["null", "on", "off"])
    def test_one_needs_it_and_one_must_not_have_it(
        self, grouped: Example, source: str, more: str, why: str, phantom: str
    ) -> None:
        rig = self.rig(4, source, phantom, more)
        assert told(grouped, rig) == [("no-go", "phantom-group", "it")]
        (finding,) = grouped.findings(rig, "phantom-group")
        assert finding.message == (
            f"east-box/in/1–4 have one phantom switch: piano needs it on, but it {why} and must not have it."
        )
        assert finding.cures[0].change == {
            "sources": {"it": {"plugged_into": "east-box/in/5"}},
            "channels": {"4": {"patched_from": "desk/link-1/21", "phantom": "off"}},
        }
        assert grouped.after_cures(rig, "phantom-group") == [[]]

    @pytest.mark.parametrize(
        ("source", "rules"),
        [
            ("ribbon-microphone", ["phantom-astray"]),
            ("player", ["phantom-astray"]),
            ("dynamic-microphone, connection: unbalanced", ["phantom-astray"]),
            ("condenser-microphone, powering: parallel", ["phantom-astray"]),
            ("condenser-microphone", []),
            ("dynamic-microphone", []),
        ],
    )
    @pytest.mark.parametrize("phantom", ["null", "off"])
    def test_what_comes_to_a_wrong_channel_that_has_it_off_is_told_where_it_may_be_harmed(
        self, grouped: Example, source: str, rules: list[str], phantom: str
    ) -> None:
        """The wrong arrival is told by its own rule, and is no word against the switch that the piano needs."""
        rig = self.rig(4, source, phantom).replace("carries: it", "carries: choir")
        assert [rule for _, rule, _ in told(grouped, rig, *RULES, "phantom-astray")] == rules

    def test_it_is_told_even_where_nobody_has_it_on_yet(self, grouped: Example) -> None:
        rig = self.rig(4, "ribbon-microphone").replace("channels: {", "channels: {3: {phantom: off}, ")
        assert told(grouped, rig) == [("no-go", "phantom-group", "it")]

    def test_the_next_group_has_a_switch_of_its_own(self, grouped: Example) -> None:
        assert told(grouped, self.rig(5, "ribbon-microphone")) == []
        assert told(grouped, self.rig(5, "condenser-microphone")) == [("no-go", "phantom-missing", "it")]

    def test_a_member_that_says_nothing_gets_what_the_switch_gives(self, grouped: Example) -> None:
        assert told(grouped, self.rig(4, "condenser-microphone")) == []
        rig = self.rig(4, "wireless-receiver").replace("sources: {", "sources: {piano: {kind: passive-di}, ")
        # The piano's own channel asks for it; a box that only shares a switch gets no note.
        assert told(grouped, rig) == [("caution", "phantom-on-line", "it"), ("note", "phantom-on-passive-di", "piano")]
        shared = self.rig(4, "condenser-microphone", "on").replace(
            "sources: {", "sources: {piano: {kind: passive-di}, "
        )
        unasked = shared.replace("channels: {", "channels: {3: {phantom: null}, ")
        assert told(grouped, unasked) == []

    def test_a_passive_di_whose_neighbour_needs_the_switch_on_is_told_nothing(self, grouped: Example) -> None:
        assert told(grouped, self.rig(4, "passive-di", "on")) == []

    def test_members_that_don_t_mind_but_say_otherwise(self, grouped: Example) -> None:
        rig = self.rig(4, "dynamic-microphone", "off")
        assert told(grouped, rig) == [("no-go", "phantom-group", "it")]
        assert grouped.after_cures(rig, "phantom-group") == [[]]
        (finding,) = grouped.findings(rig, "phantom-group")
        assert [cure.change for cure in finding.cures] == [{"channels": {"4": {"phantom": "on"}}}]

    def split(self, here: str, mon: str, more: str) -> str:
        """The piano's active DI box with a second leg at a monitor console, and something else on its switch."""
        return (
            "devices: {east-box: {model: group-box}, mon: {model: console-16}}\n"
            "splits: {wires: {kind: analogue, sources: [piano]}}\n"
            f"sources: {{piano: {{plugged_into: [east-box/in/1, mon/in/1]}}, it: {{{more}, plugged_into: east-box/in/4}}}}\n"
            f"channels: {{3: {{phantom: {here}}}, 4: {{carries: it, patched_from: desk/link-1/20, phantom: {here}}}}}\n"
            f"consoles: {{mon: {{channels: {{1: {{carries: piano, patched_from: mon/in/1, phantom: {mon}}}}}}}}}"
        )

    def test_what_has_its_power_by_another_leg_needs_nothing_of_the_switch(self, grouped: Example) -> None:
        ribbon = "kind: ribbon-microphone"
        assert told(grouped, self.split("off", "on", ribbon)) == []
        unfed = self.split("off", "off", ribbon)
        assert told(grouped, unfed) == [("no-go", "phantom-group", "it")], "it may have to have it from here"

    def test_where_states_clash_the_plug_that_is_fed_elsewhere_moves(self, grouped: Example) -> None:
        rig = self.split("off", "on", "kind: condenser-microphone").replace("/20, phantom: off", "/20, phantom: on")
        (finding,) = grouped.findings(rig, "phantom-group")
        assert "channel 3 (Piano) on desk says off. it needs it." in finding.message
        (cure,) = finding.cures
        assert cure.change is None, "on for both would feed the piano from both ends"
        assert "move the plug of piano to where it is off" in cure.text
        quiet = self.split("off", "on", "kind: dynamic-microphone").replace("/20, phantom: off", "/20, phantom: on")
        (finding,) = grouped.findings(quiet, "phantom-group")
        assert [cure.change for cure in finding.cures] == [{"channels": {"4": {"phantom": "off"}}}]
        assert grouped.after_cures(quiet, "phantom-group") == [[]]

    def test_two_that_must_not_have_it_move_together(self, grouped: Example) -> None:
        rig = (
            "devices: {east-box: {model: group-box}}\n"
            "sources: {a: {kind: ribbon-microphone, plugged_into: east-box/in/2}, b: {kind: player, plugged_into: east-box/in/3}}\n"
            "channels: {4: {carries: a, patched_from: desk/link-1/18}, 5: {carries: b, patched_from: desk/link-1/19}}"
        )
        (finding,) = grouped.findings(rig, "phantom-group")
        assert [c.change["sources"] for c in finding.cures if c.change] == [
            {"a": {"plugged_into": "east-box/in/5"}, "b": {"plugged_into": "east-box/in/6"}}
        ]
        assert grouped.after_cures(rig, "phantom-group") == [[]]

    def test_without_a_free_socket_the_cure_is_words(self, grouped: Example) -> None:
        """Every other socket that could do is taken by a channel of its own, and the console has none."""
        assert grouped.house is not None
        (grouped.house / "models" / "bare-console.yaml").write_text(
            "model_format: 1\nkind: console\nlinks: {link-1: {slots: {48000: 48}}}\n"
        )
        points = [f"desk/link-1/{slot}" for slot in (*range(3, 17), *range(21, 25))]
        rows = "".join(f", {number}: {{patched_from: {point}}}" for number, point in enumerate(points, 5))
        rig = self.rig(4, "ribbon-microphone").replace("phantom: null}", f"phantom: null}}{rows}")
        (finding,) = grouped.findings(
            rig.replace("devices: {", "devices: {desk: {model: bare-console}, "), "phantom-group"
        )
        (cure,) = finding.cures
        assert cure.change is None
        assert "move the plug of it to a box of its own" in cure.text

    def test_a_box_without_phantom_power(self, grouped: Example) -> None:
        rig = "devices: {east-box: {model: bare-box}}"
        (finding,) = grouped.findings(rig, *RULES)
        assert finding.message == "piano (east-box/in/1, channel 3 (Piano)) needs phantom power, but east-box has none."
        quiet = rig + "\nsources: {piano: {kind: player, connection: unbalanced}}"
        assert told(grouped, quiet) == [], "a box that has none can't harm anything by what a channel says"

    def test_two_channels_on_one_socket_without_a_source(self, example: Example) -> None:
        rig = "channels: {4: {patched_from: desk/in/2, phantom: on}, 5: {patched_from: desk/in/2, phantom: off}}"
        (finding,) = example.findings(rig, "phantom-group")
        assert finding.about == "desk/channel/5"
        assert len(finding.cures) == 2
        assert example.after_cures(rig, "phantom-group") == [[], []]

    def test_two_channels_on_one_socket_of_an_unbalanced_source_both_go_off(self, example: Example) -> None:
        rig = one("player", "on", ", connection: unbalanced").replace(
            "channels: {", "channels: {5: {carries: it, patched_from: desk/link-1/4, phantom: off, doubles: 4}, "
        )
        assert told(example, rig) == [("no-go", "phantom-group", "it")]
        assert "it is connected unbalanced and must not have it." in example.findings(rig, "phantom-group")[0].message
        assert example.after_cures(rig, "phantom-group") == [[]]


class TestWhilePatching:
    def test_one_note_a_rig_with_every_socket(self, example: Example) -> None:
        (finding,) = example.findings(split("on", "on"), "phantom-while-patching")
        assert (finding.about, finding.weight.value) == ("desk", "note")
        assert all(socket in finding.message for socket in ("west-box/in/2;", "east-box/in/1;", "mon/in/2."))
        assert finding.facts == {"volts": 48, "switches_on": 3}

    def test_a_rig_without_any_has_no_such_caution(self, example: Example) -> None:
        rig = "sources: {choir: {powering: battery}, piano: {kind: passive-di}}\nchannels: {2: {phantom: off}, 3: {phantom: null}}"
        assert example.findings(rig, "phantom-while-patching") == []

    def test_what_a_wrong_patch_switches_on_is_live_as_well(self, example: Example) -> None:
        rig = "channels: {2: {patched_from: desk/link-1/7}}"
        (finding,) = example.findings(rig, "phantom-while-patching")
        assert "west-box/in/7" in finding.message
        assert "west-box/in/2" not in finding.message

    def test_every_rule_says_to_mute_and_switch_off_before_plugging(self, example: Example) -> None:
        for name in (*RULES, "phantom-while-patching"):
            care = example.catalogue.rules[name].safety
            assert "Mute the channel" in care and "switch phantom power off" in care, name


@pytest.mark.parametrize(
    ("left", "right", "silent"),
    [("on", "on", []), ("off", "on", ["it-r"]), ("on", "off", ["it-l"]), ("off", "off", ["it-l", "it-r"])],
)
def test_a_crossed_pair_is_silent_without_phantom_power_like_any_other(
    example: Example, left: str, right: str, silent: list[str]
) -> None:
    """Each half has it by the channel that receives it, which is the other's; crossed alone is no no-go."""
    rig = (
        "sources:\n"
        "  it-l: {kind: condenser-microphone, plugged_into: west-box/in/4}\n"
        "  it-r: {kind: condenser-microphone, plugged_into: west-box/in/5}\n"
        "pairs: {it: {left: it-l, right: it-r}}\n"
        "channels:\n"
        f"  4: {{carries: it-l, patched_from: desk/link-1/5, phantom: {left}}}\n"
        f"  5: {{carries: it-r, patched_from: desk/link-1/4, phantom: {right}}}\n"
    )
    assert told(example, rig) == [("no-go", "phantom-missing", name) for name in silent]
    assert [f.rule for f in example.findings(rig, "stereo-crossed")] == ["stereo-crossed"]
