"""Mistakes with mixes, with what the console sends where, and with what hangs on the outputs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from bench import DROP, Base, Edit, Site, kind, words

from lint.rig.address import OutputPoint, Port, Signal, Slot, Socket
from lint.rig.rig import HOUSE_LOUDSPEAKERS, MONITOR_DESTINATIONS, Destination, Mix

OTHER, NOTHING = "output-carries-other", "output-carries-nothing"
TO_HOUSE, TO_MONITOR = "monitor-to-house", "house-to-monitor"
SIDES, UNHEARD = "house-sides-swapped", "house-unheard"
OUTPUT = (OTHER, NOTHING, TO_HOUSE, TO_MONITOR, SIDES, UNHEARD)


def heard_at(base: Base) -> list[tuple[Destination, OutputPoint, Signal]]:
    """Return every destination that gets what it expects, with the output at which the console sends it, and what."""
    return [
        (destination, departure.slot or departure.socket, departure.signal)
        for destination, departure, _ in base.resolved.outputs()
        if departure.signal is not None and (departure.slot or departure.socket) not in base.resolved.rig.copies
    ]


def console_of(where: OutputPoint) -> str:
    return where.port.device if isinstance(where, Slot) else where.device


def beside(where: OutputPoint, by: int) -> OutputPoint:
    return where._replace(number=where.number + by)


def outputs_on(base: Base, device: str) -> int:
    return base.resolved.device(device).model.outputs.count


def own_mixes(base: Base, console: str, *kinds: str) -> list[Mix]:
    return [mix for mix in base.resolved.rig.mixes.values() if mix.console == console and mix.kind in kinds]


def signal_like(mix: Mix, wanted: Signal) -> str:
    """Write a signal of a mix that fits where `wanted` went: the same side of a stereo mix."""
    return f"{mix.name}.{wanted.side or 'mono'}" if mix.width == "stereo" else mix.name


# -- what the console sends ----------------------------------------------------------------------------------------


@kind(*OUTPUT, "socket-missing", audible=True)
def feed_off_by_one(base: Base) -> Iterator[Site]:
    """A mix is sent to the output beside its own."""
    for _, where, signal in heard_at(base):
        for by in (-1, 1):
            there = beside(where, by)
            if there.number >= 1:
                yield Site(f"{signal} to {there}", base.feeds_with((where, None), (there, words(signal))))


@kind(*OUTPUT, audible=True)
def feed_a_bank_further(base: Base) -> Iterator[Site]:
    """A mix is sent to the right place of the next bank of eight."""
    for _, where, signal in heard_at(base):
        there = beside(where, 8)
        if isinstance(there, Slot) and there.number <= base.resolved.chains[there.port].capacity:
            yield Site(f"{signal} to {there}", base.feeds_with((where, None), (there, words(signal))))


@kind(OTHER, TO_HOUSE, TO_MONITOR, SIDES, UNHEARD, audible=True)
def two_feeds_swapped(base: Base) -> Iterator[Site]:
    """Two mixes are sent to each other's output."""
    rows = heard_at(base)
    for (_, one, first), (_, two, second) in pairwise(rows):
        if console_of(one) == console_of(two):
            yield Site(f"{first} and {second}", base.feeds_with((one, words(second)), (two, words(first))))


@kind(NOTHING, UNHEARD, audible=True)
def feed_removed(base: Base) -> Iterator[Site]:
    """A mix is not sent to its output any more."""
    for _, where, signal in heard_at(base):
        yield Site(f"{signal} at {where}", base.feeds_with((where, None)))


@kind(*OUTPUT, audible=True)
def feed_to_the_console_itself(base: Base) -> Iterator[Site]:
    """A mix is sent to the console's own output instead of the link slot of that number."""
    for _, where, signal in heard_at(base):
        if isinstance(where, Slot):
            there = Socket(where.port.device, "out", where.number)
            if there.number <= outputs_on(base, there.device):
                yield Site(f"{signal} to {there}", base.feeds_with((where, None), (there, words(signal))))


@kind(*OUTPUT, audible=True)
def feed_to_the_link(base: Base) -> Iterator[Site]:
    """A mix is sent to the link slot instead of the console's own output of that number."""
    for _, where, signal in heard_at(base):
        for link in base.resolved.chains:
            if isinstance(where, Socket) and link.device == where.device:
                there = Slot(link, where.number)
                yield Site(f"{signal} to {there}", base.feeds_with((where, None), (there, words(signal))))


@kind(*OUTPUT, audible=True)
def feed_to_another_link(base: Base) -> Iterator[Site]:
    """A mix is sent to the right slot, but of the console's other link port."""
    for _, where, signal in heard_at(base):
        if isinstance(where, Slot):
            for name in base.resolved.device(where.port.device).model.links:
                there = Slot(Port(where.port.device, name), where.number)
                if there != where:
                    yield Site(f"{signal} to {there}", base.feeds_with((where, None), (there, words(signal))))


