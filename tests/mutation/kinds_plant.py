"""Mistakes around the signal: delays, carriers, planned levels, latency, tablets, crew, waivers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise, permutations

from bench import DROP, TODAY, Base, Edit, Site, kind

from lint.read.document import Trail
from lint.rig.rig import MONITOR_DESTINATIONS

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


@kind("delay-misaligned")
def delay_not_set(base: Base) -> Iterator[Site]:
    """A loudspeaker says what it is aligned to and how far it is, and no delay is set for it."""
    for destination in base.resolved.rig.destinations.values():
        if destination.delay_ms and destination.distance_m and destination.aligned_to:
            yield Site(destination.name, (((*destination.trail, "delay_ms"), DROP),))


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


@kind("memory-not-saved")
def memory_saved_over_the_last(base: Base) -> Iterator[Site]:
    """A console's memory is saved under the name that last week's has."""
    for memory in base.resolved.rig.memories.values():
        if memory.before:
            for name in (memory.before, memory.before.upper()):
                yield Site(f"{memory.console} {name}", (((*memory.trail, "after"), name),))


@kind("memory-not-saved")
def memory_of_one_console_forgotten(base: Base) -> Iterator[Site]:
    """Of several consoles, one is not in the list of saved memories."""
    memory = {"before": "house default", "after": "this week"}
    names = [console.name for console in base.resolved.rig.consoles]
    for forgotten in names if len(names) > 1 else ():
        saved = {name: memory for name in names if name != forgotten}
        yield Site(forgotten, ((("console_memory",), saved),))


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


# -- what can't be so at once --------------------------------------------------------------------------------------


@kind()
def start_before_the_doors(base: Base) -> Iterator[Site]:
    """The times of the doors and of the start are in each other's place."""
    event = base.resolved.rig.event
    if event.doors and event.start and event.doors != event.start:
        yield Site(event.name, ((("event", "doors"), event.start), (("event", "start"), event.doors)))


@kind()
def range_written_backwards(base: Base) -> Iterator[Site]:
    """A range of carriers is written with its upper end first."""
    for index, (low, high) in enumerate(base.at(("wireless", "ranges_mhz")) or ()):
        yield Site(f"{high}-{low}", ((("wireless", "ranges_mhz", index), [high, low]),))


@kind()
def crew_day_of_more_than_a_day(base: Base) -> Iterator[Site]:
    """The crew's hours are those of all its members together."""
    for index, stretch in enumerate(base.at(("sound_levels", "crew")) or ()):
        trail = ("sound_levels", "crew")
        rows = base.at(trail)
        yield Site(f"stretch {index + 1}", ((trail, [*rows, *({**stretch, "hours": 13} for _ in range(2))]),))


@kind()
def audience_limit_of_a_jet(base: Base) -> Iterator[Site]:
    """The audience's limit is typed as the loudest that the loudspeakers can."""
    if base.at(("sound_levels",)):
        yield Site("124 dB", ((("sound_levels", "audience_limit_db"), 124),))
