"""What the aims of a rescue weigh against each other: each unit outweighs everything below it together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from lint.plan.distance import FARTHEST
from lint.plan.phantom import FITS, FOR_NOTHING, TWICE


@dataclass(frozen=True)
class Scales:
    """What the aims weigh against each other: each unit outweighs everything below it together."""

    way: Mapping[int, int]  # by priority: what a step of the way counts
    apart: int  # a pair on two devices
    powering: Mapping[int, int]  # of a socket that FITS, one that is on FOR_NOTHING, and one that feeds it TWICE
    half: int  # what it costs to save one half of a pair alone
    left: Mapping[int, int]  # by priority: what it costs to leave one behind

    @classmethod
    def of(cls, priorities: Collection[int]) -> Scales:
        """Return what they weigh for those that are lost, by their priorities."""
        way, apart = {}, 1
        for priority, count in sorted(Counter(priorities).items(), reverse=True):
            way[priority] = apart
            apart *= FARTHEST * count + 1
        powered = apart * (len(priorities) + 1)
        twice = powered * (len(priorities) + 1)
        half = twice * (len(priorities) + 1)
        weight = half * (len(priorities) + 1)
        left = {}
        for priority, count in sorted(Counter(priorities).items(), reverse=True):
            left[priority] = weight
            weight *= count + 1
        return cls(way, apart, {FITS: 0, FOR_NOTHING: powered, TWICE: twice}, half, left)
