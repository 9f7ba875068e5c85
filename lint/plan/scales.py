"""What the aims of a rescue weigh against each other: each unit outweighs everything below it together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from lint.plan.distance import FARTHEST, MOST_STEPS
from lint.plan.phantom import FITS, FOR_NOTHING, TWICE


@dataclass(frozen=True)
class Scales:
    """What the aims weigh against each other: each unit outweighs everything below it together."""

    step: Mapping[int, int]  # by priority: what a socket farther from the old number counts
    way: Mapping[int, int]  # by priority: what a decimetre of the way counts
    apart: int  # a pair on two devices
    powering: Mapping[int, int]  # of a socket that FITS, one that is on FOR_NOTHING, and one that feeds it TWICE
    half: int  # what it costs to save one half of a pair alone
    deaf: Mapping[int, int]  # by priority: consoles that are to hear one and do not where it goes
    left: Mapping[int, int]  # by priority: what it costs to leave one behind

    @classmethod
    def of(cls, priorities: Collection[int], bystanders: int, deaf_most: int) -> Scales:
        """Return what they weigh for those that are lost, by their priorities, and the bystanders of their sockets.

        `deaf_most` is the most that the consoles of one count for that do not hear it.
        """
        step, unit = _by_priority(priorities, MOST_STEPS, 1)
        way, apart = _by_priority(priorities, FARTHEST // MOST_STEPS, unit)
        powered = apart * (len(priorities) + 1)
        twice = powered * (len(priorities) + bystanders + 1)
        half = twice * (len(priorities) + bystanders + 1)
        deaf, unit = _by_priority(priorities, deaf_most, half * (len(priorities) + 1))
        left, _ = _by_priority(priorities, 1, unit)
        return cls(step, way, apart, {FITS: 0, FOR_NOTHING: powered, TWICE: twice}, half, deaf, left)


def _by_priority(priorities: Collection[int], most: int, unit: int) -> tuple[Mapping[int, int], int]:
    """Return what one counts by priority, of which each has at most `most`, from `unit` up; and what outweighs all."""
    counts = {}
    for priority, count in sorted(Counter(priorities).items(), reverse=True):
        counts[priority] = unit
        unit *= most * count + 1
    return counts, unit
