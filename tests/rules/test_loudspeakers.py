"""Loudspeakers: least loads, constant-voltage lines, and delays against the way of the sound (check-values.md, 6 and 7)."""

from __future__ import annotations

import pytest
from example_rigs import Example
from hypothesis import given, settings
from hypothesis import strategies as st

from lint.check.catalogue import load_catalogue
from lint.check.example import check_example
from lint.check.finding import Finding

CATALOGUE = load_catalogue()


def on(output: str) -> str:
    return f"amplifiers: {{foyer: {{outputs: {{a: {{{output}}}}}}}}}\n"


def one(example: Example, rig: str, rule: str) -> Finding:
    (finding,) = example.findings(rig, rule)
    return finding


class TestAmplifierLoadLow:
    @pytest.mark.parametrize(
        ("loudspeakers", "least", "found"),
        [
            ("[{impedance_ohm: 8, count: 2}]", 4, 0),
            ("[{impedance_ohm: 8, count: 3}]", 4, 1),
            ("[{impedance_ohm: 8}, {impedance_ohm: 16}, {impedance_ohm: 4}]", 2.28, 0),  # S-2: 16/7 ohm
            ("[{impedance_ohm: 8}, {impedance_ohm: 16}, {impedance_ohm: 4}]", 2.3, 1),
            ("[{impedance_ohm: 8, count: 3}]", 2.67, 1),  # 2.667 ohm: held against the limit unrounded
            ("[{impedance_ohm: 8, count: 3}]", 2.66, 0),
            ("[{impedance_ohm: 3.9975}]", 4, 1),
            ("[{}]", 4, 0),
            ("[{impedance_ohm: 2}, {}]", 4, 1),  # whatever the other is, it only makes it lower
        ],
    )
    def test_what_is_too_low(self, example: Example, loudspeakers: str, least: float, found: int) -> None:
        rig = on(f"least_load_ohm: {least}, loudspeakers: {loudspeakers}")
        assert [f.weight.value for f in example.findings(rig, "amplifier-load-low")] == ["no-go"] * found

    def test_each_output_by_itself(self, example: Example) -> None:
        two = "{least_load_ohm: 4, loudspeakers: [{impedance_ohm: 4, count: 2}]}"
        rig = f"amplifiers: {{foyer: {{outputs: {{left: {two}, right: {two}}}}}}}"
        assert [f.about for f in example.findings(rig, "amplifier-load-low")] == ["foyer/left", "foyer/right"]

    def test_says_how_many_may_stay(self, example: Example) -> None:
        finding = one(
            example, on("least_load_ohm: 2.6, loudspeakers: [{impedance_ohm: 8, count: 5}]"), "amplifier-load-low"
        )
        assert (
            finding.cures[0].text
            == "with the amplifier off, leave 3 of them on foyer/a; hang the rest on another low impedance output, "
            "never on a line of 25, 70.7 or 100 V"
        )
        assert finding.facts == {"nominal_load_ohm": 1.6, "least_load_ohm": 2.6}
        finding = one(example, on("least_load_ohm: 8, loudspeakers: [{impedance_ohm: 4}]"), "amplifier-load-low")
        assert "use an amplifier that is made for this load" in finding.cures[0].text

    def test_a_tap_counts_by_its_transformer(self, example: Example) -> None:
        # S-5: 60 W at 100 V make 166.7 ohm.
        rig = on("line_v: 100, least_load_ohm: %s, loudspeakers: [{tap_w: 10, count: 6}]")
        assert example.findings(rig % 166.6, "amplifier-load-low") == []
        assert len(example.findings(rig % 167, "amplifier-load-low")) == 1


