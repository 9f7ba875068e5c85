"""What the search for places is about: plugs, where they go and what that costs, and the cure that comes out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from lint.plan.intent import ChannelKey
from lint.plan.moves import Move
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import InputPoint, Socket
from lint.rig.rig import Channel


class Plug(NamedTuple):
    """One plug of a source; a source behind a splitter has several."""

    source: str
    leg: int
    socket: Socket
    needs_phantom: bool


Places = Mapping[Plug, Socket]
Price = Callable[[Channel, Socket], int | None]


class Placed(NamedTuple):
    """Where every plug goes, what that costs at least, and what it costs more at least to have one on a device.

    Costs are in parts of a change, each `Carrying.unit` of them, with what carrying the plugs counts for.
    """

    places: Places
    least: int
    more_on: Callable[[Plug, str], int]


@dataclass(frozen=True)
class InputCure:
    """What is done on the input side; `patched` are channels with their new points, `points` every channel's right one.

    `proved` says that nothing with fewer changes does as much.
    """

    patched: Mapping[ChannelKey, InputPoint] = field(default_factory=dict)
    moves: Mapping[Plug, Socket] = field(default_factory=dict)
    points: Mapping[ChannelKey, InputPoint] = field(default_factory=dict)
    proved: bool = True

    def as_moves(self) -> list[Move]:
        """The plugs that move."""
        return [Move(plug.source, plug.socket, end) for plug, end in self.moves.items()]


def halves_of(rig: ResolvedRig, plugs: Iterable[Plug]) -> dict[tuple[str, int], tuple[Plug, Plug]]:
    """Return the left and right plug of every stereo pair that has both among `plugs`, by its name and their leg."""
    at = {(plug.source, plug.leg): plug for plug in plugs}
    legs = sorted({leg for _, leg in at})
    both = {
        (row.name, leg): (at.get((row.left, leg)), at.get((row.right, leg)))
        for row in rig.rig.pairs.values()
        for leg in legs
    }
    return {key: (left, right) for key, (left, right) in both.items() if left is not None and right is not None}
