"""Free sockets from which a lost source would be heard, were it not for their phantom power."""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

from lint.resolve.phantom import BARRED, NEEDED
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket


class Barred(NamedTuple):
    """Free sockets that are no good for some sources: these need phantom power (`is_needed`) or must not have it."""

    sockets: tuple[Socket, ...]
    sources: tuple[str, ...]
    is_needed: bool
    why: str


def barred_sockets(rig: ResolvedRig, rows: Collection[tuple[str, str, Collection[Socket]]]) -> tuple[Barred, ...]:
    """Return what keeps sources out of free sockets; `rows` have each source, its need, and where it would be heard.

    They themselves are in nobody's way.
    """
    left = {source for source, _, _ in rows}
    found: dict[tuple[tuple[Socket, ...], bool, str], list[str]] = {}
    for source, need, sockets in rows:
        by_reason: dict[str, list[Socket]] = {}
        for socket in sorted(sockets):
            if why := _why(rig, socket, need, left):
                by_reason.setdefault(why, []).append(socket)
        for why, own in by_reason.items():
            found.setdefault((tuple(own), need == NEEDED, why), []).append(source)
    return tuple(
        Barred(at, tuple(dict.fromkeys(names)), is_needed, why) for (at, is_needed, why), names in found.items()
    )


def _why(rig: ResolvedRig, socket: Socket, need: str, left: Collection[str]) -> str:
    if need == NEEDED and not rig.phantom.is_able(socket):
        return f"{socket.device} has none"
    there = rig.phantom.barred_at(socket) if need == NEEDED else rig.phantom.needed_at(socket) if need == BARRED else []
    others = " and ".join(name for name in there if name not in left)
    words = "must not have it" if need == NEEDED else "can't do without"
    return f"{others} on the same switch {words}" if others else ""
