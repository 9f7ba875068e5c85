"""Mains power: what hangs on which circuit, what is never waived, and the order to switch on in.

Numbers are those of check-values.md, section 4; the order is common practice: sources, boxes, consoles, then what is loud.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from example_rigs import Example
from hypothesis import given, settings
from hypothesis import strategies as st

from lint.check.catalogue import Catalogue, load_catalogue
from lint.check.example import check_example
from lint.check.finding import Finding
from lint.resolve.power_order import power_off_order, power_on_order

ENDING = "Local electrical codes and a licensed electrician decide."
CATALOGUE = load_catalogue()
RULES = [rule for rule in CATALOGUE.rules.values() if rule.family == "power"]


def power(circuits: str, more: str = "") -> str:
    return f"power: {{{more}circuits: {{{circuits}}}}}\n"


def one(example: Example, rig: str, rule: str) -> Finding:
    (finding,) = example.findings(rig, rule)
    return finding


class TestEveryFinding:
    @pytest.mark.parametrize(("rule", "bad"), [(rule, bad) for rule in RULES for bad in rule.bad])
    def test_ends_in_who_decides(self, example: Example, rule: Any, bad: Any) -> None:
        for finding in example.findings(bad.rig, rule.id):
            assert finding.message.endswith(f" {ENDING}")

    @pytest.mark.parametrize(
        "house", ["jurisdiction: us", "jurisdiction: uk", "jurisdiction: eu", "continuous_share: 0.5"]
    )
    def test_never_speaks_of_two_jurisdictions(self, example: Example, house: str) -> None:
        rig = power(
            "c: {volts: 230, breaker_a: 16, outdoor: true, dimmers: true, loads: {it: {watts: 3500, earth: lifted}}, "
            "run: {length_m: 90, conductor_mm2: 1, reel: wound}}",
            f"{house}, ",
        )
        told = [finding for finding in example.check(rig).findings if finding.family == "power"]
        counts_hours = house not in ("jurisdiction: uk", "jurisdiction: eu")  # these state no share of their own
        assert len({finding.rule for finding in told}) == 6 + counts_hours
        for finding in told:
            words = [word for word in ("NEC", "BS 7671", "IEC", "the house's own") if word in finding.message]
            assert len(words) <= 1
            assert words in ([], ["NEC"] if house.endswith("us") else ["the house's own"])

    def test_a_rig_that_says_nothing_of_power_hears_nothing_of_it(self, example: Example) -> None:
        assert [finding for finding in example.check("").findings if finding.family == "power"] == []


class TestCircuitOverloaded:
    def test_adds_up_all_that_names_the_circuit(self, example: Example) -> None:
        rig = (
            "devices: {desk: {circuit: c, watts: 230}, west-box: {circuit: c, watts: 115}, east-box: {circuit: other}}\n"
            "destinations: {house-left: {circuit: c, watts: 1150, power_factor: 0.5}}\n"
            "amplifiers: {amp: {circuit: c, watts: 460, outputs: {}}}\n"
            + power("c: {volts: 230, breaker_a: 10, loads: {kettle: {watts: 2300}}}, other: {}")
        )
        finding = one(example, rig, "circuit-overloaded")
        assert finding.facts["total_a"] == 1 + 0.5 + 10 + 2 + 10
        assert finding.about == "c"
        assert [place.address for place in finding.places] == ["c", "desk", "west-box", "amp", "house-left", "c/kettle"]
        assert all(place.line for place in finding.places)

    def test_a_device_that_states_no_watts_draws_its_models(self, house: Example) -> None:
        text = (
            "model_format: 1\nkind: stage-box\ninputs: {count: 8}\noutputs: {count: 8, addressed: by-selector, "
            "selector: [9-16]}\nchain: {slots: {48000: 48}}\nwatts: 4600\n"
        )
        (house.house / "models" / "thirsty.yaml").write_text(text, encoding="utf-8")  # type: ignore[operator]
        rig = "devices: {east-box: {model: thirsty, circuit: c%s}}\n" + power("c: {volts: 230, breaker_a: 16}")
        assert one(house, rig % "", "circuit-overloaded").facts["total_a"] == 20
        assert house.findings(rig % ", watts: 46", "circuit-overloaded") == []

    @pytest.mark.parametrize(
        "circuit",
        [
            "volts: 230, loads: {it: {watts: 99000}}",
            "breaker_a: 1, loads: {it: {watts: 99000}}",
            "volts: 230, breaker_a: 1",
        ],
    )
    def test_is_silent_without_volts_rating_or_any_watts(self, example: Example, circuit: str) -> None:
        rig = "devices: {desk: {circuit: c}}\n" + power(f"c: {{{circuit}}}", "jurisdiction: us, ")
        assert example.findings(rig, "circuit-overloaded", "rule-failed") == []

    @pytest.mark.parametrize(
        ("house", "watts", "hours", "weight"),
        [
            ("jurisdiction: us, ", 1920, 3, None),  # 16 A of 20 A: NEC 210.20(A), E-4
            ("jurisdiction: us, ", 1930, 3, "no-go"),  # the house's own code is broken, by what it states itself
            ("jurisdiction: us, ", 2400, 2.9, None),
            ("jurisdiction: us, ", 2402, 0.1, "no-go"),
            ("jurisdiction: uk, ", 2400, 12, None),
            ("jurisdiction: eu, ", 2400, 12, None),
            ("", 2400, 12, None),
            ("jurisdiction: uk, continuous_share: 0.9, ", 2160, 12, None),
            ("jurisdiction: uk, continuous_share: 0.9, ", 2170, 12, "caution"),
            ("continuous_share: 0.9, ", 2400, 2.9, None),
            ("continuous_share: 0.9, ", 2402, 2.9, "no-go"),
            ("jurisdiction: us, continuous_share: 0.5, ", 1300, 3, "caution"),
            ("jurisdiction: us, ", 1930, "null", "caution"),  # only by the hours that we assume
        ],
    )
    def test_what_runs_for_hours(
        self, example: Example, house: str, watts: int, hours: float | str, weight: str | None
    ) -> None:
        rig = power(f"c: {{volts: 120, breaker_a: 20, loads: {{it: {{watts: {watts}, hours: {hours}}}}}}}", house)
        found = example.findings(rig, "circuit-overloaded")
        assert [finding.weight.value for finding in found] == ([weight] if weight else [])

    def test_e_3_in_a_rig(self, example: Example) -> None:
        # NEC 210.20(A): 10 A continuous and 6 A of the rest need 18.5 A.
        loads = "loads: {a: {watts: 1200, hours: 4}, b: {watts: 720, hours: 1}}"
        rig = power(f"c: {{volts: 120, breaker_a: 15, {loads}}}", "jurisdiction: us, ")
        assert one(example, rig, "circuit-overloaded").weight.value == "no-go"  # 16 A on 15 A
        rig = rig.replace("breaker_a: 15", "breaker_a: 18")
        finding = one(example, rig, "circuit-overloaded")
        assert (finding.weight.value, finding.facts["counted_a"]) == ("no-go", 18.5)
        assert example.findings(rig.replace("breaker_a: 18", "breaker_a: 20"), "circuit-overloaded") == []

    def test_says_what_it_assumed(self, example: Example) -> None:
        rig = "devices: {desk: {circuit: c}}\n" + power("c: {volts: 230, breaker_a: 1, loads: {it: {watts: 500}}}")
        facts = one(example, rig, "circuit-overloaded").facts
        assert facts["hours_unstated_so_counted_as_three_or_more"] == "c/it"
        assert facts["watts_unstated_so_left_out"] == "desk"
        assert facts["power_factor_unstated_so_counted_as_1"] == "c/it"

    def test_moves_the_smallest_load_that_is_enough_to_where_there_is_room(self, example: Example) -> None:
        loads = "loads: {kettle: {watts: 2000, hours: 0.1}, lamp: {watts: 60}, heater: {watts: 2500}}"
        other = "lights: {volts: 230, breaker_a: 63, dimmers: true}, small: {volts: 230, breaker_a: 2}, big: {volts: 230, breaker_a: 16}"
        rig = power(f"c: {{volts: 230, breaker_a: 16, {loads}}}, {other}")
        finding = one(example, rig, "circuit-overloaded")
        (cure,) = finding.cures
        assert cure.text == "feed c/kettle from big (16 A) if a lead gets there"
        after = example.changed(example.document(rig), cure.change or {})
        assert set(after.data["power"]["circuits"]["c"]["loads"]) == {"lamp", "heater"}
        assert after.data["power"]["circuits"]["big"]["loads"] == {"kettle": {"watts": 2000, "hours": 0.1}}
        assert example.findings(after, "circuit-overloaded") == []

    @pytest.mark.parametrize(
        "amiss",
        [
            "run: {length_m: 20, conductor_mm2: 1}",  # 16 A on cord for 10 A
            "run: {length_m: 5, conductor_mm2: 2.5, reel: wound}",
            "run: {length_m: 60, conductor_mm2: 1.5}",  # 12.7 V lost with the load, 5.5 %
            "outdoor: true",
            "residual_current_device: false",
            "dark: true",
            "dimmers: true",
        ],
    )
    def test_names_no_circuit_that_something_speaks_against(self, example: Example, amiss: str) -> None:
        loads = "loads: {kettle: {watts: 1500, hours: 0.1}, heater: {watts: 2500}}"
        rig = power(f"c: {{volts: 230, breaker_a: 16, {loads}}}, big: {{volts: 230, breaker_a: 16, %s}}")
        assert one(example, rig % "location: hall", "circuit-overloaded").cures[0].change is not None
        assert one(example, rig % amiss, "circuit-overloaded").cures[0].change is None

    def test_claims_no_room_where_some_load_is_unknown(self, example: Example) -> None:
        rig = "devices: {desk: {circuit: big}}\n" + power(
            "c: {volts: 230, breaker_a: 10, loads: {heater: {watts: 2500}}}, big: {volts: 230, breaker_a: 16}"
        )
        (cure,) = one(example, rig, "circuit-overloaded").cures
        assert cure.change is None
        assert cure.text == "take at least 0.87 A off c: onto a circuit with room, or out of the plan"

    @pytest.mark.parametrize(
        ("loads", "off"),
        [  # NEC 210.20(A) by hand, at 120 V on 20 A: 1.25 × continuous + the rest ≤ 20 A
            ("a: {watts: 2160, hours: 5}", "2 A of what runs three hours or more"),
            (
                "a: {watts: 1200, hours: 5}, b: {watts: 1200, hours: 1}",
                "2 A of what runs three hours or more or 2.5 A of the rest",
            ),
            ("a: {watts: 120, hours: 5}, b: {watts: 2520, hours: 1}", "2.25 A of the rest"),
        ],
    )
    def test_says_how_much_must_go_at_least(self, example: Example, loads: str, off: str) -> None:
        rig = power(f"c: {{volts: 120, breaker_a: 20, loads: {{{loads}}}}}", "jurisdiction: us, ")
        (cure,) = one(example, rig, "circuit-overloaded").cures
        assert cure.text == f"take at least {off} off c: onto a circuit with room, or out of the plan"

    @pytest.mark.parametrize(
        ("house", "loads", "off"),
        [
            ("", "a: {watts: 2400, hours: 5}, b: {watts: 600, hours: 1}", "5 A"),
            ("continuous_share: 0.8, ", "a: {watts: 2160, hours: 5}", "2 A of what runs three hours or more"),
            (
                "continuous_share: 0.1, ",
                "a: {watts: 360, hours: 5}, b: {watts: 2640, hours: 1}",
                "5 A, 1 A of it of what runs three hours or more",
            ),
        ],
    )
    def test_says_so_for_every_limit_at_once(self, example: Example, house: str, loads: str, off: str) -> None:
        rig = power(f"c: {{volts: 120, breaker_a: 20, loads: {{{loads}}}}}", house)
        (cure,) = one(example, rig, "circuit-overloaded").cures
        assert cure.text == f"take at least {off} off c: onto a circuit with room, or out of the plan"

    def test_the_wording_and_the_weight_agree_at_the_edge(self, example: Example) -> None:
        rig = power("c: {volts: 230, breaker_a: 16, loads: {a: {watts: %s}}}")
        assert example.findings(rig % 3680, "circuit-overloaded") == []
        assert "carries 16.004 A" in one(example, rig % 3681, "circuit-overloaded").message  # not “16 A … rated 16 A”
        assert "carries 16.01 A" in one(example, rig % 3682, "circuit-overloaded").message

    def test_may_be_waived(self, example: Example) -> None:
        rig = power("c: {volts: 230, breaker_a: 10, loads: {heater: {watts: 2500}}}")
        waiver = "waivers: [{rule: circuit-overloaded, about: c, because: known, by: Ann, until: 2099-01-01}]\n"
        assert one(example, rig + waiver, "circuit-overloaded").waived is not None


class TestCircuitUnstated:
    def test_one_finding_for_all(self, example: Example) -> None:
        rig = (
            "devices: {east-box: {circuit: c}}\ndestinations: {house-left: {watts: 300}, house-right: {circuit: c, watts: 300}}\n"
            "amplifiers: {amp: {outputs: {}}}\n" + power("c: {}")
        )
        finding = one(example, rig, "circuit-unstated")
        assert finding.message.startswith(
            "desk, west-box, amp and house-left name no circuit, though the rig states c."
        )
        assert finding.about == "desk"
        assert finding.weight.value == "caution"

    def test_is_silent_where_no_circuits_are_stated(self, example: Example) -> None:
        assert example.findings("destinations: {house-left: {watts: 300}}", "circuit-unstated") == []


class TestSmallerBreaker:
    def test_a_smaller_breaker_is_no_cure_for_more_than_it_may_carry(self, example: Example) -> None:
        rig = power("c: {volts: 230, breaker_a: 16, loads: {it: {watts: %d}}, run: {length_m: 5, conductor_mm2: 1}}")
        assert (
            one(example, rig % 2300, "breaker-over-conductor").cures[1].text
            == "have c fed from a breaker of 10 A or less"
        )
        text = one(example, rig % 3450, "breaker-over-conductor").cures[1].text
        assert text == "take 5 A or more off c, and have c fed from a breaker of 10 A or less"


class TestDimmers:
    def test_moves_all_sound_gear_and_leaves_the_lights(self, example: Example) -> None:
        rig = "devices: {desk: {circuit: lights, watts: 200}}\n" + power(
            "lights: {dimmers: true, loads: {spots: {watts: 2000}}}, tight: {volts: 230, breaker_a: 0.5}, "
            "quiet: {volts: 230, breaker_a: 10}"
        )
        (cure,) = one(example, rig, "circuit-shared-with-dimmers").cures
        assert cure.change == {"devices": {"desk": {"circuit": "quiet"}}}

    def test_lights_alone_are_fine(self, example: Example) -> None:
        rig = power("lights: {dimmers: true, loads: {spots: {watts: 2000}}}")
        assert example.findings(rig, "circuit-shared-with-dimmers") == []


class TestEarthLifted:
    @pytest.mark.parametrize(
        ("rig", "about"),
        [
            ("devices: {west-box: {earth: lifted}}", "west-box"),
            ("destinations: {house-left: {earth: lifted}}", "house-left"),
            ("amplifiers: {amp: {earth: lifted, outputs: {}}}", "amp"),
            (power("c: {loads: {amp: {watts: 1, earth: lifted}}}"), "c/amp"),
        ],
    )
    def test_anywhere_and_only_connecting_it_is_advised(self, example: Example, rig: str, about: str) -> None:
        finding = one(example, rig, "earth-lifted")
        assert (finding.weight.value, finding.about) == ("no-go", about)
        (cure,) = finding.cures
        assert cure.text.startswith(
            f"touch neither {about} nor what sound cables join to it; have its circuit switched"
        )
        assert "only then its protective earth connected" in cure.text and "hum in the sound cabling" in cure.text
        assert '"earth": "connected"' in str(cure.change).replace("'", '"')
        assert example.after_cures(rig, "earth-lifted") == [[]]

    @pytest.mark.parametrize("rule", ["earth-lifted", "outdoor-without-residual-current-device"])
    def test_nobody_can_waive_it(self, example: Example, rule: str) -> None:
        rig = power("c: {outdoor: true, loads: {amp: {watts: 1, earth: lifted}}}")
        about = one(example, rig, rule).about
        rig += f"waivers: [{{rule: {rule}, about: {about}, because: we always do, by: Ann, until: 2099-01-01}}]\n"
        assert one(example, rig, rule).waived is None
        assert "waiver-forbidden" in example.no_goes(rig)

    @pytest.mark.parametrize("earth", ["connected", "double-insulated"])
    def test_what_is_as_it_should_be(self, example: Example, earth: str) -> None:
        assert example.findings(f"devices: {{west-box: {{earth: {earth}}}}}", "earth-lifted") == []


class TestOutdoor:
    @pytest.mark.parametrize(
        ("circuit", "found"),
        [
            ("outdoor: true", 1),
            ("outdoor: true, residual_current_device: false", 1),
            ("outdoor: true, residual_current_device: true", 0),
            ("residual_current_device: false", 0),
            ("outdoor: false", 0),
        ],
    )
    def test_what_counts(self, example: Example, circuit: str, found: int) -> None:
        rig = power(f"c: {{{circuit}}}")
        assert [f.weight.value for f in example.findings(rig, "outdoor-without-residual-current-device")] == [
            "no-go"
        ] * found


class TestVoltageDrop:
    RUN = "c: {volts: 230, loads: {it: {watts: 2990}}, run: {length_m: %s, conductor_mm2: 2.5%s}}"

    @pytest.mark.parametrize(("length_m", "weights"), [(46, []), (47, ["caution"])])
    def test_5_percent(self, example: Example, length_m: int, weights: list[str]) -> None:
        # 13 A at 18 mV/A/m (BS 7671, secondary page) lose 5 % of 230 V over 49 m; flexible cable a little sooner.
        rig = power(self.RUN % (length_m, ""))
        assert [finding.weight.value for finding in example.findings(rig, "voltage-drop")] == weights

    def test_a_house_may_set_its_share(self, example: Example) -> None:
        rig = power(self.RUN % (30, "")) + "rules: {voltage-drop: {limits: {share: 0.03}, because: lights too}}"
        assert "3 % is the limit" in one(example, rig, "voltage-drop").message

    def test_cold_copper_loses_less(self, example: Example) -> None:
        assert example.findings(power(self.RUN % (47, ", conductor_temperature_c: 20")), "voltage-drop") == []

    def test_square_millimetres_go_before_awg(self, example: Example) -> None:
        assert "2.5 mm²" in one(example, power(self.RUN % (60, ", conductor_awg: 4")), "voltage-drop").message

    def test_the_cures_are_the_thinnest_that_does_and_the_longest_that_may_be(self, example: Example) -> None:
        rig = power(self.RUN % (60, ""))
        thicker, shorter = one(example, rig, "voltage-drop").cures
        assert thicker.text == "take a cable of 4 mm² copper, or thicker, for c"
        assert shorter.text.startswith("keep the cable of c to 46 m")
        assert example.findings(power(self.RUN % (46, "")), "voltage-drop") == []

    def test_beyond_every_size_there_is_only_moving_loads(self, example: Example) -> None:
        rig = power("c: {volts: 12, loads: {it: {watts: 9000}}, run: {length_m: 900, conductor_awg: 20}}")
        (cure,) = one(example, rig, "voltage-drop").cures
        assert cure.text == "move loads from c to a circuit that ends nearer"

    @pytest.mark.parametrize("run", ["length_m: 900", "length_m: 900, conductor_temperature_c: 70"])
    def test_is_silent_without_a_size(self, example: Example, run: str) -> None:
        rig = power(f"c: {{volts: 230, loads: {{it: {{watts: 3000}}}}, run: {{{run}}}}}")
        assert example.findings(rig, "voltage-drop", "rule-failed") == []


@given(
    st.lists(st.tuples(st.integers(1, 4000), st.floats(0.1, 1), st.none() | st.floats(0, 24)), min_size=1, max_size=5),
    st.sampled_from([6, 10, 13, 16, 20, 32]),
    st.sampled_from(["", "jurisdiction: us, ", "jurisdiction: eu, continuous_share: 0.8, "]),
)
@settings(max_examples=60, deadline=None)
def test_taking_a_load_away_never_makes_a_circuit_worse(
    loads: list[tuple[int, float, float | None]], rating: int, house: str
) -> None:
    rank = [_rank(loads[:count], rating, house) for count in range(len(loads) + 1)]
    assert all(fewer <= more for fewer, more in pairwise(rank))


def _rank(loads: list[tuple[int, float, float | None]], rating: int, house: str) -> int:
    rows = ", ".join(
        f"it-{index}: {{watts: {watts}, power_factor: {factor}" + ("" if hours is None else f", hours: {hours}") + "}"
        for index, (watts, factor, hours) in enumerate(loads)
    )
    rig = power(f"c: {{volts: 230, breaker_a: {rating}, loads: {{{rows}}}}}", house)
    found = [one for one in check_example(rig, CATALOGUE).findings if one.rule == "circuit-overloaded"]
    return max((3 - finding.weight.rank for finding in found), default=0)


class TestCircuitDark:
    DARK = (
        "power: {circuits: {stage: {volts: 230, breaker_a: 16, dark: true}, other: {volts: 230, breaker_a: 10, dark: true},\n"
        " hall: {volts: 230, breaker_a: 16}}}\n"
    )

    def told(self, example: Example, rig: str) -> tuple[str, str, object]:
        finding = one(example, self.DARK + rig, "circuit-dark")
        (cure,) = finding.cures
        return finding.message.removesuffix(f" {ENDING}"), cure.text, cure.change

    def test_a_circuit_that_lives_and_has_room_takes_it(self, example: Example) -> None:
        assert self.told(example, "destinations: {house-left: {watts: 400, circuit: stage}}") == (
            "the circuit stage is dark, so house-left is without mains and silent.",
            "feed house-left from hall if a lead gets there",
            {"destinations": {"house-left": {"circuit": "hall"}}},
        )

    def test_where_none_has_room_it_is_left_to_the_crew(self, example: Example) -> None:
        _, cure, change = self.told(example, "destinations: {house-left: {watts: 4000, circuit: stage}}")
        assert cure == "feed house-left from a circuit that lives and has room, or do without on purpose"
        assert change is None

    @pytest.mark.parametrize(
        ("plugged", "silent"),
        [("7", "and so is house-left with it"), ("7-8", "and so are house-left and house-right with it"), ("1", "")],
    )
    def test_what_an_amplifier_drives_is_silent_with_it(self, example: Example, plugged: str, silent: str) -> None:
        amplifier = f"circuit: stage, watts: 100, plugged_into: east-box/out/{plugged}"
        rig = f"amplifiers: {{amp: {{{amplifier}, outputs: {{a: {{loudspeakers: [{{impedance_ohm: 8}}]}}}}}}}}"
        message, _, change = self.told(example, rig)
        assert (
            message == f"the circuit stage is dark, so amp is without mains and silent{', ' if silent else ''}{silent}."
        )
        assert change == {"amplifiers": {"amp": {"circuit": "hall"}}}

    def test_a_box_that_nothing_is_plugged_into_is_not_missed(self, example: Example) -> None:
        rig = (
            "devices: {east-box: {circuit: stage}, west-box: {circuit: stage}}\n"
            "destinations: {house-left: null, house-right: null}\nsources: {piano: null}\nchannels: {3: null}\n"
            "mixes: {house: {takes: {channels: [1-2]}}}"
        )
        assert one(example, self.DARK + rig, "circuit-dark").members == ("west-box",)

    def test_a_box_that_passes_on_what_others_hear_is_missed_with_all_that_is_behind_it(self, example: Example) -> None:
        rig = (
            "devices: {west-box: {circuit: stage}}\nsources: {lead-vocal: null, choir: null}\n"
            "destinations: {singer-wedge: null}\nchannels: {1: null, 2: null}\n"
            "mixes: {house: {takes: {channels: [3]}}, singer-mon: null}\nfeeds: {desk/link-1: {1: null}}"
        )
        message, *_ = self.told(example, rig)
        assert message == (
            "the circuit stage is dark, so west-box is without mains and silent, and nothing reaches east-box. Silent: piano "
            "(channel 3). Dead outputs: house-left, house-right."
        )


class TestPowerOrder:
    def order(self, example: Example, rig: str) -> list[list[str]]:
        return power_on_order(example.check(rig).resolved)

    def test_boxes_then_the_console_then_what_is_loud(self, example: Example) -> None:
        rig = (
            "destinations: {house-left: {watts: 500}, singer-wedge: {circuit: c}}\n"
            "amplifiers: {amp: {outputs: {}}}\n" + power("c: {}")
        )
        assert self.order(example, rig) == [["west-box", "east-box"], ["desk"], ["amp", "singer-wedge", "house-left"]]

    def test_off_is_the_same_backwards(self, example: Example) -> None:
        resolved = example.check("destinations: {house-left: {watts: 500}}").resolved
        assert power_off_order(resolved) == [["house-left"], ["desk"], ["west-box", "east-box"]]

    def test_passive_loudspeakers_have_no_switch(self, example: Example) -> None:
        assert self.order(example, "") == [["west-box", "east-box"], ["desk"]]

    def test_a_box_that_only_plays_comes_after_the_console(self, example: Example) -> None:
        rig = "sources: {piano: {plugged_into: west-box/in/3}}\nchannels: {3: {patched_from: desk/link-1/3}}"
        assert self.order(example, rig) == [["west-box"], ["desk"], ["east-box"]]

    def test_a_direct_output_is_its_console(self, example: Example) -> None:
        rig = (
            "devices: {east-box: {output_bank: 9-16}}\nfeeds: {desk/link-1: {15-16: null, 15: channel/1}}\n"
            "sources: {piano: null}\nchannels: {3: null}\nmixes: {house: {takes: {channels: [1-2]}}}\n"
            "destinations: {house-left: {expects: channel/1}, house-right: null}"
        )
        assert self.order(example, rig) == [["west-box"], ["desk"], ["east-box"]]

    def test_a_recorder_is_on_before_the_loudspeakers(self, example: Example) -> None:
        rig = (
            "mixes: {rec: {kind: record, takes: {channels: [1]}}}\nfeeds: {desk/out: {1: rec}}\n"
            "destinations: {tape: {kind: recorder, plugged_into: desk/out/1, watts: 20}, house-left: {watts: 500}}"
        )
        assert self.order(example, rig) == [["west-box", "east-box"], ["desk"], ["tape"], ["house-left"]]

    def test_a_console_behind_an_analogue_splitter_waits_for_no_box(self, example: Example) -> None:
        rig = (
            "devices: {mon: {model: console-16}}\nsplits: {wires: {kind: analogue, sources: [choir]}}\n"
            "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
            "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2}}}}"
        )
        # The second console is fed by the splitter alone: no box is before it.
        assert self.order(example, rig) == [["west-box", "east-box", "mon"], ["desk"]]

    @pytest.mark.parametrize(
        "broken",
        [
            "cables: {trunk: null}",
            "cables: {crossing: {to: east-box/downstream}}",
            "cables: {back: {from: east-box/downstream, to: desk/link-2}}",
            "mixes: {a: {kind: monitor, takes: {mixes: [b]}}, b: {kind: monitor, takes: {mixes: [a]}}}",
            "effects: {plate: {fed_by: send}}\nmixes: {send: {kind: effects, takes: {channels: [9]}}}\n"
            "channels: {9: {carries: effects/plate, patched_from: effects/plate}}",
            "destinations: {house-left: {plugged_into: east-box/out/99, watts: 5}}",
        ],
    )
    def test_no_fault_breaks_it_and_everything_is_switched_on_once(self, example: Example, broken: str) -> None:
        order = self.order(example, broken)
        names = [name for stage in order for name in stage]
        assert sorted(set(names) - {"house-left"}) == ["desk", "east-box", "west-box"]
        assert len(names) == len(set(names))
        assert all(order)
        assert order == self.order(example, broken)


class TestBreakerOverConductor:
    @pytest.mark.parametrize(
        ("breaker", "conductor", "found"),
        [
            (16, "conductor_mm2: 1.5", False),
            (16.5, "conductor_mm2: 1.5", True),
            (16, "conductor_mm2: 1", True),
            (10, "conductor_mm2: 1", False),
            (63, "conductor_mm2: 6", False),  # the table ends at 4 mm²
            (20, "conductor_awg: 12", False),
            (20, "conductor_awg: 14", True),
            (200, "conductor_awg: 0", False),
            (16, "conductor_mm2: 2.5, conductor_awg: 18", False),  # square millimetres go first
            (16, "reel: none", False),
        ],
    )
    def test_where_it_begins(self, example: Example, breaker: float, conductor: str, found: bool) -> None:
        rig = power(f"c: {{breaker_a: {breaker}, run: {{length_m: 10, {conductor}}}}}")
        assert bool(example.findings(rig, "breaker-over-conductor")) is found

    @pytest.mark.parametrize(
        ("house", "named"), [("jurisdiction: us, ", True), ("jurisdiction: uk, ", False), ("", False)]
    )
    def test_a_code_is_named_only_to_a_house_under_it(self, example: Example, house: str, named: bool) -> None:
        finding = one(
            example, power("c: {breaker_a: 20, run: {length_m: 9, conductor_awg: 16}}", house), "breaker-over-conductor"
        )
        assert ("NEC" in finding.message) is named
        assert "from memory" in finding.message
        assert finding.cures[0].change == {"power": {"circuits": {"c": {"run": {"conductor_awg": 12}}}}}


class TestStageWithoutResidualCurrentDevice:
    RULE = "stage-without-residual-current-device"

    def rig(self, house: str = "", circuit: str = "residual_current_device: false") -> str:
        return "devices: {west-box: {circuit: c}}\n" + power(f"c: {{{circuit}}}", house)

    @pytest.mark.parametrize(
        ("house", "found"),
        [
            ("", 1),
            ("jurisdiction: uk, ", 1),
            ("jurisdiction: eu, ", 1),
            ("jurisdiction: other, ", 1),
            ("jurisdiction: us, ", 0),
        ],
    )
    def test_under_which_code(self, example: Example, house: str, found: int) -> None:
        told = example.findings(self.rig(house), self.RULE)
        assert [finding.weight.value for finding in told] == ["caution"] * found
        assert all(("HSE" in finding.message) is ("uk" in house) for finding in told)

    def test_outdoors_it_is_the_other_rules_no_go(self, example: Example) -> None:
        rig = self.rig(circuit="residual_current_device: false, outdoor: true")
        told = example.findings(rig, self.RULE, "outdoor-without-residual-current-device")
        assert [finding.rule for finding in told] == ["outdoor-without-residual-current-device"]


def test_the_rules_of_this_file_are_in_the_catalogue(catalogue: Catalogue) -> None:
    assert {rule.id for rule in RULES} == {
        "circuit-dark",
        "circuit-overloaded",
        "circuit-unstated",
        "circuit-shared-with-dimmers",
        "earth-lifted",
        "outdoor-without-residual-current-device",
        "voltage-drop",
        "reel-not-unwound",
        "breaker-over-conductor",
        "stage-without-residual-current-device",
    }
    assert [rule.id for rule in catalogue.rules.values() if not rule.waivable and rule.family == "power"] == [
        "earth-lifted",
        "outdoor-without-residual-current-device",
    ]
