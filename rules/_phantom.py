"""What the rules about phantom power share: who is harmed by it, where that is, and the changes.

Phantom power comes from the device that owns the socket. IEC 61938, P48: 48 V ± 4 V through 6.8 kΩ in each leg, at
most 10 mA.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from lint import Cure, Finding, ResolvedRig
from lint.resolve.mixup import merged, nested
from lint.resolve.phantom import Fed, Supply
from lint.rig.rig import LINE_KINDS, Channel, Place, Source
from lint.rules._cabling import joined
from lint.rules._words import listed

VOLTS = 48
FEWEST_TOGETHER = 3
SOURCE = "IEC 61938 (P48: 48 V ± 4 V through 6.8 kΩ in each leg, at most 10 mA)"
SAFETY = (
    "Mute the channel, turn the monitors down, switch phantom power off and wait ten seconds before anything is plugged "
    "or unplugged: a hot plug sends a bang to loudspeakers and ears, and may kill a microphone."
)


def harm(source: Source) -> str:
    """Return why one leg of this source would take the full voltage, or nothing where it is balanced."""
    if source.powering == "parallel":
        return "is powered in parallel, between its two signal wires"
    return {
        "unbalanced": "is connected unbalanced",
        "unbalanced-adapter": "goes through an unbalanced adapter",
        "jack-patch-point": "goes through a jack patch point",
    }.get(source.connection, "")


def must_not(source: Source) -> str:
    """Return why phantom power must be kept from a source, or nothing where it needs it or does not mind."""
    if harm(source):
        return harm(source)
    if source.needs_phantom:
        return ""
    if source.kind == "ribbon-microphone":
        return "is a ribbon microphone"
    return f"is a line source ({kind_words(source)})" if source.kind in LINE_KINDS else ""


def kind_words(source: Source) -> str:
    """Return the kind of a source in words."""
    return source.kind.replace("-", " ")


def where(rig: ResolvedRig, fed: Fed, live: bool = False) -> str:
    """Say which sockets and channels a source is on: (west-box/in/2, channel 2 (Choir))."""
    chosen = fed.live if live else fed.supplies
    sockets = [
        str(socket)
        for socket in fed.source.sockets
        if any(socket in supply.sockets for supply in chosen) and rig.has_socket(socket)
    ]
    channels = [
        rig.rig.channel_words(channel)
        for channel in fed.channels
        if any(channel in supply.channels for supply in chosen)
    ]
    return f"{' and '.join(sockets)}, {' and '.join(channels)}"


def places(rig: ResolvedRig, source: Source, channels: Iterable[Channel]) -> tuple[Place, ...]:
    """Return the places of a finding: the source, which is what the crew touches, then the channels."""
    return (
        rig.place((*source.trail, "plugged_into"), source.name),
        *(rig.place((*channel.trail, "phantom"), channel.address) for channel in channels),
    )


def set_phantom(rig: ResolvedRig, channels: Iterable[Channel], state: str) -> Cure:
    """Return the cure that sets phantom power on channels, muted first."""
    every = list(channels)
    words = joined(rig.rig.channel_words(channel) for channel in every)
    change = merged(nested((*channel.trail, "phantom"), state) for channel in every)
    return Cure(f"mute {words}, then switch phantom power {state} there", change)


def switch_off(rig: ResolvedRig, live: Iterable[Supply]) -> Cure:
    """Return the cure that switches supplies off, by every channel that says they are on."""
    return set_phantom(rig, dict.fromkeys(channel for supply in live for channel in supply.says_on), "off")


def connect_balanced(source: Source) -> Cure:
    """Return the cure that connects a source by a balanced cable, with phantom power off meanwhile."""
    change = nested((*source.trail, "connection"), "balanced")
    return Cure(f"with phantom power off, connect {source.name} by a balanced cable without adapter or jack", change)


def sockets_switched_on(rig: ResolvedRig) -> list[Supply]:
    """Return every supply that is on, whether the patch is right or not, in the order of devices and sockets."""
    order = {name: index for index, name in enumerate(rig.rig.devices)}
    every = [supply for supply in rig.phantom.worked.values() if supply.on]
    return sorted(every, key=lambda supply: (order[supply.sockets[0].device], supply.sockets[0].number))


class Told(NamedTuple):
    """What a rule says of one source, and the few words that name it among others."""

    fed: Fed
    finding: Finding
    brief: str


def together(rig: ResolvedRig, rule: str, rows: Iterable[Told], headline: str) -> Iterator[Finding]:
    """Yield the findings, those of one console as one where they are many: a hand passed over a row of switches.

    `headline` has a place for their number. What somebody waived for one source stays a finding of its own.
    """
    waived = {waiver.about for waiver in rig.rig.waivers if waiver.rule == rule}
    by_console: dict[str, list[Told]] = {}
    for row in rows:
        if row.finding.about in waived:
            yield row.finding
        else:
            by_console.setdefault(row.fed.channels[0].console, []).append(row)
    for console, told in by_console.items():
        if len(told) < FEWEST_TOGETHER:
            yield from (row.finding for row in told)
            continue
        cures = [row.finding.cures[0] for row in told if row.finding.cures]
        change = merged(dict(cure.change) for cure in cures if cure.change) if all(c.change for c in cures) else None
        yield Finding(
            f"{headline.format(len(told))}: {listed((row.brief for row in told), '; ')}.",
            (
                rig.place(("devices", console), console, at_key=True),
                *(place for row in told for place in row.finding.places),
            ),
            (Cure(listed(dict.fromkeys(c.text for c in cures), "; "), change),) if len(cures) == len(told) else (),
            {"volts": VOLTS, "sources": len(told)},
            members=tuple(row.finding.about for row in told),
        )
