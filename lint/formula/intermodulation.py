"""Third-order intermodulation of radio carriers, in whole hertz: 2a − b of two transmitters, a + b − c of three.

Formulas: US Army TM 11-490-5 (figure text) and ITU-R SM.1134-1; the order is the sum of the absolute coefficients
(IEC 60050). Frequencies are whole numbers, because a float 2 * 600.4 - 600.0 is not 600.8 exactly.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, combinations_with_replacement, islice
from typing import NamedTuple


class Product(NamedTuple):
    """A product a + b − c, where a and b are `plus` (twice the same for 2a − b) and c is `minus`, all in hertz."""

    plus: tuple[int, int]
    minus: int

    @property
    def frequency_hz(self) -> int:
        """Where it falls."""
        return self.plus[0] + self.plus[1] - self.minus


class Near(NamedTuple):
    """The products near one carrier: how many, and the nearest of them, nearest first."""

    carrier_hz: int
    products: int
    nearest: tuple[Product, ...]


def two_signal(frequencies_hz: Iterable[int]) -> Iterator[Product]:
    """Yield 2a − b for every ordered pair of different carriers: n(n − 1) of them."""
    carriers = _carriers(frequencies_hz)
    for a in carriers:
        yield from (Product((a, a), b) for b in carriers if b != a)


def three_signal(frequencies_hz: Iterable[int]) -> Iterator[Product]:
    """Yield a + b − c for every pair of carriers and every third one: n(n − 1)(n − 2) / 2 of them."""
    carriers = _carriers(frequencies_hz)
    for a, b in combinations(carriers, 2):
        yield from (Product((a, b), c) for c in carriers if c not in (a, b))


def count_two_signal(carriers: int) -> int:
    """Return how many products of two transmitters `carriers` carriers make."""
    return _count(carriers) * (carriers - 1)


def count_three_signal(carriers: int) -> int:
    """Return how many products of three transmitters `carriers` carriers make."""
    return _count(carriers) * (carriers - 1) * max(carriers - 2, 0) // 2


def products_near(frequencies_hz: Iterable[int], guard_hz: int, told_spacing_hz: int = 0, most: int = 3) -> list[Near]:
    """Return, for every carrier that third-order products fall within `guard_hz` of, how many and the nearest `most`.

    A product a + b − c lies near a whenever b and c lie near each other, and near whatever is near a. Where both of
    those are closer than `told_spacing_hz` that is told of the carriers themselves, and is left out here. Sums a + b
    are sorted once, so that each pair of a carrier and a c is one search: n² searches and not n⁴ comparisons. Raises
    ValueError for a negative guard, and where a carrier is no whole number over 0.
    """
    carriers = _carriers(frequencies_hz)
    if guard_hz < 0:
        raise ValueError(f"found a guard of {guard_hz} Hz, expected 0 or more")
    told_hz = max(min(guard_hz, told_spacing_hz - 1), 0)
    sums = Sums(carriers)
    found = []
    for target in carriers:
        # Every c takes part in sums c + x, which are no products: as many as there are x near the target.
        count = -len(carriers) * _within(carriers, target, guard_hz)
        count += sum(sums.count_near(target + c, guard_hz) for c in carriers)
        if told_hz and count:
            count -= sum(_count_told(carriers, target, c, guard_hz, told_hz) for c in carriers)
        if count:
            nearest = _nearest(sums, carriers, target, guard_hz, told_hz, most) if most else []
            found.append(Near(target, count, tuple(nearest)))
    return found


def _nearest(sums: Sums, carriers: Sequence[int], target: int, guard_hz: int, told_hz: int, most: int) -> list[Product]:
    products: list[Product] = []
    for c in carriers:
        pairs = sums.near(target + c, guard_hz)
        products += islice((Product(pair, c) for pair in pairs if _counts(pair, c, target, told_hz)), most)
    return sorted(products, key=lambda product: (abs(product.frequency_hz - target), product))[:most]


def _counts(pair: tuple[int, int], c: int, target: int, told_hz: int) -> bool:
    """Whether a + b − c is a product at all, and near the target by more than carriers being too close together."""
    if c in pair:
        return False
    if not told_hz:
        return True
    return not any(abs(a - target) <= told_hz and abs(b - c) <= told_hz for a, b in (pair, pair[::-1]))


def _count_told(carriers: Sequence[int], target: int, c: int, guard_hz: int, told_hz: int) -> int:
    """Return how many products with this c `_counts` leaves out as told: a is near the target and b near c."""
    by_target, by_c = _span(carriers, target, told_hz), _span(carriers, c, told_hz)
    if len(by_c) == 1:
        return 0
    by_both = range(max(by_target.start, by_c.start), min(by_target.stop, by_c.stop))
    at_c = bisect_left(carriers, c)
    count = 0
    for index in by_target:
        if index == at_c:
            continue
        window = _span(carriers, target + c - carriers[index], guard_hz)
        count += _shared(by_c, window, at_c)
        if index in by_both:  # a pair that is near both ways round is met from both its ends
            count -= _shared(range(index + 1, by_both.stop), window, at_c)
    return count


def _shared(one: range, other: range, but: int) -> int:
    """Return how many numbers two ranges share, leaving out one number."""
    both = range(max(one.start, other.start), min(one.stop, other.stop))
    return len(both) - (but in both)


class Sums:
    """The sums of every two carriers, each with itself too, in order: what a product a + b − c is looked up in."""

    def __init__(self, carriers: Iterable[int]) -> None:
        pairs = combinations_with_replacement(sorted(carriers), 2)
        self._pairs = sorted(pairs, key=lambda pair: pair[0] + pair[1])
        self._sums = [first + second for first, second in self._pairs]

    def count_near(self, centre_hz: int, guard_hz: int) -> int:
        """Return how many sums lie within `guard_hz` of `centre_hz`."""
        return _within(self._sums, centre_hz, guard_hz)

    def near(self, centre_hz: int, guard_hz: int) -> Iterator[tuple[int, int]]:
        """Yield the pairs whose sums lie within `guard_hz` of `centre_hz`, nearest first."""
        above = bisect_left(self._sums, centre_hz)
        below = above - 1
        while True:
            up = self._sums[above] - centre_hz if above < len(self._sums) else guard_hz + 1
            down = centre_hz - self._sums[below] if below >= 0 else guard_hz + 1
            if min(up, down) > guard_hz:
                return
            if up <= down:
                yield self._pairs[above]
                above += 1
            else:
                yield self._pairs[below]
                below -= 1


def _within(ordered: Sequence[int], centre: int, reach: int) -> int:
    return bisect_right(ordered, centre + reach) - bisect_left(ordered, centre - reach)


def _span(ordered: Sequence[int], centre: int, reach: int) -> range:
    """Return the indexes of what lies within `reach` of a centre."""
    return range(bisect_left(ordered, centre - reach), bisect_right(ordered, centre + reach))


def _carriers(frequencies_hz: Iterable[int]) -> list[int]:
    """Return the different carriers in order. Raises ValueError where one is no whole number of hertz over 0."""
    carriers = sorted(set(frequencies_hz))
    for carrier in carriers:
        if not isinstance(carrier, int) or carrier <= 0:
            raise ValueError(f"found a carrier of {carrier} Hz, expected a whole number over 0")
    return carriers


def _count(carriers: int) -> int:
    if carriers < 0:
        raise ValueError(f"found {carriers} carriers, expected 0 or more")
    return carriers
