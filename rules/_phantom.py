"""What the rules about phantom power share: its switches, what the channels say about them, and the changes.

Phantom power comes from the device that owns the socket. IEC 61938, P48: 48 V ± 4 V through 6.8 kΩ in each leg, at
most 10 mA.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from lint import Arrival, Cure, Finding, ResolvedRig, Socket
from lint.resolve.mixup import merged, nested
from lint.rig.address import spans
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


class Supply(NamedTuple):
    """One phantom switch: the sockets it acts on, the channels that take them, and what those say about it.

    `channels` are those that receive what they are meant to; what a wrong patch switches is told with the patch.
    `available` is false where the model has no phantom power at all.
    """

    sockets: tuple[Socket, ...]
    channels: tuple[Channel, ...]
    available: bool

    @property
    def says_on(self) -> tuple[Channel, ...]:
        """The channels that say it is on."""
        return tuple(channel for channel in self.channels if channel.phantom == "on")

    @property
    def says_off(self) -> tuple[Channel, ...]:
        """The channels that say it is off; one that says nothing contradicts nobody."""
        return tuple(channel for channel in self.channels if channel.phantom == "off")

    @property
    def on(self) -> bool:
        """Whether it is on: some channel says so, and the model can."""
        return self.available and bool(self.says_on)

    @property
    def words(self) -> str:
        """The sockets as written: west-box/in/2, or west-box/in/1–4."""
        first = self.sockets[0]
        return f"{first.device}/{first.side}/{spans([socket.number for socket in self.sockets])}"


class Fed(NamedTuple):
    """A source that arrives where it should, with the supply of each of its sockets."""

    source: Source
    supplies: tuple[Supply, ...]
    channels: tuple[Channel, ...]

    @property
    def live(self) -> tuple[Supply, ...]:
        """The supplies that are on."""
        return tuple(supply for supply in self.supplies if supply.on)


@lru_cache(maxsize=2)  # several rules ask it of the same rig
def supplies(rig: ResolvedRig, wrong_patch: bool = False) -> dict[Socket, Supply]:
    """Return the supply of every socket that a channel takes; with `wrong_patch`, channels patched wrongly count too."""
    wrong = set() if wrong_patch else _wrongly_fed(rig)
    if not wrong and not wrong_patch:
        return supplies(rig, wrong_patch=True)
    by_switch: dict[tuple[str, int], list[Channel]] = {}
    for arrival in rig.arrivals.values():
        socket = arrival.socket
        if socket is not None and rig.has_socket(socket) and arrival.channel.address not in wrong:
            first = rig.device(socket.device).model.inputs.phantom_group(socket.number).start
            by_switch.setdefault((socket.device, first), []).append(arrival.channel)
    found: dict[Socket, Supply] = {}
    for (device, first), channels in by_switch.items():
        group = rig.device(device).model.inputs.phantom_group(first)
        sockets = tuple(Socket(device, "in", number) for number in group)
        available = rig.device(device).model.inputs.phantom != "none"
        found.update(dict.fromkeys(sockets, Supply(sockets, tuple(channels), available)))
    return found


def _wrongly_fed(rig: ResolvedRig) -> set[str]:
    """Return the channels that receive another source than they should, for whatever reason, told with that reason."""
    return {
        arrival.channel.address
        for arrival in rig.arrivals.values()
        if isinstance(arrival.channel.carries, str) and arrival.channel.carries not in arrival.sources
    }


@lru_cache(maxsize=1)
def fed_sources(rig: ResolvedRig) -> tuple[Fed, ...]:
    """Return every source that some channel rightly receives; all else is told by the rules on cabling, plugs and patch."""
    wrong = _wrongly_fed(rig)
    at = supplies(rig)
    found: list[Fed] = []
    for source in rig.rig.sources.values():
        channels = [c for c in rig.channels_of.get(source.name, ()) if c.address not in wrong]
        usable = [socket for socket in source.sockets if socket in at and len(rig.sources_in[socket]) == 1]
        if channels and usable:
            found.append(Fed(source, tuple(at[socket] for socket in usable), tuple(channels)))
    return tuple(found)


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


def phantom_astray(rig: ResolvedRig, arrivals: Iterable[Arrival]) -> str:
    """Warn of phantom power that a mix-up puts on what it may harm; nothing where it puts it on nothing of the kind."""
    told = [
        f" Phantom power of channel {arrival.channel.number} now reaches {name}: mute and switch it off first."
        for arrival in arrivals
        if arrival.channel.phantom == "on"
        for name in arrival.sources
        if must_not(rig.rig.sources[name])
    ]
    return "".join(told)


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
    every = {supply.sockets: supply for supply in supplies(rig, wrong_patch=True).values() if supply.on}
    return sorted(every.values(), key=lambda supply: (order[supply.sockets[0].device], supply.sockets[0].number))


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
        cures = [row.finding.cures[0] for row in told if row.finding.cures and row.finding.cures[0].change]
        change = merged(dict(cure.change) for cure in cures if cure.change)
        yield Finding(
            f"{headline.format(len(told))}: {listed((row.brief for row in told), '; ')}.",
            (
                rig.place(("devices", console), console, at_key=True),
                *(place for row in told for place in row.finding.places),
            ),
            (Cure(listed((cure.text for cure in cures), "; "), change),) if len(cures) == len(told) else (),
            {"volts": VOLTS, "sources": len(told)},
            members=tuple(row.finding.about for row in told),
        )
