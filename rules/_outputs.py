"""What the rules on outputs share: what leaves instead of what, and which other findings have the same cause."""

from __future__ import annotations

from collections.abc import Iterable

from lint import ResolvedRig
from lint.resolve.chain import ChainBox
from lint.resolve.mixup import WrongOutput, output_mixups

# Common practice.
SAFETY = (
    "Turn the loudspeakers and monitors down, ears out, before a plug, a selector or a feed is changed: what comes next "
    "may be loud."
)
_SAME_CAUSE = (
    "output-carries-other",
    "output-carries-nothing",
    "monitor-to-house",
    "house-sides-swapped",
    "house-to-monitor",
)


def instead(row: WrongOutput) -> str:
    """Say what a destination receives instead of what it expects."""
    given = row.departure.signal or "nothing"
    return f"{row.destination.name} ({row.departure.socket}) receives {given} instead of {row.wanted}"


def explained(rig: ResolvedRig, rows: Iterable[WrongOutput]) -> frozenset[tuple[str, str]]:
    """Return the findings, as (rule, address), that have the same cause as these wrong outputs.

    A group of wrong outputs that is told as one is left out as one, by the address of its first member.
    """
    told = {(row.destination.name, row.departure.socket) for row in rows}
    addresses = {name for name, _ in told} | {socket.device for _, socket in told}
    for group in output_mixups(rig):
        if told.issuperset((row.destination.name, row.departure.socket) for row in group):
            addresses.add(about(rig, group))
    keys = {(rule, address) for rule in _SAME_CAUSE for address in addresses}
    keys |= {("house-unheard", row.wanted.name) for row in rows}
    return frozenset(keys)


def about(rig: ResolvedRig, group: list[WrongOutput]) -> str:
    """Return what a group of wrong outputs is about: the box where its selector explains it, else the first destination."""
    device = group[0].departure.socket.device
    return device if rig.banks_that_fit(device) else group[0].destination.name


def same_slots(first: ChainBox, second: ChainBox) -> range:
    """Return the link slots that two boxes both put on their output sockets."""
    start = max(first.output_slots.start, second.output_slots.start)
    return range(start, min(first.output_slots.stop, second.output_slots.stop))
