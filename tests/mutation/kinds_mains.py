"""Mistakes with mains power, amplifiers and loudspeaker lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from bench import DROP, Base, Edit, Site, kind

from lint.read.document import Trail
from lint.rig.plant import Circuit, Load

# Copper at 70 °C, in ohm mm² a metre: near enough to say that a run is far beyond 5 %.
RESISTIVITY = 0.0225


def drawing(base: Base) -> list[tuple[Load, str | None]]:
    """Return all that draws from the mains, each with its circuit."""
    rig = base.resolved.rig
    rows = [*rig.devices.values(), *rig.amplifiers.values(), *rig.destinations.values()]
    own = [(load, circuit.name) for circuit in rig.circuits.values() for load in circuit.loads]
    return [*((row.load, row.circuit) for row in rows), *own]


def drawn_a(base: Base, circuit: Circuit) -> float:
    """Return the amperes of what states its watts on a circuit."""
    volts = circuit.volts or 230
    return sum(
        (load.watts or 0) / volts / (load.power_factor or 1) for load, name in drawing(base) if name == circuit.name
    )


def circuits(base: Base) -> list[Circuit]:
    return list(base.resolved.rig.circuits.values())


# -- mains ---------------------------------------------------------------------------------------------------------


@kind("circuit-overloaded", "voltage-drop")
def heater_on_a_circuit(base: Base) -> Iterator[Site]:
    """Somebody plugs in heaters that draw a tenth more than the breaker is rated for."""
    for circuit in circuits(base):
        if circuit.volts and circuit.breaker_a:
            load = {"watts": round(1.1 * circuit.volts * circuit.breaker_a), "hours": 1}
            yield Site(circuit.name, (((*circuit.trail, "loads", "heaters"), load),))


@kind("circuit-overloaded")
def smaller_breaker(base: Base) -> Iterator[Site]:
    """The circuit is behind a smaller breaker than was thought: less than its loads draw."""
    for circuit in circuits(base):
        drawn = drawn_a(base, circuit)
        for rating in (6, 10, 13):
            if circuit.breaker_a and rating < circuit.breaker_a and drawn > rating:
                yield Site(f"{circuit.name} {rating} A", (((*circuit.trail, "breaker_a"), rating),))


@kind("circuit-overloaded", "voltage-drop")
def watts_ten_times_too_high(base: Base) -> Iterator[Site]:
    """A nought too many is typed in a load's watts, and it is more than the breaker is rated for."""
    rig = base.resolved.rig
    for load, name in drawing(base):
        circuit = rig.circuits.get(name or "")
        written = base.at((*load.trail, "watts"))
        if circuit and circuit.volts and circuit.breaker_a and written:
            more = 9 * written / circuit.volts / (load.power_factor or 1)
            if drawn_a(base, circuit) + more > circuit.breaker_a:
                yield Site(load.name, (((*load.trail, "watts"), written * 10),))


@kind("circuit-overloaded", "circuit-shared-with-dimmers", "voltage-drop")
def everything_on_one_circuit(base: Base) -> Iterator[Site]:
    """All sound gear is plugged into one circuit, and that is too much for its breaker."""
    own = {load.trail for circuit in circuits(base) for load in circuit.loads}
    gear = [load for load, name in drawing(base) if name and load.trail not in own]
    for circuit in circuits(base):
        volts = circuit.volts or 230
        elsewhere = [load for load, name in drawing(base) if name != circuit.name and load in gear]
        more = sum((load.watts or 0) / volts / (load.power_factor or 1) for load in elsewhere)
        if circuit.breaker_a and drawn_a(base, circuit) + more > circuit.breaker_a:
            yield Site(circuit.name, tuple(((*load.trail, "circuit"), circuit.name) for load in elsewhere))


@kind("earth-lifted")
def earth_lifted(base: Base) -> Iterator[Site]:
    """The protective earth of something is lifted to cure hum."""
    for load, _ in drawing(base):
        yield Site(load.name, (((*load.trail, "earth"), "lifted"),))


@kind("outdoor-without-residual-current-device")
def outdoors_without_its_guard(base: Base) -> Iterator[Site]:
    """A circuit that feeds the outdoors has no residual-current device, or nobody states one."""
    for circuit in circuits(base):
        if circuit.outdoor:
            for value in (False, DROP):
                where = f"{circuit.name} {'not stated' if value is DROP else 'none'}"
                yield Site(where, (((*circuit.trail, "residual_current_device"), value),))


