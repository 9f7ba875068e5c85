"""Phantom power by IEC 61938: a voltage behind one resistor per signal wire, the shield (pin 1) as the return.

Both signal wires feed the microphone in parallel, so it sees the supply behind half of one wire's resistance. Values
are read from secondary pages that restate IEC 61938:2018; what is from memory says so.
"""

from __future__ import annotations

import math
from typing import NamedTuple


class Supply(NamedTuple):
    """A kind of phantom supply: nominal volts, ohms in each signal wire, and the most a microphone may draw in all."""

    name: str
    voltage_v: float
    resistance_ohm: float
    max_current_ma: float


P48 = Supply("P48", 48.0, 6800.0, 10.0)
# The currents of these two are from memory of the standard.
P24 = Supply("P24", 24.0, 1200.0, 10.0)
P12 = Supply("P12", 12.0, 680.0, 15.0)


def microphone_voltage_v(voltage_v: float, resistance_ohm: float, current_ma: float) -> float:
    """Return the volts left at a microphone that draws `current_ma` in all through `resistance_ohm` in each wire.

    V = V_nom - I * R / 2 (IEC 61938). Raises ValueError where the supply can't give that current at all.
    """
    _require(voltage_v, resistance_ohm)
    if not current_ma >= 0:
        raise ValueError(f"found a current of {current_ma:g} mA, expected 0 or more")
    left_v = voltage_v - current_ma / 1000 * resistance_ohm / 2
    if not left_v >= 0:
        most_ma = short_circuit_both_ma(voltage_v, resistance_ohm)
        raise ValueError(
            f"{current_ma:g} mA is impossible: {voltage_v:g} V behind {resistance_ohm:g} ohm a wire gives at most "
            f"{most_ma:.1f} mA, into a short circuit"
        )
    return left_v


def short_circuit_both_ma(voltage_v: float, resistance_ohm: float) -> float:
    """Return the milliamperes with both signal wires shorted to pin 1: V / (R / 2) (IEC 61938)."""
    return 2 * short_circuit_one_ma(voltage_v, resistance_ohm)


def short_circuit_one_ma(voltage_v: float, resistance_ohm: float) -> float:
    """Return the milliamperes with one signal wire shorted to pin 1: V / R (IEC 61938).

    This is also what flows through an unbalanced source, or one whose adapter ties a wire to the shield.
    """
    _require(voltage_v, resistance_ohm)
    return voltage_v / resistance_ohm * 1000


def available_current_ma(
    voltage_v: float, resistance_ohm: float, load_voltage_v: float, extra_ohm_per_leg: float = 0.0
) -> float:
    """Return the milliamperes that a load holding `load_voltage_v` can draw, with more ohms in series in each wire.

    I = (V_nom - V_load) / ((R + R_extra) / 2), by the same circuit. Raises ValueError where the load asks for more
    volts than the supply has.
    """
    _require(voltage_v, resistance_ohm)
    if not 0 <= extra_ohm_per_leg < math.inf:
        raise ValueError(f"found {extra_ohm_per_leg:g} ohm more in each wire, expected 0 or more")
    if not 0 <= load_voltage_v <= voltage_v:
        raise ValueError(f"a load of {load_voltage_v:g} V is impossible on a supply of {voltage_v:g} V")
    return (voltage_v - load_voltage_v) * 2 / (resistance_ohm + extra_ohm_per_leg) * 1000


def matched_load_power_mw(voltage_v: float, resistance_ohm: float) -> float:
    """Return the most milliwatts that any load can take: V² / (4 * R / 2), at half the supply's volts.

    The maximum power theorem on the circuit of IEC 61938. The 240 mW often quoted for P48 is the figure of P24.
    """
    _require(voltage_v, resistance_ohm)
    return voltage_v**2 / (2 * resistance_ohm) * 1000


def mismatch_offset_v(resistance_ohm: float, mismatch: float, current_ma_per_leg: float) -> float:
    """Return the volts between pins 2 and 3 where the two resistors differ by the share `mismatch` (0.004 is 0.4 %).

    V = I_leg * R * mismatch, by Ohm's law. IEC 61938 lets the pair differ by 0.4 %; other pages say 0.1 or 0.5 %.
    """
    if not (0 < resistance_ohm < math.inf and 0 <= mismatch <= 1 and 0 <= current_ma_per_leg < math.inf):
        raise ValueError("expected ohms over 0, a mismatch from 0 to 1 and a current of 0 or more")
    return current_ma_per_leg / 1000 * resistance_ohm * mismatch


def _require(voltage_v: float, resistance_ohm: float) -> None:
    if not 0 < voltage_v < math.inf:
        raise ValueError(f"found a supply of {voltage_v:g} V, expected more than 0")
    if not 0 < resistance_ohm < math.inf:
        raise ValueError(f"found {resistance_ohm:g} ohm in each wire, expected more than 0")
