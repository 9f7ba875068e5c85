"""How rows of a checklist say sockets, channels and signals."""

from __future__ import annotations

from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Signal, Socket, spans
from lint.rig.rig import Channel, Destination


def line(text: str) -> str:
    """Return text on one line."""
    return " ".join(text.split())


def titled(name: str, location: str) -> str:
    """Return a name with its location."""
    return line(f"{name} ({location})" if location else name)


def dashed(bank: str | None) -> str:
    """Return a bank as a range is written."""
    return (bank or "").replace("-", "–")


def socket_words(socket: Socket) -> str:
    """Say a socket."""
    return f"{socket.device}, {'input' if socket.side == 'in' else 'output'} {socket.number}"


def sockets_words(sockets: tuple[Socket, ...]) -> str:
    """Say the outputs that one thing is plugged into."""
    if len(sockets) < 2:
        return socket_words(sockets[0]) if sockets else ""
    return f"{sockets[0].device}, outputs {spans([socket.number for socket in sockets])}"


def signal_words(signal: Signal) -> str:
    """Say a signal with its side."""
    return f"{signal.name} {signal.side}" if signal.side and signal.kind == "mix" else str(signal)


def expected_words(destination: Destination) -> str:
    """Say the mix of a destination; the two sides of one stereo mix are that mix."""
    if len({(signal.kind, signal.name) for signal in destination.expects}) == 1 and len(destination.expects) > 1:
        return destination.expects[0].name
    return ", ".join(signal_words(signal) for signal in destination.expects)


def channels_words(resolved: ResolvedRig, channels: list[Channel]) -> str:
    """Write channel numbers shortly, by console where the rig has several."""
    by_console: dict[str, list[int]] = {}
    for channel in channels:
        by_console.setdefault(channel.console, []).append(channel.number)
    several = len(resolved.rig.consoles) > 1
    return "; ".join(
        spans(sorted(numbers)) + (f" on {console}" if several else "") for console, numbers in by_console.items()
    )


def counted(numbers: str) -> str:
    """Return channel numbers with their noun."""
    return numbers and f"{'channel' if numbers.isdecimal() else 'channels'} {numbers}"


def phantom_channels(resolved: ResolvedRig) -> tuple[str, str]:
    """Return the channels that carry a source: those with phantom power on, and the rest."""
    rows = [channel for channel in resolved.rig.channels.values() if isinstance(channel.carries, str)]
    on = [channel for channel in rows if channel.phantom == "on"]
    off = [channel for channel in rows if channel.phantom != "on"]
    return channels_words(resolved, on), channels_words(resolved, off)
