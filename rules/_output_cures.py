"""The ways to put a group of wrong outputs right: the selector, the plugs, or what the console sends."""

from __future__ import annotations

from lint import Cure, ResolvedRig, Signal, Socket
from lint.resolve.mixup import WrongOutput, feed_changes, merged, nested
from lint.rig.address import OutputPoint


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
    """Return the cure that moves each plug to a socket which carries what it expects, where there is one for each."""
    if any(len(row.destination.sockets) > 1 for row in group):
        return []
    moving = {row.destination.name for row in group}
    taken = {
        socket
        for destination in rig.rig.destinations.values()
        if destination.name not in moving
        for socket in destination.sockets
    }
    moves: list[tuple[str, Socket]] = []
    for row in group:
        socket = _socket_carrying(rig, row, taken)
        if socket is None:
            return []
        taken.add(socket)
        moves.append((row.destination.name, socket))
    words = ", ".join(f"{name} to {socket}" for name, socket in moves)
    change = merged(nested(("destinations", name, "plugged_into"), str(socket)) for name, socket in moves)
    return [Cure(f"move the {'plug of ' if len(moves) == 1 else 'plugs: '}{words}", change)]


def _socket_carrying(rig: ResolvedRig, row: WrongOutput, taken: set[Socket]) -> Socket | None:
    """Return a free output socket that carries what a destination expects, on its own box if there is one."""
    own = row.departure.socket.device
    devices = sorted((d for d in rig.rig.devices if rig.is_reached(d)), key=lambda name: name != own)
    for device in devices:
        for number in range(1, rig.device(device).model.outputs.count + 1):
            socket = Socket(device, "out", number)
            if socket not in taken and rig.departure(socket).signal == row.wanted:
                return socket
    return None


def feed_cures(rig: ResolvedRig, group: list[WrongOutput]) -> list[Cure]:
    """Return the cure that sends each what it expects where it is plugged, where nobody else hears that output."""
    hears: dict[OutputPoint, set[Signal | None]] = {}
    for _, departure, wanted in rig.outputs():
        hears.setdefault(rig.sent_at(departure), set()).add(wanted)
    sent: dict[OutputPoint, Signal | None] = {}
    for row in group:
        where = rig.sent_at(row.departure)
        if hears[where] != {row.wanted}:
            return []
        sent[where] = row.wanted
    words = ", ".join(f"{signal} to {where}" for where, signal in sent.items())
    return [Cure(f"send {words}", feed_changes(rig, sent))]
