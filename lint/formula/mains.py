"""Mains power: what loads draw, what a breaker may carry by the NEC, and what copper drops on the way.

The NEC is the electrical code of the United States: `required_rating_a` and what follows from it are no other
country's. Values are read from secondary pages that restate the source named at each; what is from memory says so.
"""

from __future__ import annotations

import math

# Article 100: what is expected to flow at its most for three hours or more is a continuous load.
CONTINUOUS_H = 3.0
# NEC 210.19(A)(1), 210.20(A).
CONTINUOUS_FACTOR = 1.25
# NEC Table 210.24: rating of a branch circuit in amperes, and its copper conductors in AWG.
BRANCH_AWG = {15: 14, 20: 12, 30: 10, 40: 8, 50: 6}

# Annealed copper at 20 °C, ohm mm² / m: 1/58 (IEC 60028, the international standard of 1913; from memory).
COPPER_OHM_MM2_PER_M = 1 / 58
COPPER_PER_K = 0.00393
# How much more than solid copper of its nominal size a stranded conductor may have, from memory: flexible cable in mm²
# up to 16 % (class 5 of IEC 60228, 1.5 to 95 mm²), AWG conductors 2.5 % (NEC chapter 9, Table 8).
STRANDED_MM2 = 1.16
STRANDED_AWG = 1.025

# What flexible cord may carry, in amperes by conductor size, all from memory. Square millimetres: common ratings of
# two- and three-core flexible cord by IEC and EN. AWG: NEC Table 400.5(A)(1), two conductors carrying current.
CORD_MM2_A = {0.75: 6, 1.0: 10, 1.5: 16, 2.5: 25, 4.0: 32}
CORD_AWG_A = {18: 10, 16: 13, 14: 18, 12: 25, 10: 30, 8: 40, 6: 55, 4: 70, 2: 95}

MM_PER_INCH = 25.4
LEAST_TRIP_MA = 6.0  # UL 943: a class A interrupter must trip from here on; under 4 mA it must not


def current_a(watts: float, volts: float, power_factor: float = 1.0) -> float:
    """Return the amperes of a single-phase load: P / (V * pf). Raises ValueError for what no load can be."""
    return apparent_va(watts, power_factor) / _positive(volts, "V")


def apparent_va(watts: float, power_factor: float = 1.0) -> float:
    """Return the volt-amperes of a load: P / pf. Raises ValueError for a power factor outside 0 to 1."""
    if not 0 < power_factor <= 1:
        raise ValueError(f"found a power factor of {power_factor:g}, expected more than 0 and at most 1")
    return _not_negative(watts, "W") / power_factor


def single_phase_va(volts: float, amperes: float) -> float:
    """Return the volt-amperes of a single-phase circuit: V * I."""
    return _positive(volts, "V") * _not_negative(amperes, "A")


def three_phase_va(line_to_line_v: float, amperes: float) -> float:
    """Return the volt-amperes of a balanced three-phase load: √3 * V * I, with V between two lines (textbook)."""
    return math.sqrt(3) * single_phase_va(line_to_line_v, amperes)


def required_rating_a(continuous_a: float, other_a: float) -> float:
    """Return the least rating of a breaker in amperes: 125 % of what runs three hours or more, 100 % of the rest.

    NEC 210.20(A); 210.19(A)(1) says the same of the conductors.
    """
    return CONTINUOUS_FACTOR * _not_negative(continuous_a, "A") + _not_negative(other_a, "A")


def continuous_capacity_a(rating_a: float) -> float:
    """Return the amperes that a breaker may carry for three hours or more: its rating / 1.25 (NEC 210.20(A)).

    Only where all of its load is continuous: other load may use what is left to the whole rating.
    """
    return _positive(rating_a, "A") / CONTINUOUS_FACTOR


def branch_rating_a(continuous_a: float, other_a: float) -> int:
    """Return the smallest branch circuit of NEC Table 210.24 for a load, in amperes.

    Raises ValueError where the load needs more than 50 A.
    """
    required_a = required_rating_a(continuous_a, other_a)
    for rating_a in BRANCH_AWG:
        if required_a <= rating_a * (1 + 1e-12):
            return rating_a
    raise ValueError(f"{required_a:g} A is over the largest branch circuit of the table, {max(BRANCH_AWG)} A")


