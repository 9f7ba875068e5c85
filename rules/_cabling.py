"""What the rules about chains share: free ports, ends of chains, and the changes that move a plug."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from lint import Port, ResolvedRig
from lint.resolve.chain import Chain
from lint.rig.model import LinkKind, Model
from lint.rig.rig import Cable, Channel

# Said with every rule whose cure is to move a link plug; common practice.
RELINK_SAFETY = (
    "Turn the loudspeakers and monitors down before a link plug is pulled or put in: a link that falls out or comes "
    "back may send noise at full level."
)


def joined(names: Iterable[object]) -> str:
    """Write names in a row, with `and` before the last."""
    every = [str(name) for name in names]
    return " and ".join(filter(None, (", ".join(every[:-1]), *every[-1:])))


def kilohertz(rate_hz: int) -> str:
    """Write a sample rate as the crew says it: 48 kHz."""
    return f"{rate_hz / 1000:g} kHz"


def taken_ports(rig: ResolvedRig) -> set[Port]:
    """Return the ports that hold a cable."""
    return {end for cable in rig.rig.cables.values() for end in cable.ends}


def free_link(rig: ResolvedRig, console: str | None = None) -> Port | None:
    """Return the first link port without a cable, of one console or of any."""
    taken = taken_ports(rig)
    return next(
        (port for port in rig.chains if port not in taken and console in (None, port.device)),
        None,
    )


def chain_of(rig: ResolvedRig, port: Port) -> Chain | None:
    """Return the chain that hangs on a console's link port, or that a box's port is on."""
    box = rig.boxes.get(port.device)
    return rig.chains.get(box.link if box else port)


def chain_end(rig: ResolvedRig, chain: Chain | None) -> Port | None:
    """Return the free downstream port at the end of a chain, or None where there is none."""
    if chain is None or not chain.boxes:
        return None
    port = Port(chain.boxes[-1].device, "downstream")
    return None if port in taken_ports(rig) else port


def move_plug(cable: Cable, port: Port, target: Port) -> dict[str, Any]:
    """Return the change that moves the plug of a cable from `port` to `target`."""
    return {"cables": {cable.name: {"from" if cable.ends[0] == port else "to": str(target)}}}


def move_end(cable: Cable, port: Port, target: Port) -> tuple[Port, Port]:
    """Return the ends of a cable with the plug that is in `port` in `target`."""
    first, second = (target if end == port else end for end in cable.ends)
    return first, second


def unplug(*cables: Cable) -> dict[str, Any]:
    """Return the change that takes cables away."""
    return {"cables": {cable.name: None for cable in cables}}


def fresh_name(wanted: str, taken: Iterable[str]) -> str:
    """Return a name that is not taken yet: `wanted`, or `wanted-2` and so on; at most 60 letters, as ids are."""
    used = set(taken)
    stem = wanted[:56].rstrip("-")
    names = (stem if number == 1 else f"{stem}-{number}" for number in range(1, len(used) + 2))
    return next(name for name in names if name not in used)


def kinds_at(rig: ResolvedRig, cable: Cable) -> list[tuple[Model, LinkKind]]:
    """Return the model at each end of a cable, with what its link carries and asks for."""
    found = []
    for end in cable.ends:
        model = rig.device(end.device).model
        kind = model.links.get(end.name) or model.chain
        if kind is not None:
            found.append((model, kind))
    return found


def deaf_channels(rig: ResolvedRig, ports: Collection[Port]) -> list[Channel]:
    """Return the channels that are patched from these link ports, on which nothing arrives."""
    return [
        arrival.channel
        for arrival in rig.arrivals.values()
        if arrival.stop == "no-socket" and arrival.slot is not None and arrival.slot.port in ports
    ]


def dead_by(deaf: Iterable[Channel]) -> Iterator[tuple[str, str]]:
    """Yield the findings about channels that follow from their console hearing nothing, for `explains`."""
    for channel in deaf:
        yield "patch-carries-nothing", channel.address
        yield "source-unheard", str(channel.carries)


def declare_split(owner: Port, listener: Port, taken: set[str]) -> tuple[str, dict[str, Any]]:
    """Return the words and the change that let one console listen to another's chain; its name joins `taken`."""
    name = fresh_name(f"{owner.device}-{listener.device}", taken)
    taken.add(name)
    split = {"kind": "link", "from": str(owner), "to": str(listener)}
    return f"declare the split under splits/: {owner} to {listener}, kind link", {"splits": {name: split}}
