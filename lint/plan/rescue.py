"""What a rescue comes to: who is lost, who goes where, who is left, and the rig that comes out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from lint.check.engine import Checked
from lint.check.finding import Verdict
from lint.plan.barred import Barred
from lint.plan.cures import Cure
from lint.plan.one_side import OneSide
from lint.plan.outage import Outage
from lint.plan.outroom import OutputRoom
from lint.plan.plug import Plug
from lint.rig.address import Signal, Socket
from lint.rig.rig import Channel


class Room(NamedTuple):
    """A plug that works and matters less than those who find a socket once it is pulled (`saves`).

    `instead` are those who were to have found one by what is pulled before it, and make room in their turn.
    """

    plug: Plug
    saves: tuple[Plug, ...]
    instead: tuple[Plug, ...] = ()


class MovedOutput(NamedTuple):
    """What hangs on an output socket now: who, what it carries, and how far its plug was carried."""

    name: str
    socket: Socket
    signal: Signal | None
    way_m: float


@dataclass(frozen=True)
class Rescue:
    """Who is lost and where each goes; `left` are those for whom nothing is left, the most important first.

    `free` counts the free sockets that are of use to any of the lost. `room` has what may be pulled for those who are
    left, one after the other; `output_room` the same of outputs, of which there are too few where
    `is_short_of_outputs`. `torn` has the halves of pairs of which one is left; `deaf` are consoles that are dead, with
    all that they hear: then `silent` has the sources that nobody hears any more, `still` those that others hear.
    `besides` has plugs that move besides: so that their sources have phantom power, or to make room. `gained` are the
    sources for which what works moves too (see `lint.plan.wider`). `barred` are free sockets that are no good for those
    who are left, for their phantom power; `mute` hangs on outputs, of which there are too few, and nothing plays on it.
    `one_sided` are house mixes of which one side alone is left.
    """

    lost: tuple[Plug, ...]
    places: Mapping[Plug, Socket]
    left: tuple[Plug, ...]
    free: int
    proved: bool
    cure: Cure
    channels: Mapping[Plug, tuple[Channel, ...]] = field(default_factory=dict)
    way_m: Mapping[Plug, float] = field(default_factory=dict)
    outputs: tuple[MovedOutput, ...] = ()
    torn: Mapping[Plug, str] = field(default_factory=dict)
    deaf: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    still: tuple[str, ...] = ()
    besides: Mapping[Plug, Socket] = field(default_factory=dict)
    gained: tuple[str, ...] = ()
    barred: tuple[Barred, ...] = ()
    room: tuple[Room, ...] = ()
    output_room: tuple[OutputRoom, ...] = ()
    is_short_of_outputs: bool = False
    mute: tuple[str, ...] = ()
    one_sided: tuple[OneSide, ...] = ()


class Spared(NamedTuple):
    """A loss, its rescue, and the check of the rig that comes out; `wider` is the rescue with more hands, if any."""

    outage: Outage
    rescue: Rescue
    checked: Checked
    wider: Spared | None = None

    @property
    def is_go(self) -> bool:
        """Whether all goes on as it is meant to, and the check finds no no-go."""
        rescue = self.rescue
        is_whole = not (rescue.left or rescue.deaf or rescue.cure.unmet)
        return is_whole and self.checked.verdict is not Verdict.NO_GO
