"""Loads of amplifiers: loudspeakers in parallel, transformer taps on constant-voltage lines, cable between the two.

Impedances are nominal: what a loudspeaker is called by, not the least it falls to. IEC 60268-5 lets it fall to 80 % of
that (from memory), so a load that just fits has no margin.
"""

from __future__ import annotations

import math
from collections.abc import Iterable


def parallel_ohm(impedances_ohm: Iterable[float]) -> float:
    """Return the impedance of loads in parallel: 1 / sum(1 / Z) (textbook).

    Raises ValueError for none at all, and for an impedance that is not more than 0.
    """
    every = [_positive(impedance, "ohm") for impedance in impedances_ohm]
    if not every:
        raise ValueError("found no load, expected at least one")
    return 1 / sum(1 / impedance for impedance in every)


def tap_ohm(line_v: float, tap_w: float) -> float:
    """Return the impedance of a transformer tap, or of a whole line: V² / P (EIA 70.7 V constant-voltage method)."""
    return _square(line_v) / _positive(tap_w, "W")


def tap_power_w(tap_w: float, printed_for_v: float, line_v: float) -> float:
    """Return what a tap takes on another line than its watts are printed for: P * (V / V_printed)².

    Its impedance stays the same: a tap printed for 70.7 V takes twice its watts on 100 V.
    """
    return _positive(tap_w, "W") * _square(line_v) / _square(printed_for_v)


def bare_power_w(impedance_ohm: float, line_v: float) -> float:
    """Return what a loudspeaker without a transformer would take from a constant-voltage line: V² / Z."""
    return _square(line_v) / _positive(impedance_ohm, "ohm")


def damping_factor(load_ohm: float, output_ohm: float, loop_ohm: float = 0.0) -> float:
    """Return load over all that stands before it: output and cable there and back (IEC 61305-3, number from memory).

    Raises ValueError where both are 0: no real source has none.
    """
    before_ohm = _not_negative(output_ohm) + _not_negative(loop_ohm)
    return _positive(load_ohm, "ohm") / _positive(before_ohm, "ohm before the load")


def cable_loss_db(load_ohm: float, loop_ohm: float) -> float:
    """Return the decibels that a load loses to its cable, as a positive number: 20 log10((Z + R) / Z) (textbook)."""
    load_ohm = _positive(load_ohm, "ohm")
    return 20 * math.log10((load_ohm + _not_negative(loop_ohm)) / load_ohm)


def _square(line_v: float) -> float:
    """Return V². 70.7 V is short for 100 V / √2, so its square is 5000, as tap tables have it."""
    return 5000.0 if line_v == 70.7 else _positive(line_v, "V") ** 2


def _positive(value: float, unit: str) -> float:
    if not 0 < value < math.inf:
        raise ValueError(f"found {value:g} {unit}, expected more than 0")
    return value


def _not_negative(value_ohm: float) -> float:
    if not 0 <= value_ohm < math.inf:
        raise ValueError(f"found {value_ohm:g} ohm, expected 0 or more")
    return value_ohm
