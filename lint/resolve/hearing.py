"""Which channels hear a source, on whatever console and by whatever leg of its split: all of them hear it handled."""

from __future__ import annotations

from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Channel, Source


def heard_on(rig: ResolvedRig, source: str) -> list[Channel]:
    """Return the channels that are meant to carry a source, then those that it comes out on besides."""
    return [*rig.carriers_of.get(source, ()), *rig.channels_of.get(source, ())]


def handled_with(rig: ResolvedRig, source: Source) -> list[Channel]:
    """Return what is muted before hands are laid on a source, its cables or its sockets: one plugged clicks in all."""
    taking = [arrival.channel for arrival in rig.arrivals.values() if arrival.socket in source.sockets]
    return list(dict.fromkeys((*heard_on(rig, source.name), *taking)))
