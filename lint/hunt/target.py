"""What is hunted: the signal that somebody names, from where it begins to where it is missed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from lint.read.nearest import did_you_mean
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import InputPoint, Return, Signal, Socket
from lint.rig.rig import HOUSE_LOUDSPEAKERS, Channel, Destination, Effects, Source


class UnknownTargetError(Exception):
    """There is nothing of that name to hunt, or no way to it; the text says what there is."""


@dataclass(frozen=True)
class Target:
    """The ends of a path and what lies between: each is None or empty where the path does not go that far.

    `leaks` says that the source is heard at the destination and should not be: right there is where it is not heard.
    `effects` is the unit that the channel is the return of: the path begins at what feeds it. `then` is the rest of a
    path that leads by an effects unit.
    """

    name: str
    source: str | None = None
    socket: Socket | None = None
    channel: Channel | None = None
    point: InputPoint | None = None
    mixes: tuple[str, ...] = ()
    signal: Signal | None = None
    output: Socket | None = None
    destination: Destination | None = None
    leaks: bool = False
    effects: Effects | None = None
    then: Target | None = None


def target_of(rig: ResolvedRig, what: str, at: str | None = None) -> Target:
    """Return the path that `what` is meant to take, to the destination `at`.

    It may be a source, channel, effects unit, mix or destination. Where `at` is not said a source or channel is
    followed to the house, and else to wherever it is heard first. Raises UnknownTargetError.
    """
    end = _destination(rig, at) if at is not None else None
    hung = rig.rig.destinations.values()
    destination = _named(hung, what) or _plugged(hung, what)
    if destination is not None:
        return _to_destination(rig, destination)
    if what in rig.rig.mixes:
        return _from_mix(rig, what, end)
    channel = _channel(rig, what)
    source = _named(rig.rig.sources.values(), what) or _plugged(rig.rig.sources.values(), what)
    if channel is None and source is None:
        return _from_effects(rig, what, end)
    if channel is None and source is not None:
        meant = [*rig.carriers_of.get(source.name, ()), *rig.channels_of.get(source.name, ())]
        channel = meant[0] if meant else None
    return _from_channel(rig, source.name if source else None, channel, end)


def _from_effects(rig: ResolvedRig, what: str, end: Destination | None) -> Target:
    units = rig.rig.effects.values()
    unit = next((unit for unit in units if what in (unit.name, f"effects/{unit.name}")), None)
    if unit is None and what in {*rig.boxes, *rig.rig.cables, *rig.rig.circuit_names}:
        raise UnknownTargetError(
            f"{what} is no signal: hunt what is missed (`rigwalk trace` tells what rides on {what}), or ask `rigwalk "
            f"spares` how to carry on without {what}"
        )
    if unit is None:
        names = [*rig.rig.sources, *rig.rig.mixes, *rig.rig.destinations, *(unit.name for unit in units)]
        kinds = "a source, channel number, effects unit, mix, destination or socket"
        raise UnknownTargetError(f"nothing here is called '{what}'{did_you_mean(what, names, most=0)} ({kinds})")
    channel = next(_returns(rig, unit), None)
    if channel is not None:
        return replace(_from_channel(rig, None, channel, end), name=unit.name)
    return Target(unit.name, effects=unit) if end is None else _no_way(unit.name, end)


def _unit_of(rig: ResolvedRig, channel: Channel) -> Effects | None:
    """Return the effects unit that a channel is, or is meant to be, the return of."""
    back = channel.carries or rig.arrivals[channel.key].effects
    return rig.rig.effects.get((back.console, back.effects)) if isinstance(back, Return) else None


def _returns(rig: ResolvedRig, unit: Effects) -> Iterator[Channel]:
    return (channel for channel in rig.rig.channels.values() if _unit_of(rig, channel) == unit)


def leak_of(rig: ResolvedRig, what: str, at: str) -> Target:
    """Return the path on which `what` may be heard at a destination where it should not be: by what it is sent.

    Raises UnknownTargetError.
    """
    end = _destination(rig, at)
    departure = rig.departures[end.name][0]
    signal = end.expects[0] if end.expects else departure.signal
    way = Target(end.name, None, None, None, None, _mixes(signal), signal, departure.socket, end, leaks=True)
    if what in rig.rig.mixes:
        return replace(way, name=what)
    start = target_of(rig, what)
    if start.source is None and start.channel is None:
        raise UnknownTargetError(f"{what} is a destination; say what is heard at {at}: a source, channel or mix")
    return replace(
        start, mixes=_mixes(signal), signal=signal, output=departure.socket, destination=end, leaks=True, then=None
    )


def _mixes(signal: Signal | None) -> tuple[str, ...]:
    return (signal.name,) if signal is not None and signal.kind == "mix" else ()


Named = TypeVar("Named", Source, Destination)


def _named(rows: Iterable[Named], what: str) -> Named | None:
    label = what.casefold()
    return next((row for row in rows if row.name == what or row.label.casefold() == label != ""), None)


def _plugged(rows: Iterable[Named], where: str) -> Named | None:
    """Return what is plugged into the socket of an address."""
    return next((row for row in rows if where in map(str, row.sockets)), None)


def _destination(rig: ResolvedRig, name: str) -> Destination:
    found = _named(rig.rig.destinations.values(), name)
    if found is None:
        raise UnknownTargetError(f"no destination is called '{name}'{did_you_mean(name, rig.rig.destinations)}")
    return found


def _channel(rig: ResolvedRig, what: str) -> Channel | None:
    number = what.removeprefix("channel").strip(" /")
    for channel in rig.rig.channels.values():
        if (
            str(channel.number) == number
            or channel.address == what
            or channel.label.casefold() == what.casefold() != ""
        ):
            return channel
    return None


def _to_destination(rig: ResolvedRig, destination: Destination) -> Target:
    departure = rig.departures[destination.name][0]
    signal = destination.expects[0] if destination.expects else departure.signal
    return Target(
        destination.name, mixes=_mixes(signal), signal=signal, output=departure.socket, destination=destination
    )


def _from_mix(rig: ResolvedRig, mix: str, end: Destination | None) -> Target:
    found = next(_ways_out(rig, (mix,), end), None)
    if found is None:
        return Target(mix, mixes=(mix,)) if end is None else _no_way(mix, end)
    return Target(mix, None, None, None, None, *found)


def _no_way(what: str, end: Destination) -> Target:
    raise UnknownTargetError(
        f"by the rig {what} does not get to {end.name}; if it is heard there hunt it as `elsewhere`, else trace it"
    )


def _from_channel(rig: ResolvedRig, source: str | None, channel: Channel | None, end: Destination | None) -> Target:
    if source is None and channel is not None:
        arrival = rig.arrivals[channel.console, channel.number]
        carried = channel.carries if isinstance(channel.carries, str) else None
        source = carried or (arrival.sources[0] if arrival.sources else None)
    socket = _socket(rig, source, channel)
    point = rig.input_point(socket, channel.console) if socket and channel and rig.has_socket(socket) else None
    name = source or (f"channel {channel.number}" if channel else "")
    base = (name, source, socket, channel, point)
    if channel is None:
        return Target(*base)
    unit = _unit_of(rig, channel) if source is None else None
    found = next(_ways_out(rig, _first_mixes(rig, channel), end), None)
    if found is not None:
        return Target(*base, *found, effects=unit)
    if (then := _by_effects(rig, channel, end)) is not None and then.effects is not None:
        fed = (then.effects.fed_by.name,)
        return Target(*base, fed, destination=then.destination, effects=unit, then=then)
    return Target(*base, effects=unit) if end is None else _no_way(name, end)


def _by_effects(rig: ResolvedRig, channel: Channel, end: Destination | None) -> Target | None:
    """Return the rest of a way by an effects unit that one of a channel's mixes feeds, where there is one."""
    for mix in _first_mixes(rig, channel):
        for unit in rig.rig.effects.values():
            if unit.fed_by.kind == "mix" and unit.fed_by.name == mix:
                for back in _returns(rig, unit):
                    found = next(_ways_out(rig, _first_mixes(rig, back), end), None)
                    if found is not None:
                        return Target(unit.name, None, None, back, None, *found, effects=unit)
    return None