@kind("outdoor-without-residual-current-device")
def unguarded_circuit_led_outdoors(base: Base) -> Iterator[Site]:
    """A lead without a residual-current device goes out of the window."""
    for circuit in circuits(base):
        if not circuit.outdoor:
            edits = (((*circuit.trail, "outdoor"), True), ((*circuit.trail, "residual_current_device"), False))
            yield Site(circuit.name, edits)


@kind("reel-not-unwound")
def reel_left_wound(base: Base) -> Iterator[Site]:
    """The cable of a circuit is used wound on its reel."""
    for circuit in circuits(base):
        run = {"length_m": 25, **(base.at((*circuit.trail, "run")) or {}), "reel": "wound"}
        yield Site(circuit.name, (((*circuit.trail, "run"), run),))


@kind("circuit-shared-with-dimmers", "circuit-overloaded", "voltage-drop")
def plugged_into_the_dimmers(base: Base) -> Iterator[Site]:
    """Sound gear is plugged into the circuit that dimmers hang on."""
    own = {load.trail for circuit in circuits(base) for load in circuit.loads}
    for circuit in circuits(base):
        for load, name in drawing(base):
            if circuit.dimmers and name and name != circuit.name and load.trail not in own:
                yield Site(f"{load.name} on {circuit.name}", (((*load.trail, "circuit"), circuit.name),))


@kind("circuit-shared-with-dimmers")
def dimmers_on_a_sound_circuit(base: Base) -> Iterator[Site]:
    """The lighting crew hangs dimmers on a circuit that feeds sound gear."""
    own = {load.trail for circuit in circuits(base) for load in circuit.loads}
    fed = {name for load, name in drawing(base) if load.trail not in own}
    for circuit in circuits(base):
        if circuit.name in fed and not circuit.dimmers:
            yield Site(circuit.name, (((*circuit.trail, "dimmers"), True),))


@kind("circuit-unstated")
def circuit_not_stated(base: Base) -> Iterator[Site]:
    """Nobody says which circuit something hangs on."""
    for load, name in drawing(base):
        drawn = load.watts is not None or load.trail[0] in ("devices", "amplifiers")
        if name and drawn and base.at((*load.trail, "circuit")):
            yield Site(load.name, (((*load.trail, "circuit"), DROP),))


def share_lost(circuit: Circuit, amperes: float, length_m: float, mm2: float) -> float:
    return 2 * length_m * amperes * RESISTIVITY / mm2 / (circuit.volts or 230)


@kind("voltage-drop")
def thin_mains_cable(base: Base) -> Iterator[Site]:
    """A mains cable of 0.75 mm² is taken, and more than 6 % of the volts are lost in it."""
    for circuit in circuits(base):
        if circuit.run and share_lost(circuit, drawn_a(base, circuit), circuit.run.length_m, 0.75) > 0.06:
            yield Site(circuit.name, (((*circuit.trail, "run", "conductor_mm2"), 0.75),))


@kind("voltage-drop")
def long_mains_cable(base: Base) -> Iterator[Site]:
    """A mains cable is four times as long, and more than 6 % of the volts are lost in it."""
    for circuit in circuits(base):
        run = circuit.run
        if run and run.conductor_mm2:
            length = 4 * run.length_m
            if share_lost(circuit, drawn_a(base, circuit), length, run.conductor_mm2) > 0.06:
                yield Site(circuit.name, (((*circuit.trail, "run", "length_m"), length),))


# -- amplifiers and lines ------------------------------------------------------------------------------------------


def hung(base: Base) -> Iterator[tuple[Trail, dict[str, Any]]]:
    """Yield every amplifier output, with what hangs on it."""
    for name, amplifier in base.data.get("amplifiers", {}).items():
        for output, row in amplifier["outputs"].items():
            yield ("amplifiers", name, "outputs", output), row


def with_first(trail: Trail, row: dict[str, Any], **more: object) -> tuple[Edit, ...]:
    """Return the edit that changes the first group of loudspeakers on an output."""
    first, *rest = row["loudspeakers"]
    return (((*trail, "loudspeakers"), [{**first, **more}, *rest]),)


@kind("amplifier-load-low", "line-overloaded")
def twice_the_loudspeakers(base: Base) -> Iterator[Site]:
    """Twice as many loudspeakers are hung on an output."""
    for trail, row in hung(base):
        doubled = [{**one, "count": 2 * one.get("count", 1)} for one in row["loudspeakers"]]
        yield Site("/".join(map(str, trail)), (((*trail, "loudspeakers"), doubled),))


