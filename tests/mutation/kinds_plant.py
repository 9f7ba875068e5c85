"""Mistakes around the signal: mains, amplifiers, delays, carriers, planned levels, latency, tablets, crew, waivers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise, permutations
from typing import Any

from bench import DROP, TODAY, Base, Edit, Site, kind

from lint.read.document import Trail
from lint.rig.plant import Circuit, Load
from lint.rig.rig import MONITOR_DESTINATIONS

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
    return sum((load.watts or 0) / volts / load.power_factor for load, name in drawing(base) if name == circuit.name)


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
            more = 9 * written / circuit.volts / load.power_factor
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
        more = sum((load.watts or 0) / volts / load.power_factor for load in elsewhere)
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


# -- delays --------------------------------------------------------------------------------------------------------


@kind("delay-misaligned")
def delay_set_wrongly(base: Base) -> Iterator[Site]:
    """The delay of a loudspeaker is left at 0, typed in metres, doubled, or set for feet."""
    for destination in base.resolved.rig.destinations.values():
        right, distance = destination.delay_ms, destination.distance_m
        if right and distance:
            for value in (0, distance, 2 * right, round(right * 0.3048, 1)):
                yield Site(f"{destination.name} {value:g} ms", (((*destination.trail, "delay_ms"), value),))


@kind("delay-misaligned")
def distance_in_feet(base: Base) -> Iterator[Site]:
    """The distance of a delayed loudspeaker is written down in feet."""
    for destination in base.resolved.rig.destinations.values():
        if destination.delay_ms and destination.distance_m:
            feet = round(destination.distance_m / 0.3048)
            yield Site(destination.name, (((*destination.trail, "distance_m"), feet),))


# -- carriers ------------------------------------------------------------------------------------------------------


def carriers(base: Base) -> list[tuple[Trail, int]]:
    """Return every carrier's trail and frequency in hertz."""
    return [(carrier.trail, carrier.frequency_hz) for carrier in base.resolved.rig.carriers]


def tuned(trail: Trail, hertz: int) -> tuple[Edit, ...]:
    return ((trail, hertz / 1_000_000),)


@kind("carrier-same")
def two_on_one_carrier(base: Base) -> Iterator[Site]:
    """Two transmitters are set to one carrier."""
    for (trail, _), (other, hertz) in permutations(carriers(base), 2):
        yield Site(f"{trail[1]} on {other[1]}'s", tuned(trail, hertz))


@kind("carrier-too-close", "carrier-intermodulation")
def carrier_beside_another(base: Base) -> Iterator[Site]:
    """A transmitter is set a third of the least spacing beside another."""
    wireless = base.resolved.rig.wireless
    for (trail, _), (other, hertz) in permutations(carriers(base), 2):
        if wireless and wireless.least_spacing_hz:
            beside = hertz + wireless.least_spacing_hz // 3
            yield Site(f"{trail[1]} beside {other[1]}", tuned(trail, beside))


@kind("carrier-intermodulation", "carrier-too-close", "carrier-same", "carrier-outside-house-range")
def carrier_on_a_product(base: Base) -> Iterator[Site]:
    """A transmitter is set where twice a carrier less another falls."""
    wireless = base.resolved.rig.wireless
    for trail, _ in carriers(base):
        others = [row for row in carriers(base) if row[0] != trail]
        for (one, first), (two, second) in pairwise(others):
            if wireless and wireless.guard_hz:
                yield Site(f"{trail[1]} at 2 x {one[1]} - {two[1]}", tuned(trail, 2 * first - second))


@kind("carrier-outside-house-range")
def carrier_outside_the_range(base: Base) -> Iterator[Site]:
    """A visiting set is on a carrier that the house may not use."""
    wireless = base.resolved.rig.wireless
    for trail, _ in carriers(base):
        if wireless and wireless.ranges_hz:
            yield Site(str(trail[1]), tuned(trail, 702_400_000))


# -- hearing -------------------------------------------------------------------------------------------------------


@kind("exposure-audience")
def audience_too_loud(base: Base) -> Iterator[Site]:
    """A quarter of an hour or more is planned 3 dB over the audience's limit."""
    levels = base.resolved.rig.sound_levels
    for row, stretch in enumerate(levels.audience if levels else ()):
        if levels and stretch.hours >= 0.25:
            level = levels.audience_limit_db + 3
            yield Site(stretch.what, ((("sound_levels", "audience", row, "level_dba"), level),))


@kind("exposure-crew")
def crew_too_loud(base: Base) -> Iterator[Site]:
    """Two hours or more of the crew's day are planned at 98 dBA, over any of the criteria."""
    levels = base.resolved.rig.sound_levels
    for row, stretch in enumerate(levels.crew if levels else ()):
        if stretch.hours >= 2:
            yield Site(stretch.what, ((("sound_levels", "crew", row, "level_dba"), 98),))


@kind("exposure-crew")
def crew_too_long(base: Base) -> Iterator[Site]:
    """The crew's day turns out longer: over half of what it may be, by equal energy (3 dB), 85 dBA and 8 hours."""
    levels = base.resolved.rig.sound_levels
    for row, stretch in enumerate(levels.crew if levels else ()):
        hours = 12
        dose = hours / 8 * 2 ** ((stretch.level_dba - 85) / 3)
        if levels and levels.criterion in ("eu", "niosh") and dose > 0.5:
            yield Site(f"{stretch.what} {hours} h", ((("sound_levels", "crew", row, "hours"), hours),))


