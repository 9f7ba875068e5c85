"""Phantom power against IEC 61938:2018 (formerly DIN 45596), as restated by secondary pages.

The rows are those of our reference list, PH-1 to PH-11: consequences of the standard's circuit, with the tolerance at
which they are published. Currents of P24 and P12 are from memory of the standard.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.formula.phantom import (
    P12,
    P24,
    P48,
    Supply,
    available_current_ma,
    matched_load_power_mw,
    microphone_voltage_v,
    mismatch_offset_v,
    short_circuit_both_ma,
    short_circuit_one_ma,
)

VOLTS = st.floats(1, 100)
OHMS = st.floats(100, 20_000)
SHARE = st.floats(0, 1)


def of(supply: Supply) -> tuple[float, float]:
    return supply.voltage_v, supply.resistance_ohm


# IEC 61938:2018, phantom clause, by two microphone makers' guides and an institute's glossary: P48 is 48 V behind
# 6.8 kilohm a wire, 10 mA at most; P24 1.2 kilohm, P12 680 ohm by one page, their currents from memory.
@pytest.mark.parametrize(
    ("supply", "volts", "ohms", "most_ma"), [(P48, 48, 6800, 10), (P24, 24, 1200, 10), (P12, 12, 680, 15)]
)
def test_the_three_supplies(supply: Supply, volts: float, ohms: float, most_ma: float) -> None:
    assert supply[1:] == (volts, ohms, most_ma)


# PH-1 to PH-3, PH-5, PH-6: V_mic = V_nom - I * R / 2.
@pytest.mark.parametrize(
    ("row", "supply", "current_ma", "expected_v"),
    [
        ("PH-1", P48, 2, 41.2),
        ("PH-2", P48, 5, 31.0),
        ("PH-3", P48, 10, 14.0),
        ("PH-5", P24, 10, 18.0),
        ("PH-6", P12, 15, 6.9),
    ],
)
def test_volts_at_the_microphone(row: str, supply: Supply, current_ma: float, expected_v: float) -> None:
    assert microphone_voltage_v(*of(supply), current_ma) == pytest.approx(expected_v, abs=0.05), row


# PH-4 to PH-6: both signal wires on pin 1, V / (R / 2); one of them, V / R.
@pytest.mark.parametrize(
    ("row", "supply", "both_ma", "one_ma", "tolerance"),
    [("PH-4", P48, 14.12, 7.06, 0.01), ("PH-5", P24, 40.0, 20.0, 0.05), ("PH-6", P12, 35.3, 17.6, 0.05)],
)
def test_short_circuit(row: str, supply: Supply, both_ma: float, one_ma: float, tolerance: float) -> None:
    assert short_circuit_both_ma(*of(supply)) == pytest.approx(both_ma, abs=tolerance), row
    assert short_circuit_one_ma(*of(supply)) == pytest.approx(one_ma, abs=tolerance), row


def test_ph_7_a_load_of_12_v_behind_220_ohm_more_a_wire() -> None:
    # A published worked number (secondary page), with the 1 % series value 6.81 kilohm: 10.2 mA.
    assert available_current_ma(48, 6810, 12, extra_ohm_per_leg=220) == pytest.approx(10.2, abs=0.05)


def test_ph_8_a_feed_that_complies_can_be_nearly_useless() -> None:
    # 44 V is the least that P48 allows, and +20 % the widest resistor (two secondary pages).
    assert microphone_voltage_v(44, 6800 * 1.2, 10) == pytest.approx(3.2, abs=0.05)


def test_ph_9_a_current_that_no_p48_can_give_is_told_as_impossible() -> None:
    # The bare formula would say -3 V.
    with pytest.raises(ValueError, match=r"^15 mA is impossible: 48 V behind 6800 ohm a wire gives at most 14\.1 mA"):
        microphone_voltage_v(*of(P48), 15)


def test_ph_10_offset_of_a_pair_that_differs_by_the_most_allowed() -> None:
    assert mismatch_offset_v(6800, 0.004, 5) == pytest.approx(0.136, abs=0.001)


# PH-11: V^2 / (4 * R / 2). TRAP: an encyclopaedia gives 240 mW for P48, which is the figure of P24.
@pytest.mark.parametrize(("supply", "expected_mw"), [(P48, 169.4), (P24, 240.0), (P12, 105.9)])
def test_ph_11_power_into_a_matched_load(supply: Supply, expected_mw: float) -> None:
    assert matched_load_power_mw(*of(supply)) == pytest.approx(expected_mw, abs=0.1)


def test_trap_a_short_circuit_under_15_ma_is_true_of_p48_only() -> None:
    assert short_circuit_both_ma(*of(P48)) < 15
    assert min(short_circuit_both_ma(*of(P24)), short_circuit_both_ma(*of(P12))) > 15


def test_trap_6_81_kilohm_is_the_nearest_series_value_and_changes_no_published_digit_at_5_ma() -> None:
    assert microphone_voltage_v(48, 6810, 5) == pytest.approx(31.0, abs=0.05)


def test_trap_the_largest_offset_of_a_wire_on_the_shield_is_the_whole_current_of_one_wire() -> None:
    # An adapter that ties one wire to pin 1 puts the full supply across a source of no resistance.
    assert short_circuit_one_ma(*of(P48)) == pytest.approx(available_current_ma(*of(P48), 0) / 2)


@pytest.mark.parametrize("supply", [P48, P24, P12])
def test_each_supply_gives_the_most_it_names(supply: Supply) -> None:
    assert microphone_voltage_v(*of(supply), supply.max_current_ma) > 0


@pytest.mark.parametrize(
    "impossible",
    [
        lambda: microphone_voltage_v(48, 6800, -0.1),
        lambda: microphone_voltage_v(48, 6800, float("nan")),
        lambda: microphone_voltage_v(48, 6800, float("inf")),
        lambda: microphone_voltage_v(0, 6800, 0),
        lambda: microphone_voltage_v(48, 0, 1),
        lambda: short_circuit_one_ma(-48, 6800),
        lambda: short_circuit_both_ma(48, float("nan")),
        lambda: available_current_ma(48, 6800, 48.1),
        lambda: available_current_ma(48, 6800, -1),
        lambda: available_current_ma(48, 6800, 12, extra_ohm_per_leg=-1),
        lambda: matched_load_power_mw(float("inf"), 6800),
        lambda: mismatch_offset_v(6800, -0.1, 5),
        lambda: mismatch_offset_v(6800, 0.004, -5),
    ],
)
def test_what_no_circuit_can_be_is_refused(impossible: object) -> None:
    with pytest.raises(ValueError, match=r"expected|impossible"):
        impossible()  # type: ignore[operator]


@given(VOLTS, OHMS, SHARE, SHARE)
def test_more_current_never_leaves_more_volts(volts: float, ohms: float, one: float, other: float) -> None:
    most = short_circuit_both_ma(volts, ohms) * (1 - 1e-9)
    less, more = sorted((one * most, other * most))
    assert 0 <= microphone_voltage_v(volts, ohms, more) <= microphone_voltage_v(volts, ohms, less) <= volts


@given(VOLTS, OHMS, SHARE)
def test_current_and_volts_are_each_others_inverse(volts: float, ohms: float, share: float) -> None:
    current = available_current_ma(volts, ohms, share * volts)
    assert current <= short_circuit_both_ma(volts, ohms) * (1 + 1e-12)
    left = microphone_voltage_v(volts, ohms, current * (1 - 1e-12))
    assert left == pytest.approx(share * volts, abs=1e-6 * volts)


@given(VOLTS, OHMS, SHARE)
def test_no_load_takes_more_than_the_matched_one(volts: float, ohms: float, share: float) -> None:
    current = available_current_ma(volts, ohms, share * volts)
    assert share * volts * current <= matched_load_power_mw(volts, ohms) * (1 + 1e-9)


@given(VOLTS, OHMS, st.floats(1.001, 100))
def test_every_current_over_the_short_circuit_is_impossible(volts: float, ohms: float, factor: float) -> None:
    with pytest.raises(ValueError, match="is impossible"):
        microphone_voltage_v(volts, ohms, short_circuit_both_ma(volts, ohms) * factor)


@given(VOLTS, OHMS, SHARE, st.floats(0, 1000), st.floats(0.1, 1000))
def test_more_resistance_in_series_never_gives_more_current(
    volts: float, ohms: float, share: float, extra: float, more: float
) -> None:
    load = share * volts
    assert available_current_ma(volts, ohms, load, extra + more) <= available_current_ma(volts, ohms, load, extra)
