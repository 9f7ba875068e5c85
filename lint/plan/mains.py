"""Who switches a device off at the mains, and where, in words: nobody does that in passing."""

from __future__ import annotations

from collections.abc import Sequence

from lint.resolve.dark import hung_on
from lint.resolve.resolved import ResolvedRig

CARE = "Open nothing that has mains; local codes and a licensed electrician decide"


def switcher(rig: ResolvedRig) -> str:
    """Return who does what is to be done at the mains: the lead, by name where the rig has one."""
    name = rig.rig.crew.get("lead")
    lead = f"the lead ({name})" if name else "the lead"
    return f"{lead} or whoever has charge of the mains"


def circuit_words(rig: ResolvedRig, device: str) -> str:
    """Return the circuit that feeds a device and where that is, as far as the rig says; empty where it doesn't."""
    name = rig.device(device).circuit
    if name is None:
        return ""
    known = rig.rig.circuits.get(name)
    return f"circuit {name}, {known.location}" if known is not None and known.location else f"circuit {name}"


def switched_off(rig: ResolvedRig, devices: Sequence[str]) -> str:
    """Say where devices are switched off: at themselves, and nothing else with them."""
    circuits = {device: circuit_words(rig, device) for device in devices}
    names = " and ".join(f"{device} ({circuit})" if circuit else device for device, circuit in circuits.items())
    at = "its own switch or mains plug" if len(circuits) == 1 else "their own switches or mains plugs"
    return f"{names} at {at}"


def going_off_with(rig: ResolvedRig, devices: Sequence[str]) -> str:
    """Say what else goes off where only the circuits of devices can be switched off, and when they go on again."""
    circuits = dict.fromkeys(circuit for device in devices if (circuit := rig.device(device).circuit) is not None)
    others = {name: [other for other in hung_on(rig, name) if other not in devices] for name in circuits}
    told = "; ".join(f"{name}: {', '.join(row)}" for name, row in others.items() if row)
    if not told:
        return ""
    return (
        f"Where only a circuit can be switched off, more goes off with it ({told}): turn down first what plays, and "
        "have it on again once the plugs are out, before anything is unmuted. "
    )
