"""What is stated in part, so that some of it can't be checked: a count, and a few names, of what is left out."""

from __future__ import annotations

from collections.abc import Iterator

from lint.check.naming import named, s
from lint.check.partly_power import partly_power
from lint.rig.plant import AmplifierOutput
from lint.rig.rig import LINE_KINDS, Rig, Source


def partly(rig: Rig) -> Iterator[tuple[str, str]]:
    """Yield (key, what it would let be checked) for what a rig leaves out of a section that it has."""
    if rig.circuits:
        yield from partly_power(rig)
    elif rig.says("power"):
        yield "power/circuits", "mains power"
    yield from _amplifiers(rig)
    yield from _carriers(rig)
    yield from _levels(rig)
    yield from _phantom(rig)
    yield from _cables(rig)
    yield from _delays(rig)
    if rig.sound_levels is not None:
        if not rig.sound_levels.crew:
            yield "sound_levels/crew", "the crew's day"
        if not rig.sound_levels.audience:
            yield "sound_levels/audience", "how loud it is for the audience"
        yield "sound_levels", "single peaks of the sound, which no plan states"


def _amplifiers(rig: Rig) -> Iterator[tuple[str, str]]:
    outputs = [
        (f"{amplifier.name}/{output.name}", output)
        for amplifier in rig.amplifiers.values()
        for output in amplifier.outputs
    ]
    unstated = [
        name
        for name, output in outputs
        if any(kind.impedance_ohm is None and kind.tap_w is None for kind in output.loudspeakers)
    ]
    if unstated:
        yield "amplifiers/…/impedance_ohm, tap_w", f"all that hangs on {named(unstated)}"
    unlimited = [name for name, output in outputs if not _has_limit(output)]
    if unlimited:
        yield "amplifiers/…/least_load_ohm", f"what {named(unlimited)} can drive"
    unrated = [name for name, output in outputs if output.line_v is not None and output.rated_w is None]
    if rest := [name for name in unrated if name not in unlimited]:
        yield "amplifiers/…/rated_w", f"the watts that {named(rest)} can give its line{s(rest)}"
    unprinted = [
        name
        for name, output in outputs
        if output.line_v is not None
        and any(kind.tap_w is not None and kind.tap_line_v is None for kind in output.loudspeakers)
    ]
    if unprinted:
        yield "amplifiers/…/tap_line_v", f"whether the taps on {named(unprinted)} are printed for its own line"


def _has_limit(output: AmplifierOutput) -> bool:
    return output.least_load_ohm is not None or (output.line_v is not None and output.rated_w is not None)


def _carriers(rig: Rig) -> Iterator[tuple[str, str]]:
    tuned = {carrier.name for carrier in rig.carriers}
    rows = [row for row in rig.sources.values() if row.kind == "wireless-receiver"]
    untuned = [row.name for row in rows if row.name not in tuned]
    untuned += [
        row.name for row in rig.destinations.values() if row.kind == "ear-transmitter" and row.name not in tuned
    ]
    if untuned and (tuned or rig.wireless is not None):
        yield "…/carrier_mhz", f"the carrier{s(untuned)} of {named(untuned)}"
    if len(tuned) > 1:
        if rig.wireless is None or rig.wireless.least_spacing_hz is None:
            yield "wireless/least_spacing_khz", "how near each other carriers are"
        if rig.wireless is None or rig.wireless.guard_hz is None:
            yield "wireless/guard_khz", "intermodulation"
    if tuned and rig.wireless is not None and not rig.wireless.ranges_hz:
        yield "wireless/ranges_mhz", "which carriers the house may use"


