"""What the mains section leaves out, so that some of it can't be checked: circuits, cable runs, draws and earths."""

from __future__ import annotations

from collections.abc import Iterator

from lint.check.naming import named, s
from lint.formula.mains import cord_awg_a, cord_mm2_a
from lint.rig.plant import Amplifier, Load, Run
from lint.rig.rig import DRIVEN, Destination, Device, Rig

Left = Iterator[tuple[str, str]]
THREE_PHASE_V = 300.0  # over this a circuit is hardly one phase to neutral anywhere (common practice)


def partly_power(rig: Rig) -> Left:
    """Yield (key, what it would let be checked) for what the circuits of a rig leave out."""
    gear = _gear(rig)
    used = {row.circuit for row in gear if row.circuit}
    loads = [(row.name, row.load) for row in gear if row.circuit]
    loads += [(f"{circuit.name}/{load.name}", load) for circuit in rig.circuits.values() for load in circuit.loads]
    yield from _circuits(rig, used)
    yield from _runs(rig, used)
    yield from _draws(rig, loads)


def _gear(rig: Rig) -> tuple[Device | Amplifier | Destination, ...]:
    return (*rig.devices.values(), *rig.amplifiers.values(), *rig.destinations.values())


def _circuits(rig: Rig, used: set[str]) -> Left:
    """Tell of circuits that can't be added up, and of those that nobody knows to be guarded."""
    circuits = [row for row in rig.circuits.values() if row.loads or row.run or row.name in used]
    if voltless := [circuit.name for circuit in circuits if circuit.volts is None]:
        yield "power/…/volts", f"the load on circuit{s(voltless)} {named(voltless)}"
    if unrated := [circuit.name for circuit in circuits if circuit.breaker_a is None]:
        yield "power/…/breaker_a", f"what circuit{s(unrated)} {named(unrated)} may carry"
    # Outdoors an unstated one is a no-go of its own.
    unguarded = [
        circuit.name
        for circuit in circuits
        if circuit.name in used and circuit.residual_current_device is None and not circuit.outdoor
    ]
    if unguarded:
        words = f"whether a residual-current device guards circuit{s(unguarded)} {named(unguarded)}"
        yield "power/…/residual_current_device", words
    stated = {circuit.name: circuit.volts for circuit in rig.circuits.values() if circuit.volts is not None}
    if three := [name for name, volts in stated.items() if volts > THREE_PHASE_V]:
        yield "power/…/volts", f"three-phase power: circuit{s(three)} {named(three)} counted as one phase"


def _runs(rig: Rig, used: set[str]) -> Left:
    """Tell of cables between breaker and gear of which nothing, or not the size, is stated."""
    circuits = rig.circuits.values()
    bare = [circuit for circuit in circuits if circuit.run is None]
    if unsaid := [circuit.name for circuit in bare if circuit.loads or circuit.name in used]:
        yield "power/…/run", f"the cable{s(unsaid)} and reel{s(unsaid)} of circuit{s(unsaid)} {named(unsaid)}"
    stated = {circuit.name: circuit.run for circuit in circuits if circuit.run is not None}
    if unsized := [name for name, run in stated.items() if run.conductor_mm2 is None and run.conductor_awg is None]:
        words = f"the conductor{s(unsized)} behind circuit{s(unsized)} {named(unsized)}"
        yield "power/…/conductor_mm2, conductor_awg", words
    if beyond := [name for name, run in stated.items() if _is_beyond_tables(run)]:
        yield (
            "power/…/conductor_mm2, conductor_awg",
            f"what the thick cable{s(beyond)} of circuit{s(beyond)} {named(beyond)} may carry",
        )


def _is_beyond_tables(run: Run) -> bool:
    if run.conductor_mm2 is not None:
        return cord_mm2_a(run.conductor_mm2) is None
    return run.conductor_awg is not None and cord_awg_a(run.conductor_awg) is None


def _draws(rig: Rig, loads: list[tuple[str, Load]]) -> Left:
    """Tell of what draws nobody knows how much, or how, and of earths that nobody has stated."""
    unknown = [name for name, load in loads if load.watts is None]
    if not rig.amplifiers:  # then no loudspeaker is known to hang on one: each draws its own
        speakers = (row for row in rig.destinations.values() if row.kind in DRIVEN and not row.circuit)
        unknown += [row.name for row in speakers if row.load.watts is None]
    if unknown:
        yield "…/watts", f"what {named(unknown)} draw{s(unknown, 's', '')}"
    if real := [name for name, load in loads if load.watts is not None and load.power_factor is None]:
        yield "…/power_factor", f"the power factor{s(real)} of {named(real)}, counted as 1"
    if unearthed := [name for name, load in loads if load.earth is None]:
        yield "…/earth", f"the protective earth{s(unearthed)} of {named(unearthed)}"
