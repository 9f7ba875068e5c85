"""Plug moves in an order in which no two plugs are ever in one socket."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple

from lint.rig.address import Socket

UNTAKEN = "no channel takes it, so leave it unplugged"
MAKING_ROOM = TO_A_SOCKET, TO_THE_HAND = "to make room", "hold it: to make room"
POWERS = "for its phantom power: it is heard by its other plug"


class Move(NamedTuple):
    """A plug that is to go from one socket to another; `is_amplifier` says that it is an amplifier's input."""

    plug: str
    start: Socket
    end: Socket
    is_amplifier: bool = False


class Handling(NamedTuple):
    """One thing done with one plug; None is the hand that holds it. `why` says what a step on the way is for.

    `is_amplifier` says that it is an amplifier's input, `is_carried` that it goes to another device, `way_m` how far
    that is; None where the rig doesn't say. `is_idle` says that no channel takes it there: it may lie unplugged.
    """

    plug: str
    start: Socket | None
    end: Socket | None
    why: str = ""
    is_amplifier: bool = False
    is_carried: bool = False
    way_m: float | None = None
    is_idle: bool = False

    @property
    def is_on_the_way(self) -> bool:
        """Whether it only makes room: the plug is not yet where it goes."""
        return self.why in MAKING_ROOM

    @property
    def first(self) -> str:
        """What is done before it."""
        return "the amplifier off or turned down first" if self.is_amplifier else ""


def in_order(moves: Iterable[Move], staying: Collection[Socket], free: Sequence[Socket]) -> list[Handling]:
    """Return the moves in an order that never needs a taken socket; `staying` have plugs that do not move.

    A plug goes on its way into one of the `free` sockets of its device, or into a hand where there is none, and only
    where moves go round in a ring: a ring needs one such step and no more, a chain of moves that ends at an empty
    socket needs none, so the number of steps is the least there is.
    """
    left = list(moves)
    standing = Counter((*staying, *(move.start for move in left)))
    kept = {socket for move in left for socket in (move.start, move.end)}.union(staying)
    parking = [socket for socket in free if socket not in kept]
    steps: list[Handling] = []
    held: dict[Move, Socket | None] = {}  # plugs on the way, and where they wait
    while left:
        ready = next((move for move in left if not standing[move.end]), None)
        if ready is None:
            ring, spot = _parked([move for move in left if move not in held], parking)
            if spot is not None:
                parking.remove(spot)
            standing[ring.start] -= 1
            held[ring] = spot
            why = TO_A_SOCKET if spot else TO_THE_HAND
            steps.append(Handling(ring.plug, ring.start, spot, why, ring.is_amplifier))
            continue
        left.remove(ready)
        standing[ready.end] = 1
        if ready in held:
            spot = held.pop(ready)
            if spot is not None:
                parking.append(spot)
            steps.append(Handling(ready.plug, spot, ready.end, is_amplifier=ready.is_amplifier))
        else:
            standing[ready.start] -= 1
            steps.append(Handling(ready.plug, ready.start, ready.end, is_amplifier=ready.is_amplifier))
    return steps


def _parked(moves: Sequence[Move], parking: Sequence[Socket]) -> tuple[Move, Socket | None]:
    """Return a move of a ring whose plug finds a free socket on its own device, the nearest; else the first, and none.

    Nobody carries a plug across the stage to make room: a hand is nearer than another box.
    """
    for move in moves:
        spots = [socket for socket in parking if socket.device == move.start.device]
        if spots:
            return move, min(spots, key=lambda socket: abs(socket.number - move.start.number))
    return moves[0], None
