"""From the sections about what stands in the house and how it is linked: devices, cables, consoles, clock."""

from __future__ import annotations

from typing import Any

from lint.read.document import Trail
from lint.rig import build_plant as plant
from lint.rig.names import Names, Part
from lint.rig.plant import LooseCable
from lint.rig.rig import Cable, Device


def devices(names: Names) -> None:
    """Read the devices with their models; raises CannotReadError where one can't be made."""
    for name, row in names.data["devices"].items():
        trail: Trail = ("devices", name)
        if name == "effects":
            names.problem(trail, "effects/... means an effects unit; call the device otherwise", at_key=True)
        model = names.models.get(row["model"])
        if model is None:
            names.problem((*trail, "model"), names.models.unknown(row["model"]))
            continue
        for bank in ("output_bank", "input_bank"):
            if bank in row:
                names.numbers(row[bank], (*trail, bank))
        names.circuit(row, trail)
        names.devices[name] = Device(
            name,
            model,
            row.get("label", ""),
            row.get("location", ""),
            row.get("circuit"),
            row.get("output_bank"),
            row.get("input_bank"),
            int(row["sample_rate_hz"]) if "sample_rate_hz" in row else None,
            row.get("clock_from"),
            plant.load(name, row, trail, model.watts),
            row.get("latency_ms"),
            row.get("along_stage_m"),
        )
    names.stop_here()  # nothing below can be told truly while a device is missing


def console_parts(names: Names) -> list[Part]:
    """Return (console, trail, its sections): what stands at the top belongs to the one console not listed."""
    listed: dict[str, Any] = names.data.get("consoles", {})
    consoles = [name for name, device in names.devices.items() if device.model.kind == "console"]
    for name in listed:
        if name not in consoles:
            names.known("console", name, consoles, ("consoles", name))
    parts: list[Part] = []
    own = [key for key in ("channels", "mixes", "effects", "input_blocks") if names.data.get(key)]
    unlisted = [name for name in consoles if name not in listed]
    if own and len(unlisted) != 1:
        said = f"{len(unlisted)} consoles are not ({', '.join(unlisted)})" if unlisted else "no console is left"
        if not consoles:
            names.problem((own[0],), "there is no console among the devices for these to belong to", True)
        else:
            names.problem(
                (own[0],),
                f"{own[0]} at the top belong to the one console that is not under consoles/, but {said}; "
                "put each further console's own under consoles/NAME",
                True,
            )
    elif own:
        parts.append(Part(unlisted[0], (), names.data))
    parts.extend(Part(name, ("consoles", name), listed[name]) for name in listed if name in consoles)
    return parts


def cables(names: Names) -> tuple[dict[str, Cable], dict[str, LooseCable]]:
    """Read the link cables: those that join two ports, and those of which an end is plugged into nothing."""
    cables: dict[str, Cable] = {}
    loose: dict[str, LooseCable] = {}
    for name, row in names.data.get("cables", {}).items():
        trail: Trail = ("cables", name)
        ends = [names.port(row[key], (*trail, key)) for key in ("from", "to") if key in row]
        about = (
            row.get("kind"),
            row.get("shielded"),
            row.get("length_m"),
            row.get("way_m"),
            row.get("label"),
            row.get("spare"),
        )
        if len(ends) < 2:
            loose[name] = LooseCable(name, ends[0] if ends else None, *about)
            continue
        if ends[0] == ends[1]:
            names.problem(trail, f"both ends are {ends[0]}; a cable has two ends", at_key=True)
        cables[name] = Cable(name, (ends[0], ends[1]), *about, row.get("way_at_most", False))
    return cables, loose


def leaders(names: Names) -> tuple[str, ...] | None:
    """Read who leads the clock: None where the file has no clock section."""
    clock = names.data.get("clock")
    if clock is None:
        return None
    written = clock.get("leader", [])
    if isinstance(written, str):
        names.device(written, ("clock", "leader"))
        return (written,)
    for index, name in enumerate(written):
        names.device(name, ("clock", "leader", index))
    return tuple(written)
