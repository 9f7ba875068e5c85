"""The console's patch by channel, and what it sends to its outputs."""

from __future__ import annotations

from collections.abc import Iterator

from lint.page.page import Block, Section, Table
from lint.resolve.resolved import Arrival, ResolvedRig
from lint.rig.address import Slot, Socket, spans
from lint.rig.rig import Channel, Device
from lint.sheet.boxes import console_sockets
from lint.sheet.marks import Marks

CHANNELS = ("ch", "label", "carries", "patched from", "box socket", "but arrives", "48 V", "dB", "pan", "see")
SENDS = ("output", "carries", "leaves at")
_STOPS = {
    "unpatched": "not patched",
    "no-socket": "nothing (no box)",
    "empty-socket": "nothing plugged in",
    "socket-missing": "no such socket",
    "box-lost": "nothing (cut off)",
}


def console_sections(rig: ResolvedRig, marks: Marks) -> list[Section]:
    """Return one section a console that has channels or sends anything."""
    found = []
    for console in rig.rig.consoles:
        rows = tuple(
            _channel(rig, arrival, marks) for key, arrival in sorted(rig.arrivals.items()) if key[0] == console.name
        )
        blocks: list[Block] = [Table("Channels", CHANNELS, rows, group=console.name, tick=True)] if rows else []
        if blocks:
            found.append(Section("console", f"{console.name}: patch by channel", tuple(blocks)))
    return found


def local_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return what is plugged into the consoles themselves, or None."""
    tables = tuple(console_sockets(rig, marks))
    return Section("local", "At the console", tables) if tables else None


def sends_section(rig: ResolvedRig) -> Section | None:
    """Return what each console sends to each output slot and socket, or None where it sends nothing."""
    tables = tuple(
        Table(console.name, SENDS, rows, group=console.name, tick=True)
        for console in rig.rig.consoles
        if (rows := tuple(_sends(rig, console)))
    )
    return Section("outputs", "Output patch of the console", tables) if tables else None


def _channel(rig: ResolvedRig, arrival: Arrival, marks: Marks) -> tuple[str, ...]:
    channel = arrival.channel
    gain = "" if channel.gain_db is None else f"{channel.gain_db:g}"
    return (
        str(channel.number),
        channel.label,
        str(channel.carries or ""),
        _point(channel),
        f"{arrival.socket.device} {arrival.socket.number}" if arrival.slot and arrival.socket else "",
        "" if _is_right(arrival) else arrives(arrival),
        "ON" if channel.phantom == "on" else channel.phantom or "",
        gain,
        channel.pan or "",
        marks.at(channel.address, *_of(rig, arrival)),
    )


def _point(channel: Channel) -> str:
    """Return what a channel is patched from, without the console's own name before it."""
    return str(channel.patched_from or "").removeprefix(f"{channel.console}/")


def _of(rig: ResolvedRig, arrival: Arrival) -> tuple[str, ...]:
    """Return the addresses of what arrives, so that a finding about the plug shows at its channel as well."""
    socket = (str(arrival.socket),) if arrival.socket else ()
    return (*socket, *(name for name in arrival.sources if name in rig.rig.sources))


def _is_right(arrival: Arrival) -> bool:
    """Whether exactly what the channel is meant to carry arrives there."""
    if arrival.stop:
        return False
    return str(arrival.channel.carries) == (str(arrival.effects) if arrival.effects else "".join(arrival.sources))


def arrives(arrival: Arrival) -> str:
    """Say what really arrives on a channel."""
    if arrival.stop:
        return _STOPS[arrival.stop]
    return str(arrival.effects) if arrival.effects is not None else " and ".join(arrival.sources)


def _sends(rig: ResolvedRig, console: Device) -> Iterator[tuple[str, ...]]:
    leaves: dict[Slot | Socket, list[Socket]] = {}
    for device in rig.rig.devices.values():
        for number in range(1, device.model.outputs.count + 1):
            departure = rig.departure(Socket(device.name, "out", number))
            if departure.signal is not None and departure.slot is not None:
                leaves.setdefault(departure.slot, []).append(departure.socket)
    for where, feed in sorted(rig.rig.feeds.items(), key=lambda entry: str(type(entry[0])) + _key(entry[0])):
        if (where.device if isinstance(where, Socket) else where.port.device) != console.name:
            continue
        sockets = leaves.get(where, []) if isinstance(where, Slot) else [where]
        by_device: dict[str, list[int]] = {}
        for socket in sockets:
            by_device.setdefault(socket.device, []).append(socket.number)
        ends = ", ".join(f"{name} output {spans(numbers)}" for name, numbers in by_device.items())
        copied = f" (copy of {feed.copied_from})" if feed.copied_from else ""
        yield str(where), str(feed.signal) + copied, ends or "no socket"


def _key(where: Slot | Socket) -> str:
    device = where.device if isinstance(where, Socket) else str(where.port)
    return f"{device} {where.number:06d}"
