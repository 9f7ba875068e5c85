"""How sheets call things: by what the crew calls them, with the address where it matters."""

from __future__ import annotations

from collections.abc import Iterable

from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Slot, Socket, spans
from lint.rig.plant import Amplifier
from lint.rig.rig import Channel, Destination, Device, Source

_SIDES = {"in": "input", "out": "output"}


def kind_words(kind: str) -> str:
    """Return a kind in words: `dynamic-microphone` is a dynamic mic, a DI keeps its capitals."""
    return kind.replace("-", " ").replace(" microphone", " mic").replace(" di", " DI")


def written(name: str, label: str) -> str:
    """Return what is written on a thing, with its name in the rig file behind it where that is another."""
    return f"{label} ({name})" if label and label != name else name


def title(device: Device) -> str:
    """Return a device by what is written on it, and where it stands."""
    return written(device.name, device.label) + (f", {device.location}" if device.location else "")


def source_words(source: Source) -> str:
    """Return a source by what the crew calls it."""
    return written(source.name, source.label)


def plug_words(row: Destination | Amplifier) -> str:
    """Return what hangs on an output by what is written on it."""
    amplifier = "amplifier " if isinstance(row, Amplifier) else ""
    return amplifier + written(row.name, row.label)


def channel_short(rig: ResolvedRig, channel: Channel) -> str:
    """Return a channel's number and label, and its console where there are several."""
    label = f" {channel.label}" if channel.label else ""
    desk = f" ({channel.console})" if len(rig.rig.consoles) > 1 else ""
    return f"{channel.number}{label}{desk}"


def socket_words(socket: Socket) -> str:
    """Return a socket as it is read aloud: `west-box input 3`."""
    return f"{socket.device} {_SIDES[socket.side]} {socket.number}"


def slot_words(slot: Slot | None) -> str:
    """Return a slot without its console's name: `link-1/9`."""
    return f"{slot.port.name}/{slot.number}" if slot else ""


def bank_words(bank: str | None) -> str:
    """Return a selector position with an en dash."""
    return (bank or "").replace("-", "–")


def sockets_short(sockets: Iterable[Socket]) -> str:
    """Return sockets by device and side, their numbers as ranges: `desk/out/1–2`."""
    numbers: dict[str, list[int]] = {}
    for socket in sockets:
        numbers.setdefault(f"{socket.device}/{socket.side}", []).append(socket.number)
    return ", ".join(f"{side}/{spans(sorted(set(found)))}" for side, found in numbers.items())
