"""Levels: rows L-1 to L-9 of our reference list, and properties.

The dBu table is a transformer maker's, in two copies; -10 dBV from two pages; EBU R68-2000 and SMPTE RP 155 by secondary
pages; 1 Pa as 94 dB SPL by a conversion page and ISO 1683. All secondary; what is arithmetic says so.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.formula.level import (
    VOLTS_AT_0_DBU,
    coherent_sum_db,
    dbu,
    dbv,
    digital_dbfs,
    full_scale_dbu,
    incoherent_sum_db,
    microphone_dbu,
    sensitivity_dbv_pa,
    volts,
)

LEVELS = st.floats(-140, 60)


# The decibel table of a transformer maker.
@pytest.mark.parametrize(
    ("level", "voltage"),
    [
        (0, 0.7746),
        (4, 1.2277),
        (10, 2.4495),
        (18, 6.1528),
        (20, 7.7460),
        (22, 9.7516),  # L-4
        (24, 12.2765),
        (-10, 0.2449),
        (-20, 0.0775),
    ],
)
def test_dbu_table(level: float, voltage: float) -> None:
    assert volts(level) == pytest.approx(voltage, abs=0.00005)
    assert dbu(voltage) == pytest.approx(level, abs=0.006)


def test_l_1_plus_4_dbu() -> None:
    assert volts(4) == pytest.approx(1.2277, abs=0.00005)
    assert dbv(volts(4)) == pytest.approx(1.7815, abs=0.00005)


def test_l_2_minus_10_dbv() -> None:
    assert dbu(0.31623) == pytest.approx(-7.7815, abs=0.0001)
    # Two pages: -7.78 dBu, and +4 dBu is 11.78 dB above it.
    assert 4 - dbu(0.31623) == pytest.approx(11.78, abs=0.005)


def test_l_3_one_volt_and_six() -> None:
    assert dbu(1) == pytest.approx(2.2185, abs=0.00005)
    assert (dbv(6), dbu(6)) == (pytest.approx(15.56, abs=0.005), pytest.approx(17.78, abs=0.005))


def test_l_t3_the_reference_is_not_0_775_v() -> None:
    # Pages that use 0.775 V are 0.0045 dB off: harmless, but not the definition.
    assert math.sqrt(0.6) == VOLTS_AT_0_DBU
    assert dbu(0.775) == pytest.approx(0.0045, abs=0.0001)


def test_l_5_full_scale_of_two_house_calibrations() -> None:
    # EBU R 68 aligns at -18 dBFS, SMPTE RP 155 at -20 dBFS; the dBu is the house's (L-T1).
    assert full_scale_dbu(0, -18) == 18
    assert full_scale_dbu(4, -20) == 24
    assert digital_dbfs(0, 0, full_scale_dbu(0, -18)) == -18


# L-6: 20 log10 (mV/Pa / 1000), re 1 V/Pa; only that reference gives negative values (L-T4).
@pytest.mark.parametrize(
    ("sensitivity", "level"), [(1, -60.00), (2, -53.98), (2.5, -52.04), (10, -40.00), (20, -33.98), (50, -26.02)]
)
def test_l_6_sensitivities(sensitivity: float, level: float) -> None:
    assert sensitivity_dbv_pa(sensitivity) == pytest.approx(level, abs=0.01)


def test_published_sensitivities() -> None:
    # A sample report in the form of IEC 60268-4, and a page's arithmetic (both secondary).
    assert sensitivity_dbv_pa(12.5) == pytest.approx(-38.1, abs=0.05)
    assert sensitivity_dbv_pa(5.01) == pytest.approx(-46, abs=0.01)


@pytest.mark.parametrize(("spl", "level"), [(94, -49.8), (114, -29.8), (130, -13.8)])
def test_l_7_what_a_microphone_gives(spl: float, level: float) -> None:
    assert microphone_dbu(2.5, spl) == pytest.approx(level, abs=0.1)


def test_l_t2_94_db_counts_as_one_pascal() -> None:
    assert microphone_dbu(1000, 94) == pytest.approx(dbu(1), abs=1e-9)
    assert 20 * math.log10(1 / 20e-6) == pytest.approx(93.979, abs=0.0005)  # what it is re 20 uPa, by ISO 1683


@pytest.mark.parametrize(
    ("count", "incoherent", "coherent"), [(2, 3.01, 6.02), (3, 4.77, 9.54), (4, 6.02, 12.04), (10, 10.00, 20.00)]
)
def test_l_8_equal_sources_together(count: int, incoherent: float, coherent: float) -> None:
    assert incoherent_sum_db([70] * count) - 70 == pytest.approx(incoherent, abs=0.01)
    assert coherent_sum_db([70] * count) - 70 == pytest.approx(coherent, abs=0.01)


# L-9: the first by an acoustics tutorial (73.3), the others are arithmetic.
@pytest.mark.parametrize(("levels", "total"), [([62, 73], 73.33), ([85, 85], 88.01), ([80, 85, 90], 91.51)])
def test_l_9_sums(levels: list[float], total: float) -> None:
    assert incoherent_sum_db(levels) == pytest.approx(total, abs=0.01)


@given(LEVELS)
def test_volts_and_dbu_are_each_others_inverse(level: float) -> None:
    assert dbu(volts(level)) == pytest.approx(level, abs=1e-9)


@given(st.lists(LEVELS, min_size=1, max_size=8), st.randoms(use_true_random=False))
def test_a_sum_lies_between_the_loudest_and_all_as_loud(levels: list[float], random_: object) -> None:
    total = incoherent_sum_db(levels)
    assert max(levels) - 1e-9 <= total <= max(levels) + 10 * math.log10(len(levels)) + 1e-9
    assert total <= coherent_sum_db(levels) + 1e-9
    shuffled = levels[:]
    random_.shuffle(shuffled)  # type: ignore[attr-defined]
    assert incoherent_sum_db(shuffled) == pytest.approx(total, abs=1e-9)


@given(st.floats(0.1, 100), st.floats(0, 150), st.floats(0, 60), st.floats(-20, 30))
def test_a_decibel_more_is_a_decibel_more(sensitivity: float, spl: float, gain: float, full_scale: float) -> None:
    here = digital_dbfs(microphone_dbu(sensitivity, spl), gain, full_scale)
    assert digital_dbfs(microphone_dbu(sensitivity, spl + 1), gain, full_scale) == pytest.approx(here + 1)
    assert digital_dbfs(microphone_dbu(sensitivity, spl), gain + 1, full_scale) == pytest.approx(here + 1)
    assert digital_dbfs(microphone_dbu(sensitivity, spl), gain, full_scale + 1) == pytest.approx(here - 1)


@pytest.mark.parametrize(
    "impossible",
    [
        lambda: volts(float("inf")),
        lambda: dbu(0),
        lambda: dbv(-1),
        lambda: sensitivity_dbv_pa(0),
        lambda: microphone_dbu(2.5, float("nan")),
        lambda: full_scale_dbu(4, 1),
        lambda: digital_dbfs(float("nan"), 0, 24),
        lambda: incoherent_sum_db([]),
        lambda: coherent_sum_db([float("inf")]),
    ],
)
def test_what_cannot_be_is_refused(impossible: object) -> None:
    with pytest.raises(ValueError, match="expected"):
        impossible()  # type: ignore[operator]
