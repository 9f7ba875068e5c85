"""Islands of devices that exchange digital audio, and who leads the clock of each."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lint import ResolvedRig
from lint.rig.rig import Device

# Common practice.
SAFETY = "Turn the loudspeakers and monitors down before a clock or a sample rate is changed: it may send noise at full level."


def islands(rig: ResolvedRig) -> list[list[Device]]:
    """Return the groups of devices that link cables join, in the order of the files.

    A device without a cable exchanges nothing and is in none, and an island of boxes alone is told by the rules on
    chains. A console passes the clock from link to link.
    """
    joins: dict[str, list[str]] = {}
    for cable in rig.rig.cables.values():
        first, second = (end.device for end in cable.ends)
        joins.setdefault(first, []).append(second)
        joins.setdefault(second, []).append(first)
    order = {name: index for index, name in enumerate(rig.rig.devices)}
    found: list[list[Device]] = []
    seen: set[str] = set()
    for name in rig.rig.devices:
        if name in seen or name not in joins:
            continue
        island, queue = {name}, [name]
        while queue:
            for other in joins[queue.pop()]:
                if other not in island:
                    island.add(other)
                    queue.append(other)
        seen |= island
        found.append([rig.device(name) for name in sorted(island, key=order.__getitem__)])
    return [island for island in found if any(device.model.chain is None for device in island)]


def rate_of(rig: ResolvedRig, device: Device) -> int:
    """Return the sample rate that a device is set to, in hertz."""
    return device.sample_rate_hz or rig.rig.sample_rate_hz


def name_leaders(names: Iterable[str]) -> dict[str, Any]:
    """Return the change that makes these the clock's leaders."""
    leaders = list(dict.fromkeys(names))
    return {"clock": {"leader": leaders[0] if len(leaders) == 1 else leaders or None}}


def rates_of_all(devices: Iterable[Device]) -> list[int]:
    """Return the sample rates in hertz that every one of the devices can run at, lowest first."""
    return sorted(set.intersection(*(set(device.model.sample_rates_hz) for device in devices)))
