"""Levels: volts, dBu and dBV, what a microphone gives, and where that stands below digital full scale.

0 dBu is the voltage of 1 mW in 600 Ω, 0.774597 V; 94 dB SPL counts as exactly 1 Pa (it is 93.979).
What dBu reaches full scale is each device's own: EBU R 68 fixes digital levels only.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

VOLTS_AT_0_DBU = math.sqrt(0.001 * 600)
DBU_OVER_DBV = -20 * math.log10(VOLTS_AT_0_DBU)  # 2.2185
PASCAL_DB_SPL = 94.0


def volts(level_dbu: float) -> float:
    """Return the volts of a level in dBu."""
    return VOLTS_AT_0_DBU * 10 ** (_finite(level_dbu) / 20)


def dbu(voltage_v: float) -> float:
    """Return the level in dBu of a voltage. Raises ValueError for a voltage that is not over 0."""
    return dbv(voltage_v) + DBU_OVER_DBV


def dbv(voltage_v: float) -> float:
    """Return the level in dBV, re 1 V, of a voltage. Raises ValueError for a voltage that is not over 0."""
    if not 0 < voltage_v < math.inf:
        raise ValueError(f"found {voltage_v:g} V, expected more than 0")
    return 20 * math.log10(voltage_v)


def sensitivity_dbv_pa(sensitivity_mv_pa: float) -> float:
    """Return a sensitivity in dB re 1 V/Pa: 20 × log10(mV/Pa / 1000). Raises ValueError where it is not over 0."""
    if not 0 < sensitivity_mv_pa < math.inf:
        raise ValueError(f"found a sensitivity of {sensitivity_mv_pa:g} mV/Pa, expected more than 0")
    return dbv(sensitivity_mv_pa / 1000)


def microphone_dbu(sensitivity_mv_pa: float, spl_db: float) -> float:
    """Return the level in dBu that a microphone gives at a sound pressure level, where 94 dB is 1 Pa."""
    return sensitivity_dbv_pa(sensitivity_mv_pa) + DBU_OVER_DBV + _finite(spl_db) - PASCAL_DB_SPL


def full_scale_dbu(level_dbu: float, level_dbfs: float) -> float:
    """Return the dBu that reaches full scale, where `level_dbu` stands at `level_dbfs`.

    EBU R 68 aligns at −18 dBFS and SMPTE RP 155 at −20 dBFS; which dBu that is each house states itself.
    """
    if not level_dbfs <= 0:
        raise ValueError(f"found {level_dbfs:g} dBFS, expected 0 or less")
    return _finite(level_dbu) - _finite(level_dbfs)


def digital_dbfs(level_dbu: float, gain_db: float, full_scale_at_dbu: float) -> float:
    """Return where a level stands after the input gain, in dB re digital full scale."""
    return _finite(level_dbu) + _finite(gain_db) - _finite(full_scale_at_dbu)


def incoherent_sum_db(levels_db: Iterable[float]) -> float:
    """Return the level of unlike sounds together: their powers add. Raises ValueError where there are none."""
    return _sum_db(levels_db, 10)


def coherent_sum_db(levels_db: Iterable[float]) -> float:
    """Return the level of the same signal several times in phase: voltages add. ValueError where there are none."""
    return _sum_db(levels_db, 20)


def _sum_db(levels_db: Iterable[float], factor: int) -> float:
    levels = [_finite(level) for level in levels_db]
    if not levels:
        raise ValueError("found no level, expected at least one")
    loudest = max(levels)
    return loudest + factor * math.log10(sum(10 ** ((level - loudest) / factor) for level in levels))


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise ValueError(f"found {value:g}, expected a number")
    return value
