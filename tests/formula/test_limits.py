"""What each formula refuses, in whole sentences with the unit, and that the limits themselves are still taken.

The values of the formulas are held against their sources in tests/published.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from lint.formula.cable import CORDS_M, ELECTRICAL_CHANNEL_M, cords_length_m, electrical_length_m, fits_channel
from lint.formula.exposure import (
    NIOSH,
    average_level_dba,
    equal_energy_level_dba,
    level_for_dose_dba,
    peak_level_db,
    permitted_hours,
)
from lint.formula.intermodulation import count_three_signal, count_two_signal, products_near
from lint.formula.latency import buffer_ms
from lint.formula.level import dbv, full_scale_dbu, sensitivity_dbv_pa
from lint.formula.loudspeaker import bare_power_w, cable_loss_db, damping_factor, parallel_ohm, tap_ohm, tap_power_w
from lint.formula.mains import (
    apparent_va,
    at_temperature,
    branch_rating_a,
    continuous_capacity_a,
    copper_ohm_per_m,
    cord_mm2_a,
    current_a,
    drop_v,
    required_rating_a,
    single_phase_va,
    tabulated_drop_v,
)
from lint.formula.phantom import available_current_ma, microphone_voltage_v, mismatch_offset_v
from lint.formula.sound import distance_loss_db, speed_m_s

INF = math.inf
MISMATCH = "expected ohms over 0, a mismatch from 0 to 1 and a current of 0 or more"
STRETCH = "expected a stretch of some hours, and more than 0 hours to average over"
REFUSED: list[tuple[Callable[..., object], tuple[object, ...], str]] = [
    (cords_length_m, (91,), "found 91 m of installed cable, expected from 0 to 90 m"),
    (electrical_length_m, (-1, 0), "found -1 m of solid cable, expected 0 m or more"),
    (electrical_length_m, (0, INF), "found inf m of stranded cord, expected 0 m or more"),
    (average_level_dba, (0, NIOSH), "found a dose of 0 %, expected more than 0"),
    (average_level_dba, (INF, NIOSH), "found a dose of inf %, expected more than 0"),
    (level_for_dose_dba, (50, 0, NIOSH), "found 0 h, expected more than 0"),
    (level_for_dose_dba, (50, INF, NIOSH), "found inf h, expected more than 0"),
    (equal_energy_level_dba, ([(90, 0)], 8), STRETCH),
    (equal_energy_level_dba, ([(90, 1)], 0), STRETCH),
    (equal_energy_level_dba, ([(90, 1)], INF), STRETCH),
    (tap_ohm, (100, 0), "found 0 W, expected more than 0"),
    (tap_ohm, (0, 10), "found 0 V, expected more than 0"),
    (tap_power_w, (-5, 100, 70.7), "found -5 W, expected more than 0"),
    (bare_power_w, (0, 100), "found 0 ohm, expected more than 0"),
    (parallel_ohm, ([8, 0],), "found 0 ohm, expected more than 0"),
    (parallel_ohm, ([],), "found no load, expected at least one"),
    (damping_factor, (0, 0.1), "found 0 ohm, expected more than 0"),
    (damping_factor, (8, 0), "found 0 ohm before the load, expected more than 0"),
    (damping_factor, (8, INF), "found inf ohm, expected 0 or more"),
    (cable_loss_db, (0, 1), "found 0 ohm, expected more than 0"),
    (cable_loss_db, (8, -1), "found -1 ohm, expected 0 or more"),
    (apparent_va, (-1,), "found -1 W, expected 0 or more"),
    (apparent_va, (100, 0), "found a power factor of 0, expected more than 0 and at most 1"),
    (current_a, (100, 0), "found 0 V, expected more than 0"),
    (current_a, (100, INF), "found inf V, expected more than 0"),
    (single_phase_va, (0, 1), "found 0 V, expected more than 0"),
    (single_phase_va, (230, -1), "found -1 A, expected 0 or more"),
    (required_rating_a, (-1, 0), "found -1 A, expected 0 or more"),
    (required_rating_a, (0, -1), "found -1 A, expected 0 or more"),
    (continuous_capacity_a, (0,), "found 0 A, expected more than 0"),
    (at_temperature, (-1, 20), "found -1 ohm, expected 0 or more"),
    (at_temperature, (1, -40.5), "found copper at -40.5 °C, expected -40 to 150 °C"),
    (at_temperature, (1, 150.5), "found copper at 150.5 °C, expected -40 to 150 °C"),
    (copper_ohm_per_m, (0,), "found 0 mm², expected more than 0"),
    (cord_mm2_a, (0,), "found 0 mm², expected more than 0"),
    (drop_v, (-1, 1, 1), "found -1 A, expected 0 or more"),
    (drop_v, (1, -1, 1), "found -1 m, expected 0 or more"),
    (drop_v, (1, 1, -1), "found -1 ohm/m, expected 0 or more"),
    (tabulated_drop_v, (-1, 1, 1), "found -1 mV, expected 0 or more"),
    (tabulated_drop_v, (1, -1, 1), "found -1 A, expected 0 or more"),
    (tabulated_drop_v, (1, 1, -1), "found -1 m, expected 0 or more"),
    (branch_rating_a, (41, 0), "51.25 A is over the largest branch circuit of the table, 50 A"),
    (microphone_voltage_v, (0, 6800, 1), "found a supply of 0 V, expected more than 0"),
    (microphone_voltage_v, (48, INF, 1), "found inf ohm in each wire, expected more than 0"),
    (microphone_voltage_v, (48, 6800, -1), "found a current of -1 mA, expected 0 or more"),
    (available_current_ma, (48, 6800, 49), "a load of 49 V is impossible on a supply of 48 V"),
    (available_current_ma, (48, 6800, 0, -1), "found -1 ohm more in each wire, expected 0 or more"),
    (available_current_ma, (48, 6800, 0, INF), "found inf ohm more in each wire, expected 0 or more"),
    (mismatch_offset_v, (0, 0.004, 1), MISMATCH),
    (mismatch_offset_v, (INF, 0.004, 1), MISMATCH),
    (mismatch_offset_v, (6800, -0.1, 1), MISMATCH),
    (mismatch_offset_v, (6800, 1.1, 1), MISMATCH),
    (mismatch_offset_v, (6800, 0.004, -1), MISMATCH),
    (mismatch_offset_v, (6800, 0.004, INF), MISMATCH),
]


@pytest.mark.parametrize(
    ("formula", "arguments", "message"), REFUSED, ids=lambda value: getattr(value, "__name__", None)
)
def test_what_can_not_be_is_refused_in_a_sentence(
    formula: Callable[..., object], arguments: tuple[object, ...], message: str
) -> None:
    with pytest.raises(ValueError) as refusal:
        formula(*arguments)
    assert str(refusal.value) == message


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (peak_level_db, (INF,)),
        (buffer_ms, (-1, 48000)),
        (buffer_ms, (64, INF)),
        (dbv, (INF,)),
        (sensitivity_dbv_pa, (0,)),
        (sensitivity_dbv_pa, (INF,)),
        (permitted_hours, (-0.1, NIOSH)),
        (permitted_hours, (250.1, NIOSH)),
        (full_scale_dbu, (24, 0.1)),
    ],
    ids=lambda value: getattr(value, "__name__", None),
)
def test_what_lies_just_beyond_a_limit_is_refused(
    formula: Callable[..., object], arguments: tuple[object, ...]
) -> None:
    with pytest.raises(ValueError, match="expected"):
        formula(*arguments)


def test_the_limits_themselves_are_taken() -> None:
    assert fits_channel(90, CORDS_M)
    assert fits_channel(ELECTRICAL_CHANNEL_M - 2 - 1.2 * CORDS_M + 2, CORDS_M)
    assert not fits_channel(95, 6)  # 101 m in all
    assert not fits_channel(90, 9, awg=26)  # 103.5 m as the signal counts them
    assert permitted_hours(0, NIOSH) > permitted_hours(0.5, NIOSH) > permitted_hours(250, NIOSH) > 0
    assert level_for_dose_dba(100, 0.5, NIOSH) == pytest.approx(
        85 + 3 * 4
    )  # 100 % of the dose in a sixteenth of the day
    assert peak_level_db(0.2) == pytest.approx(80)  # 20 log10(0.2 / 20e-6)
    assert buffer_ms(1, 0.5) == pytest.approx(2000)
    assert at_temperature(1, -40) < at_temperature(1, 150)
    assert apparent_va(100) == 100
    assert damping_factor(8, 1) == 8
    assert full_scale_dbu(24, 0) == 24
    assert branch_rating_a(16, 0) == 20  # 16 A for three hours is what a 20 A circuit may carry
    assert mismatch_offset_v(6800, 0, 0) == mismatch_offset_v(6800, 1, 0) == 0
    assert mismatch_offset_v(0.5, 1, 1000) == pytest.approx(0.5)
    assert available_current_ma(48, 6800, 48) == 0


def test_counts_of_products_are_whole_numbers_from_no_carrier_on() -> None:
    for count in (count_two_signal, count_three_signal):
        assert count(0) == 0
        assert isinstance(count(3), int)


def test_at_most_three_products_are_named_where_nobody_says_how_many() -> None:
    comb = [500_000_000 + 300_000 * number for number in range(8)]
    near = products_near(comb, 50_000)
    assert max(len(one.nearest) for one in near) == 3


def test_without_a_spacing_every_product_is_told() -> None:
    assert products_near([500, 501, 502], 0) == products_near([500, 501, 502], 0, told_spacing_hz=0)


@pytest.mark.parametrize("metres", [0.5, 1.0])
def test_no_loss_is_a_gain(metres: float) -> None:
    assert distance_loss_db(metres, metres) == 0


def test_the_speed_of_sound_grows_with_warmth() -> None:
    assert speed_m_s(-10) < speed_m_s(0) < speed_m_s(20) < speed_m_s(40)
