"""What is stated in part, so that some of it can't be checked: a count, and a few names, of what is left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.rig.plant import Amplifier, AmplifierOutput, Circuit
from lint.rig.rig import HOUSE_LOUDSPEAKERS, Destination, Device, Rig, Source

MOST_NAMED = 3
_POWERED = HOUSE_LOUDSPEAKERS | {"wedge"}


def partly(rig: Rig) -> Iterator[tuple[str, str]]:
    """Yield (key, what it would let be checked) for what a rig leaves out of a section that it has."""
    if rig.circuits:
        yield from _power(rig)
    elif rig.says("power"):
        yield "power/circuits", "mains power"
    yield from _amplifiers(rig)
    yield from _carriers(rig)
    yield from _levels(rig)
    if rig.sound_levels is not None and not rig.sound_levels.crew:
        yield "sound_levels/crew", "the crew's day"
    if rig.sound_levels is not None and not rig.sound_levels.audience:
        yield "sound_levels/audience", "how loud it is for the audience"


def _power(rig: Rig) -> Iterator[tuple[str, str]]:
    """Tell of circuits that can't be added up, and of what draws nobody knows how much."""
    gear: tuple[Device | Amplifier | Destination, ...] = (
        *rig.devices.values(),
        *rig.amplifiers.values(),
        *rig.destinations.values(),
    )
    used = {row.circuit for row in gear if row.circuit}

    def incomplete(circuit: Circuit) -> bool:
        return bool(circuit.loads or circuit.name in used) and (circuit.volts is None or circuit.breaker_a is None)

    blind = [circuit.name for circuit in rig.circuits.values() if incomplete(circuit)]
    if blind:
        yield "power/…/volts, breaker_a", f"what circuit{_s(len(blind))} {_named(blind)} may carry"
    unknown = [row.name for row in gear if row.circuit and row.load.watts is None]
    if not rig.amplifiers:  # then no loudspeaker is known to hang on one: each draws its own
        speakers = (row for row in rig.destinations.values() if row.kind in _POWERED and not row.circuit)
        unknown += [row.name for row in speakers if row.load.watts is None]
    if unknown:
        yield "…/watts", f"what {_named(unknown)} draw{'s' if len(unknown) == 1 else ''}"


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
        yield "amplifiers/…/impedance_ohm, tap_w", f"all that hangs on {_named(unstated)}"
    unlimited = [name for name, output in outputs if not _has_limit(output)]
    if unlimited:
        yield "amplifiers/…/least_load_ohm", f"what {_named(unlimited)} can drive"


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
        yield "…/carrier_mhz", f"the carrier{_s(len(untuned))} of {_named(untuned)}"
    if len(tuned) > 1:
        if rig.wireless is None or rig.wireless.least_spacing_hz is None:
            yield "wireless/least_spacing_khz", "how near each other carriers are"
        if rig.wireless is None or rig.wireless.guard_hz is None:
            yield "wireless/guard_khz", "intermodulation"
    if tuned and rig.wireless is not None and not rig.wireless.ranges_hz:
        yield "wireless/ranges_mhz", "which carriers the house may use"


def _levels(rig: Rig) -> Iterator[tuple[str, str]]:
    """Tell of sources without a level, and of channels without a gain, where others have one."""
    known = {row.name for row in rig.sources.values() if _has_level(row)}
    if known and (left := len(rig.sources) - len(known)):
        yield "sources/…/level_dbu", f"the level{_s(left)} of {left} source{_s(left)}"
    ungained = sum(row.carries in known and row.gain_db is None for row in rig.channels.values())
    if ungained:
        yield "channels/…/gain_db", f"the level{_s(ungained)} on {ungained} channel{_s(ungained)}"


def _has_level(source: Source) -> bool:
    return source.level_dbu is not None or None not in (source.sensitivity_mv_pa, source.expected_spl_db)


def _s(number: int) -> str:
    return "" if number == 1 else "s"


def _named(names: Iterable[str]) -> str:
    """Return a few names, and the number of the others."""
    every = list(dict.fromkeys(names))
    if len(every) > MOST_NAMED:
        every = [*every[: MOST_NAMED - 1], f"{len(every) - MOST_NAMED + 1} more"]
    return " and ".join(filter(None, (", ".join(every[:-1]), every[-1])))
