"""What a rig is meant to do, to hold any change of it against: what it states, else what it does today."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from lint.plan.ends import End, departures_of, ends_of
from lint.resolve.dark import unlit
from lint.resolve.resolved import Arrival, Departure, ResolvedRig, same_signal
from lint.rig.address import Return, Signal
from lint.rig.rig import Channel

ChannelKey = tuple[str, int]
OutputKey = tuple[str, int]  # a destination or amplifier and which of its sockets, counted from 0


@dataclass(frozen=True, slots=True)
class Intent:
    """What each channel is to receive, and what each socket of a destination or amplifier is to carry."""

    channels: Mapping[ChannelKey, str | Return]
    outputs: Mapping[OutputKey, Signal]


def intent_of(rig: ResolvedRig) -> Intent:
    """Return the intent of a rig: `carries` and `expects`, else whatever arrives there today."""
    channels: dict[ChannelKey, str | Return] = {}
    for key, arrival in rig.arrivals.items():
        wanted = arrival.channel.carries
        if wanted is None:
            wanted = arrival.sources[0] if arrival.sources else arrival.effects
        if wanted is not None:
            channels[key] = wanted
    outputs: dict[OutputKey, Signal] = {}
    ends = ends_of(rig)
    for name, departures in departures_of(rig, ends).items():
        for index, departure in enumerate(departures):
            expected = ends[name].wanted(index, departure)
            if expected is not None:
                outputs[name, index] = expected
    return Intent(channels, outputs)


def receives(arrival: Arrival, wanted: str | Return) -> bool:
    """Whether a channel receives what it is to receive, and nothing else with it."""
    if isinstance(wanted, str):
        return arrival.sources == (wanted,)
    got = arrival.effects
    return got is not None and got.effects == wanted.effects and (not wanted.side or got.side == wanted.side)


def sender(departure: Departure) -> str:
    """Return the device that sends what leaves at a socket: the console itself, or the one at the end of the link."""
    return departure.slot.port.device if departure.slot is not None else departure.socket.device


def is_cut(what: Arrival | Departure, gone: Collection[str]) -> bool:
    """Whether nothing gets through to a channel or an output, where it is cabled through what is dead or dark."""
    by_console = isinstance(what, Departure) and sender(what) in gone
    return by_console or (what.socket is not None and what.socket.device in gone)


def unmet_channels(
    intent: Intent, rig: ResolvedRig, dead: Collection[str] = ()
) -> Iterator[tuple[Channel, str | Return]]:
    """Yield every channel of a living console that does not receive what it is to, with what that is.

    What is cabled to it through a thing that is dead or dark does not arrive.
    """
    gone = unlit(rig).union(dead)
    for key, wanted in intent.channels.items():
        arrival = rig.arrivals[key]
        if key[0] not in dead and (is_cut(arrival, gone) or not receives(arrival, wanted)):
            yield arrival.channel, wanted


def unmet_outputs(
    intent: Intent, rig: ResolvedRig, dead: Collection[str] = ()
) -> Iterator[tuple[End, Departure, Signal]]:
    """Yield every socket of a living destination or amplifier that does not carry what it is to."""
    gone = unlit(rig).union(dead)
    ends = ends_of(rig)
    departures = departures_of(rig, ends)
    for (name, index), wanted in intent.outputs.items():
        departure = departures[name][index]
        if name not in dead and (is_cut(departure, gone) or not same_signal(departure.signal, wanted)):
            yield ends[name], departure, wanted
