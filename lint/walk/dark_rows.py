"""Rows of what has no mains or a dead socket say so: nobody waits for a sound from there."""

from __future__ import annotations

from collections.abc import Mapping

from lint.resolve.dark import dark_on_the_way, without_mains
from lint.resolve.resolved import ResolvedRig
from lint.rig.dead import dead_words
from lint.rig.rig import is_driven


def said_dark(rig: ResolvedRig, fields: Mapping[str, str | int | bool]) -> Mapping[str, str | int | bool]:
    """Return the fields of a row, its title with what has no mains or is dead behind it where something is."""
    name, title = str(fields.get("name", "")), fields.get("title")
    dark = [*_dead(rig, name), *_dark(rig, name)]
    return {**fields, "title": f"{title} [{'; '.join(dark)}]"} if dark and title else fields


def _dead(rig: ResolvedRig, name: str) -> list[str]:
    """Say which input sockets are dead of a device of that name, or that a source of that name is plugged into."""
    rows = rig.rig
    if name in rows.devices:
        return [row.words for row in rows.dead.values() if row.device == name]
    sockets = rows.sources[name].sockets if name in rows.sources else ()
    return [words for socket in sockets if (words := dead_words(rows.dead.values(), socket))]


def _dark(rig: ResolvedRig, name: str) -> list[str]:
    """Say what has no mains between a device, source or destination of that name and the console, or at its end."""
    rows = rig.rig
    if name in rows.devices:
        return dark_on_the_way(rig, name)
    if name in rows.circuits:
        return [f"the circuit {name} is dark"] if rows.circuits[name].dark else []
    end = rows.destinations.get(name)
    sockets = end.sockets if end is not None else rows.sources[name].sockets if name in rows.sources else ()
    way = [text for socket in sockets if socket.device in rows.devices for text in dark_on_the_way(rig, socket.device)]
    if end is not None:
        driving = [a for a in rows.amplifiers.values() if is_driven(end) and set(a.sockets) & set(sockets)]
        on = {end.name: end.circuit} | {row.name: row.circuit for row in driving}
        way += filter(None, (without_mains(rows, *each) for each in on.items()))
    return list(dict.fromkeys(way))
