"""Sound in air: how fast it goes, how long it takes, and how much quieter it is farther away."""

from __future__ import annotations

import math

SPEED_AT_0C_M_S = 331.3
ZERO_C_IN_K = 273.15


def speed_m_s(temperature_c: float) -> float:
    """Return the speed of sound in dry air: 331.3 * √(1 + T / 273.15) metres a second (textbook).

    Within 0.05 % of real-gas values from -10 to 40 °C; moist air is up to 0.4 % faster at 20 °C (Cramer 1993). Raises
    ValueError at and under absolute zero.
    """
    if not -ZERO_C_IN_K < temperature_c < math.inf:
        raise ValueError(f"found {temperature_c:g} °C, expected more than {-ZERO_C_IN_K} °C")
    return SPEED_AT_0C_M_S * math.sqrt(1 + temperature_c / ZERO_C_IN_K)


def travel_ms(distance_m: float, temperature_c: float) -> float:
    """Return the milliseconds that sound takes over a distance: L / c."""
    if not 0 <= distance_m < math.inf:
        raise ValueError(f"found {distance_m:g} m, expected 0 or more")
    return distance_m / speed_m_s(temperature_c) * 1000


def distance_loss_db(from_m: float, to_m: float) -> float:
    """Return how much lower the level of a point source is at `to_m` than at `from_m`: 20 log10(to / from).

    The inverse square law, outdoors and near the source; negative where `to_m` is nearer. In a room reflections add.
    """
    for distance_m in (from_m, to_m):
        if not 0 < distance_m < math.inf:
            raise ValueError(f"found {distance_m:g} m, expected more than 0")
    return 20 * math.log10(to_m / from_m)
