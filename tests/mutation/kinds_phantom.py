"""Mistakes with phantom power and input gain."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby

from bench import DROP, Base, Edit, Site, kind

from lint.rig.address import Socket
from lint.rig.rig import LINE_KINDS, Channel, Source


def strips(base: Base, phantom: str) -> list[tuple[Channel, Source, Socket]]:
    """Return the channels with phantom power on, or off where it is or not stated, each with its source and socket."""
    rows = []
    for arrival in base.resolved.arrivals.values():
        channel = arrival.channel
        if len(arrival.sources) == 1 and arrival.socket and (channel.phantom == "on") == (phantom == "on"):
            rows.append((channel, base.resolved.rig.sources[arrival.sources[0]], arrival.socket))
    return rows


def owns(base: Base, channel: Channel) -> bool:
    """Whether a channel's console sets the phantom power of its socket: one that only listens on a link does not."""
    slot = base.resolved.arrivals[channel.console, channel.number].slot
    return slot is None or slot.port not in base.resolved.cabling.listens_to


def switch(channel: Channel, state: object) -> Edit:
    return (*channel.trail, "phantom"), state


def in_groups(base: Base, socket: Socket) -> bool:
    return base.resolved.device(socket.device).model.inputs.phantom == "groups"


# -- the switch ----------------------------------------------------------------------------------------------------


@kind("phantom-missing", "phantom-group")
def phantom_off(base: Base) -> Iterator[Site]:
    """Phantom power is switched off for a source that needs it."""
    for channel, source, _ in strips(base, "on"):
        if source.needs_phantom:
            yield Site(f"{channel.address} ({source.name})", (switch(channel, "off"),))


@kind("phantom-missing")
def phantom_not_stated(base: Base) -> Iterator[Site]:
    """Nobody wrote down that a source needs its phantom power switched on."""
    for channel, source, socket in strips(base, "on"):
        if source.needs_phantom and not in_groups(base, socket):
            yield Site(f"{channel.address} ({source.name})", (switch(channel, DROP),))


@kind("phantom-on-ribbon")
def phantom_on_a_ribbon(base: Base) -> Iterator[Site]:
    """Phantom power is switched on for a ribbon microphone."""
    for channel, source, _ in strips(base, "off"):
        if source.kind == "ribbon-microphone" and owns(base, channel):
            yield Site(f"{channel.address} ({source.name})", (switch(channel, "on"),))


@kind("phantom-on-line")
def phantom_on_a_line_output(base: Base) -> Iterator[Site]:
    """Phantom power is switched on for a radio receiver or a player."""
    for channel, source, _ in strips(base, "off"):
        if source.kind in LINE_KINDS and owns(base, channel):
            yield Site(f"{channel.address} ({source.name})", (switch(channel, "on"),))


@kind("phantom-group")
def phantom_on_in_a_group_that_is_off(base: Base) -> Iterator[Site]:
    """On one channel phantom power is on, where one switch serves eight sockets and the others say off."""
    for channel, source, socket in strips(base, "off"):
        rest = [s for c, _, s in strips(base, "off") if s.device == socket.device and c != channel]
        together = base.resolved.device(socket.device).model.inputs.phantom_group(socket.number)
        if in_groups(base, socket) and any(s.number in together for s in rest):
            yield Site(f"{channel.address} ({source.name})", (switch(channel, "on"),))


@kind("phantom-two-feeds")
def phantom_from_both_consoles(base: Base) -> Iterator[Site]:
    """Behind a splitter both consoles switch phantom power on."""
    live = {source.name for _, source, _ in strips(base, "on")}
    for channel, source, _ in strips(base, "off"):
        if source.name in live and len(source.sockets) > 1:
            yield Site(f"{channel.address} ({source.name})", (switch(channel, "on"),))


@kind("phantom-missing", "phantom-two-feeds")
def phantom_forgotten_on_a_console(base: Base) -> Iterator[Site]:
    """A console comes up with phantom power off everywhere, as after a reset."""
    rows = sorted(strips(base, "on"), key=lambda row: row[0].console)
    for console, group in groupby(rows, key=lambda row: row[0].console):
        yield Site(console, tuple(switch(channel, "off") for channel, _, _ in group))


@kind("phantom-missing")
def phantom_off_on_one_box(base: Base) -> Iterator[Site]:
    """Phantom power is off on every socket of a box, or of a group of sockets."""
    by_switch: dict[tuple[str, int], list[Edit]] = {}
    for channel, _, socket in strips(base, "on"):
        first = base.resolved.device(socket.device).model.inputs.phantom_group(socket.number).start
        by_switch.setdefault((socket.device, first if in_groups(base, socket) else 0), []).append(
            switch(channel, "off")
        )
    for (device, _), edits in by_switch.items():
        yield Site(device, tuple(edits))


@kind("phantom-on-ribbon", "phantom-on-line", "phantom-two-feeds")
def phantom_on_everywhere(base: Base) -> Iterator[Site]:
    """Somebody selects every channel of a console and switches phantom power on."""
    rows = sorted((row for row in strips(base, "off") if owns(base, row[0])), key=lambda row: row[0].console)
    live = {source.name for _, source, _ in strips(base, "on")}
    for console, group in groupby(rows, key=lambda row: row[0].console):
        held = list(group)
        if any(s.kind == "ribbon-microphone" or s.kind in LINE_KINDS or s.name in live for _, s, _ in held):
            yield Site(console, tuple(switch(channel, "on") for channel, _, _ in held))


