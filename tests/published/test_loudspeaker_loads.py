"""Loudspeaker loads against published values: rows S-1 to S-9 and traps S-T1, S-T2.

Sources: the EIA 70.7 V constant-voltage method (engineering reference page), an electronics repair page, a calculator
page and a reference site's cable example; what is from memory says so.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.check.example import check_example
from lint.formula.loudspeaker import bare_power_w, cable_loss_db, damping_factor, parallel_ohm, tap_ohm, tap_power_w

OHMS = st.floats(0.5, 1e5)
# Ohms of 1000 ft at 20 °C: university physics table that quotes Floyd, Electric Circuit Fundamentals (read).
OHM_PER_KFT = {12: 1.588, 16: 4.016}


def weights(output: str, rule: str) -> list[str]:
    rig = f"amplifiers: {{foyer: {{outputs: {{a: {output}}}}}}}"
    return [one.weight.value for one in check_example(rig).findings if one.rule == rule]


# S-1: 1/Z = sum of 1/Zi (textbook).
@pytest.mark.parametrize(("count", "ohm"), [(2, 4.0), (4, 2.0), (3, 2.667)])
def test_s_1_eight_ohm_in_parallel(count: int, ohm: float) -> None:
    assert parallel_ohm([8] * count) == pytest.approx(ohm, abs=0.001)


def test_s_2_4_8_and_16_ohm_and_what_the_same_page_prints() -> None:
    # Electronics repair page: 16/7; five of 8 ohm 1.6, six 1.333.
    assert parallel_ohm([4, 8, 16]) == pytest.approx(2.2857, abs=0.0001)
    assert parallel_ohm([8] * 5) == pytest.approx(1.6)
    assert parallel_ohm([8] * 6) == pytest.approx(1.333, abs=0.001)


def test_s_3_two_of_4_ohm_on_an_amplifier_made_for_4_ohm() -> None:
    assert weights("{least_load_ohm: 4, loudspeakers: [{impedance_ohm: 4, count: 2}]}", "amplifier-load-low") == [
        "no-go"
    ]
    assert weights("{least_load_ohm: 4, loudspeakers: [{impedance_ohm: 8, count: 2}]}", "amplifier-load-low") == []


def test_s_4_taps_of_6_10_and_10_w_on_an_amplifier_of_30_w() -> None:
    # Published: 26 W in all; line load 192.2 ohm at 70.7 V.
    assert tap_ohm(70.7, 6 + 10 + 10) == pytest.approx(192.2, abs=0.5)
    assert parallel_ohm([tap_ohm(70.7, 6), tap_ohm(70.7, 10), tap_ohm(70.7, 10)]) == pytest.approx(192.2, abs=0.5)
    output = "{line_v: 70.7, rated_w: %s, loudspeakers: [{tap_w: 6}, {tap_w: 10, count: 2}]}"
    assert weights(output % 30, "line-overloaded") == ["caution"]  # 87 %: over the 80 % that are advice
    assert weights(output % 32.5, "line-overloaded") == []  # 80 % to the watt
    assert weights(output % 26, "line-overloaded") == ["caution"]
    assert weights(output % 25.9, "line-overloaded") == ["no-go"]


# S-5: V² / P. EIA method; 100 V by a calculator page.
@pytest.mark.parametrize(("line_v", "ohm"), [(70.7, 83.3), (100, 166.7)])
def test_s_5_least_load_of_60_w(line_v: float, ohm: float) -> None:
    assert tap_ohm(line_v, 60) == pytest.approx(ohm, abs=0.1)


@pytest.mark.parametrize(("line_v", "ohm"), [(100, 1333), (70.7, 666.5)])
def test_s_6_a_tap_of_7_5_w(line_v: float, ohm: float) -> None:
    assert tap_ohm(line_v, 7.5) == pytest.approx(ohm, abs=1)


def test_s_7_a_tap_for_70_7_v_on_100_v_takes_twice_its_watts() -> None:
    assert tap_power_w(10, 70.7, 100) == pytest.approx(20.0, abs=0.1)
    output = "{line_v: 100, rated_w: %s, loudspeakers: [{tap_w: 10, tap_line_v: 70.7}]}"
    assert weights(output % 19, "line-overloaded") == ["no-go"]
    assert weights(output % 20, "line-overloaded") == ["caution"]  # not over its rating by the digits of 70.7
    assert weights(output % 25, "line-overloaded") == []


# S-8: 4 ohm, damping factor 500, 12 ft (24 ft there and back): a reference site prints 38 and 87.
@pytest.mark.parametrize(("awg", "factor"), [(16, 38.3), (12, 86.7)])
def test_s_8_damping_at_the_end_of_12_ft(awg: int, factor: float) -> None:
    assert damping_factor(4, 4 / 500, OHM_PER_KFT[awg] * 24 / 1000) == pytest.approx(factor, abs=0.1)


# 0.01 ohm inside and 0.19 ohm of cable: a makers' forum article prints 40, 30 and 20.
@pytest.mark.parametrize(("ohm", "factor"), [(8, 40), (6, 30), (4, 20)])
def test_damping_of_a_bad_cable(ohm: float, factor: float) -> None:
    assert damping_factor(ohm, 0.01, 0.19) == pytest.approx(factor)


def test_s_9_50_ft_of_12_awg_at_8_ohm() -> None:
    loop_ohm = OHM_PER_KFT[12] * 100 / 1000
    assert loop_ohm == pytest.approx(0.1588)
    assert damping_factor(8, 8 / 500, loop_ohm) == pytest.approx(45.8, abs=0.1)
    assert cable_loss_db(8, loop_ohm) == pytest.approx(0.17, abs=0.005)


# EIA 70.7 V method, engineering reference page. TRAP S-T1: with 70 V a page gets 2450 ohm for 2 W, 2 % low.
@pytest.mark.parametrize(("tap_w", "ohm"), [(1, 5000), (2, 2500), (5, 1000), (10, 500)])
def test_trap_s_t1_the_printed_taps_come_out_exactly(tap_w: float, ohm: float) -> None:
    assert tap_ohm(70.7, tap_w) == ohm
    assert tap_ohm(70, tap_w) == pytest.approx(0.98 * ohm)


def test_trap_s_t2_the_message_says_nominal() -> None:
    # IEC 60268-5 lets the impedance fall to 80 % of rated (from memory): nominal is not a minimum.
    rig = "amplifiers: {foyer: {outputs: {a: {least_load_ohm: 4, loudspeakers: [{impedance_ohm: 4, count: 2}]}}}}"
    (finding,) = (one for one in check_example(rig).findings if one.rule == "amplifier-load-low")
    assert "nominally 2 ohm" in finding.message


@given(st.lists(OHMS, min_size=1, max_size=20))
def test_parallel_is_under_its_least_part_and_over_that_of_as_many_of_it(every: list[float]) -> None:
    least = min(every)
    assert least / len(every) * (1 - 1e-9) <= parallel_ohm(every) <= least * (1 + 1e-9)
    assert parallel_ohm(reversed(every)) == pytest.approx(parallel_ohm(every))


@given(st.lists(OHMS, min_size=1, max_size=10), st.lists(OHMS, min_size=1, max_size=10))
def test_parallel_of_parallels_is_the_parallel_of_all(one: list[float], other: list[float]) -> None:
    assert parallel_ohm([parallel_ohm(one), parallel_ohm(other)]) == pytest.approx(parallel_ohm([*one, *other]))


@given(st.lists(st.floats(0.25, 500), min_size=1, max_size=20), st.sampled_from([25, 70.7, 100]))
def test_taps_add_up_as_their_impedances_do(taps: list[float], line_v: float) -> None:
    assert parallel_ohm([tap_ohm(line_v, tap) for tap in taps]) == pytest.approx(tap_ohm(line_v, sum(taps)))
    for tap in taps:
        assert bare_power_w(tap_ohm(line_v, tap), line_v) == pytest.approx(tap)


@given(st.floats(0.25, 500), st.sampled_from([25, 70.7, 100]), st.sampled_from([25, 70.7, 100]))
def test_a_tap_keeps_its_impedance_on_another_line(tap_w: float, printed_v: float, line_v: float) -> None:
    assert tap_power_w(tap_w, printed_v, line_v) == pytest.approx(bare_power_w(tap_ohm(printed_v, tap_w), line_v))


@given(OHMS, st.floats(0.001, 10), st.floats(0, 10), st.floats(0, 10))
def test_more_cable_never_damps_more_nor_loses_less(load: float, inside: float, loop: float, more: float) -> None:
    assert damping_factor(load, inside, loop + more) <= damping_factor(load, inside, loop)
    assert cable_loss_db(load, loop + more) >= cable_loss_db(load, loop) >= 0


@pytest.mark.parametrize(
    "impossible",
    [
        lambda: parallel_ohm([]),
        lambda: parallel_ohm([8, 0]),
        lambda: parallel_ohm([8, math.nan]),
        lambda: tap_ohm(70.7, 0),
        lambda: tap_ohm(0, 10),
        lambda: tap_power_w(10, math.inf, 100),
        lambda: bare_power_w(-8, 100),
        lambda: damping_factor(8, 0, 0),
        lambda: damping_factor(8, -1, 2),
        lambda: cable_loss_db(0, 1),
        lambda: cable_loss_db(8, math.nan),
    ],
)
def test_what_no_load_can_be_is_refused(impossible: object) -> None:
    with pytest.raises(ValueError, match="expected"):
        impossible()  # type: ignore[operator]
