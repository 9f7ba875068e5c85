"""The cable from a breaker to where it is used: what it loses, and whether it bears what hangs on it."""

from __future__ import annotations

from typing import NamedTuple

from lint.formula.limit import exceeds
from lint.formula.mains import (
    STRANDED_AWG,
    STRANDED_MM2,
    awg_area_mm2,
    copper_ohm_per_m,
    cord_awg_a,
    cord_mm2_a,
    drop_v,
)
from lint.rig.plant import Circuit, Run

LOST_SHARE = 0.05  # of the nominal volts, in all: advice of the NEC and BS 7671 (see the rule voltage-drop)


class Conductor(NamedTuple):
    """A conductor as the rig states it: key and size in the file, words, and ohms a metre at its temperature."""

    key: str
    size: float
    words: str
    ohm_per_m: float


def conductor_of(run: Run) -> Conductor | None:
    """Return the conductor of a run; square millimetres go before AWG, None where neither is stated."""
    if run.conductor_mm2 is not None:
        return of_mm2(run, run.conductor_mm2)
    return None if run.conductor_awg is None else of_awg(run, run.conductor_awg)


def of_mm2(run: Run, mm2: float) -> Conductor:
    """Return a run's conductor as if it had that size in square millimetres."""
    ohm_per_m = copper_ohm_per_m(mm2, run.conductor_temperature_c) * STRANDED_MM2
    return Conductor("conductor_mm2", mm2, f"{mm2:g} mm²", ohm_per_m)


def of_awg(run: Run, awg: int) -> Conductor:
    """Return a run's conductor as if it had that size in AWG."""
    ohm_per_m = copper_ohm_per_m(awg_area_mm2(awg), run.conductor_temperature_c) * STRANDED_AWG
    return Conductor("conductor_awg", awg, f"{awg} AWG", ohm_per_m)


def bears(circuit: Circuit, amperes: float, lost_share: float = LOST_SHARE) -> bool:
    """Whether nothing that is stated of a circuit's cable speaks against that load.

    Not where it is wound on its reel, thinner than its breaker or the load asks for, or loses more than it may.
    """
    run = circuit.run
    if run is None:
        return True
    carries_a = _carries_a(run)
    is_thin = carries_a is not None and max(amperes, circuit.breaker_a or 0.0) > carries_a
    if run.reel == "wound" or is_thin:
        return False
    conductor = conductor_of(run)
    if conductor is None or circuit.volts is None:
        return True
    return not exceeds(drop_v(amperes, run.length_m, conductor.ohm_per_m), lost_share * circuit.volts)


def _carries_a(run: Run) -> int | None:
    if run.conductor_mm2 is not None:
        return cord_mm2_a(run.conductor_mm2)
    return None if run.conductor_awg is None else cord_awg_a(run.conductor_awg)