# -- what is plugged in --------------------------------------------------------------------------------------------


@kind("phantom-missing")
def condenser_in_place_of_a_dynamic(base: Base) -> Iterator[Site]:
    """A condenser microphone is put up where a dynamic one was planned, and phantom power stays off."""
    for channel, source, _ in strips(base, "off"):
        if source.kind == "dynamic-microphone" and owns(base, channel) and len(source.sockets) == 1:
            yield Site(source.name, (((*source.trail, "kind"), "condenser-microphone"),))


@kind("phantom-on-ribbon", "phantom-group")
def ribbon_in_place_of_a_condenser(base: Base) -> Iterator[Site]:
    """A ribbon microphone is put up where a condenser was planned, and phantom power stays on."""
    for _, source, _ in strips(base, "on"):
        if source.kind == "condenser-microphone":
            yield Site(source.name, (((*source.trail, "kind"), "ribbon-microphone"),))


@kind("phantom-missing")
def active_box_in_place_of_a_passive(base: Base) -> Iterator[Site]:
    """An active DI box stands where a passive one was planned, and phantom power stays off."""
    for channel, source, _ in strips(base, "off"):
        if source.kind == "passive-di" and owns(base, channel):
            yield Site(source.name, (((*source.trail, "kind"), "active-di"),))


@kind("phantom-on-line", "phantom-group")
def instrument_without_its_box(base: Base) -> Iterator[Site]:
    """An instrument goes straight in, without the active DI box that was planned."""
    for _, source, _ in strips(base, "on"):
        if source.kind == "active-di":
            yield Site(source.name, (((*source.trail, "kind"), "instrument-line"),))


@kind("phantom-unbalanced", "phantom-group")
def unbalanced_where_phantom_is_on(base: Base) -> Iterator[Site]:
    """A source goes through an unbalanced adapter, a jack patch point or an unbalanced lead with phantom power on."""
    for _, source, _ in strips(base, "on"):
        for connection in ("unbalanced", "unbalanced-adapter", "jack-patch-point"):
            yield Site(f"{source.name} {connection}", (((*source.trail, "connection"), connection),))


@kind("phantom-unbalanced", "phantom-group")
def parallel_powered_microphone(base: Base) -> Iterator[Site]:
    """An old microphone for parallel powering is put up where phantom power is on."""
    for _, source, _ in strips(base, "on"):
        if source.kind == "condenser-microphone":
            yield Site(source.name, (((*source.trail, "powering"), "parallel"),))


@kind("phantom-starved")
def microphone_that_draws_too_much(base: Base) -> Iterator[Site]:
    """A microphone draws more than the 10 mA that a supply has to give."""
    for _, source, _ in strips(base, "on"):
        if source.needs_phantom:
            yield Site(source.name, (((*source.trail, "supply_ma"), 12),))


@kind("phantom-starved")
def microphone_left_with_too_few_volts(base: Base) -> Iterator[Site]:
    """A microphone that draws 7 mA is left with 24.2 V and needs 36 V."""
    for _, source, _ in strips(base, "on"):
        if source.needs_phantom:
            edits = (((*source.trail, "supply_ma"), 7), ((*source.trail, "least_supply_v"), 36))
            yield Site(source.name, edits)


# -- gain ----------------------------------------------------------------------------------------------------------


def levels_dbfs(base: Base) -> Iterator[tuple[Channel, float]]:
    """Yield the loudest level of each channel that the rig states enough of, re digital full scale.

    A microphone gives its sensitivity at 94 dB SPL (1 Pa); 0 dBu is 0.7746 V.
    """
    for arrival in base.resolved.arrivals.values():
        channel, socket = arrival.channel, arrival.socket
        if socket is None or len(arrival.sources) != 1 or channel.gain_db is None:
            continue
        source = base.resolved.rig.sources[arrival.sources[0]]
        full_scale = base.resolved.device(socket.device).model.inputs.full_scale_dbu
        level = source.level_dbu
        if level is None and source.sensitivity_mv_pa and source.expected_spl_db:
            level = 20 * math.log10(source.sensitivity_mv_pa / 774.6) + source.expected_spl_db - 94
        if level is not None and full_scale is not None:
            yield channel, level + channel.gain_db - full_scale


@kind("level-clips", "level-headroom")
def gain_30_db_too_high(base: Base) -> Iterator[Site]:
    """The gain of a channel is 30 dB too high: it leaves less than 9 dB below full scale, or none."""
    for channel, level in levels_dbfs(base):
        if level + 30 > -9:
            yield Site(channel.address, (((*channel.trail, "gain_db"), (channel.gain_db or 0) + 30),))


@kind("level-noise")
def gain_30_db_too_low(base: Base) -> Iterator[Site]:
    """The gain of a channel is 30 dB too low: what comes in stands more than 40 dB below full scale."""
    for channel, level in levels_dbfs(base):
        if level - 30 < -40:
            yield Site(channel.address, (((*channel.trail, "gain_db"), (channel.gain_db or 0) - 30),))


@kind("level-clips", "level-headroom")
def line_level_at_microphone_gain(base: Base) -> Iterator[Site]:
    """A player at line level comes up on a channel with a microphone's gain, 40 dB."""
    for channel, _ in levels_dbfs(base):
        arrival = base.resolved.arrivals[channel.console, channel.number]
        source = base.resolved.rig.sources[arrival.sources[0]]
        if source.kind in LINE_KINDS:
            yield Site(channel.address, (((*channel.trail, "gain_db"), 40),))
