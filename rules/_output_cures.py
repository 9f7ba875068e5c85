"""The ways to put a group of wrong outputs right: the selector, the plugs, or what the console sends.

None takes from anybody else what they have: where another hears the same output, only the plug is to move.
"""

from __future__ import annotations

from collections.abc import Iterator

from lint import Cure, ResolvedRig, Signal, Slot, Socket
from lint.resolve.amplifiers import amplifier_inputs
from lint.resolve.mixup import WrongOutput, feed_changes, merged, nested
from lint.resolve.resolved import Departure
from lint.rig.address import OutputPoint, number_range
from lint.rig.rig import Destination, is_driven
from lint.rules._cabling import joined


def bank_cures(rig: ResolvedRig, group: list[WrongOutput]) -> list[Cure]:
    """Return the selector positions that put the whole group right, where it is all on one box."""
    devices = {row.departure.socket.device for row in group}
    if len(devices) != 1:
        return []
    device = devices.pop()
    return [
        Cure(
            f"set {device}'s selector to {bank}: then everything on it gets what it expects",
            nested(("devices", device, "output_bank"), bank),
        )
        for bank in banks_that_fit(rig, device)
    ]


def banks_that_fit(rig: ResolvedRig, device: str) -> list[str]:
    """Return the selector positions at which all on a box gets what it expects, amplifiers as well."""
    if (box := rig.boxes.get(device)) is None:
        return []
    rows = [row for row in amplifier_inputs(rig) if row.departure.socket.device == device and row.wanted is not None]

    def fits(bank: str) -> bool:
        first = number_range(bank).start
        points = (Slot(box.link, first + row.departure.socket.number - 1) for row in rows)
        feeds = map(rig.rig.feeds.get, points)
        return all(feed is not None and feed.signal == row.wanted for row, feed in zip(rows, feeds, strict=True))

    return [bank for bank in rig.banks_that_fit(device) if fits(bank)]


def own_output_cures(rig: ResolvedRig, group: list[WrongOutput]) -> list[Cure]:
    """Return the cure where nothing better is: an output of its own for each, and what is sent now left as it is."""
    waiting = {row.destination.name: row.destination for row in group}
    points = {rig.sent_at(row.departure) for row in group}
    kept: dict[OutputPoint, list[str]] = {}
    for name, departure, wanted in hearers(rig):
        where = rig.sent_at(departure)
        if where in points and name not in waiting and departure.signal is not None:
            kept.setdefault(where, []).extend([name] if wanted in (None, departure.signal) else [])
    named = (
        f"{where}, which {joined(dict.fromkeys(names))} hear{'s' * (len(set(names)) == 1)} too"
        for where, names in kept.items()
        if names
    )
    leave = "".join(f"; send nothing else to {words}" for words in named)
    if len(group) == 1 and (free := _free_output(rig, group[0])) is not None:
        (name,), wanted, (socket, where) = waiting, group[0].wanted, free
        move = nested(("destinations", name, "plugged_into"), str(socket))
        change = merged((move, feed_changes(rig, {where: wanted})))
        return [Cure(f"move the plug of {name} to {socket} and send {wanted} to {where}{leave}", change)]
    rows = [f"{d.name} into an output that {joined(dict.fromkeys(d.expects))} is sent to" for d in waiting.values()]
    return [Cure(f"plug {joined(rows)}{leave}")]


def _free_output(rig: ResolvedRig, row: WrongOutput) -> tuple[Socket, OutputPoint] | None:
    """Return an output that carries nothing to nobody, where its signal can be sent, on its own device first."""
    taken = {departure.socket for _, departure, _ in hearers(rig)}
    heard = {rig.sent_at(departure) for _, departure, _ in hearers(rig)}
    own = row.departure.socket.device
    for device in sorted((d for d in rig.rig.devices if rig.is_reached(d)), key=lambda name: name != own):
        for number in range(1, rig.device(device).model.outputs.count + 1):
            departure = rig.departure(Socket(device, "out", number))
            where = rig.sent_at(departure)
            is_free = departure.stop == "not-fed" and departure.socket not in taken and where not in heard
            if is_free and len(row.destination.sockets) == 1 and _can_send(rig, where, row.wanted):
                return departure.socket, where
    return None