@kind("socket-missing", *OUTPUT, audible=True)
def feed_past_the_last_output(base: Base) -> Iterator[Site]:
    """A mix is sent to an output that does not exist."""
    for _, where, signal in heard_at(base):
        on_link = isinstance(where, Slot)
        last = base.resolved.chains[where.port].capacity if on_link else outputs_on(base, where.device)
        there = where._replace(number=last + 1)
        yield Site(f"{signal} to {there}", base.feeds_with((where, None), (there, words(signal))))


@kind(TO_HOUSE, audible=True)
def monitor_mix_to_the_mains(base: Base) -> Iterator[Site]:
    """A monitor mix is sent where a house loudspeaker hangs."""
    for destination, where, signal in heard_at(base):
        if destination.kind in HOUSE_LOUDSPEAKERS:
            for mix in own_mixes(base, console_of(where), "monitor"):
                yield Site(f"{mix.name} to {destination.name}", base.feeds_with((where, signal_like(mix, signal))))


@kind(TO_HOUSE, audible=True)
def crew_mix_to_the_mains(base: Base) -> Iterator[Site]:
    """Talkback, cue or an effects send is sent where a house loudspeaker hangs."""
    for destination, where, signal in heard_at(base):
        if destination.kind in HOUSE_LOUDSPEAKERS:
            for mix in own_mixes(base, console_of(where), "talkback", "cue", "effects"):
                yield Site(f"{mix.name} to {destination.name}", base.feeds_with((where, signal_like(mix, signal))))


@kind(TO_MONITOR, OTHER, audible=True)
def house_mix_to_a_monitor(base: Base) -> Iterator[Site]:
    """The house mix is sent to a performer's monitor."""
    for destination, where, signal in heard_at(base):
        if destination.kind in MONITOR_DESTINATIONS:
            for mix in own_mixes(base, console_of(where), "house"):
                yield Site(f"{mix.name} to {destination.name}", base.feeds_with((where, signal_like(mix, signal))))


@kind(OTHER, TO_MONITOR, audible=True)
def direct_output_to_a_monitor(base: Base) -> Iterator[Site]:
    """A channel's direct output is sent to a performer's monitor instead of its mix."""
    for destination, where, _ in heard_at(base):
        numbers = [number for console, number in base.resolved.rig.channels if console == console_of(where)]
        if destination.kind in MONITOR_DESTINATIONS and numbers:
            yield Site(destination.name, base.feeds_with((where, f"channel/{numbers[0]}")))


@kind(OTHER, UNHEARD, SIDES, audible=True)
def one_side_on_both(base: Base) -> Iterator[Site]:
    """Both outputs of a stereo mix carry the same side of it."""
    for destination, where, signal in heard_at(base):
        if signal.side in ("left", "right"):
            other = {"left": "right", "right": "left"}[signal.side]
            yield Site(f"{destination.name} at {where}", base.feeds_with((where, f"{signal.name}.{other}")))


@kind(OTHER, UNHEARD, audible=True)
def both_sides_added(base: Base) -> Iterator[Site]:
    """An output that should carry one side of a mix carries both added together."""
    for destination, where, signal in heard_at(base):
        if signal.side in ("left", "right"):
            yield Site(f"{destination.name} at {where}", base.feeds_with((where, f"{signal.name}.mono")))


@kind(OTHER, NOTHING, audible=True)
def copy_of_the_wrong_outputs(base: Base) -> Iterator[Site]:
    """A range of outputs is the same as the range beside the one that was meant."""
    for side, rows in base.data.get("feeds", {}).items():
        for key, row in rows.items():
            if isinstance(row, dict):
                port, _, numbers = row["same_as"].rpartition("/")
                first, last = map(int, numbers.split("-"))
                for by in (-2, -1, 1, 2):
                    if first + by >= 1 and f"{first + by}-{last + by}" != key:
                        now = {"same_as": f"{port}/{first + by}-{last + by}"}
                        yield Site(f"{side}/{key} as {now['same_as']}", ((("feeds", side, key), now),))


@kind("feed-copied")
def extra_wedge_on_a_copy(base: Base) -> Iterator[Site]:
    """A wedge more is hung on a free output, a monitor mix sent there too, and nobody writes down what it expects."""
    rig = base.resolved.rig
    taken = {socket for destination in rig.destinations.values() for socket in destination.sockets}
    for destination, where, signal in heard_at(base):
        console = console_of(where)
        free = next(
            (
                socket
                for number in range(1, outputs_on(base, console) + 1)
                if (socket := Socket(console, "out", number)) not in taken and socket not in rig.feeds
            ),
            None,
        )
        if destination.kind in MONITOR_DESTINATIONS and free is not None:
            row = {"kind": "wedge", "plugged_into": str(free)}
            edits = (*base.feeds_with((free, words(signal))), (("destinations", "extra-wedge"), row))
            yield Site(f"{signal} at {free} too", edits)


