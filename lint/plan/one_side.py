"""House mixes of which a loss leaves one side alone: what is panned to the other is heard by nobody in the room."""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

from lint.resolve.resolved import ResolvedRig, same_signal
from lint.rig.address import OutputPoint
from lint.rig.rig import HOUSE_LOUDSPEAKERS, Channel

SIDES = {"left": "right", "right": "left"}


class OneSide(NamedTuple):
    """The side of a mix that is left (`side`), the loudspeakers that have it, and the channels panned to the `other`.

    `points` are the outputs at which it is sent, where these loudspeakers alone hear them.
    """

    mix: str
    side: str
    other: str
    loudspeakers: tuple[str, ...]
    channels: tuple[Channel, ...]
    points: tuple[OutputPoint, ...]


def one_sided(before: ResolvedRig, rig: ResolvedRig, dead: Collection[str]) -> tuple[OneSide, ...]:
    """Return the house mixes of which both sides came to loudspeakers before, and in a changed rig one does."""
    found = []
    for mix in rig.rig.mixes.values():
        was, now = _sides(before, mix.name, ()), _sides(rig, mix.name, dead)
        for side, other in SIDES.items():
            if side in now and other in was and other not in now:
                numbers = sorted(mix.sends)
                rows = (rig.rig.channels.get((mix.console, number)) for number in numbers)
                panned = tuple(row for row in rows if row is not None and row.pan == other)
                names = tuple(dict.fromkeys(now[side]))
                found.append(OneSide(mix.name, side, other, names, panned, _points(rig, names)))
    return tuple(found)


def _sides(rig: ResolvedRig, mix: str, dead: Collection[str]) -> dict[str, list[str]]:
    """Return the loudspeakers of the house that get a side of a mix, by that side."""
    found: dict[str, list[str]] = {}
    if rig.rig.mixes[mix].console in dead:
        return found
    for destination, departure, wanted in rig.outputs():
        is_house = destination.kind in HOUSE_LOUDSPEAKERS and destination.name not in dead
        if wanted is not None and wanted.name == mix and is_house and same_signal(departure.signal, wanted):
            found.setdefault(wanted.side or "", []).append(destination.name)
    return found


def _points(rig: ResolvedRig, names: Collection[str]) -> tuple[OutputPoint, ...]:
    """Return where that is sent which the loudspeakers of these names hear; none where anything else hears it too."""
    heard: dict[OutputPoint, set[str]] = {}
    for destination, departure, _ in rig.outputs():
        heard.setdefault(rig.sent_at(departure), set()).add(destination.name)
    points = [point for point, by in heard.items() if by.intersection(names)]
    return tuple(points) if all(heard[point].issubset(names) for point in points) else ()
