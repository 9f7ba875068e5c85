"""What hangs on a mains circuit, what has none because its circuit is dark by the rig, and what that cuts off."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from lint.resolve.amplifiers import amplifier_called
from lint.rig.rig import Rig, is_driven

if TYPE_CHECKING:
    from lint.resolve.resolved import ResolvedRig


def is_dark(rig: Rig, circuit: str | None) -> bool:
    """Whether a circuit has failed or is off, by the rig file; one that it does not describe is not dark."""
    known = rig.circuits.get(circuit or "")
    return known is not None and known.dark


def hung_on(rig: ResolvedRig, circuit: str) -> list[str]:
    """Return what is silent without a circuit: its devices, destinations and amplifiers, and what these drive."""
    rows = rig.rig
    amplifiers = [entry for entry in rows.amplifiers.values() if entry.circuit == circuit]
    fed = {socket for entry in amplifiers for socket in entry.sockets}
    found = [device.name for device in rows.devices.values() if device.circuit == circuit]
    found += [entry.name for entry in rows.destinations.values() if entry.circuit == circuit]
    found += [
        entry.name for entry in rows.destinations.values() if is_driven(entry) and fed.intersection(entry.sockets)
    ]
    return list(dict.fromkeys((*found, *(amplifier_called(rows, entry.name) for entry in amplifiers))))


def dark_in(rig: ResolvedRig) -> dict[str, str]:
    """Return the circuit that is to blame for all that has no mains, by device, destination and amplifier."""
    dark = (name for name in rig.rig.circuits if is_dark(rig.rig, name))
    return {name: circuit for circuit in dark for name in hung_on(rig, circuit)}


def without_mains(rig: Rig, name: str, circuit: str | None) -> str:
    """Say that a thing has no mains where its circuit is dark; empty where it may have."""
    return f"{name} has no mains: its circuit {circuit} is dark" if is_dark(rig, circuit) else ""


def way_of(rig: ResolvedRig, device: str) -> list[str]:
    """Return the devices between a device and the channels, the console first, the device itself last."""
    box = rig.boxes.get(device)
    if box is None:
        return [device]
    return [box.link.device, *(each.device for each in rig.chains[box.link].boxes[: box.position])]


def dark_on_the_way(rig: ResolvedRig, device: str) -> list[str]:
    """Say which devices between an input or output of a device and the channels have no mains, the console first."""
    said = (without_mains(rig.rig, name, rig.rig.devices[name].circuit) for name in way_of(rig, device))
    return [text for text in said if text]


def gone_with(rig: ResolvedRig, circuit: str) -> list[str]:
    """Return the devices to and from which nothing gets without a circuit: those on it, and those behind them."""
    rows = rig.rig.devices
    return [name for name in rows if any(rows[each].circuit == circuit for each in way_of(rig, name))]


def unlit(rig: ResolvedRig) -> frozenset[str]:
    """Return the devices without mains by the file, and those to which nothing gets for that."""
    if not any(is_dark(rig.rig, name) for name in rig.rig.circuits):
        return frozenset()
    return frozenset(name for name in rig.rig.devices if dark_on_the_way(rig, name))


def gone_by_file(rig: ResolvedRig) -> frozenset[str]:
    """Return what passes nothing by the file: dead consoles, what has no mains, and what hangs behind that."""
    return rig.dead_consoles.union(dark_in(rig), unlit(rig))


def were_all_lit(rig: ResolvedRig) -> ResolvedRig:
    """Return the rig as it would be, were nothing in it dead or dark: by its phantom power, what may still be on."""
    circuits = {name: row._replace(dark=False) for name, row in rig.rig.circuits.items()}
    return type(rig)(replace(rig.rig, dead={}, circuits=circuits))


def were_lit(rig: ResolvedRig, circuit: str) -> ResolvedRig:
    """Return the rig as it would be, had one circuit its mains."""
    circuits = {**rig.rig.circuits, circuit: rig.rig.circuits[circuit]._replace(dark=False)}
    return type(rig)(replace(rig.rig, circuits=circuits))


def is_stranded(rig: ResolvedRig, box: str) -> bool:
    """Whether a box has mains, and what it hangs on is dead or dark: nobody switches anything there."""
    return box not in dark_in(rig) and (box in rig.cabling.behind_dead or box in unlit(rig))
