"""Input patch in blocks: turning one block may put eight channels right at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lint.plan.intent import ChannelKey
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import InputPoint, Return, Slot, Socket
from lint.rig.rig import Block

Start = Slot | Socket


class BlockTurn(NamedTuple):
    """A block that is patched anew: from the point it starts at now to another."""

    block: Block
    first: Start

    @property
    def text(self) -> str:
        """The new range as a rig file writes it."""
        last = self.first.number + len(self.block.points) - 1
        return f"{self.first}-{last}"


class Repatch(NamedTuple):
    """What is patched anew: blocks turned, and channels by themselves."""

    turns: Sequence[BlockTurn]
    channels: Mapping[ChannelKey, InputPoint]

    @property
    def changes(self) -> int:
        """How many changes that is."""
        return len(self.turns) + len(self.channels)


def repatch(
    rig: ResolvedRig, points: Mapping[ChannelKey, InputPoint], patched: Mapping[ChannelKey, InputPoint]
) -> Repatch:
    """Return the fewest changes that patch every channel of `patched` anew, where `points` has what is right for all.

    A channel that a turned block takes along unasked is patched back by itself.
    """
    turns = turned_blocks(rig, points)
    set_by: dict[ChannelKey, InputPoint] = {}
    for turn in turns:
        for index, number in enumerate(turn.block.channels):
            set_by[turn.block.console, number] = turn.first._replace(number=turn.first.number + index)
    single: dict[ChannelKey, InputPoint] = {}
    for key, channel in rig.rig.channels.items():
        own = channel.by_block is not None and key in set_by
        point = points.get(key) if own else patched.get(key)
        if point is not None and not (own and set_by[key] == point):
            single[key] = point
    return Repatch(turns, single)


def turned_blocks(rig: ResolvedRig, wanted: Mapping[ChannelKey, InputPoint]) -> list[BlockTurn]:
    """Return the blocks to turn so that blocks turned and channels then patched singly are the fewest.

    `wanted` has every channel's right point. Exact: a block stays, or starts at one of the points that put at least
    one of its channels right; each choice is counted, and no block touches the channels of another.
    """
    turns = []
    for blocks in rig.rig.blocks.values():
        for block in blocks:
            rows = {
                number: point
                for number in block.channels
                if (channel := rig.rig.channels.get((block.console, number))) is not None
                and channel.by_block == block.key
                and (point := wanted.get((block.console, number))) is not None
            }
            starts = {start for number, point in rows.items() if (start := start_for(block, number, point)) is not None}
            best = min(sorted(starts, key=str), key=lambda start: _wrong(block, rows, start), default=None)
            if best is not None and 1 + _wrong(block, rows, best) < _wrong(block, rows, block.points[0]):
                turns.append(BlockTurn(block, best))
    return turns


def start_for(block: Block, number: int, point: InputPoint) -> Start | None:
    """Return where a block must start so that its channel `number` gets `point`."""
    if isinstance(point, Return) or point.number <= (offset := number - block.channels.start):
        return None
    return point._replace(number=point.number - offset)


def _wrong(block: Block, rows: Mapping[int, InputPoint], start: InputPoint) -> int:
    return sum(start_for(block, number, point) != start for number, point in rows.items())
