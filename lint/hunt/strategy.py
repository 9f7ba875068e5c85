"""Which question next: the search with the least expected cost, exact.

The cost model, which the screen states too: exactly one fault is present; a question costs the seconds it takes, and
its answer is reliable. A question at a point of the path, or about something else that shares parts of it, leaves one
set of causes after a yes and another after a no. Whatever is left may also be looked at cause by cause; every look is
paid for, the last one too, since looking is how the cause is cured. A cause of which an answer tells nothing is in both
sets, and is searched for after either: what is promised then is the most that it may cost.

- Causes in no order: the largest probability over cost first (the P-over-C rule; Kadane and Simon 1977). Exact for
  independent looks that are all paid. A look that another cause would fool waits for that one's, whatever it costs:
  the two are weighed together, as one look of both costs (Horn 1972: exact where each waits for a row of others).
- Questions: the dynamic programme over sets of causes f(S) = min(looks(S), min over questions of c P(S) + f(S yes) +
  f(S no)). Exact for every strategy of questions first and looks then. Of points along a row of parts, S is an
  interval; with equal costs and odds it is the half-split.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

NEVER = float("inf")
SAME = 1e-9  # weight times seconds: costs this near are equal


class Cause(NamedTuple):
    """Something that may be wrong: its weight (odds to the others' weights) and the seconds to look at it.

    `after` are the names of causes to look at before it.
    """

    weight: float
    seconds: float
    name: str = ""
    after: Sequence[str] = ()


class Ask(NamedTuple):
    """A question: its seconds, and the causes that may be left after a yes and after a no.

    Of sets of causes bit n is cause n, counted from 0 in the given order.
    """

    seconds: float
    yes: int
    no: int


def in_order(causes: Sequence[Cause]) -> list[int]:
    """Return the causes' indexes in P-over-C order; among equals the quicker look first, then the given order.

    Each waits for those that it is to come `after`: a cause is weighed with those that it still waits for, together.
    """
    return _ordered(causes, ranked(causes), waits_of(causes))


def ranked(causes: Sequence[Cause]) -> list[int]:
    """Return the causes' indexes in P-over-C order, whatever waits for what."""
    return sorted(
        range(len(causes)),
        key=lambda index: (-_worth(causes[index].weight, causes[index].seconds), causes[index].seconds),
    )


def waits_of(causes: Sequence[Cause]) -> list[int]:
    """Return of each cause the set of those that are looked at before it, because it waits for them or they do."""
    by_name: dict[str, int] = {}
    for index, cause in enumerate(causes):
        by_name[cause.name] = by_name.get(cause.name, 0) | 1 << index
    waits = [sum(by_name.get(name, 0) for name in set(cause.after)) for cause in causes]
    settled = False
    while not settled:
        more = [_joined(waits, wait) for wait in waits]
        settled, waits = more == waits, more
    return waits


def _joined(waits: Sequence[int], wait: int) -> int:
    for index, other in enumerate(waits):
        if wait >> index & 1:
            wait |= other
    return wait


def _ordered(causes: Sequence[Cause], left: Sequence[int], waits: Sequence[int]) -> list[int]:
    """Return some causes, that are ranked, in P-over-C order; `waits` has of each the set of those that come before."""
    inside = sum(1 << index for index in left)
    ordered: list[int] = []
    for at, index in enumerate(left):
        while inside >> index & 1:  # until it is its turn, groups of those behind it may be worth more
            if not waits[index] & inside:  # it waits for none of them, so it is worth most
                ordered.append(index)
                inside ^= 1 << index
                break
            taken = _worthiest(causes, left[at:], waits, inside)
            first = waits[taken] & inside
            before = [each for each in left[at:] if first >> each & 1]
            group = [*_ordered(causes, before, waits), taken] if before else [taken]
            ordered += group
            inside &= ~sum(1 << each for each in group)
    return ordered


def _worthiest(causes: Sequence[Cause], left: Sequence[int], waits: Sequence[int], inside: int) -> int:
    """Return which of the causes inside is worth most, weighed with those inside that it waits for."""
    first, best = left[0], -1.0
    for index in left:
        if not inside >> index & 1:
            continue
        weight, seconds, *_ = causes[index]
        group = waits[index] & inside
        for each in left if group else ():
            if group >> each & 1:
                weight += causes[each].weight
                seconds += causes[each].seconds
        if (worth := _worth(weight, seconds)) > best:
            first, best = index, worth
        if not group:
            break  # those behind it are worth no more, nor what waits for them
    return first


def _worth(weight: float, seconds: float) -> float:
    return weight / seconds if seconds else NEVER


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
    """What to do about a set of causes: ask question `ask` (by its index), or (None) look at them one by one.

    `cost` is weight times seconds: over the weight of the set, the expected seconds of the rest of the search.
    """

    cost: float
    ask: int | None


class Search:
    """The best search of some causes.

    With `looks` false a cause that is alone is found, at no further cost, and nothing else ends the search.
    """

    def __init__(self, causes: Sequence[Cause], asks: Sequence[Ask], looks: bool = True) -> None:
        self.whole = (1 << len(causes)) - 1
        self.causes = causes
        self.asks = asks
        self.looks = looks
        self._ranked = ranked(causes)
        self._waits = waits_of(causes)
        self._steps: dict[int, Step] = {}
        self._weights: dict[int, float] = {}

    def in_order(self, left: int) -> list[int]:
        """Return the indexes of a set of causes in the order in which they are looked at."""
        return _ordered(self.causes, [index for index in self._ranked if left >> index & 1], self._waits)

    def step(self, left: int) -> Step:
        """Return what to do about a set of causes; of equally good questions the one that parts it most evenly."""
        known = self._steps.get(left)
        if known is None:
            known = self._steps[left] = self._best(left)
        return known

    def _best(self, left: int) -> Step:
        inside = [self.causes[index] for index in self.in_order(left)]
        weight = self._weight(left)
        alone = 0.0 if len(inside) == 1 else NEVER
        best, chosen, off_centre = looks_cost(inside) if self.looks else alone, None, 0.0
        for index, (seconds, yes, no) in enumerate(self.asks):
            one, other = left & yes, left & no
            # What leaves all or nothing after an answer tells nothing; what costs too much by itself is not followed.
            if not one or not other or left in (one, other) or (cost := seconds * weight) > best + SAME:
                continue
            cost += self.step(one).cost + self.step(other).cost
            if cost > best + SAME or (chosen is None and cost > best - SAME):
                continue
            centre = abs(self._weight(one) - self._weight(other))
            if cost < best - SAME or centre < off_centre - SAME:
                best, chosen, off_centre = min(cost, best), index, centre
        return Step(best, chosen)

    def _weight(self, left: int) -> float:
        known = self._weights.get(left)
        if known is None:
            known = sum(cause.weight for index, cause in enumerate(self.causes) if left >> index & 1)
            self._weights[left] = known
        return known

    def expected_s(self, left: int | None = None) -> float:
        """Return the expected seconds of the best search of a set of causes, by default of all."""
        left = self.whole if left is None else left
        weight = self._weight(left)
        return self.step(left).cost / weight if weight else 0.0