# -- what hangs on the outputs -------------------------------------------------------------------------------------


def hang(destination: Destination, by: int = 0, device: str | None = None) -> Edit:
    """Return the edit that puts a destination on other outputs: so many further, or on another device."""
    first, last = destination.sockets[0], destination.sockets[-1]
    numbers = f"{first.number + by}" + (f"-{last.number + by}" if first != last else "")
    return (*destination.trail, "plugged_into"), f"{device or first.device}/out/{numbers}"


def swapped(one: Destination, two: Destination) -> tuple[Edit, ...]:
    return (hang(one, 0)[0], hang(two)[1]), (hang(two, 0)[0], hang(one)[1])


@kind(*OUTPUT, audible=True)
def plugged_into_the_next_output(base: Base) -> Iterator[Site]:
    """A loudspeaker, wedge or recorder hangs on the output beside its own."""
    for destination in base.resolved.rig.destinations.values():
        first, last = destination.sockets[0].number, destination.sockets[-1].number
        for by in (-1, 1):
            if first + by >= 1 and last + by <= outputs_on(base, destination.sockets[0].device):
                yield Site(f"{destination.name} by {by:+}", (hang(destination, by),))


@kind(OTHER, TO_HOUSE, TO_MONITOR, SIDES, audible=True)
def two_plugs_swapped_at_the_outputs(base: Base) -> Iterator[Site]:
    """Two destinations of one box hang on each other's output: two wedges, or left and right."""
    for one, two in combinations(base.resolved.rig.destinations.values(), 2):
        if one.sockets[0].device == two.sockets[0].device and len(one.sockets) == len(two.sockets):
            yield Site(f"{one.name} and {two.name}", swapped(one, two))


@kind(*OUTPUT, audible=True)
def two_plugs_swapped_between_the_boxes(base: Base) -> Iterator[Site]:
    """Two destinations of the same number hang on each other's box."""
    for one, two in combinations(base.resolved.rig.destinations.values(), 2):
        first, second = one.sockets[0], two.sockets[0]
        if first.device != second.device and first.number == second.number and len(one.sockets) == len(two.sockets):
            yield Site(f"{one.name} and {two.name}", swapped(one, two))


@kind(*OUTPUT, audible=True)
def plugged_into_another_box(base: Base) -> Iterator[Site]:
    """A destination hangs on the right number of another box or of the console."""
    for destination in base.resolved.rig.destinations.values():
        for device in base.resolved.rig.devices:
            at = destination.sockets[0].device
            if device != at and destination.sockets[-1].number <= outputs_on(base, device):
                yield Site(f"{destination.name} on {device}", (hang(destination, 0, device),))


@kind("socket-missing")
def plugged_into_no_output(base: Base) -> Iterator[Site]:
    """The sheet names an output that the box does not have."""
    for destination in base.resolved.rig.destinations.values():
        device = destination.sockets[0].device
        by = outputs_on(base, device) + 1 - destination.sockets[0].number
        yield Site(f"{destination.name} on {device}", (hang(destination, by),))


@kind("mix-unheard", UNHEARD)
def destination_forgotten(base: Base) -> Iterator[Site]:
    """A loudspeaker, wedge or recorder is not hung at all: its mix goes to an output with nothing on it."""
    rig = base.resolved.rig
    needed = {other.aligned_to for other in rig.destinations.values()}
    at_amplifiers = {socket for amplifier in rig.amplifiers.values() for socket in amplifier.sockets}
    for destination in rig.destinations.values():
        if destination.name not in needed and at_amplifiers.isdisjoint(destination.sockets):
            yield Site(destination.name, ((destination.trail, DROP),))


@kind(OTHER, SIDES, TO_HOUSE, TO_MONITOR, audible=True)
def expects_another_mix(base: Base) -> Iterator[Site]:
    """A destination is said to expect another mix than the one that was made for it."""
    for destination, where, signal in heard_at(base):
        if len(destination.sockets) == 1:
            for mix in base.resolved.rig.mixes.values():
                if mix.console == console_of(where) and mix.name != signal.name:
                    wanted = signal_like(mix, signal)
                    yield Site(f"{destination.name} expects {wanted}", (((*destination.trail, "expects"), wanted),))


@kind(OTHER, SIDES, TO_HOUSE, TO_MONITOR, audible=True)
def two_expectations_swapped(base: Base) -> Iterator[Site]:
    """Two neighbouring rows have each other's expectation."""
    every = [d for d in base.resolved.rig.destinations.values() if d.expects]
    for one, two in pairwise(every):
        if len(one.sockets) == len(two.sockets) == 1:
            edits = (
                ((*one.trail, "expects"), str(two.expects[0])),
                ((*two.trail, "expects"), str(one.expects[0])),
            )
            yield Site(f"{one.name} and {two.name}", edits)