def _socket(rig: ResolvedRig, source: str | None, channel: Channel | None) -> Socket | None:
    if source is None:
        return None
    sockets = rig.rig.sources[source].sockets
    heard = (s for s in sockets if channel and rig.has_socket(s) and rig.input_point(s, channel.console) is not None)
    return next(heard, sockets[0])


def _first_mixes(rig: ResolvedRig, channel: Channel) -> tuple[str, ...]:
    mixes = [mix for mix in rig.rig.mixes.values() if mix.console == channel.console and channel.number in mix.sends]
    return tuple(mix.name for mix in sorted(mixes, key=lambda mix: mix.kind != "house"))


Way = tuple[tuple[str, ...], Signal, Socket, Destination]


def _ways_out(rig: ResolvedRig, mixes: tuple[str, ...], end: Destination | None) -> Iterator[Way]:
    """Yield the ways from mixes to destinations, the shortest first, house loudspeakers before others."""
    queue: list[tuple[str, ...]] = [(mix,) for mix in mixes]
    seen = set(mixes)
    for way in queue:  # grows while it is walked
        rows = [
            (destination, departure.socket, departure.signal)
            for destination, departure, _ in rig.outputs()
            if departure.signal is not None and departure.signal.kind == "mix" and departure.signal.name == way[-1]
            if end is None or destination.name == end.name
        ]
        for destination, socket, signal in sorted(rows, key=lambda row: row[0].kind not in HOUSE_LOUDSPEAKERS):
            yield way, signal, socket, destination
        for taker in rig.taken_by.get(way[-1], ()):
            if taker.name not in seen:
                seen.add(taker.name)
                queue.append((*way, taker.name))