def awg_diameter_mm(awg: int) -> float:
    """Return the diameter of a solid round wire: 0.005 in * 92^((36 - n) / 39) (ASTM B258, from memory).

    Raises ValueError outside 0 to 40 AWG.
    """
    if not 0 <= awg <= 40:
        raise ValueError(f"found a size of {awg} AWG, expected 0 to 40")
    return float(0.005 * 92 ** ((36 - awg) / 39) * MM_PER_INCH)


def awg_area_mm2(awg: int) -> float:
    """Return the cross-section of a wire in square millimetres, from its diameter."""
    return math.pi / 4 * awg_diameter_mm(awg) ** 2


def awg_circular_mils(awg: int) -> float:
    """Return the cross-section of a wire in circular mils: its diameter in thousandths of an inch, squared."""
    return (awg_diameter_mm(awg) / MM_PER_INCH * 1000) ** 2


def at_temperature(value_20c: float, temperature_c: float) -> float:
    """Return a copper resistance (in its own unit) that is stated for 20 °C, at another temperature.

    R = R20 * (1 + 0.00393 * (T - 20)) (textbook). Raises ValueError outside -40 to 150 °C: it is straight only there.
    """
    if not -40 <= temperature_c <= 150:
        raise ValueError(f"found copper at {temperature_c:g} °C, expected -40 to 150 °C")
    return _not_negative(value_20c, "ohm") * (1 + COPPER_PER_K * (temperature_c - 20))


def copper_ohm_per_m(area_mm2: float, temperature_c: float = 20.0) -> float:
    """Return the ohms of one metre of one solid copper conductor: resistivity / cross-section, at its temperature."""
    return at_temperature(COPPER_OHM_MM2_PER_M / _positive(area_mm2, "mm²"), temperature_c)


def drop_v(amperes: float, one_way_m: float, ohm_per_m: float) -> float:
    """Return the volts lost on the way there and back: 2 * I * L * R (single phase, resistance only; textbook)."""
    return 2 * _not_negative(amperes, "A") * _not_negative(one_way_m, "m") * _not_negative(ohm_per_m, "ohm/m")


def tabulated_drop_v(mv_per_a_m: float, amperes: float, one_way_m: float) -> float:
    """Return the volts lost by a table of millivolts per ampere and metre, which count both ways already (BS 7671)."""
    return _not_negative(mv_per_a_m, "mV") / 1000 * _not_negative(amperes, "A") * _not_negative(one_way_m, "m")


def cord_mm2_a(area_mm2: float) -> int | None:
    """Return the most amperes that flexible cord of a size may carry; None where the table ends.

    A size between two of the table counts as the thicker one, so that nothing is called too thin that is not.
    """
    _positive(area_mm2, "mm²")
    return next((amperes for size, amperes in CORD_MM2_A.items() if area_mm2 <= size), None)


def cord_awg_a(awg: int) -> int | None:
    """Return the same for a size in AWG, where the larger number is the thinner conductor."""
    return next((amperes for size, amperes in CORD_AWG_A.items() if awg >= size), None)


def gfci_trip_s(fault_ma: float) -> float:
    """Return the longest time in seconds a class A interrupter may take: (20 / I)^1.43 (UL 943).

    Raises ValueError under 6 mA, where it need not trip at all. A residual-current device by IEC is another thing.
    """
    if not LEAST_TRIP_MA <= fault_ma < math.inf:
        raise ValueError(f"found {fault_ma:g} mA, expected 6 mA or more: under that it need not trip")
    return float((20 / fault_ma) ** 1.43)


def _positive(value: float, unit: str) -> float:
    if not 0 < value < math.inf:
        raise ValueError(f"found {value:g} {unit}, expected more than 0")
    return value


def _not_negative(value: float, unit: str) -> float:
    if not 0 <= value < math.inf:
        raise ValueError(f"found {value:g} {unit}, expected 0 or more")
    return value
