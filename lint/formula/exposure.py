"""Daily noise exposure: permitted hours, dose and average level by NIOSH, OSHA and the EU's equal energy.

Sources: OSHA, 29 CFR 1910.95 with Table G-16A; NIOSH 98-126; Directive 2003/10/EC; HSE L108. Levels are in dBA, hours
in hours, dose in percent. The printed factors 16.61 and 10 are rounded: here they are 5 / log10(2) and 3 / log10(2).
OSHA's short table G-16 differs from its own formula (92 dBA: 6 h against 6.06 h); we go by the formula, as Table G-16A.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

DAY_HOURS = 8.0
QUARTER_HOUR = 0.25
PASCAL_0_DB = 20e-6  # the reference of sound pressure level in air, ISO 1683

Stretch = tuple[float, float]  # a level in dBA, and for how many hours


class Criterion(NamedTuple):
    """A rule for a day's dose: `level_dba` for eight hours is 100 %, `exchange_db` more halves the time.

    Nothing under `threshold_dba` counts; None where everything does. Over `ceiling_dba` nothing is permitted at all,
    however short; None where the dose alone decides.
    """

    name: str
    level_dba: float
    exchange_db: float
    threshold_dba: float | None = None
    ceiling_dba: float | None = None


# Peaks are no levels of a plan and not here: 140 dB by OSHA's note to Table G-16; 135, 137 and 140 dB(C) by the EU's
# action and limit values. NIOSH's ceiling for any noise, 140 dBA in the 1998 edition (from memory), needs no row of its
# own: there the dose is over 100 % within a tenth of a second.
NIOSH = Criterion("NIOSH", 85.0, 3.0)
# Table G-16 ends at 115 dBA for a quarter of an hour or less. That nothing louder is permitted, however short, is how
# OSHA reads the end of its table (from memory).
OSHA_LIMIT = Criterion("OSHA", 90.0, 5.0, 90.0, 115.0)
OSHA_ACTION = Criterion("OSHA", 90.0, 5.0, 80.0)
# The exact exchange of equal energy is 10 * log10(2) = 3.0103 dB; NIOSH rounds it to 3.
EU_UPPER_ACTION = Criterion("EU", 85.0, 10 * math.log10(2))


def permitted_hours(level_dba: float, criterion: Criterion) -> float:
    """Return the hours at a level that make 100 %: 8 / 2^((L − criterion) / exchange).

    29 CFR 1910.95 Appendix A and NIOSH 98-126 1.1.1. The threshold is not asked: it is for adding up.
    """
    return DAY_HOURS / 2 ** ((_level(level_dba) - criterion.level_dba) / criterion.exchange_db)


def dose_percent(stretches: Iterable[Stretch], criterion: Criterion) -> float:
    """Return the dose of a day: 100 × the sum of hours over permitted hours, of all that reaches the threshold.

    29 CFR 1910.95 Appendix A; NIOSH 98-126. Raises ValueError for hours under 0 or levels that are none.
    """
    dose = 0.0
    for level_dba, hours in stretches:
        allowed = permitted_hours(level_dba, criterion)
        if criterion.threshold_dba is None or level_dba >= criterion.threshold_dba:
            dose += 100 * _hours(hours) / allowed
    return dose


def average_level_dba(dose: float, criterion: Criterion) -> float:
    """Return the level that gives a dose over eight hours: exchange / log10(2) × log10(D / 100) + criterion.

    OSHA prints 16.61 and NIOSH 10 for the factor. Raises ValueError for a dose that is not over 0.
    """
    if not 0 < dose < math.inf:
        raise ValueError(f"found a dose of {dose:g} %, expected more than 0")
    return criterion.level_dba + criterion.exchange_db * math.log2(dose / 100)


def level_for_dose_dba(dose: float, hours: float, criterion: Criterion) -> float:
    """Return the level that gives a dose in the given hours, as OSHA's Technical Manual does for long shifts (IV-3)."""
    if not 0 < hours < math.inf:
        raise ValueError(f"found {hours:g} h, expected more than 0")
    return average_level_dba(dose * DAY_HOURS / hours, criterion)


def equal_energy_level_dba(stretches: Sequence[Stretch], over_hours: float = DAY_HOURS) -> float:
    """Return the steady level with the same energy over `over_hours`: L_EX,8h for a day (2003/10/EC, ISO 1999).

    10 × log10(Σ T × 10^(L / 10) / over_hours). Raises ValueError where there is nothing, and as `dose_percent` does.
    """
    loudest = max((_level(level) for level, hours in stretches if _hours(hours) > 0), default=None)
    if loudest is None or not 0 < over_hours < math.inf:
        raise ValueError("expected a stretch of some hours, and more than 0 hours to average over")
    # Relative to the loudest, so that a steady level over the whole time comes out as itself.
    return loudest + 10 * math.log10(
        sum(hours / over_hours * 10 ** ((level - loudest) / 10) for level, hours in stretches)
    )


def loudest_quarter_hour_dba(stretches: Iterable[Stretch]) -> float:
    """Return LAeq over the fifteen loudest minutes, as if they came one after another: the most that any order gives.

    WHO Global standard for safe listening venues and events (2022) sets 100 dB. What is not planned is quiet.
    """
    left, taken = QUARTER_HOUR, []
    for level_dba, hours in sorted(stretches, reverse=True):
        taken.append((level_dba, min(_hours(hours), left)))
        left -= taken[-1][1]
        if left <= 0:
            break
    return equal_energy_level_dba(taken, QUARTER_HOUR)


def exposure_points(level_dba: float, hours: float) -> float:
    """Return HSE exposure points: 100 × T / 8 × 10^((L − 85) / 10) (HSE L108, whose tables round them)."""
    return 100 * _hours(hours) / DAY_HOURS * 10 ** ((_level(level_dba) - 85) / 10)


def peak_level_db(pressure_pa: float) -> float:
    """Return a peak pressure in pascals as dB re 20 µPa, as Directive 2003/10/EC gives both."""
    if not 0 < pressure_pa < math.inf:
        raise ValueError(f"found {pressure_pa:g} Pa, expected more than 0")
    return 20 * math.log10(pressure_pa / PASCAL_0_DB)


def printed(value: float, places: int) -> Decimal:
    """Return a number as tables print it: to so many decimal places, a half upwards (Python's round goes to even)."""
    return Decimal(repr(value)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def _level(level_dba: float) -> float:
    if not 0 <= level_dba <= 250:
        raise ValueError(f"found a level of {level_dba:g} dBA, expected 0 to 250")
    return level_dba


def _hours(hours: float) -> float:
    if not 0 <= hours < math.inf:
        raise ValueError(f"found {hours:g} h, expected 0 or more")
    return hours
