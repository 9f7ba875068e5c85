"""What has no mains: everything on a circuit that is dark, and the loudspeakers that a dark amplifier drives."""

from __future__ import annotations

from lint.plan.ends import ends_of
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import is_driven


def dark_in(rig: ResolvedRig) -> dict[str, str]:
    """Return the circuit that is to blame for all that has no mains, by device, destination and amplifier."""
    found: dict[str, str] = {}
    for name, circuit in rig.rig.circuits.items():
        if circuit.dark:
            found |= dict.fromkeys(hung_on(rig, name), name)
    return found


def hung_on(rig: ResolvedRig, circuit: str) -> list[str]:
    """Return what is silent without a circuit: its devices, destinations and amplifiers, and what these drive."""
    rows = rig.rig
    found = [device.name for device in rows.devices.values() if device.circuit == circuit]
    found += [entry.name for entry in rows.destinations.values() if entry.circuit == circuit]
    amplifiers = [entry for entry in rows.amplifiers.values() if entry.circuit == circuit]
    fed = {socket for entry in amplifiers for socket in entry.sockets}
    found += [
        entry.name for entry in rows.destinations.values() if is_driven(entry) and fed.intersection(entry.sockets)
    ]
    found += [name for name, end in ends_of(rig).items() if end.circuit == circuit and name not in rows.destinations]
    return list(dict.fromkeys(found))
