"""What is hunted: the signal that somebody names, from where it begins to where it is missed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from lint.hunt.no_way import no_way
from lint.plan.intent import sender
from lint.read.nearest import did_you_mean
from lint.resolve.follow import away_from
from lint.resolve.hearing import heard_on
from lint.resolve.resolved import Departure, ResolvedRig
from lint.rig.address import InputPoint, Return, Signal, Socket
from lint.rig.plant import Amplifier
from lint.rig.rig import HOUSE_LOUDSPEAKERS, Channel, Destination, Effects, Source


class UnknownTargetError(Exception):
    """There is nothing of that name to hunt, or no way to it; the text says what there is."""


class BelongsError(UnknownTargetError):
    """What is heard at an end gets there by the rig file itself: by which `way`, and the `names` of what it passes."""

    def __init__(self, what: str, end: str, way: Sequence[str], names: Iterable[str]) -> None:
        self.way = f"{what} gets to {end}: {' → '.join(way)}"
        self.names = {what, end, *way, *names}
        super().__init__(
            f"by the rig file {what} belongs at {end}: {' → '.join(way)}. Too loud there? Look at what is sent. "
            "Something wrong with it? Hunt it as noise or distorted"
        )


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
    amplifier: Amplifier | None = None  # the end, where no destination is named behind it
    effects: Effects | None = None
    then: Target | None = None
    away: str | None = None  # of a leak: the console whose mix it is heard in, where it has no channel on that one
    mate: str | None = None  # the other source of its pair, where the pair is hunted

    @property
    def sockets(self) -> tuple[Socket, ...]:
        """The sockets of what is heard at the end of the path."""
        end = self.destination or self.amplifier
        return end.sockets if end is not None else ()

    @property
    def end(self) -> str | None:
        """The name of what is heard at the end of the path."""
        end = self.destination or self.amplifier
        return end.name if end is not None else None


def target_of(rig: ResolvedRig, what: str, at: str | None = None) -> Target:
    """Return the path that `what` is meant to take, to the destination or amplifier `at`.

    `what` is a source, channel, effects unit, mix, destination or amplifier, or the socket of one. Where `at` is not
    said: a source or channel is followed to the house, and else to wherever it is heard first. Of an end with several
    sockets it is the first, or the one that was named.
    Raises UnknownTargetError.
    """
    target = _aimed(rig, what, at)
    index = next((n for n, socket in enumerate(target.sockets) if str(socket) in (what, at)), None)
    return target if index is None else to_socket(rig, target, index) or target


def to_socket(rig: ResolvedRig, target: Target, index: int) -> Target | None:
    """Return the path to one socket of its end; None where what is sent there is not of its mix."""
    end = target.destination or target.amplifier
    if end is None:
        return None
    departure = rig.departure(end.sockets[index])
    signal = end.expects[index] if end.expects else departure.signal
    if target.mixes and (signal is None or signal.kind != "mix" or signal.name != target.mixes[-1]):
        return None
    return replace(target, signal=signal, output=end.sockets[index])


def _aimed(rig: ResolvedRig, what: str, at: str | None) -> Target:
    end = _end(rig, at) if at is not None else None
    if (fed := _end_named(rig, what)) is not None:
        return _to_end(rig, fed)
    if what in rig.rig.mixes:
        return _from_mix(rig, what, end)
    if what in rig.rig.pairs and what not in rig.rig.sources:
        what = rig.rig.pairs[what].left
    source = _named(rig.rig.sources.values(), what) or _plugged(rig.rig.sources.values(), what)
    if source is None and end is None:
        _told_apart(rig, what)
    channels = _channels(rig, what, source)
    if not channels and source is None:
        return _from_effects(rig, what, end)
    return _from_channel(rig, source.name if source else None, channels, end)


def _from_effects(rig: ResolvedRig, what: str, end: End | None) -> Target:
    units = rig.rig.effects.values()
    unit = next((unit for unit in units if what in (unit.name, f"effects/{unit.name}")), None)
    rows = rig.rig
    if unit is None and what in {*rows.devices, *rows.cables, *rows.circuit_names}:
        raise UnknownTargetError(
            f"{what} is no signal: hunt what is missed (`rigwalk trace` tells what rides on {what}), "
            f"or ask `rigwalk spares` how to carry on without {what}"
        )
    if unit is None:
        _not_free(rig, what)
        named = (rows.sources, rows.pairs, rows.mixes, rows.destinations, rows.amplifiers)
        names = [*(name for every in named for name in every), *(unit.name for unit in units)]
        kinds = "a source, pair, channel number, effects unit, mix, destination, amplifier or socket"
        raise UnknownTargetError(f"nothing here is called '{what}'{did_you_mean(what, names, most=0)} ({kinds})")
    channel = next(_returns(rig, unit), None)
    if channel is not None:
        return replace(_from_channel(rig, None, [channel], end), name=unit.name)
    return Target(unit.name, effects=unit) if end is None else _no_way(rig, unit.name, end)


def _not_free(rig: ResolvedRig, what: str) -> None:
    """Refuse the address of a socket that nothing is plugged into. Raises UnknownTargetError."""
    device, side, number = (*what.split("/"), "", "")[:3]
    socket = Socket(device, side, int(number)) if number.isdecimal() else None
    if socket is None or str(socket) != what or device not in rig.rig.devices or side not in ("in", "out"):
        return
    if socket.number and rig.has_socket(socket):
        raise UnknownTargetError(f"{what} is free: by the rig file nothing is plugged in there that could be hunted")
    raise UnknownTargetError(f"{device} has no socket {side}/{number}")


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
    end = _end(rig, at)
    way = _to_end(rig, end)
    start = replace(way, name=what) if what in rig.rig.mixes else target_of(rig, what)
    if what not in rig.rig.mixes and start.source is None and start.channel is None:
        raise UnknownTargetError(f"{what} is a destination; say what is heard at {at}: a source, channel or mix")
    console = _console_of(rig, way)
    start = _heard_there(rig, start, way, console)
    if (meant := _meant_way(rig, start, way)) is not None:
        passed = (*way.mixes, *([start.channel.address] if start.channel is not None else ()))
        raise BelongsError(start.name, end.name, meant, passed)
    origin = start.channel.console if start.channel is not None else rig.rig.mixes[what].console
    found = replace(
        start, mixes=way.mixes, signal=way.signal, output=way.output, destination=way.destination,
        amplifier=way.amplifier, leaks=True, then=None,
    )  # fmt: skip
    return found if console in (None, origin) else replace(found, away=console, effects=None)


def _console_of(rig: ResolvedRig, way: Target) -> str | None:
    """Return the console that sends what is heard at the end of a way; None where none does."""
    if way.mixes:
        return rig.rig.mixes[way.mixes[-1]].console
    sent_by = sender(rig.departure(way.output)) if way.output is not None else None
    return sent_by if sent_by in {console.name for console in rig.rig.consoles} else None


def _heard_there(rig: ResolvedRig, start: Target, way: Target, console: str | None) -> Target:
    """Return the beginning of a leak by the channel of its source that is in the mix, else one of its console."""
    here = [channel for channel in heard_on(rig, start.source or "") if channel.console == console]
    meant = [channel for channel in here if _meant_way(rig, replace(start, channel=channel), way) is not None]
    if start.channel is None or not here or (start.channel.console == console and not meant):
        return start
    return _from_channel(rig, start.source, meant or here, None)


def _meant_way(rig: ResolvedRig, start: Target, way: Target) -> list[str] | None:
    """Return the mixes by which the rig file itself takes it to the end, the first first; None where it does not."""
    if way.signal is None or way.signal.kind != "mix":
        return None
    for name, back in rig.mixes_within(way.signal.name).items():
        mix = rig.rig.mixes[name]
        channel = start.channel
        if channel is None and name == start.name:
            return list(reversed(back))
        if channel is not None and mix.console == channel.console and channel.number in mix.sends:
            return [rig.rig.channel_words(channel), *reversed(back)]
    return None


def _mixes(signal: Signal | None) -> tuple[str, ...]:
    return (signal.name,) if signal is not None and signal.kind == "mix" else ()


Named = TypeVar("Named", Source, Destination, Amplifier)


def _named(rows: Iterable[Named], what: str) -> Named | None:
    label = what.casefold()
    return next((row for row in rows if row.name == what or row.label.casefold() == label != ""), None)


def _plugged(rows: Iterable[Named], where: str) -> Named | None:
    """Return what is plugged into the socket of an address."""
    return next((row for row in rows if where in map(str, row.sockets)), None)


End = Destination | Amplifier


def _end_named(rig: ResolvedRig, what: str) -> End | None:
    """Return the destination or amplifier of a name or label, or that is plugged into the socket of an address."""
    hung, fed = rig.rig.destinations.values(), rig.rig.amplifiers.values()
    return _named(hung, what) or _named(fed, what) or _plugged(hung, what) or _plugged(fed, what)


def _end(rig: ResolvedRig, name: str) -> End:
    found = _end_named(rig, name)
    if found is None:
        near = did_you_mean(name, [*rig.rig.destinations, *rig.rig.amplifiers])
        raise UnknownTargetError(f"no destination is called '{name}'{near}")
    return found


def _called(rig: ResolvedRig, what: str) -> list[Channel]:
    """Return the channels of a number, label or address, on whatever console."""
    number, label = what.removeprefix("channel").strip(" /"), what.casefold()
    return [
        channel
        for channel in rig.rig.channels.values()
        if str(channel.number) == number or channel.address == what or channel.label.casefold() == label != ""
    ]


def _told_apart(rig: ResolvedRig, what: str) -> None:
    """Refuse a name that channels of several consoles have that carry different things. Raises UnknownTargetError."""
    called = _called(rig, what)
    if len({channel.console for channel in called}) > 1 and len({_source_of(rig, each) for each in called}) > 1:
        names = " and ".join(map(rig.rig.channel_words, called))
        say = " or ".join(channel.address for channel in called)
        raise UnknownTargetError(f"{what} is {names}: say {say}, or the source that is missed")


def called_as_well(rig: ResolvedRig, what: str, target: Target) -> list[Channel]:
    """Return the channels of other consoles that go by the name by which one was hunted."""
    rows, channel = rig.rig, target.channel
    named = {*rows.sources, *rows.pairs, *rows.mixes, *(source.label for source in rows.sources.values())}
    called = _called(rig, what) if what not in named else []
    return [each for each in called if channel in called and channel is not None and each.console != channel.console]


def _channels(rig: ResolvedRig, what: str, source: Source | None) -> list[Channel]:
    """Return the channels called so, then the others that their source, or the one named, is heard on.

    Where a socket of the source was named, what is patched from that comes first.
    """
    called = _called(rig, what)
    if any(channel.address == what for channel in called):  # that one, and no other that hears the same
        return called
    names = [source.name] if source is not None else [_source_of(rig, channel) for channel in called]
    heard = (channel for name in names if name is not None for channel in heard_on(rig, name))
    found = list({channel.key: channel for channel in (*called, *heard)}.values())
    return sorted(found, key=lambda channel: str(rig.arrivals[channel.key].socket) != what)


def _source_of(rig: ResolvedRig, channel: Channel) -> str | None:
    """Return the source that a channel is meant to carry, else what arrives on it."""
    if isinstance(channel.carries, str):
        return channel.carries
    return next(iter(rig.arrivals[channel.key].sources), None)


def _to_end(rig: ResolvedRig, end: End) -> Target:
    if not end.sockets:
        raise UnknownTargetError(f"the rig does not say where {end.name} is plugged in")
    departure = rig.departure(end.sockets[0])
    signal = end.expects[0] if end.expects else departure.signal
    way = Target(end.name, mixes=_mixes(signal), signal=signal, output=departure.socket)
    return replace(way, destination=end) if isinstance(end, Destination) else replace(way, amplifier=end)


def _from_mix(rig: ResolvedRig, mix: str, end: End | None) -> Target:
    found = next(_ways_out(rig, mix, (mix,), end), None)
    if found is None:
        return Target(mix, mixes=(mix,)) if end is None else _no_way(rig, mix, end)
    return found


def way_of_side(rig: ResolvedRig, mix: str, side: str) -> Target | None:
    """Return the shortest way of one side of a stereo mix to an end."""
    ways = _ways_out(rig, mix, (mix,), None)
    return next((way for way in ways if way.signal is not None and way.signal.side == side), None)


def _no_way(rig: ResolvedRig, what: str, end: End) -> Target:
    raise UnknownTargetError(no_way(rig, what, end))


def _from_channel(rig: ResolvedRig, source: str | None, channels: Sequence[Channel], end: End | None) -> Target:
    """Return the way of the first channel that gets to the end, by mixes alone before by an effects unit.

    Without an end it is that of the first channel.
    """
    tried = channels if end is not None else channels[:1]
    ways = ((find(rig, channel, end), channel) for find in (_heard_at, _by_effects) for channel in tried)
    first = channels[0] if channels else None
    way, channel = next(((way, channel) for way, channel in ways if way is not None), (None, first))
    if source is None and channel is not None:
        source = _source_of(rig, channel)
    name = source or (f"channel {channel.number}" if channel else "")
    if way is None and channel is not None and end is not None:
        others = any(_heard_at(rig, other, end) for other in heard_on(rig, source or ""))  # so it is the channel's
        return _no_way(rig, rig.rig.channel_words(channel) if others else name, end)
    socket = _socket(rig, source, channel)
    point = rig.input_point(socket, channel.console) if socket and channel and rig.has_socket(socket) else None
    unit = _unit_of(rig, channel) if channel is not None and source is None else None
    found = replace(way, name=name) if way is not None else Target(name)
    return replace(found, source=source, socket=socket, channel=channel, point=point, effects=unit)


def _heard_at(rig: ResolvedRig, channel: Channel, end: End | None) -> Target | None:
    """Return the first way of a channel to an end; what is panned to one side is looked for on that side first."""
    away = away_from(channel)
    ways = list(_ways_out(rig, "", _first_mixes(rig, channel), end))
    return next((way for way in ways if way.signal is None or way.signal.side != away), ways[0] if ways else None)


def _by_effects(rig: ResolvedRig, channel: Channel, end: End | None) -> Target | None:
    """Return the way by an effects unit that one of a channel's mixes feeds, where there is one."""
    for mix in _first_mixes(rig, channel):
        for unit in rig.rig.effects.values():
            if unit.fed_by.kind == "mix" and unit.fed_by.name == mix:
                for back in _returns(rig, unit):
                    rest = next(_ways_out(rig, unit.name, _first_mixes(rig, back), end), None)
                    if rest is not None:
                        then = replace(rest, channel=back, effects=unit)
                        return Target(
                            "", mixes=(mix,), destination=rest.destination, amplifier=rest.amplifier, then=then
                        )
    return None