def _levels(rig: Rig) -> Iterator[tuple[str, str]]:
    """Tell of sources without a level, and of channels without a gain, where others have one."""
    half = [row.name for row in rig.sources.values() if row.expected_spl_db is not None and not has_level(row)]
    if half:
        yield "sources/…/sensitivity_mv_pa", f"the level{s(half)} of {named(half)}"
    known = {row.name for row in rig.sources.values() if has_level(row)}
    left = [name for name in rig.sources if name not in known and name not in half]
    if known and left:
        yield "sources/…/level_dbu", f"the level{s(left)} of {len(left)} source{s(left)}"
    ungained = [row for row in rig.channels.values() if row.carries in known and row.gain_db is None]
    if ungained:
        yield "channels/…/gain_db", f"the level{s(ungained)} on {len(ungained)} channel{s(ungained)}"
    boxes = {socket.device for name in known for socket in rig.sources[name].sockets if socket.device in rig.devices}
    models = {rig.devices[box].model.name: rig.devices[box].model for box in sorted(boxes)}
    if scaleless := [name for name, model in models.items() if model.inputs.full_scale_dbu is None]:
        yield "models/…/full_scale_dbu", f"levels at the inputs of {named(scaleless)}"


def has_level(source: Source) -> bool:
    """Whether the rig says how loud a source comes: its level, or sound pressure and sensitivity."""
    return source.level_dbu is not None or None not in (source.sensitivity_mv_pa, source.expected_spl_db)


def _phantom(rig: Rig) -> Iterator[tuple[str, str]]:
    """Tell of what lives by phantom power and says not what it draws, or what it needs at the least."""
    fed = [row for row in rig.sources.values() if row.needs_phantom]
    if unsaid := [row.name for row in fed if row.supply_ma is None and row.least_supply_v is None]:
        yield "sources/…/supply_ma, least_supply_v", f"whether phantom power is enough for {named(unsaid)}"
    if draws := [row.name for row in fed if row.supply_ma is None and row.least_supply_v is not None]:
        yield "sources/…/supply_ma", f"what {named(draws)} {s(draws, 'draws', 'draw')} from phantom power"
    if needs := [row.name for row in fed if row.supply_ma is not None and row.least_supply_v is None]:
        yield "sources/…/least_supply_v", f"whether what phantom power leaves is enough for {named(needs)}"


def _cables(rig: Rig) -> Iterator[tuple[str, str]]:
    """Tell of link cables that are not described."""
    cables = rig.cables.values()
    if unmeasured := [cable.name for cable in cables if cable.length_m is None]:
        yield "cables/…/length_m", f"how long {named(unmeasured)} {s(unmeasured, 'is', 'are')}"
    unkind = [
        cable.name for cable in cables if cable.kind is None or (cable.shielded is None and cable.kind != "fibre")
    ]
    if unkind:
        yield "cables/…/kind, shielded", f"what kind of cable {named(unkind)} {s(unkind, 'is', 'are')}"


def _delays(rig: Rig) -> Iterator[tuple[str, str]]:
    """Tell of loudspeakers whose way is not stated in full."""
    rows = rig.destinations.values()
    placed = [row for row in rows if row.distance_m is not None]
    wanted = [row for row in rows if row.kind == "delay-loudspeaker" or row.aligned_to or row.delay_ms is not None]
    if lost := [row.name for row in wanted if row.distance_m is None]:
        yield "destinations/…/distance_m", f"the delay{s(lost)} of {named(lost)}"
    if loose := [row.name for row in placed if row.delay_ms is None and row.aligned_to is None]:
        yield "destinations/…/delay_ms, aligned_to", f"what {named(loose)} {s(loose, 'is', 'are')} to be heard with"
    if placed and rig.says("acoustics", "temperature_c") is None:
        yield "acoustics/temperature_c", f"the air, counted at {rig.temperature_c:g} °C"


def late_parts(rig: Rig) -> list[str]:
    """Return what adds to a performer's delay and states none: consoles, boxes, radio links."""
    parts = [
        row.name
        for row in rig.devices.values()
        if row.latency_ms is None and row.model.latency_ms is None and (row.model.links or row.model.chain)
    ]
    parts += [
        row.name
        for row in rig.sources.values()
        if row.kind in LINE_KINDS and rig.says("sources", row.name, "latency_ms") is None
    ]
    ears = [row.name for row in rig.destinations.values() if row.kind == "ear-transmitter"]
    return [*parts, *(name for name in ears if rig.says("destinations", name, "latency_ms") is None)]
