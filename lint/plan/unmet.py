"""What does not get what it is meant to in a rig, and why: what a cure leaves wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

from lint.plan.intent import Intent, is_cut, sender, unmet_channels, unmet_outputs
from lint.plan.phantom import Trouble
from lint.resolve.dark import dark_in, unlit, way_of
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
    intent: Intent, rig: ResolvedRig, dead: Collection[str], unpowered: Iterable[Trouble], before: ResolvedRig
) -> tuple[Unmet, ...]:
    """Return every channel and destination that does not get what it is meant to, or its phantom power, and why.

    By the rig `before` it is known what a box hung on that hangs on nothing now.
    """
    return (
        *_channels(intent, rig, dead, before),
        *_unheard(intent, rig, dead),
        *(Unmet(trouble.words) for trouble in unpowered),
        *_dark(intent, rig, dead),
        *_outputs(intent, rig, dead, before),
    )


def _channels(intent: Intent, rig: ResolvedRig, dead: Collection[str], before: ResolvedRig) -> Iterator[Unmet]:
    gone = unlit(rig).union(dead)
    for channel, wanted in unmet_channels(intent, rig, dead):
        arrival = rig.arrivals[channel.key]
        got = "" if is_cut(arrival, gone) else " and ".join(arrival.sources)
        what = f"{rig.rig.channel_words(channel)} gets {got or 'nothing'}, not {wanted}"
        at, cause = _why_unheard(rig, channel, wanted, dead, before)
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


def _outputs(intent: Intent, rig: ResolvedRig, dead: Collection[str], before: ResolvedRig) -> Iterator[Unmet]:
    gone = unlit(rig).union(dead)
    for end, departure, wished in unmet_outputs(intent, rig, dead):
        got = "" if is_cut(departure, gone) else str(departure.signal or "")
        where = f"{end.name} ({departure.socket})"
        what = f"{where} gets {got or 'nothing'}, not {wished}"
        yield Unmet(what, _why_unfed(rig, departure, dead, before), "", "" if got else where, is_output=True)


def _why_unheard(
    rig: ResolvedRig, channel: Channel, wanted: str | Return, dead: Collection[str], before: ResolvedRig
) -> tuple[str, str]:
    """Return where a channel is cut off from what it is meant to get, and by what; empty where that is not said."""
    arrival = rig.arrivals[channel.key]
    if arrival.stop == "socket-dead":
        return "", f"{arrival.socket} is dead"
    if isinstance(wanted, Return):
        return "", ""
    if wanted not in rig.rig.sources:
        return "", f"{wanted} is no longer there"
    return _why_cut_off(rig, rig.rig.sources[wanted].sockets[0], dead, before)


def _why_cut_off(rig: ResolvedRig, socket: Socket, dead: Collection[str], before: ResolvedRig) -> tuple[str, str]:
    if not rig.has_socket(socket):
        return "", f"there is no socket {socket}"
    if socket.device in dead or socket.device in unlit(rig) or not rig.is_reached(socket.device):
        return f"it is plugged into {socket}, and ", _cut_off(rig, socket.device, dead, before)
    if rig.device(socket.device).model.chain is not None and socket not in rig.slot_of:
        return "", f"the link has no slot left for {socket}"
    return "", ""


def _why_unfed(rig: ResolvedRig, departure: Departure, dead: Collection[str], before: ResolvedRig) -> str:
    socket = departure.socket
    if not rig.has_socket(socket):
        return f"there is no socket {socket}"
    if sender(departure) in dead:
        return _cut_off(rig, sender(departure), dead, before)
    is_reached = rig.is_reached(socket.device) and socket.device not in unlit(rig)
    return "" if is_reached else _cut_off(rig, socket.device, dead, before)


def _cut_off(rig: ResolvedRig, device: str, dead: Collection[str], before: ResolvedRig) -> str:
    """Say why nothing gets to or from a device: what it hangs on, or did, has no mains or is a dead console."""
    dark, consoles = dark_in(rig), {console.name for console in rig.rig.consoles}
    for name in (*way_of(rig, device), *way_of(before, device)):
        if name in dark:
            return f"{name} has no mains"
        if name in consoles and name in dead:
            return f"{name} is dead"
    return f"no console reaches {device}"