def _socket(rig: ResolvedRig, source: str | None, channel: Channel | None) -> Socket | None:
    """Return the socket of a source that a channel hears it by, else one that its console can hear."""
    if source is None:
        return None
    sockets = rig.rig.sources[source].sockets
    if channel is not None and (patched := rig.arrivals[channel.key].socket) in sockets:
        return patched
    heard = (s for s in sockets if channel and rig.has_socket(s) and rig.input_point(s, channel.console) is not None)
    return next(heard, sockets[0])


def _first_mixes(rig: ResolvedRig, channel: Channel) -> tuple[str, ...]:
    mixes = [mix for mix in rig.rig.mixes.values() if mix.console == channel.console and channel.number in mix.sends]
    return tuple(mix.name for mix in sorted(mixes, key=lambda mix: mix.kind != "house"))


def _ways_out(rig: ResolvedRig, name: str, mixes: tuple[str, ...], end: End | None) -> Iterator[Target]:
    """Yield the ways from mixes to ends, the shortest first, house loudspeakers before others, amplifiers last."""
    queue: list[tuple[str, ...]] = [(mix,) for mix in mixes]
    seen = set(mixes)
    ends = sorted(rig.rig.destinations.values(), key=lambda row: row.kind not in HOUSE_LOUDSPEAKERS)
    every: list[End] = [*ends, *rig.rig.amplifiers.values()]
    rows: list[tuple[End, Departure]] = [
        (row, rig.departure(socket)) for row in every for socket in row.sockets if end is None or row == end
    ]
    for way in queue:  # grows while it is walked
        for row, departure in rows:
            signal = departure.signal
            if signal is not None and signal.kind == "mix" and signal.name == way[-1]:
                found = Target(name, mixes=way, signal=signal, output=departure.socket)
                yield replace(found, destination=row) if isinstance(row, Destination) else replace(found, amplifier=row)
        for taker in rig.taken_by.get(way[-1], ()):
            if taker.name not in seen:
                seen.add(taker.name)
                queue.append((*way, taker.name))