# -- latency -------------------------------------------------------------------------------------------------------


def monitored(base: Base) -> tuple[set[str], set[str], list[str]]:
    """Return the sources heard in monitors, the consoles that mix them, and the monitors themselves."""
    rig = base.resolved.rig
    sources, consoles, monitors = set(), set(), []
    for destination, departure, _ in base.resolved.outputs():
        if destination.kind in MONITOR_DESTINATIONS and departure.signal and departure.signal.kind == "mix":
            mix = rig.mixes[departure.signal.name]
            heard = {name for n in mix.sends for name in base.resolved.arrivals[mix.console, n].sources}
            if heard:
                sources |= heard
                consoles.add(mix.console)
                monitors.append(destination.name)
    return sources, consoles, list(dict.fromkeys(monitors))


@kind("monitor-latency")
def slow_source(base: Base) -> Iterator[Site]:
    """A source that performers hear comes over a wireless link that is 30 ms late."""
    for name in sorted(monitored(base)[0]):
        yield Site(name, ((("sources", name, "latency_ms"), 30),))


@kind("monitor-latency")
def slow_monitor(base: Base) -> Iterator[Site]:
    """A monitor hangs on a transmitter that is 30 ms late."""
    for name in monitored(base)[2]:
        yield Site(name, ((("destinations", name, "latency_ms"), 30),))


@kind("monitor-latency")
def slow_console(base: Base) -> Iterator[Site]:
    """A processor in the console's monitor path makes it 30 ms late."""
    for name in sorted(monitored(base)[1]):
        yield Site(name, ((("devices", name, "latency_ms"), 30),))


# -- control and crew ----------------------------------------------------------------------------------------------


@kind("remote-may-change-house")
def tablet_that_may_move_more(base: Base) -> Iterator[Site]:
    """A performer's tablet may move another mix than its own as well."""
    for tablet in base.resolved.rig.tablets.values():
        for mix in base.resolved.rig.mixes.values():
            if tablet.of == "performer" and mix.kind in ("house", "monitor") and mix.name not in tablet.may_change:
                may = [*tablet.may_change, mix.name]
                yield Site(f"{tablet.name} and {mix.name}", (((*tablet.trail, "may_change"), may),))


@kind("remote-may-change-house")
def tablet_in_other_hands(base: Base) -> Iterator[Site]:
    """The crew's tablet is given to a performer, or a performer's to another one."""
    for tablet in base.resolved.rig.tablets.values():
        if tablet.of == "crew":
            yield Site(tablet.name, (((*tablet.trail, "of"), "performer"),))
        for other in base.resolved.rig.mixes.values():
            if tablet.own_mix and other.kind == "monitor" and other.name != tablet.own_mix:
                yield Site(f"{tablet.name} to {other.name}", (((*tablet.trail, "own_mix"), other.name),))


@kind("memory-not-saved")
def memory_not_saved(base: Base) -> Iterator[Site]:
    """A console's memory is not saved before the changes, or not with them."""
    for memory in base.resolved.rig.memories.values():
        for key in ("before", "after"):
            yield Site(f"{memory.console} {key}", (((*memory.trail, key), DROP),))


@kind("role-unfilled")
def role_that_nobody_has(base: Base) -> Iterator[Site]:
    """Whoever had a role that this event needs is ill."""
    rig = base.resolved.rig
    needs = {
        "lead": True,
        "stage": True,
        "house-mixer": True,
        "monitor-mixer": any(mix.kind == "monitor" for mix in rig.mixes.values()),
        "wireless": any(source.kind == "wireless-receiver" for source in rig.sources.values()),
    }
    for role in rig.crew:
        if needs[role]:
            yield Site(role, ((("crew", role), DROP),))


# -- waivers -------------------------------------------------------------------------------------------------------


@kind("stereo-split")
def waiver_past_its_day(base: Base) -> Iterator[Site]:
    """A waiver ended the day before the event."""
    rig = base.resolved.rig
    for waiver in rig.waivers:
        day = (rig.event.date or TODAY) - timedelta(days=1)
        yield Site(waiver.about, (((*waiver.trail, "until"), day.isoformat()),))


@kind("waiver-unused")
def waiver_of_something_else(base: Base) -> Iterator[Site]:
    """A waiver names another thing than the one that was meant."""
    for waiver in base.resolved.rig.waivers:
        yield Site(waiver.about, (((*waiver.trail, "about"), f"{waiver.about}-left"),))


@kind("waiver-unused", risky=False)
def waiver_left_over(base: Base) -> Iterator[Site]:
    """A waiver of last month stands in a rig where there is nothing to waive any more."""
    until = date(2027, 12, 31).isoformat()
    row = {"rule": "source-unheard", "about": "clarinet", "because": "next week only", "by": "A. Person"}
    rows = base.data.get("waivers", [])
    yield Site("clarinet", ((("waivers",), [*rows, {**row, "until": until}]),))


@kind("waiver-forbidden", "earth-lifted")
def waiver_of_a_lifted_earth(base: Base) -> Iterator[Site]:
    """A lifted earth is waived, which nobody may."""
    for device in base.resolved.rig.devices.values():
        row = {"rule": "earth-lifted", "about": device.name, "because": "hum", "by": "A. Person", "until": "2027-12-31"}
        edits = (((*device.trail, "earth"), "lifted"), (("waivers",), [*base.data.get("waivers", []), row]))
        yield Site(device.name, edits)
