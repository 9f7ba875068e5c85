"""What does not get what it is meant to in a rig, and why: what a cure leaves wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

from lint.plan.intent import Intent, sender, unmet_channels, unmet_outputs
from lint.plan.phantom import Trouble
from lint.resolve.dark import dark_in
from lint.resolve.resolved import Departure, ResolvedRig
from lint.rig.address import Return, Socket
from lint.rig.rig import Channel


class Unmet(NamedTuple):
    """Something that is wrong, in words, with its cause where there is one to tell, and where that strikes (`at`).

    `silent` is what gets nothing at all: a source or an effects unit's return, or with `is_output` what hangs at an
    output.
    """

    what: str
    cause: str = ""
    at: str = ""
    silent: str = ""
    is_output: bool = False

    def __str__(self) -> str:
        return f"{self.what}: {self.at}{self.cause}" if self.cause else self.what


def unmet_of(
    intent: Intent, rig: ResolvedRig, dead: Collection[str], unpowered: Iterable[Trouble]
) -> tuple[Unmet, ...]:
    """Return every channel and destination that does not get what it is meant to, or its phantom power, and why."""
    return (
        *_channels(intent, rig, dead),
        *_unheard(intent, rig, dead),
        *(Unmet(trouble.words) for trouble in unpowered),
        *_dark(intent, rig, dead),
        *_outputs(intent, rig, dead),
    )


def _channels(intent: Intent, rig: ResolvedRig, dead: Collection[str]) -> Iterator[Unmet]:
    for channel, wanted in unmet_channels(intent, rig, dead):
        got = " and ".join(rig.arrivals[channel.console, channel.number].sources)
        what = f"{rig.rig.channel_words(channel)} gets {got or 'nothing'}, not {wanted}"
        at, cause = _why_unheard(rig, channel, wanted, dead)
        yield Unmet(what, cause, at, "" if got else str(wanted))


def _unheard(intent: Intent, rig: ResolvedRig, dead: Collection[str]) -> Iterator[Unmet]:
    """Yield the sources that nobody hears any more because only dead consoles had a channel for them."""
    only: dict[str, list[str]] = {}
    for (console, _), wanted in intent.channels.items():
        if isinstance(wanted, str):
            only.setdefault(wanted, []).append(console)
    for name, consoles in only.items():
        on = {channel.console for channel in rig.channels_of.get(name, ())}
        if on <= set(dead) and set(consoles) <= set(dead):
            who = " and ".join(dict.fromkeys(consoles))
            yield Unmet(f"{name} is heard nowhere", f"only {who} has a channel for it", silent=name)


def _dark(intent: Intent, rig: ResolvedRig, dead: Collection[str]) -> Iterator[Unmet]:
    dark = dark_in(rig)
    for name in dict.fromkeys(name for name, _ in intent.outputs):
        if name in dead:
            yield Unmet(f"{name} has no mains", f"the circuit {dark[name]} is dark" if name in dark else "")


def _outputs(intent: Intent, rig: ResolvedRig, dead: Collection[str]) -> Iterator[Unmet]:
    for end, departure, wished in unmet_outputs(intent, rig, dead):
        got = str(departure.signal or "") if sender(departure) not in dead else ""
        where = f"{end.name} ({departure.socket})"
        what = f"{where} gets {got or 'nothing'}, not {wished}"
        yield Unmet(what, _why_unfed(rig, departure, dead), "", "" if got else where, is_output=True)


def _why_unheard(rig: ResolvedRig, channel: Channel, wanted: str | Return, dead: Collection[str]) -> tuple[str, str]:
    """Return where a channel is cut off from what it is meant to get, and by what; empty where that is not said."""
    arrival = rig.arrivals[channel.key]
    if arrival.stop == "socket-dead":
        return "", f"{arrival.socket} is dead"
    if isinstance(wanted, Return):
        return "", ""
    if wanted not in rig.rig.sources:
        return "", f"{wanted} is no longer there"
    return _why_cut_off(rig, rig.rig.sources[wanted].sockets[0], dead)


def _why_cut_off(rig: ResolvedRig, socket: Socket, dead: Collection[str]) -> tuple[str, str]:
    if not rig.has_socket(socket):
        return "", f"there is no socket {socket}"
    if socket.device in dead or not rig.is_reached(socket.device):
        return f"it is plugged into {socket}, and ", _cut_off(rig, socket.device, dead)
    if rig.device(socket.device).model.chain is not None and socket not in rig.slot_of:
        return "", f"the link has no slot left for {socket}"
    return "", ""


def _why_unfed(rig: ResolvedRig, departure: Departure, dead: Collection[str]) -> str:
    socket = departure.socket
    if not rig.has_socket(socket):
        return f"there is no socket {socket}"
    if sender(departure) in dead:
        return _cut_off(rig, sender(departure), dead)
    return "" if rig.is_reached(socket.device) else _cut_off(rig, socket.device, dead)


def _cut_off(rig: ResolvedRig, device: str, dead: Collection[str]) -> str:
    """Say why nothing gets to or from a device: its own mains, a console's, or its link."""
    dark = dark_in(rig)
    consoles = [console.name for console in rig.rig.consoles if console.name in dead]
    blamed = device if device in dark or device in consoles else next(iter(consoles), "")
    if blamed in dark:
        return f"{blamed} has no mains"
    return f"{blamed} is dead" if blamed else f"no console reaches {device}"
