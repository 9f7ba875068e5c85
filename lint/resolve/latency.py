"""How late a performer hears a source: the delays of everything on the way from its socket to the monitor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint.resolve.resolved import Arrival, Departure, ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import MONITOR_DESTINATIONS, Destination, Device


class Delay(NamedTuple):
    """What one thing on the way adds, in milliseconds; None where neither rig nor model says."""

    what: str
    ms: float | None


class MonitorPath(NamedTuple):
    """One source on its way to one monitor; sound in the air, to the microphone and from a wedge, comes on top."""

    source: str
    destination: Destination
    delays: tuple[Delay, ...]

    @property
    def total_ms(self) -> float:
        """The sum of what is stated: at least so late."""
        return sum(delay.ms for delay in self.delays if delay.ms is not None)

    @property
    def unstated(self) -> tuple[str, ...]:
        """The devices on the way whose delay nobody states."""
        return tuple(delay.what for delay in self.delays if delay.ms is None)


def monitor_paths(rig: ResolvedRig) -> Iterator[MonitorPath]:
    """Yield the way of every source to every monitor destination that it is heard at, once each.

    Where a source gets there by several channels or sockets the slowest counts. Only buses are followed: what goes
    through an effects unit is another sound, which is meant to come later.
    """
    heard_in: dict[str, list[tuple[str, tuple[Delay, ...]]]] = {}
    for destination in rig.rig.destinations.values():
        if destination.kind not in MONITOR_DESTINATIONS:
            continue
        slowest: dict[str, MonitorPath] = {}
        for departure in rig.departures[destination.name]:
            if departure.signal is None:
                continue
            behind = _behind(rig, departure, destination)
            if str(departure.signal) not in heard_in:
                heard_in[str(departure.signal)] = list(_before(rig, departure))
            for source, before in heard_in[str(departure.signal)]:
                path = MonitorPath(source, destination, (*before, *behind))
                if source not in slowest or path.total_ms > slowest[source].total_ms:
                    slowest[source] = path
        yield from slowest.values()


def _before(rig: ResolvedRig, departure: Departure) -> Iterator[tuple[str, tuple[Delay, ...]]]:
    """Yield every source heard in what leaves, with its delays up to and with the console."""
    for arrival in _arrivals(rig, departure):
        if arrival.socket is None:
            continue
        on_the_way = (*_input_delays(rig, arrival, arrival.socket), _through(rig.device(arrival.channel.console)))
        for source in arrival.sources:
            yield source, (Delay(source, rig.rig.sources[source].latency_ms), *on_the_way)


def _arrivals(rig: ResolvedRig, departure: Departure) -> Iterator[Arrival]:
    signal = departure.signal
    assert signal is not None  # asked only for what leaves
    if signal.kind == "channel":
        console, _, number = signal.name.rpartition("/")
        yield rig.arrivals[console, int(number)]
        return
    numbers: set[tuple[str, int]] = set()
    for name in rig.mixes_within(signal.name):
        mix = rig.rig.mixes[name]
        numbers.update((mix.console, number) for number in mix.sends)
        for taken in mix.takes:
            if taken.kind == "channel":
                console, _, number_text = taken.name.rpartition("/")
                numbers.add((console, int(number_text)))
    yield from (rig.arrivals[key] for key in sorted(numbers) if key in rig.arrivals)


def _input_delays(rig: ResolvedRig, arrival: Arrival, socket: Socket) -> Iterator[Delay]:
    """The box that a source is plugged into, then the boxes that it passes; a console's own sockets are the console."""
    if socket.device not in rig.boxes:
        return
    yield _through(rig.device(socket.device))
    listens = arrival.slot is not None and arrival.slot.port in rig.cabling.listens_to
    yield from _passed(rig, socket.device, beyond=listens)


def _behind(rig: ResolvedRig, departure: Departure, destination: Destination) -> tuple[Delay, ...]:
    """Return the delays from the console's output on: boxes passed, the box that it leaves by, the destination."""
    device = departure.socket.device
    way: list[Delay] = []
    if device in rig.boxes:
        way = [*_passed(rig, device, beyond=False), _through(rig.device(device))]
    return (*way, Delay(destination.name, destination.latency_ms))


def _passed(rig: ResolvedRig, device: str, beyond: bool) -> Iterator[Delay]:
    """Yield what each box adds that lies between a box and its console, or beyond it on the way to a listening one."""
    box = rig.boxes[device]
    for other in rig.chains[box.link].boxes:
        if (other.position > box.position) if beyond else (other.position < box.position):
            yield Delay(f"past {other.device}", rig.device(other.device).model.hop_ms)


def _through(device: Device) -> Delay:
    stated = device.latency_ms if device.latency_ms is not None else device.model.latency_ms
    return Delay(device.name, stated)
