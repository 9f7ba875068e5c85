"""Speed of sound, delay and distance against published values: rows A-1 to A-12 and traps A-T1, A-T2.

The formula is the textbook's; it is held against ISO 9613-1, a linear form, a real-gas library's printed values and,
where they are installed, that library and another of acoustics.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.check.example import check_example
from lint.formula.sound import distance_loss_db, speed_m_s, travel_ms

FOOT_M = 0.3048
# Temperature, 331.3 sqrt, ISO 9613-1, linear, real gas (dry; computed by CoolProp 8.0.0), milliseconds a metre.
ROWS = [
    ("A-1", -10, 325.18, 325.17, 325.24, 325.31, 3.075),
    ("A-2", 0, 331.30, 331.29, 331.30, 331.44, 3.018),
    ("A-3", 10, 337.31, 337.30, 337.36, 337.45, 2.965),
    ("A-4", 20, 343.21, 343.20, 343.42, 343.34, 2.914),
    ("A-5", 30, 349.02, 349.00, 349.48, 349.13, 2.865),
    ("A-6", 40, 354.73, 354.71, 355.54, 354.82, 2.819),
]
TEMPERATURES = st.floats(-40, 60)


@pytest.mark.parametrize(("row", "celsius", "root", "iso", "linear", "real", "ms_per_m"), ROWS)
def test_a_1_to_a_6(
    row: str, celsius: float, root: float, iso: float, linear: float, real: float, ms_per_m: float
) -> None:
    speed = speed_m_s(celsius)
    assert speed == pytest.approx(root, abs=0.006), row
    assert travel_ms(1, celsius) == pytest.approx(ms_per_m, abs=0.0006), row
    # ISO 9613-1:1993, as coded in an acoustics library: 343.2 * √(T / 293.15).
    assert 343.2 * math.sqrt((celsius + 273.15) / 293.15) == pytest.approx(iso, abs=0.006), row
    assert speed == pytest.approx(iso, abs=0.03), row
    assert speed == pytest.approx(real, rel=5e-4), row
    # TRAP A-T1: the linear form 331.3 + 0.606 T drifts, by 0.81 m/s at 40 °C.
    assert abs(speed - linear) < 0.82, row


def test_a_university_prints_feet_a_second() -> None:
    # Stanford CCRMA (read): 1124.1 ft/s at 20 °C, 1085.1 ft/s at 0 °C.
    assert speed_m_s(20) / FOOT_M == pytest.approx(1124.1, rel=2e-3)
    assert speed_m_s(0) / FOOT_M == pytest.approx(1085.1, rel=2e-3)


def test_a_7_10_m_at_20_c() -> None:
    assert travel_ms(10, 20) == pytest.approx(29.14, abs=0.02)


def test_a_8_30_m_on_a_cold_and_on_a_hot_day() -> None:
    cold, hot = travel_ms(30, 10), travel_ms(30, 30)
    assert (cold, hot) == (pytest.approx(88.94, abs=0.05), pytest.approx(85.95, abs=0.05))
    assert cold - hot == pytest.approx(3, abs=0.05)


def test_a_9_100_ft_at_20_c() -> None:
    assert travel_ms(100 * FOOT_M, 20) == pytest.approx(88.8, abs=0.1)
    assert travel_ms(FOOT_M, 20) == pytest.approx(0.888, abs=0.001)


# Cramer 1993 (JASA 93, 2510) at 20 °C; coefficients by a secondary page. Ours leaves moisture out.
@pytest.mark.parametrize(("humidity", "cramer"), [(0, 343.36), (50, 343.99), (100, 344.61)])
def test_a_10_what_leaving_moisture_out_costs(humidity: int, cramer: float) -> None:
    slow = 1 - speed_m_s(20) / cramer
    assert 0 < slow <= 0.0041, humidity  # 0.4 %, as the docstring says: under 0.4 ms in 30 m
    assert travel_ms(30, 20) - 30 / cramer * 1000 < 0.4


# the inverse square law.
@pytest.mark.parametrize(("times", "db"), [(2, 6.02), (3, 9.54), (4, 12.04), (10, 20.00)])
def test_a_11_farther_is_quieter(times: float, db: float) -> None:
    assert distance_loss_db(1, times) == pytest.approx(db, abs=0.01)


def test_the_trade_bodys_table_in_feet() -> None:
    # AV trade body's maths page: 20/40/60/80 ft = 0/-6/-9.5/-12 dB.
    assert [round(distance_loss_db(20, feet), 1) for feet in (20, 40, 60, 80)] == [0, 6.0, 9.5, 12.0]


def test_a_12_100_db_at_1_m_are_94_db_at_2_m() -> None:
    assert 100 - distance_loss_db(1, 2) == pytest.approx(94, abs=0.1)  # published worked example


def test_trap_a_t2_the_speed_goes_with_the_root_of_the_temperature() -> None:
    # One library's docstring leaves the root out: that would be 6.8 % between 0 and 20 °C, and it is 3.6 %.
    assert speed_m_s(20) / speed_m_s(0) == pytest.approx(math.sqrt(293.15 / 273.15))


def test_trap_the_constant_of_a_well_known_library_is_for_about_15_c() -> None:
    # 340.5 m/s: its use at 20 °C would put 30 m off by 0.7 ms.
    constants = pytest.importorskip("scipy.constants")
    assert constants.speed_of_sound == 340.5
    assert speed_m_s(15.4) == pytest.approx(constants.speed_of_sound, abs=0.1)


@pytest.mark.parametrize("celsius", [row[1] for row in ROWS])
def test_a_real_gas_library_agrees(celsius: float) -> None:
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    real = coolprop.PropsSI("A", "T", celsius + 273.15, "P", 101325, "Air")
    assert speed_m_s(celsius) == pytest.approx(real, rel=5e-4)


def test_units_by_a_second_hand() -> None:
    pint = pytest.importorskip("pint")
    unit = pint.UnitRegistry()
    way = unit.Quantity(100, "foot") / unit.Quantity(speed_m_s(20), "metre/second")
    assert travel_ms(100 * FOOT_M, 20) == pytest.approx(way.to("millisecond").magnitude)


@pytest.mark.parametrize(("celsius", "needed_ms"), [(-10, 30.75), (0, 30.18), (10, 29.65), (20, 29.14), (30, 28.65)])
def test_the_rule_asks_for_the_delay_of_the_table(celsius: float, needed_ms: float) -> None:
    rig = f"acoustics: {{temperature_c: {celsius}}}\ndestinations: {{house-right: {{delay_ms: 0, distance_m: 10}}}}"
    (finding,) = (one for one in check_example(rig).findings if one.rule == "delay-misaligned")
    assert finding.facts["needed_ms"] == pytest.approx(needed_ms, abs=0.02)


@given(TEMPERATURES, TEMPERATURES)
def test_sound_is_never_slower_in_warmer_air(one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    assert 300 < speed_m_s(cold) <= speed_m_s(warm) < 370


@given(TEMPERATURES, st.floats(0, 10_000), st.floats(0, 10_000))
def test_ways_add_up(celsius: float, one: float, other: float) -> None:
    both = travel_ms(one, celsius) + travel_ms(other, celsius)
    assert travel_ms(one + other, celsius) == pytest.approx(both, abs=1e-6)


@given(st.floats(0.1, 1000), st.floats(0.1, 1000), st.floats(0.1, 1000))
def test_losses_add_up_along_a_way(near: float, middle: float, far: float) -> None:
    there = distance_loss_db(near, middle) + distance_loss_db(middle, far)
    assert distance_loss_db(near, far) == pytest.approx(there, abs=1e-9)
    assert distance_loss_db(far, near) == pytest.approx(-there, abs=1e-9)


@pytest.mark.parametrize(
    "impossible",
    [
        lambda: speed_m_s(-273.15),
        lambda: speed_m_s(math.nan),
        lambda: travel_ms(-1, 20),
        lambda: travel_ms(math.inf, 20),
        lambda: distance_loss_db(0, 1),
        lambda: distance_loss_db(1, math.nan),
    ],
)
def test_what_no_air_can_be_is_refused(impossible: object) -> None:
    with pytest.raises(ValueError, match="expected"):
        impossible()  # type: ignore[operator]
