"""Lengths of copper network cable by ISO/IEC 11801 and TIA-568: what a channel of class D or E may be made of.

Numbers are read from secondary pages; the work-area formula is from memory of TIA-568-B (open office cabling).
"""

from __future__ import annotations

import math

# Installed solid cable, the patch cords at both its ends, and the two together.
PERMANENT_LINK_M = 90.0
CORDS_M = 10.0
CHANNEL_M = PERMANENT_LINK_M + CORDS_M

# Stranded cord loses more a metre than installed solid cable: by how much it counts longer, by wire gauge.
STRANDED_FACTOR = {24: 1.2, 26: 1.5}
# What the channel may lose, in metres of solid cable: 90 m of it and 10 m of 24 AWG cord.
ELECTRICAL_CHANNEL_M = 102.0
# Cords and jumpers kept for the rack end; from memory of TIA-568-B.
RACK_CORDS_M = {24: 5.0, 26: 3.5}
# The longest cord on the far side that TIA-568-B allows for 24 AWG; ISO/IEC 11801 says 20 m.
WORK_AREA_MAX_M = 22.0


def channel_length_m(permanent_link_m: float, cords_m: float) -> float:
    """Return the length of a channel in metres.

    Raises ValueError where the installed part is over 90 m, or the whole over 100 m (ISO/IEC 11801, TIA-568).
    """
    _require_length(permanent_link_m, PERMANENT_LINK_M, "permanent link")
    _require_length(cords_m, CHANNEL_M, "cords")
    total_m = permanent_link_m + cords_m
    if total_m > CHANNEL_M:
        raise ValueError(f"a channel of {total_m:g} m is over its limit of {CHANNEL_M:g} m, patch leads included")
    return total_m


def electrical_length_m(solid_m: float, stranded_m: float, awg: int = 24) -> float:
    """Return how many metres of solid cable a run loses as much as: a stranded cord counts 20 % (24 AWG) or 50 % (26).

    From a cable maker's summary of TIA-568-B and ISO/IEC 11801:2002. Raises ValueError for another gauge.
    """
    factor = _factor(awg)
    for length_m, what in ((solid_m, "solid cable"), (stranded_m, "stranded cord")):
        _require_length(length_m, math.inf, what)
    return solid_m + stranded_m * factor


def fits_channel(solid_m: float, stranded_m: float, awg: int = 24) -> bool:
    """Whether a run stays within a channel of class D or E: both in metres on the floor and in what it loses."""
    electrical_m = electrical_length_m(solid_m, stranded_m, awg)
    return solid_m + stranded_m <= CHANNEL_M and electrical_m <= ELECTRICAL_CHANNEL_M


def cords_length_m(horizontal_m: float, awg: int = 24) -> float:
    """Return the longest cords, all together, at the ends of `horizontal_m` metres of installed solid cable.

    C = (102 - H) / 1.2 for 24 AWG, / 1.5 for 26 AWG: work-area formula of TIA-568-B, from memory. Raises ValueError
    for an installed cable over 90 m, and for another gauge.
    """
    _require_length(horizontal_m, PERMANENT_LINK_M, "installed cable")
    return (ELECTRICAL_CHANNEL_M - horizontal_m) / _factor(awg)


def work_area_cord_m(horizontal_m: float, awg: int = 24, longest_m: float = WORK_AREA_MAX_M) -> float:
    """Return the longest single cord at the far side, after what is kept for the rack, and never over `longest_m`.

    W = C - 5 m for 24 AWG (3.5 m for 26 AWG), at most 22 m by TIA-568-B and 20 m by ISO/IEC 11801: limits from
    secondary pages, formula from memory. Raises ValueError as `cords_length_m` does.
    """
    return min(cords_length_m(horizontal_m, awg) - RACK_CORDS_M[awg], longest_m)


def _factor(awg: int) -> float:
    if awg not in STRANDED_FACTOR:
        raise ValueError(f"found a gauge of {awg}, expected 24 or 26 AWG")
    return STRANDED_FACTOR[awg]


def _require_length(length_m: float, most_m: float, what: str) -> None:
    if not (0 <= length_m <= most_m and length_m < math.inf):
        limit = f"from 0 to {most_m:g} m" if most_m < math.inf else "0 m or more"
        raise ValueError(f"found {length_m:g} m of {what}, expected {limit}")