class TestLineOverloaded:
    @pytest.mark.parametrize(
        ("line", "weight"),
        [
            ("line_v: 100, rated_w: 100, loudspeakers: [{tap_w: 10, count: 8}]", None),
            ("line_v: 100, rated_w: 100, loudspeakers: [{tap_w: 10, count: 8}, {tap_w: 0.5}]", "caution"),
            ("line_v: 100, rated_w: 100, loudspeakers: [{tap_w: 10, count: 10}]", "caution"),
            ("line_v: 100, rated_w: 100, loudspeakers: [{tap_w: 10, count: 10}, {tap_w: 0.5}]", "no-go"),
            ("line_v: 70.7, rated_w: 20, loudspeakers: [{tap_w: 20, tap_line_v: 100}]", None),  # 10 W there
            ("line_v: 100, rated_w: 20, loudspeakers: [{tap_w: 10, tap_line_v: 70.7}]", "caution"),  # S-7: 20 W there
            ("line_v: 100, rated_w: 250, loudspeakers: [{impedance_ohm: 8}]", "no-go"),  # 1250 W without a transformer
            ("line_v: 100, loudspeakers: [{tap_w: 5000}]", None),
            ("rated_w: 1, loudspeakers: [{tap_w: 5000}]", None),  # no line at all
            ("line_v: 100, rated_w: 1, loudspeakers: [{}]", None),
        ],
    )
    def test_what_a_line_carries(self, example: Example, line: str, weight: str | None) -> None:
        found = example.findings(on(line), "line-overloaded", "rule-failed")
        assert [finding.weight.value for finding in found] == ([weight] if weight else [])

    def test_a_house_may_set_its_share(self, example: Example) -> None:
        rig = on("line_v: 100, rated_w: 100, loudspeakers: [{tap_w: 95}]")
        said = "rules: {line-overloaded: {limits: {share: 1}, because: the amplifier is made for it}}"
        assert example.findings(rig + said, "line-overloaded") == []

    def test_what_has_no_transformer_comes_off_first(self, example: Example) -> None:
        rig = on("line_v: 100, rated_w: 250, loudspeakers: [{tap_w: 10, count: 5}, {impedance_ohm: 8}]")
        finding = one(example, rig, "line-overloaded")
        assert "1 of 8 ohm without a transformer: 1300 W in all" in finding.message
        assert finding.cures[0].text == "with the amplifier off, take what has no transformer off foyer/a"


class TestDelayMisaligned:
    @pytest.mark.parametrize(
        ("delay_ms", "found"), [(24.13, 1), (24.2, 0), (29.14, 0), (34.1, 0), (34.2, 1)]
    )  # 29.14 ms for 10 m at 20 °C, and 5 ms either way
    def test_the_tolerance(self, example: Example, delay_ms: float, found: int) -> None:
        rig = f"destinations: {{house-right: {{delay_ms: {delay_ms}, distance_m: 10}}}}"
        assert [f.weight.value for f in example.findings(rig, "delay-misaligned")] == ["caution"] * found

    def test_a_cold_day_matters(self, example: Example) -> None:
        # 30 m take 88.94 ms at 10 °C and 85.95 ms at 30 °C.
        rig = "acoustics: {temperature_c: %s}\ndestinations: {house-right: {delay_ms: 82, distance_m: 30}}"
        assert example.findings(rig % 30, "delay-misaligned") == []
        assert one(example, rig % 10, "delay-misaligned").facts["needed_ms"] == pytest.approx(88.94, abs=0.05)

    @pytest.mark.parametrize("row", ["delay_ms: 500", "distance_m: 500", "latency_ms: 500"])
    def test_is_silent_where_delay_or_distance_is_not_stated(self, example: Example, row: str) -> None:
        assert example.findings(f"destinations: {{house-right: {{{row}}}}}", "delay-misaligned") == []

    @pytest.mark.parametrize(
        ("delayed", "first", "words", "needed_ms"),
        [
            ("", "", "no delay is set for house-right, but the sound of house-left takes 29.14 ms", 29.14),
            (", latency_ms: 3", "", "house-right, only its own 3 ms, but the sound of house-left takes", 26.14),
            ("", "latency_ms: 2", "but the sound of house-left starts 2 ms late and takes 29.14 ms", 31.14),
            (
                ", delay_ms: 20, latency_ms: 3",
                "delay_ms: 4, latency_ms: 2",
                "house-right is delayed by 20 ms and its own 3 ms, but the sound of house-left starts 6 ms late and takes",
                32.14,
            ),
        ],
    )
    def test_all_that_makes_it_late_is_counted_and_told(
        self, example: Example, delayed: str, first: str, words: str, needed_ms: float
    ) -> None:
        rig = f"destinations: {{house-right: {{distance_m: 10, aligned_to: house-left{delayed}}}, house-left: {{{first}}}}}"
        finding = one(example, rig, "delay-misaligned")
        assert words in finding.message
        assert "ms too early; 5 ms is the limit" in finding.message
        assert finding.facts["needed_ms"] == needed_ms
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            (
                f"set the delay of house-right to {needed_ms:g} ms, and listen where both are heard",
                {"destinations": {"house-right": {"delay_ms": needed_ms}}},
            )
        ]

    def test_what_is_late_by_itself_can_only_be_waited_for(self, example: Example) -> None:
        rig = "destinations: {house-right: {delay_ms: 0, latency_ms: 40, distance_m: 3, aligned_to: house-left}}"
        finding = one(example, rig, "delay-misaligned")
        assert "less than none would be needed" in finding.message
        (cure,) = finding.cures
        assert cure.change is None
        assert cure.text == "delay house-left instead: house-right is late by itself"

    def test_a_house_that_adds_on_purpose_says_so(self, example: Example) -> None:
        rig = "destinations: {house-right: {delay_ms: 44, distance_m: 10}}\n"
        said = "rules: {delay-misaligned: {limits: {tolerance_ms: 20}, because: the stage must be heard first}}"
        assert len(example.findings(rig, "delay-misaligned")) == 1
        assert example.findings(rig + said, "delay-misaligned") == []


