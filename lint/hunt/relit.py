"""Before a console or box has its mains back: what lights with it is turned down and muted, phantom power comes once.

With it lights all on its circuit, where that is dark by the rig file; where the file does not say so, that may be.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from lint.hunt.instead import awake, numbered
from lint.plan.intent import sender
from lint.plan.waking import may_rest
from lint.resolve.dark import is_dark
from lint.resolve.hearing import heard_on
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.plant import Amplifier
from lint.rig.rig import Channel, Destination, Source, is_driven


def before_mains(rig: ResolvedRig, name: str) -> dict[str, str]:
    """Return what is muted, turned down and off before a device has its mains back: it starts with a thump.

    Muted is whoever hears what its phantom power reaches, by whatever leg and on whatever console: that, and that of
    its console, comes with its mains. `unfed` says what is on again where it stays dark.
    """
    down = ", ".join((*_turned_down(rig, name), "monitors and house"))
    off = dict.fromkeys(each for _, _, channels in _fed_twice(rig, name) for each in channels)
    alone = [each for each in off if each.console not in _starting(rig, name)]
    again = (
        f"; phantom power on again by {numbered(alone)}, ten seconds before what has it is brought up" if alone else ""
    )
    return {"lit": f"turn down {down}, ears out{_muted(rig, name)}{_once(rig, name)}", "unfed": again}


# -- what lights with it -----------------------------------------------------------------------------------------------


def _on_circuit(rig: ResolvedRig, name: str) -> list[str]:
    """Return the other devices on the circuit of one."""
    circuit = rig.rig.devices[name].circuit
    every = rig.rig.devices.values() if circuit is not None else ()
    return [device.name for device in every if device.circuit == circuit and device.name != name]


def _starting(rig: ResolvedRig, name: str) -> list[str]:
    """Return a device and those that light with it, by the rig file."""
    return [name, *(_on_circuit(rig, name) if is_dark(rig.rig, rig.rig.devices[name].circuit) else ())]


def _reached(rig: ResolvedRig, name: str) -> set[str]:
    """Return a device, the boxes of its links, and those behind it on a link: what it lights up comes back with it."""
    box = rig.boxes.get(name)
    beyond = {each.device for each in rig.chains[box.link].boxes[box.position :]} if box is not None else set()
    return {name, *beyond, *(each.device for each in rig.boxes.values() if each.link.device == name)}


def _turned_down(rig: ResolvedRig, name: str) -> Iterator[str]:
    """Yield what sounds again with a device, and with what else is on its circuit."""
    own = _hung_on(rig, _reached(rig, name))
    if own:
        yield f"all on {name} ({', '.join(own)})"
    circuit, others = rig.rig.devices[name].circuit, _on_circuit(rig, name)
    if others:
        reached = {each for other in others for each in _reached(rig, other)}
        ends = [end for end in _hung_on(rig, reached, circuit) if end not in own]
        how = f"lit with {name}" if is_dark(rig.rig, circuit) else "which may be dark too"
        yield f"all else on circuit {circuit} or behind it, {how} ({', '.join((*others, *ends))})"


def _hung_on(rig: ResolvedRig, devices: Collection[str], circuit: str | None = None) -> list[str]:
    """Return what hangs on the outputs of some devices, or on a circuit itself."""
    rows = rig.rig
    amplified = {socket for row in rows.amplifiers.values() for socket in row.sockets}
    found: dict[str, None] = {}
    every: list[Destination | Amplifier] = [*rows.destinations.values(), *rows.amplifiers.values()]
    for row in every:
        own = circuit is not None and row.circuit == circuit
        for socket in row.sockets:
            sent_by = {socket.device, sender(rig.departure(socket))}
            driven = isinstance(row, Destination) and is_driven(row) and socket in amplified
            if (own or sent_by.intersection(devices)) and not driven:  # of what an amplifier drives that is turned down
                found[row.name] = None
    return list(found)


# -- phantom power -----------------------------------------------------------------------------------------------------


def _giving(rig: ResolvedRig, socket: Socket) -> list[Channel]:
    """Return the channels that say that phantom power is on at a socket, lit or not."""
    phantom = rig.phantom
    if not phantom.is_able(socket):
        return []
    at = phantom.sockets_on(phantom.switch_at(socket))
    return [row.channel for row in rig.arrivals.values() if row.socket in at and row.channel.phantom == "on"]


def _hearing(rig: ResolvedRig, sockets: Iterable[Socket]) -> Iterator[Channel]:
    """Yield the channels that hear what is on the switches of some sockets, by whatever leg."""
    phantom = rig.phantom
    at = {each for socket in sockets for each in phantom.sockets_on(phantom.switch_at(socket))}
    for source in dict.fromkeys(source for each in sorted(at) for source in rig.sources_in.get(each, ())):
        yield from heard_on(rig, source)
    yield from (row.channel for row in rig.arrivals.values() if row.socket in at)


def _muted(rig: ResolvedRig, name: str) -> str:
    """Say which channels are muted: as long as a console is dark no hand can mute one of its own."""
    lit = {name, *_on_circuit(rig, name)}
    own = lit.union(box.device for box in rig.boxes.values() if box.link.device in lit)
    sockets = (row.socket for row in rig.arrivals.values() if row.channel.phantom == "on" and row.socket is not None)
    giving = [socket for socket in sockets if socket.device in own and rig.phantom.is_able(socket)]
    giving += [at for _, ends, _ in _fed_twice(rig, name) for at in ends]
    heard, dark = list(_hearing(rig, giving)), _starting(rig, name)
    others = [channel for channel in awake(rig, heard) if channel.console not in dark] if heard else []
    return f"; mute {numbered(others)} (phantom power comes back with {' and '.join(dark)})" if others else ""


def _fed_twice(rig: ResolvedRig, name: str) -> Iterator[tuple[Source, list[Socket], list[Channel]]]:
    """Yield each source that would have phantom power from two ends once a device is lit, where, and who turns it off.

    Off goes the end that gave it meanwhile, unless something else on that switch needs it.
    """
    lit = {each for device in _starting(rig, name) for each in _reached(rig, device)}
    for source in rig.rig.sources.values():
        if phantom_need(source) != NEEDED or len(source.sockets) < 2:
            continue
        by = {at: channels for at in source.sockets if (channels := _giving(rig, at))}
        coming = [at for at in by if at.device in lit]
        ends = [at for at in by if at in coming or rig.phantom.is_live(at)]
        if not coming or len(ends) < 2:
            continue
        # The end that lights keeps it: that is how it was before the other one had to give it.
        first = [at for at in ends if at not in coming] or coming[1:]
        stays = any(not may_rest(rig, source, at) for at in first)
        off = [at for at in ends if at not in first] if stays else first
        yield source, ends, [channel for at in off for channel in by[at]]


def _once(rig: ResolvedRig, name: str) -> str:
    """Say which phantom power goes off, and when: power from both ends of a split works against itself."""
    dark = _starting(rig, name)
    before: dict[Channel, None] = {}
    after: dict[Channel, None] = {}
    names: dict[str, None] = {}
    for source, _, channels in _fed_twice(rig, name):
        names[source.name] = None
        for channel in channels:
            (after if channel.console in dark else before)[channel] = None
    if not names:
        return ""
    why = f"{' and '.join(names)} would have it from both ends of the split"
    said = [f"phantom power off by {numbered(before)} first, wait ten seconds ({why})"] if before else []
    told = "" if before else f" ({why})"
    said += [f"once lit, all still muted, phantom power off by {numbered(after)}{told}"] if after else []
    return "".join(f"; {text}" for text in said)
