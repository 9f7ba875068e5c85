"""What really arrives and leaves, held against what is meant: the same words and marks on every sheet and picture.

Where the two differ both are told, the meant one behind `≠`; the cause is the finding whose mark stands beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from lint.resolve.resolved import Arrival, Departure, ResolvedRig, same_signal
from lint.rig.address import Return, Signal, Socket
from lint.rig.plant import Amplifier
from lint.rig.rig import Channel, Destination, Source

DIFFERS = "≠"
DIFFERS_LEGEND = (
    f"{DIFFERS} what is meant, where something else is really there. Before a channel that takes a plug: that channel "
    "is meant for something else."
)
_NO_ARRIVAL = {
    "unpatched": "not patched",
    "no-socket": "nothing (no box)",
    "empty-socket": "nothing plugged in",
    "socket-missing": "no such socket",
    "socket-dead": "nothing (dead socket)",
    "console-dead": "nothing (dead console)",
    "box-lost": "nothing (cut off)",
}
_NO_DEPARTURE = {
    "not-fed": "nothing",
    "no-bank": "nothing (no selector position)",
    "bank-unknown": "nothing (no such selector position)",
    "past-link": "nothing (past the link's end)",
    "socket-missing": "no such socket",
    "box-lost": "nothing (cut off)",
    "console-dead": "nothing (dead console)",
}


class Truth(NamedTuple):
    """What is really there and what is meant (empty where the rig does not say).

    `addresses` are what a finding about it points to; `roots` what else may be its cause, such as the whole box; `also`
    what it belongs to, whose findings are marked here though they are no cause of a difference, such as its mix.
    """

    real: str
    meant: str
    is_right: bool
    addresses: tuple[str, ...]
    roots: tuple[str, ...]
    also: tuple[str, ...] = ()

    @property
    def instead(self) -> str:
        """What is meant, marked where something else is there."""
        return self.meant if self.is_right or not self.meant else f"{DIFFERS} {self.meant}"


def arrival_truth(rig: ResolvedRig, arrival: Arrival) -> Truth:
    """Return what arrives on a channel."""
    channel, wanted = arrival.channel, arrival.channel.carries
    if arrival.stop:
        real, is_right = _NO_ARRIVAL[arrival.stop], wanted is None and arrival.stop == "unpatched"
    elif isinstance(wanted, Return):
        real, is_right = (
            got(arrival),
            arrival.effects is not None
            and str(wanted)
            in (
                str(arrival.effects),
                str(arrival.effects).partition(".")[0],
            ),
        )
    else:
        real, is_right = got(arrival), wanted is None or (wanted,) == arrival.sources
    meant = [rig.rig.sources[wanted]] if isinstance(wanted, str) and not is_right else []
    addresses = _addresses(channel.address, arrival.socket or "", *arrival.sources, *_of(meant))
    boxes = [arrival.box or "", *(socket.device for row in meant for socket in row.sockets)]
    unit = (str(arrival.effects).partition(".")[0],) if arrival.effects is not None else ()
    return Truth(real, str(wanted or ""), is_right, addresses, () if is_right else _roots(rig, boxes), unit)


def got(arrival: Arrival) -> str:
    """Return what arrives on a channel where something does."""
    return str(arrival.effects) if arrival.effects is not None else " and ".join(arrival.sources)


def departure_truth(
    rig: ResolvedRig, plugs: Sequence[Destination | Amplifier], departure: Departure, wanted: Iterable[Signal]
) -> Truth:
    """Return what leaves at a socket, for all that hangs there and what that expects."""
    signals = list(dict.fromkeys(wanted))
    real = str(departure.signal) if departure.signal else _NO_DEPARTURE[departure.stop]
    is_right = all(same_signal(departure.signal, signal) for signal in signals)
    parts = [f"{row.name}/{part.name}" for row in plugs if isinstance(row, Amplifier) for part in row.outputs]
    addresses = _addresses(departure.socket, *(row.name for row in plugs), *parts)
    roots = () if is_right else _roots(rig, [departure.socket.device])
    mixes = dict.fromkeys(row.name for row in (departure.signal, *signals) if row and row.kind == "mix")
    return Truth(real, " and ".join(map(str, signals)), is_right, addresses, roots, tuple(mixes))


def destination_truths(rig: ResolvedRig, destination: Destination) -> list[Truth]:
    """Return what each socket of a destination gives it."""
    departures = rig.departures[destination.name]
    wanted: list[list[Signal]] = [[signal] for signal in destination.expects] or [[] for _ in departures]
    return [
        departure_truth(rig, [destination], departure, signals)
        for departure, signals in zip(departures, wanted, strict=True)
    ]


def plug_truth(rig: ResolvedRig, socket: Socket, sources: Sequence[Source], channels: Sequence[Channel]) -> Truth:
    """Return on which channels (by number) what is plugged into a socket is heard, and which are meant to carry it."""
    names = [source.name for source in sources]
    is_dead = rig.is_dead(socket)
    channels = () if is_dead else channels
    meant = [channel for name in names for channel in rig.carriers_of.get(name, ()) if _is_alone(rig, name, socket)]
    missing = [channel for channel in meant if channel not in channels]
    is_right = not missing and not any(is_extra(channel, names) for channel in channels)
    real = ", ".join((f"{DIFFERS} " if is_extra(row, names) else "") + str(row.number) for row in channels)
    if not real:
        real = "none (dead)" if is_dead else "none" if rig.is_reached(socket.device) else "none (cut off)"
    # A plug that all its channels hear is right itself: the fault is the channel that takes it besides.
    words = ", ".join(dict.fromkeys(str(channel.number) for channel in (meant if is_right else missing)))
    addresses = _addresses(socket, *names, *(row.address for row in (*channels, *(() if is_right else missing))))
    is_lost = not rig.is_reached(socket.device)
    return Truth(real, words, is_right, addresses, _roots(rig, [socket.device]) if is_lost or not is_right else ())


def is_extra(channel: Channel, names: Sequence[str]) -> bool:
    """Whether a channel takes a socket though it is meant to carry something else than what is plugged in there."""
    return channel.carries is not None and channel.carries not in names


def _is_alone(rig: ResolvedRig, name: str, socket: Socket) -> bool:
    """Whether a source must be heard by this very socket: behind an analogue split the other leg may do it."""
    return rig.rig.sources[name].sockets == (socket,)


def _of(sources: Iterable[Source]) -> list[object]:
    return [each for row in sources for each in (row.name, *row.sockets)]


def _addresses(*found: object) -> tuple[str, ...]:
    return tuple(filter(None, map(str, found)))


def _roots(rig: ResolvedRig, boxes: Iterable[str]) -> tuple[str, ...]:
    """Return the boxes, and where a fault of the cabling takes them from the console all that it is about."""
    names = list(filter(None, dict.fromkeys(boxes)))
    faults = [fault for fault in rig.cabling.faults if set(names) & set(fault.devices)]
    found = [*names, *(name for fault in faults for name in fault.devices)]
    found += [cable.name for fault in faults for cable in fault.cables]
    return tuple(dict.fromkeys(found))
