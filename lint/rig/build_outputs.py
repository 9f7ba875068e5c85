"""From the sections about what leaves a console to feeds, destinations and amplifiers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lint.read.document import Trail
from lint.rig import build_plant as plant
from lint.rig.address import OutputPoint, Signal, Slot, Socket, point
from lint.rig.names import Names
from lint.rig.plant import Amplifier
from lint.rig.rig import Channel, Destination, Feed


def feeds(names: Names, channels: Mapping[tuple[str, int], Channel]) -> None:
    """Read what every output sends into `names.feeds`, and what `same_as` copies into `names.copies`."""
    copies: dict[OutputPoint, tuple[OutputPoint, Trail]] = {}
    for port_text, rows in names.data.get("feeds", {}).items():
        trail: Trail = ("feeds", port_text)
        console, _, side = port_text.partition("/")
        device = names.device(console, trail)
        if device is None:
            continue
        if device.model.kind != "console":
            names.problem(trail, f"{console} is no console, so it sends nothing of its own", at_key=True)
            continue
        if side != "out":
            names.port(port_text, trail)
        for key, value in rows.items():
            at = (*trail, key)
            outputs = [point(console, side, number) for number in names.numbers(key, at, at_key=True)]
            if not outputs:
                continue
            if doubled := [where for where in outputs if where in names.feeds or where in copies]:
                names.problem(at, f"{doubled[0]} is fed twice", at_key=True)
            if isinstance(value, dict):
                _copy(names, value["same_as"], console, outputs, copies, (*at, "same_as"))
                continue
            signal = names.signal(value, console, at)
            if signal is None:
                continue
            names.refer_direct(signal, channels, at)
            names.own_mix(signal, console, at, "an output carries a mix")
            for where, one in zip(outputs, names.spread(signal, len(outputs), at), strict=False):
                names.feeds[where] = Feed(one, at)
    _resolve_copies(names, copies)


def _copy(
    names: Names,
    text: str,
    console: str,
    outputs: list[Socket | Slot],
    copies: dict[OutputPoint, tuple[OutputPoint, Trail]],
    trail: Trail,
) -> None:
    origins = names.points(text, trail)
    if not origins or not _is_output(names, origins[0], console, trail):
        return
    if len(origins) != len(outputs):
        names.problem(trail, f"{len(outputs)} outputs can't be the same as {len(origins)} ({text})")
    for where, origin in zip(outputs, origins, strict=False):
        copies[where] = (origin, trail)


def _is_output(names: Names, where: Socket | Slot, console: str, trail: Trail) -> bool:
    """Hold what `same_as` names against its console: its own output sockets and its own link ports."""
    device = where.device if isinstance(where, Socket) else where.port.device
    if names.device(device, trail) is None:
        return False
    if device != console:
        names.problem(trail, f"{where} is not on {console}; an output can only be the same as one of its console's")
    elif isinstance(where, Slot):
        names.port(str(where.port), trail)
    elif where.side == "in":
        names.problem(trail, f"{where} is an input; expected an output such as {console}/out/{where.number}")
    return True


def _resolve_copies(names: Names, copies: Mapping[OutputPoint, tuple[OutputPoint, Trail]]) -> None:
    """Follow `same_as` to the mix that really leaves there; an origin that sends nothing copies nothing."""
    told: set[Trail] = set()
    for where, (origin, trail) in copies.items():
        seen = {where}
        end = origin
        while end in copies and end not in seen:
            seen.add(end)
            end = copies[end][0]
        if end in seen:
            if end == where and trail not in told:  # what only leads into the ring is told where the ring is
                names.problem(trail, f"{where} is the same as itself: same_as goes round in a ring")
                told.add(trail)
            continue
        names.copies[where] = end
        if end in names.feeds:
            names.feeds[where] = Feed(names.feeds[end].signal, trail, origin)


def destinations(names: Names, channels: Mapping[tuple[str, int], Channel]) -> dict[str, Destination]:
    """Read what is plugged into outputs, with what is expected to arrive there."""
    destinations = {}
    for name, row in names.data.get("destinations", {}).items():
        trail: Trail = ("destinations", name)
        sockets = _output_sockets(names, row, trail)
        expects = _expects(names, row, trail, len(sockets), channels)
        names.circuit(row, trail)
        aligned_to = row.get("aligned_to")
        if aligned_to is not None:
            names.known("destination", aligned_to, names.data["destinations"], (*trail, "aligned_to"))
        destinations[name] = Destination(
            name,
            row["kind"],
            row.get("label", ""),
            sockets,
            expects,
            row.get("shared_by"),
            row.get("location", ""),
            row.get("circuit"),
            plant.load(name, row, trail),
            row.get("delay_ms"),
            row.get("distance_m"),
            aligned_to,
            row.get("latency_ms", 0.0),
            row.get("cable", ""),
        )
    return destinations


def amplifiers(names: Names, channels: Mapping[tuple[str, int], Channel]) -> dict[str, Amplifier]:
    """Read the amplifiers, with what is expected to arrive at their inputs."""
    amplifiers = {}
    for name, row in names.data.get("amplifiers", {}).items():
        trail: Trail = ("amplifiers", name)
        names.circuit(row, trail)
        sockets = _output_sockets(names, row, trail)
        if not sockets and (said := next((key for key in ("expects", "shared_by") if key in row), None)):
            names.problem((*trail, said), f"{name} does not say where it is plugged in; say plugged_into as well")
        amplifiers[name] = plant.amplifier(name, row, sockets, _expects(names, row, trail, len(sockets), channels))
    return amplifiers


def _output_sockets(names: Names, row: Mapping[str, Any], trail: Trail) -> tuple[Socket, ...]:
    """Read the sockets that something is plugged into; none where it does not say."""
    points = names.points(row["plugged_into"], (*trail, "plugged_into")) if "plugged_into" in row else []
    sockets = tuple(socket for socket in points if isinstance(socket, Socket))
    if sockets:
        names.device(sockets[0].device, (*trail, "plugged_into"))
    return sockets


def _expects(
    names: Names, row: Mapping[str, Any], trail: Trail, count: int, channels: Mapping[tuple[str, int], Channel]
) -> tuple[Signal, ...]:
    """Read what is expected at each of `count` sockets; nothing where it does not say."""
    if "expects" not in row or not count:
        return ()
    at = (*trail, "expects")
    console = _console_of_direct(names, row["expects"], at)
    signal = names.signal(row["expects"], console, at) if console is not None else None
    if signal is None:
        return ()
    names.refer_direct(signal, channels, at)
    return tuple(names.spread(signal, count, at))


def _console_of_direct(names: Names, text: str, trail: Trail) -> str | None:
    """Return the console whose channel a destination means, or None where there are several to choose from."""
    if not text.startswith("channel/"):
        return ""
    consoles = [name for name, device in names.devices.items() if device.model.kind == "console"]
    if len(consoles) > 1:
        names.problem(trail, f"{text} could be on any of {', '.join(consoles)}; feed it through a mix")
        return None
    return consoles[0] if consoles else ""
