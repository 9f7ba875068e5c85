"""Which question next: the search with the least expected cost, exact.

The cost model, which the screen states too: exactly one fault is present; a question costs the seconds it takes, and
its answer is reliable. A signal path is a row of parts with points between them at which one can see whether the
signal is still right: each answer leaves the parts before or behind that point. Whatever is left may also be looked
at part by part, cause by cause; every look is paid for, the last one too, since looking is how the cause is cured.

- Causes in no order: the largest probability over cost first (the P-over-C rule; Kadane and Simon 1977). Exact for
  independent looks that are all paid. A look that another cause would fool waits for that one's, whatever it costs.
- A row of parts: the interval dynamic programme f(i, j) = min(looks(i, j), min over k of c_k P(i..j) + f(i, k) +
  f(k + 1, j)). Exact for every strategy of points first and looks then; with equal costs and odds, the half-split.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

NEVER = float("inf")


class Cause(NamedTuple):
    """Something that may be wrong: its weight (odds to the others' weights) and the seconds to look at it.

    `after` are the names of causes to look at before it.
    """

    weight: float
    seconds: float
    name: str = ""
    after: Sequence[str] = ()


def in_order(causes: Sequence[Cause]) -> list[int]:
    """Return the causes' indexes in P-over-C order; among equals the quicker look first, then the given order.

    Each waits for those that it is to come `after`.
    """
    ranked = sorted(
        range(len(causes)),
        key=lambda index: (
            -causes[index].weight / causes[index].seconds if causes[index].seconds else -NEVER,
            causes[index].seconds,
        ),
    )
    ordered: list[int] = []
    while ranked:
        left = {causes[index].name for index in ranked}
        ordered.append(next((index for index in ranked if left.isdisjoint(causes[index].after)), ranked[0]))
        ranked.remove(ordered[-1])
    return ordered


def looks_cost(causes: Sequence[Cause]) -> float:
    """Return the cost of looking at causes in this order until the one is met: the sum of c_i times the weight left.

    Divided by the whole weight it is the expected number of seconds.
    """
    cost = left = 0.0
    for weight, seconds, *_ in reversed(causes):
        left += weight
        cost += seconds * left
    return cost


class Step(NamedTuple):
    """What to do about the parts first..last: ask at the point behind part `point`, or (None) look at the causes.

    `cost` is weight times seconds: over the weight of those parts, the expected seconds of the rest of the search.
    """

    cost: float
    point: int | None


class Search:
    """The best search of a row of parts.

    `parts` has the causes of each part in the order of the signal; `point_s` the seconds to ask at the point behind
    each part but the last (None: nothing can be seen there). With `looks` false a part that is alone is found, at no
    further cost, and nothing else ends the search.
    """

    def __init__(self, parts: Sequence[Sequence[Cause]], point_s: Sequence[float | None], looks: bool = True) -> None:
        self.parts = parts
        self.point_s = point_s
        self.weights = [sum(cause.weight for cause in causes) for causes in parts]
        self._table: dict[tuple[int, int], Step] = {}
        looking = self._looking() if looks else None
        sums = [0.0]
        for weight in self.weights:
            sums.append(sums[-1] + weight)
        for length in range(1, len(parts) + 1):
            for first in range(len(parts) - length + 1):
                last = first + length - 1
                start = looking[first, last] if looking else (0.0 if length == 1 else NEVER)
                self._table[first, last] = self._best(first, last, start, sums[last + 1] - sums[first])

    def _best(self, first: int, last: int, looks: float, weight: float) -> Step:
        """Return the best step; of equally good points the one nearest to the middle of the weight."""
        best, point, off_centre = looks, None, 0.0
        for index in range(first, last):
            seconds = self.point_s[index]
            if seconds is None:
                continue
            before, behind = self._table[first, index].cost, self._table[index + 1, last].cost
            cost = seconds * weight + before + behind
            centre = abs(2 * (index - first + 1) - (last - first + 1))
            if cost < best - 1e-9 or (point is not None and cost < best + 1e-9 and centre < off_centre):
                best, point, off_centre = min(cost, best) if point is not None else cost, index, centre
        return Step(best, point)

    def _looking(self) -> dict[tuple[int, int], float]:
        """Return the cost of looking at all causes of every interval of parts, in P-over-C order."""
        every = [(part, cause) for part, causes in enumerate(self.parts) for cause in causes]
        ranked = [every[index] for index in in_order([cause for _, cause in every])]
        found = {}
        for first in range(len(self.parts)):
            # Taken from the end, so that each shorter row only leaves out what is behind it.
            rest = [(part, cause) for part, cause in ranked if part >= first]
            for last in range(len(self.parts) - 1, first - 1, -1):
                rest = [row for row in rest if row[0] <= last]
                found[first, last] = looks_cost([cause for _, cause in rest])
        return found

    def step(self, first: int, last: int) -> Step:
        """Return what to do about the parts first..last, counted from 0."""
        return self._table[first, last]

    def expected_s(self, first: int = 0, last: int | None = None) -> float:
        """Return the expected seconds of the best search of the parts first..last."""
        end = len(self.parts) - 1 if last is None else last
        weight = sum(self.weights[first : end + 1])
        return self._table[first, end].cost / weight if weight else 0.0