@kind("amplifier-load-low")
def loudspeakers_of_fewer_ohms(base: Base) -> Iterator[Site]:
    """Loudspeakers of a quarter of the ohms are hung on an output."""
    for trail, row in hung(base):
        ohms = row["loudspeakers"][0].get("impedance_ohm")
        if ohms:
            yield Site("/".join(map(str, trail)), with_first(trail, row, impedance_ohm=ohms / 4))


@kind("line-overloaded")
def taps_set_too_high(base: Base) -> Iterator[Site]:
    """The transformers of a line are set to three times their watts."""
    for trail, row in hung(base):
        watts = row["loudspeakers"][0].get("tap_w")
        if watts:
            yield Site("/".join(map(str, trail)), with_first(trail, row, tap_w=3 * watts))


@kind("line-overloaded")
def taps_of_the_other_line(base: Base) -> Iterator[Site]:
    """Loudspeakers whose taps are printed for 70.7 V hang on a 100 V line: each takes twice its watts."""
    for trail, row in hung(base):
        watts = [2 * one["tap_w"] * one.get("count", 1) for one in row["loudspeakers"] if "tap_w" in one]
        if row.get("line_v") == 100 and sum(watts) > row["rated_w"]:
            rows = [{**one, "tap_line_v": 70.7} for one in row["loudspeakers"]]
            yield Site("/".join(map(str, trail)), (((*trail, "loudspeakers"), rows),))


@kind("line-overloaded", "amplifier-load-low")
def no_transformer_on_a_line(base: Base) -> Iterator[Site]:
    """A loudspeaker without a transformer is hung on a 100 V line."""
    for trail, row in hung(base):
        if row.get("line_v"):
            rows = [*row["loudspeakers"], {"impedance_ohm": 8}]
            yield Site("/".join(map(str, trail)), (((*trail, "loudspeakers"), rows),))


@kind("stage-without-residual-current-device", "outdoor-without-residual-current-device")
def no_residual_current_device(base: Base) -> Iterator[Site]:
    """The circuit that feeds sound gear turns out to have no residual-current device."""
    rig = base.resolved.rig
    rows = [*rig.devices.values(), *rig.amplifiers.values(), *rig.destinations.values()]
    for circuit in circuits(base):
        if rig.jurisdiction != "us" and circuit.residual_current_device and circuit.name in {r.circuit for r in rows}:
            yield Site(circuit.name, (((*circuit.trail, "residual_current_device"), False),))


@kind("breaker-over-conductor", "voltage-drop")
def thin_lead_behind_a_large_breaker(base: Base) -> Iterator[Site]:
    """Somebody lays a short thin lead that the breaker does not guard."""
    for circuit in circuits(base):
        for breaker, lead in ((16, {"conductor_mm2": 1}), (13, {"conductor_mm2": 0.75}), (20, {"conductor_awg": 14})):
            if circuit.breaker_a and circuit.breaker_a >= breaker:
                run = {"length_m": 2, **lead}
                yield Site(f"{circuit.name} {run}", (((*circuit.trail, "run"), run),))


@kind("tap-on-low-impedance")
def line_voltage_forgotten(base: Base) -> Iterator[Site]:
    """The voltage of a constant-voltage line is not written down."""
    for amplifier in base.resolved.rig.amplifiers.values():
        for output in amplifier.outputs:
            if output.line_v is not None:
                yield Site(f"{amplifier.name}/{output.name}", (((*output.trail, "line_v"), DROP),))


@kind("tap-on-low-impedance")
def transformer_loudspeaker_on_low_impedance(base: Base) -> Iterator[Site]:
    """A loudspeaker with a transformer is hung on a low impedance output."""
    for amplifier in base.resolved.rig.amplifiers.values():
        for output in amplifier.outputs:
            if output.line_v is None:
                rows = base.at((*output.trail, "loudspeakers"))
                edits = (((*output.trail, "loudspeakers"), [*rows, {"tap_w": 10}]),)
                yield Site(f"{amplifier.name}/{output.name}", edits)


@kind()
def tap_and_impedance_together(base: Base) -> Iterator[Site]:
    """A loudspeaker is written down with its impedance and its transformer's tap."""
    for amplifier in base.resolved.rig.amplifiers.values():
        for output in amplifier.outputs:
            for index, row in enumerate(base.at((*output.trail, "loudspeakers"))):
                both = {**row, "impedance_ohm": 8, "tap_w": 10}
                yield Site(f"{amplifier.name}/{output.name}", (((*output.trail, "loudspeakers", index), both),))
