"""What has no mains because the rig says that its circuit is dark, and what that cuts off."""

from __future__ import annotations

from collections.abc import Iterable

from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Rig


def is_dark(rig: Rig, circuit: str | None) -> bool:
    """Whether a circuit has failed or is off, by the rig file; one that it does not describe is not dark."""
    known = rig.circuits.get(circuit or "")
    return known is not None and known.dark


def without_mains(rig: Rig, name: str, circuit: str | None) -> str:
    """Say that a thing has no mains where its circuit is dark; empty where it may have."""
    return f"{name} has no mains: its circuit {circuit} is dark" if is_dark(rig, circuit) else ""


def dark_on_the_way(rig: ResolvedRig, device: str) -> list[str]:
    """Say which devices between an input or output of a device and the channels have no mains, the console first."""
    box = rig.boxes.get(device)
    if box is None:
        names = [device]
    else:
        chain = rig.chains[box.link].boxes
        names = [box.link.device, *(each.device for each in chain if each.position <= box.position)]
    said = (without_mains(rig.rig, name, rig.rig.devices[name].circuit) for name in names)
    return [text for text in said if text]


def dark_among(rig: ResolvedRig, nodes: Iterable[tuple[str, str]]) -> list[str]:
    """Say what has no mains among points of the signal graph (kind and name) and on their way over the links."""
    rows, said = rig.rig, []
    for kind, name in nodes:
        device = name.partition("/")[0]
        if kind in ("input-socket", "output-socket") and device in rows.devices:
            said += dark_on_the_way(rig, device)
        elif kind == "channel":
            said.append(without_mains(rows, device, rows.devices[device].circuit))
        elif kind == "amplifier":
            said.append(without_mains(rows, device, rows.amplifiers[device].circuit))
        elif kind == "destination":
            said.append(without_mains(rows, name, rows.destinations[name].circuit))
    return list(dict.fromkeys(filter(None, said)))
