"""Before a console or box has its mains back: what hangs on its outputs is turned down, who hears its inputs muted."""

from __future__ import annotations

from lint.hunt.instead import awake, numbered
from lint.plan.intent import sender
from lint.resolve.hearing import heard_on
from lint.resolve.resolved import ResolvedRig
from lint.rig.plant import Amplifier
from lint.rig.rig import Destination, is_driven


def before_mains(rig: ResolvedRig, name: str) -> dict[str, str]:
    """Return what is muted and turned down before a device has its mains back: it starts with a thump.

    Muted is whoever hears what its phantom power reaches, by whatever leg and on whatever console: that, and that of
    its console, comes with its mains.
    """
    ends = _hung_on(rig, name)
    hung = f"all on {name} ({', '.join(ends)}), " if ends else ""
    return {"lit": f"turn down {hung}monitors and house, ears out{_muted(rig, name)}"}


def _hung_on(rig: ResolvedRig, name: str) -> list[str]:
    """Return what sounds again with a device: what hangs on its outputs, and on those of what it lights."""
    box = rig.boxes.get(name)
    beyond = {each.device for each in rig.chains[box.link].boxes[box.position :]} if box is not None else set()
    devices, rows = {name, *beyond}, rig.rig
    amplified = {socket for row in rows.amplifiers.values() for socket in row.sockets}
    found: dict[str, None] = {}
    every: list[Destination | Amplifier] = [*rows.destinations.values(), *rows.amplifiers.values()]
    for row in every:
        for socket in row.sockets:
            sent_by = {socket.device, sender(rig.departure(socket))}
            driven = isinstance(row, Destination) and is_driven(row) and socket in amplified
            if devices & sent_by and not driven:  # of what an amplifier drives that is turned down
                found[row.name] = None
    return list(found)


def _muted(rig: ResolvedRig, name: str) -> str:
    """Say which channels are muted: as long as a console is dark no hand can mute one of its own."""
    phantom, rows = rig.phantom, list(rig.arrivals.values())
    own = {name, *(box.device for box in rig.boxes.values() if box.link.device == name)}
    giving = [a.socket for a in rows if a.socket and a.socket.device in own and a.channel.phantom == "on"]
    at = {each for socket in giving if phantom.is_able(socket) for each in
          phantom.sockets_on(phantom.switch_at(socket))}  # fmt: skip
    names = dict.fromkeys(source for each in at for source in rig.sources_in.get(each, ()))
    heard = [channel for source in names for channel in heard_on(rig, source)]
    heard += [arrival.channel for arrival in rows if arrival.socket in at]
    if not heard:
        return ""
    others = [channel for channel in awake(rig, heard) if channel.console != name]
    return f"; mute {numbered(others)} (phantom power comes back with {name})" if others else ""
