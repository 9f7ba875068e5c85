"""How it is said what stays muted, where phantom power comes on or stays off, and on which channels, around a plan."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from lint.plan.waking import Turned
from lint.resolve.phantom import NEEDED, Switch, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket, spans
from lint.rig.rig import Channel, Source

NOTHING = "nothing"
FEWEST_FOLDED = 3  # channels that get nothing, told in one line


class Kept(NamedTuple):
    """A channel that stays muted at the end, what it is to carry and what arrives there in its place."""

    channel: Channel
    wanted: str
    gets: str


def kept_words(
    end: ResolvedRig, kept: Sequence[Kept], sharing: Collection[Kept], lit: Collection[Channel]
) -> list[str]:
    """Say which channels stay muted and what they get: of many that get nothing in one line.

    The phantom power of those in `sharing` comes on again with their switch; that of those in `lit` was never off.
    """
    on = dict.fromkeys(sharing, "comes on again") | {row: "stays on" for row in kept if row.channel in lit}
    idle = [row for row in kept if row.gets == NOTHING and row not in on]
    folded = idle if len(idle) >= FEWEST_FOLDED else []
    words = []
    if folded:
        off = [row.channel for row in folded if row.channel.phantom == "on"]
        off_too = f", and phantom power off on {channels_words(end, off)}" if off else ""
        words.append(f"leave {channels_words(end, [row.channel for row in folded])} muted{off_too}: they get nothing")
    for row in kept:
        if row in folded:
            continue
        off_too = " and its phantom power off" if row.channel.phantom == "on" and row not in on else ""
        but = f"; its phantom power {on[row]} with the switch that it shares" if row in on else ""
        channel = end.rig.channel_words(row.channel)
        words.append(f"leave {channel} muted{off_too}: it gets {row.gets}, not {row.wanted}{but}")
    return words


def along_words(end: ResolvedRig, along: Sequence[Channel]) -> str:
    """Say which channels come on with a switch, and that it does no harm there or feeds a source twice."""
    if not along:
        return ""
    twice = _twice_fed(end, along)
    words = _twice_words(end, twice) if twice else "it does no harm there"
    return f", and with it on {channels_words(end, along)} (the same switch; {words})"


def _twice_fed(end: ResolvedRig, along: Iterable[Channel]) -> dict[str, tuple[Channel, ...]]:
    """Return the sources on channels that have their phantom power by another leg, with the channels that give it."""
    found = {}
    for channel in along:
        arrival = end.arrivals[channel.key]
        at = arrival.socket
        for source in (end.rig.sources[name] for name in arrival.sources):
            if at is None or phantom_need(source) != NEEDED:
                continue
            # What something on its switch must not have stays off, whatever the file says.
            giving = (row for row in end.phantom.fed_elsewhere(source, at) if not barred_by(end, row))
            if by := tuple(giving):
                found[source.name] = by
    return found


def _twice_words(end: ResolvedRig, twice: Mapping[str, tuple[Channel, ...]]) -> str:
    names = " and ".join(twice)
    by = channels_words(end, dict.fromkeys(channel for rows in twice.values() for channel in rows))
    verb, their = ("has", "its") if len(twice) == 1 else ("have", "their")
    return (
        f"but {names} then {verb} it from {by} too, and both ends of {their} split must not feed it: agree which one "
        "does, and switch it off at the other"
    )


def fed_otherwise(
    end: ResolvedRig, left_off: Sequence[Channel], woken: Iterable[Channel]
) -> dict[Channel, tuple[Channel, ...]]:
    """Return which channels that have phantom power off have a source that needs it and gets it by another leg, and
    the channels that give it: by those that are `woken` too, not by those that are off themselves.
    """
    found = {}
    for channel in left_off:
        arrival = end.arrivals[channel.key]
        needing = [source for name in arrival.sources if phantom_need(source := end.rig.sources[name]) == NEEDED]
        by = [_giving(end, source, arrival.socket, left_off, woken) for source in needing]
        if by and all(by):
            found[channel] = tuple(dict.fromkeys(row for rows in by for row in rows))
    return found


def _giving(
    end: ResolvedRig, source: Source, socket: Socket | None, left_off: Sequence[Channel], woken: Iterable[Channel]
) -> list[Channel]:
    """Return the channels that give a source phantom power by other legs than that in a socket."""
    if socket is None:
        return []
    legs = {end.phantom.switch_at(at) for at in source.sockets if at != socket and end.has_socket(at)}
    rows = (*end.phantom.fed_elsewhere(source, socket), *woken)
    return [row for row in rows if row not in left_off and switch_of(end, row) in legs]


def left_off_words(
    end: ResolvedRig, channels: Sequence[Channel], fed: Mapping[Channel, Sequence[Channel]]
) -> list[str]:
    """Say where phantom power stays off, who must not have it, and who needs it: without it, or `fed` by whom."""
    found: dict[tuple[tuple[str, ...], str], list[Channel]] = {}
    for channel in channels:
        shared = barred_by(end, channel)
        own = end.arrivals[channel.key].sources
        need = "fed" if channel in fed else "needs" if needs_it(end, channel) else ""
        kind = "own" if set(own) & set(shared) else need
        found.setdefault((tuple(shared), kind), []).append(channel)
    words = []
    for (barred, kind), rows in found.items():
        where, who = channels_words(end, rows), " and ".join(barred)
        if kind == "needs":
            hungry = list(dict.fromkeys(name for channel in rows for name in end.arrivals[channel.key].sources))
            verb = "needs it and goes" if len(hungry) == 1 else "need it and go"
            words.append(
                f"leave {where} muted and phantom power off there: {who}, on the same switch, must not have it; "
                f"{' and '.join(hungry)} {verb} without"
            )
        else:
            beside = "" if kind == "own" else ", on the same switch,"
            but = _fed_words(end, rows, fed) if kind == "fed" else ""
            words.append(f"leave phantom power off on {where}: {who}{beside} must not have it{but}")
    return words


def _fed_words(end: ResolvedRig, rows: Sequence[Channel], fed: Mapping[Channel, Sequence[Channel]]) -> str:
    names = list(dict.fromkeys(name for channel in rows for name in end.arrivals[channel.key].sources))
    by = channels_words(end, dict.fromkeys(giving for channel in rows for giving in fed[channel]))
    return f"; {' and '.join(names)} {'gets' if len(names) == 1 else 'get'} it from {by}"


def idle_words(end: ResolvedRig, idle: Sequence[Channel]) -> list[str]:
    """Say where phantom power stays off because it was on for others that are not there any more."""
    if not idle:
        return []
    names = list(dict.fromkeys(name for channel in idle for name in end.arrivals[channel.key].sources))
    return [
        f"leave phantom power off on {channels_words(end, idle)}: it was on for others on the same switch, and "
        f"{', '.join(names)} {'needs' if len(names) == 1 else 'need'} none"
    ]


def later_words(end: ResolvedRig, turned: Turned) -> list[str]:
    """Say where phantom power must be off once a dead console is back."""
    consoles = " and ".join(dict.fromkeys(channel.console for channel in turned.later))
    later, again = turned.whose
    rows = (turned.again, "what is dead", " again", again), (turned.later, consoles, "", later)
    return [
        f"once {back} is back, first switch phantom power off{anew} on {channels_words(end, channels)}, muted: "
        f"{' and '.join(names)} would have it from both ends of the split"
        for channels, back, anew, names in rows
        if channels
    ]


def rested_words(end: ResolvedRig, rested: Sequence[Channel]) -> list[str]:
    """Say where phantom power stays off because the other end of a split gives it."""
    if not rested:
        return []
    arriving = dict.fromkeys(name for channel in rested for name in end.arrivals[channel.key].sources)
    names = [name for name in arriving if phantom_need(end.rig.sources[name]) == NEEDED] or list(arriving)
    by = dict.fromkeys(channel for name in names for channel in end.phantom.powering(end.rig.sources[name]))
    verb, their = ("has", "its") if len(names) == 1 else ("have", "their")
    return [
        f"leave phantom power off on {channels_words(end, rested)}: {' and '.join(names)} {verb} it from "
        f"{channels_words(end, by)} now, and both ends of {their} split must not feed it"
    ]


def channels_words(rig: ResolvedRig, channels: Iterable[Channel]) -> str:
    """Say many channels shortly: channels 1–3, 7 on desk."""
    by_console: dict[str, list[int]] = {}
    for channel in channels:
        by_console.setdefault(channel.console, []).append(channel.number)
    several = len(rig.rig.consoles) > 1
    rows = []
    for console, numbers in by_console.items():
        noun = "channel" if len(numbers) == 1 else "channels"
        rows.append(f"{noun} {spans(sorted(numbers))}" + (f" on {console}" if several else ""))
    return " and ".join(rows)


def switch_of(rig: ResolvedRig, channel: Channel) -> Switch | None:
    """Return the phantom switch of the socket that a channel takes."""
    socket = rig.arrivals[channel.key].socket
    return rig.phantom.switch_at(socket) if socket is not None and rig.has_socket(socket) else None


def barred_by(rig: ResolvedRig, channel: Channel) -> list[str]:
    """Return what phantom power of a channel would reach, by its switch, and must be kept from."""
    socket = rig.arrivals[channel.key].socket
    return rig.phantom.barred_at(socket) if socket is not None else []


def needs_it(rig: ResolvedRig, channel: Channel) -> bool:
    """Whether what arrives on a channel needs phantom power."""
    return any(phantom_need(rig.rig.sources[name]) == NEEDED for name in rig.arrivals[channel.key].sources)
