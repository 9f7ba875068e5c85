"""From the sections about what surrounds the signal to their rows; names are held against the rest by `build.py`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lint.read.document import Trail
from lint.rig.address import Signal, Socket
from lint.rig.plant import (
    Amplifier,
    AmplifierOutput,
    Carrier,
    Circuit,
    Exposure,
    Load,
    Loudspeakers,
    Memory,
    Run,
    SoundLevels,
    Tablet,
    Wireless,
)

AUDIENCE_LIMIT_DB = 100.0  # WHO Global standard for safe listening venues and events, 2022: LAeq over 15 minutes
CONDUCTOR_C = 70.0  # the temperature that tables for ordinary insulation go by
HZ_PER_MHZ = 1_000_000
HZ_PER_KHZ = 1_000


def load(name: str, row: Mapping[str, Any], trail: Trail, watts: float | None = None) -> Load:
    """Return what a row draws from the mains; `watts` is its model's, where the row says nothing."""
    return Load(
        name,
        row.get("watts", watts),
        row.get("power_factor"),
        row.get("hours"),
        row.get("earth"),
        trail,
    )


def circuits(power: Mapping[str, Any]) -> dict[str, Circuit]:
    """Return the circuits of the power section by name."""
    return {name: _circuit(name, row) for name, row in power.get("circuits", {}).items()}


def _circuit(name: str, row: Mapping[str, Any]) -> Circuit:
    trail: Trail = ("power", "circuits", name, "loads")
    run = row.get("run")
    return Circuit(
        name,
        row.get("volts"),
        row.get("breaker_a"),
        row.get("residual_current_device"),
        row.get("location", ""),
        row.get("outdoor", False),
        row.get("dimmers", False),
        tuple(load(key, value, (*trail, key)) for key, value in row.get("loads", {}).items()),
        _run(run) if run else None,
        row.get("dark", False),
    )


def _run(row: Mapping[str, Any]) -> Run:
    return Run(
        row["length_m"],
        row.get("conductor_mm2"),
        row.get("conductor_awg"),
        row.get("conductor_temperature_c", CONDUCTOR_C),
        row.get("reel", "none"),
    )


def amplifier(name: str, row: Mapping[str, Any], sockets: tuple[Socket, ...], expects: tuple[Signal, ...]) -> Amplifier:
    """Return an amplifier, given the output sockets that feed it and what it expects there."""
    trail: Trail = ("amplifiers", name)
    outputs = tuple(
        AmplifierOutput(
            key,
            value.get("least_load_ohm"),
            value.get("rated_w"),
            value.get("line_v"),
            tuple(
                Loudspeakers(
                    entry.get("impedance_ohm"), entry.get("tap_w"), entry.get("tap_line_v"), entry.get("count", 1)
                )
                for entry in value["loudspeakers"]
            ),
            (*trail, "outputs", key),
        )
        for key, value in row["outputs"].items()
    )
    return Amplifier(
        name,
        row.get("label", ""),
        sockets,
        expects,
        row.get("shared_by"),
        row.get("circuit"),
        load(name, row, trail),
        outputs,
    )


def wireless(row: Mapping[str, Any] | None) -> Wireless | None:
    """Return what the house says about carriers, or None where it says nothing."""
    if row is None:
        return None
    spacing, guard = row.get("least_spacing_khz"), row.get("guard_khz")
    return Wireless(
        tuple((round(low * HZ_PER_MHZ), round(high * HZ_PER_MHZ)) for low, high in row.get("ranges_mhz", ())),
        None if spacing is None else round(spacing * HZ_PER_KHZ),
        None if guard is None else round(guard * HZ_PER_KHZ),
    )


def carriers(data: Mapping[str, Any]) -> tuple[Carrier, ...]:
    """Return every carrier in use: what wireless sources receive and what transmitters send."""
    return tuple(
        Carrier(name, round(row["carrier_mhz"] * HZ_PER_MHZ), (section, name, "carrier_mhz"))
        for section in ("sources", "destinations")
        for name, row in data.get(section, {}).items()
        if "carrier_mhz" in row
    )


def sound_levels(row: Mapping[str, Any] | None) -> SoundLevels | None:
    """Return the planned levels, or None where nothing is planned."""
    if row is None:
        return None
    return SoundLevels(
        row.get("criterion"),
        _exposures(row.get("crew", ())),
        _exposures(row.get("audience", ())),
        row.get("audience_limit_db", AUDIENCE_LIMIT_DB),
    )


def _exposures(rows: Iterable[Mapping[str, Any]]) -> tuple[Exposure, ...]:
    return tuple(Exposure(row.get("what", ""), row["level_dba"], row["hours"]) for row in rows)


def tablets(section: Mapping[str, Any]) -> dict[str, Tablet]:
    """Return the tablets by name."""
    return {
        name: Tablet(name, row.get("of", "performer"), row.get("own_mix"), tuple(row["may_change"]))
        for name, row in section.items()
    }


def memories(section: Mapping[str, Any]) -> dict[str, Memory]:
    """Return the saved memories by console."""
    return {name: Memory(name, row.get("before"), row.get("after")) for name, row in section.items()}
