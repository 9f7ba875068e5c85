"""Who switches a device off at the mains, and where, in words: nobody does that in passing."""

from __future__ import annotations

from collections.abc import Sequence

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
    """Say where devices are switched off: at themselves, or at what feeds them, which may feed more."""
    circuits = {device: circuit_words(rig, device) for device in devices}
    names = " and ".join(f"{device} ({circuit})" if circuit else device for device, circuit in circuits.items())
    at = "its own switch, or at what feeds it" if len(circuits) == 1 else "their own switches, or at what feeds them"
    return f"{names} at {at}"