@given(st.floats(0, 300), st.floats(0, 100), st.floats(-40, 60), st.floats(0, 30), st.floats(0, 30))
@settings(max_examples=60, deadline=None)
def test_the_delay_a_finding_asks_for_ends_it(
    delay_ms: float, distance_m: float, temperature_c: float, other_ms: float, own_ms: float
) -> None:
    rig = (
        f"acoustics: {{temperature_c: {temperature_c}}}\ndestinations: {{house-left: {{delay_ms: {other_ms}}}, "
        f"house-right: {{delay_ms: %s, distance_m: {distance_m}, latency_ms: {own_ms}, aligned_to: house-left}}}}"
    )
    for finding in _misaligned(rig % delay_ms):
        for cure in finding.cures:
            if cure.change is not None:
                asked = cure.change["destinations"]["house-right"]["delay_ms"]
                assert _misaligned(rig % asked) == []


def _misaligned(rig: str) -> list[Finding]:
    return [one for one in check_example(rig, CATALOGUE).findings if one.rule == "delay-misaligned"]


class TestTapOnLowImpedance:
    def test_a_voltage_that_is_printed_at_the_taps_is_offered(self, example: Example) -> None:
        finding = one(example, on("loudspeakers: [{tap_w: 10, tap_line_v: 70.7}]"), "tap-on-low-impedance")
        assert finding.cures[0].change == {"amplifiers": {"foyer": {"outputs": {"a": {"line_v": 70.7}}}}}
        finding = one(example, on("loudspeakers: [{tap_w: 10}]"), "tap-on-low-impedance")
        assert (finding.weight.value, finding.cures[0].change) == ("no-go", None)

    @pytest.mark.parametrize(
        "output", ["loudspeakers: [{impedance_ohm: 8}, {}]", "line_v: 25, loudspeakers: [{tap_w: 1}]"]
    )
    def test_it_is_let_be(self, example: Example, output: str) -> None:
        assert example.findings(on(output), "tap-on-low-impedance") == []


class TestDelayNotSet:
    @pytest.mark.parametrize(
        ("row", "needed"),
        [
            ("distance_m: 10, aligned_to: house-left", 29.14),
            ("distance_m: 10, aligned_to: house-left, latency_ms: 3", 26.14),
            ("distance_m: 10", None),  # not aligned to anything: its listeners may hear nothing else
            ("aligned_to: house-left", None),
            ("distance_m: 1.5, aligned_to: house-left", None),  # 4.4 ms is within the tolerance
            ("distance_m: 10, aligned_to: house-left, latency_ms: 27", None),  # late enough by itself
        ],
    )
    def test_it_says_the_delay_that_it_should_have(self, example: Example, row: str, needed: float | None) -> None:
        found = example.findings(f"destinations: {{house-right: {{{row}}}}}", "delay-misaligned")
        assert [finding.facts["needed_ms"] for finding in found] == ([] if needed is None else [needed])
        for finding in found:
            assert finding.message.startswith("no delay is set for house-right")
            assert finding.cures[0].change == {"destinations": {"house-right": {"delay_ms": needed}}}


def test_taps_hide_no_load_that_is_too_low_without_them(example: Example) -> None:
    """Three of 8 ohm are 2.67 ohm (textbook: 1/Z = Σ 1/Zi), whatever hangs there by a transformer."""
    rig = "amplifiers: {a: {outputs: {o: {least_load_ohm: 4, loudspeakers: [{tap_w: 20}, {impedance_ohm: 8, count: %d}]}}}}"
    (low,) = example.findings(rig % 3, "amplifier-load-low")
    assert "2.67 ohm in parallel" in low.message
    assert low.cures[0].text.startswith("with the amplifier off, leave 2 of those of 8 ohm on a/o")
    (tap,) = example.findings(rig % 3, "tap-on-low-impedance")
    assert tap.cures[1].text.endswith("leave only as many as are 4 ohm or more together")
    assert tap.explains == frozenset()
    (fits,) = example.findings(rig % 2, "tap-on-low-impedance")
    assert fits.explains