def hearers(rig: ResolvedRig) -> Iterator[tuple[str, Departure, Signal | None]]:
    """Yield all that hears outputs: its name, what leaves there and what it expects, as far as it says so.

    Of an amplifier that says nothing the loudspeakers at its socket say it.
    """
    for destination, departure, wanted in rig.outputs():
        yield destination.name, departure, wanted
    for row in amplifier_inputs(rig):
        if row.wanted is not None or not row.driven:
            yield f"the amplifier {row.amplifier.name}", row.departure, row.wanted


def plug_cures(rig: ResolvedRig, group: list[WrongOutput]) -> list[Cure]:
    """Return the cure that moves each plug to a socket which carries what it expects, where there is one for each.

    A destination of several sockets moves with all of its plugs.
    """
    moving = {row.destination.name: row.destination for row in group}
    taken = {
        socket
        for destination in rig.rig.destinations.values()
        if destination.name not in moving
        for socket in destination.sockets
    }
    moves: dict[str, list[Socket]] = {}
    for destination in moving.values():
        # What an amplifier drives is where that is plugged in; all else finds it in its way.
        driving = () if is_driven(destination) else rig.rig.amplifiers.values()
        sockets = _sockets_carrying(rig, destination, taken.union(*(amplifier.sockets for amplifier in driving)))
        if not sockets:
            return []
        taken.update(sockets)
        moves[destination.name] = sockets
    words = ", ".join(f"{name} to {joined(sockets)}" for name, sockets in moves.items())
    change = merged(
        nested(("destinations", name, "plugged_into"), f"{found[0]}-{found[-1].number}" if found[1:] else str(found[0]))
        for name, found in moves.items()
    )
    one = len(moves) == 1 and len(next(iter(moves.values()))) == 1
    return [Cure(f"move the {'plug of ' if one else 'plugs of ' if len(moves) == 1 else 'plugs: '}{words}", change)]


def _sockets_carrying(rig: ResolvedRig, destination: Destination, taken: set[Socket]) -> list[Socket]:
    """Return the free output sockets in a row that carry what a destination expects, on its own device if they can be."""
    own = destination.sockets[0].device
    for device in sorted((d for d in rig.rig.devices if rig.is_reached(d)), key=lambda name: name != own):
        for first in range(1, rig.device(device).model.outputs.count - len(destination.expects) + 2):
            sockets = [Socket(device, "out", first + index) for index in range(len(destination.expects))]
            carried = [rig.departure(socket).signal for socket in sockets]
            if taken.isdisjoint(sockets) and carried == list(destination.expects):
                return sockets
    return []


def feed_cures(rig: ResolvedRig, group: list[WrongOutput]) -> list[Cure]:
    """Return the cure that sends each what it expects where it is plugged, where nobody else hears that output.

    An output that copies another one is sent a signal of its own, where the other serves somebody else.
    """
    for at in (rig.sent_at, _own_point):
        hears: dict[OutputPoint, set[Signal | None]] = {}
        for _, departure, wanted in hearers(rig):
            if wanted is not None or departure.signal is not None:  # of silence nothing is taken from anybody
                hears.setdefault(at(departure), set()).add(wanted)
        sent: dict[OutputPoint, Signal | None] = {at(row.departure): row.wanted for row in group}
        if all(hears[where] == {wanted} and _can_send(rig, where, wanted) for where, wanted in sent.items()):
            words = ", ".join(f"{signal} to {where}" for where, signal in sent.items())
            return [Cure(f"send {words}", feed_changes(rig, sent))]
    return []


def _own_point(departure: Departure) -> OutputPoint:
    return departure.slot or departure.socket


def _can_send(rig: ResolvedRig, where: OutputPoint, signal: Signal | None) -> bool:
    """Whether a signal leaves the console that an output belongs to."""
    if signal is None:
        return False
    console = rig.rig.mixes[signal.name].console if signal.kind == "mix" else signal.name.partition("/")[0]
    return console == (where.device if isinstance(where, Socket) else where.port.device)
