"""The ways to put a group of wrong outputs right: the selector, the plugs, or what the console sends."""

from __future__ import annotations

from lint import Cure, ResolvedRig, Signal, Socket
from lint.resolve.mixup import WrongOutput, feed_changes, merged, nested
from lint.resolve.resolved import Departure
from lint.rig.address import OutputPoint
from lint.rig.rig import Destination
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
        for bank in rig.banks_that_fit(device)
    ]


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
        sockets = _sockets_carrying(rig, destination, taken)
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
        for _, departure, wanted in rig.outputs():
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
