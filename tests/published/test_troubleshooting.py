"""The order of questions against published examples and against every strategy there is.

Half-split and bracketing: US Army subcourse IT0338. P over C: Kadane and Simon 1977 (by way of Ottosen and Jensen,
arXiv 1203.3502). The numbers are the worked examples of shared/reference/checklist-design.md, section 4.3 (computed
there by script; the probabilities are invented for the examples).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lint.hunt.strategy import NEVER, Ask, Cause, Search, in_order, looks_cost

DEAD_LINE = [Cause(0.30, 5), Cause(0.10, 5), Cause(0.25, 30), Cause(0.20, 60), Cause(0.10, 90), Cause(0.05, 120)]


def cost(causes: list[Cause], order: list[int]) -> float:
    return looks_cost([causes[index] for index in order])


def test_example_a_a_dead_microphone_line() -> None:
    assert in_order(DEAD_LINE) == [0, 1, 2, 3, 4, 5]
    assert cost(DEAD_LINE, in_order(DEAD_LINE)) == pytest.approx(67.0)
    every = [cost(DEAD_LINE, list(order)) for order in itertools.permutations(range(6))]
    assert min(every) == pytest.approx(67.0)
    assert max(every) == pytest.approx(279.5)
    # Most likely first; of the two at 0.10 the example takes the slower one first.
    likeliest = sorted(range(6), key=lambda index: (-DEAD_LINE[index].weight, -DEAD_LINE[index].seconds))
    assert cost(DEAD_LINE, likeliest) == pytest.approx(82.25)


def test_example_b_three_causes() -> None:
    causes = [Cause(0.5, 10), Cause(0.3, 2), Cause(0.2, 4)]
    assert cost(causes, in_order(causes)) == pytest.approx(9.8)
    expected = {"BAC": 9.8, "BCA": 9.8, "CBA": 10.6, "ABC": 11.8, "ACB": 12.6, "CAB": 12.6}
    for order, seconds in expected.items():
        assert cost(causes, ["ABC".index(letter) for letter in order]) == pytest.approx(seconds)


def test_example_c_every_check_is_paid_and_that_decides() -> None:
    causes = [Cause(0.6, 7), Cause(0.4, 5)]
    assert in_order(causes) == [0, 1]
    assert cost(causes, [0, 1]) == pytest.approx(9.0)
    assert cost(causes, [1, 0]) == pytest.approx(9.2)


# Example D: n, best E, worst case.
HALF_SPLIT = [
    (2, 1.0, 1),
    (4, 2.0, 2),
    (5, 2.4, 3),
    (7, 2.857, 3),
    (8, 3.0, 3),
    (10, 3.4, 4),
    (16, 4.0, 4),
    (32, 5.0, 5),
]


def span(first: int, last: int) -> int:
    """The causes first..last as a set."""
    return sum(1 << index for index in range(first, last + 1))


def in_a_row(prices: Sequence[float | None]) -> list[Ask]:
    """The questions whether all is right so far behind each cause of a row but the last; None: nothing is seen there."""
    last = len(prices)
    return [
        Ask(NEVER if price is None else price, span(index + 1, last), span(0, index))
        for index, price in enumerate(prices)
    ]


def pure(weights: list[float], seconds: list[float]) -> Search:
    """A search by points alone: a part that is alone is found."""
    return Search([Cause(weight, 0) for weight in weights], in_a_row(seconds), looks=False)


def worst(search: Search, first: int, last: int) -> int:
    point = search.step(span(first, last)).ask
    return 0 if point is None else 1 + max(worst(search, first, point), worst(search, point + 1, last))


@pytest.mark.parametrize(("parts", "expected", "most"), HALF_SPLIT)
def test_example_d_with_equal_costs_it_is_the_half_split(parts: int, expected: float, most: int) -> None:
    search = pure([1.0] * parts, [1.0] * (parts - 1))
    assert search.expected_s() == pytest.approx(expected, abs=0.0005)
    depth = math.floor(math.log2(parts))
    assert search.expected_s() == pytest.approx(depth + 2 * (parts - 2**depth) / parts)
    assert worst(search, 0, parts - 1) == most == math.ceil(math.log2(parts))
    first = search.step(search.whole).ask
    assert first is not None
    assert abs(2 * (first + 1) - parts) <= 1


def test_example_e_an_eight_stage_chain() -> None:
    odds = [0.05, 0.30, 0.20, 0.10, 0.05, 0.10, 0.05, 0.15]
    unit = pure(odds, [1.0] * 7)
    assert unit.expected_s() == pytest.approx(2.95)
    behind_2 = (
        sum(odds) + unit.step(span(0, 1)).cost + unit.step(span(2, 7)).cost
    )  # the example's first probe, one of the best
    assert unit.step(unit.whole).cost == pytest.approx(behind_2)
    timed = pure(odds, [5, 5, 40, 10, 10, 60, 30])
    assert timed.expected_s() == pytest.approx(46.75)
    # The probes of the example, one of the best strategies: behind 2; then 1, or 4; then 3, or 5; then 7; then 6.
    example = {(0, 7): 1, (0, 1): 0, (2, 7): 3, (2, 3): 2, (4, 7): 4, (5, 7): 6, (5, 6): 5}
    assert followed(example, odds, [5, 5, 40, 10, 10, 60, 30], 0, 7) == pytest.approx(46.75)


def followed(
    points: dict[tuple[int, int], int], odds: list[float], prices: list[float], first: int, last: int
) -> float:
    if first == last:
        return 0.0
    point = points[first, last]
    below = followed(points, odds, prices, first, point) + followed(points, odds, prices, point + 1, last)
    return prices[point] * sum(odds[first : last + 1]) + below


# -- against every strategy --------------------------------------------------------------------------------------

weights = st.integers(1, 9).map(float)
seconds = st.integers(1, 60).map(float)
causes = st.tuples(weights, seconds).map(lambda drawn: Cause(*drawn))


@given(st.lists(causes, min_size=1, max_size=6))
def test_no_order_of_looks_is_cheaper_than_p_over_c(drawn: list[Cause]) -> None:
    best = min(cost(drawn, list(order)) for order in itertools.permutations(range(len(drawn))))
    assert cost(drawn, in_order(drawn)) == pytest.approx(best)


@given(st.lists(st.tuples(causes, st.integers(0, 9)), min_size=1, max_size=6))
def test_no_order_in_rows_that_wait_is_cheaper(drawn: list[tuple[Cause, int]]) -> None:
    """Each waits for the one before it in its row, and so for the whole row before (Horn 1972)."""
    rows: dict[int, str] = {}
    waiting = []
    for index, (cause, row) in enumerate(drawn):
        before = rows.get(row % 3)
        waiting.append(cause._replace(name=str(index), after=(before,) if before is not None else ()))
        rows[row % 3] = str(index)

    def is_right(order: Sequence[int]) -> bool:
        met: set[str] = set()
        return all(set(waiting[i].after) <= met and (met.add(waiting[i].name) or True) for i in order)

    allowed = [list(order) for order in itertools.permutations(range(len(waiting))) if is_right(order)]
    assert in_order(waiting) in allowed
    assert cost(waiting, in_order(waiting)) == pytest.approx(min(cost(waiting, order) for order in allowed))


def by_force(odds: list[float], point_s: list[float | None]) -> float:
    """The least cost of all decision trees that tell every part from every other, over sets of parts still possible."""

    @cache
    def least(possible: frozenset[int]) -> float:
        if len(possible) == 1:
            return 0.0
        whole = sum(odds[part] for part in possible)
        best = NEVER
        for index, price in enumerate(point_s):
            before = frozenset(part for part in possible if part <= index)
            if price is not None and before and before != possible:
                best = min(best, price * whole + least(before) + least(possible - before))
        return best

    return least(frozenset(range(len(odds))))


@settings(max_examples=settings().max_examples * 3)
@given(st.data())
def test_no_strategy_of_points_is_cheaper_on_up_to_eight_parts(data: st.DataObject) -> None:
    odds = data.draw(st.lists(weights, min_size=1, max_size=8))
    prices = [data.draw(seconds) for _ in odds[1:]]
    search = pure(odds, prices)
    assert search.step(search.whole).cost == pytest.approx(by_force(odds, list(prices)))


def by_force_with_looks(drawn: list[Cause], asks: list[Ask]) -> float:
    """The least cost of all strategies that ask first, each question once, in any order, and then look, in any order."""

    @cache
    def least(left: frozenset[int], unasked: frozenset[int]) -> float:
        inside = [drawn[index] for index in left]
        best = min(looks_cost(list(order)) for order in itertools.permutations(inside))
        whole = sum(cause.weight for cause in inside)
        for number in unasked:
            ask = asks[number]
            yes, no = (frozenset(i for i in left if answer >> i & 1) for answer in (ask.yes, ask.no))
            if yes and no:
                best = min(best, ask.seconds * whole + least(yes, unasked - {number}) + least(no, unasked - {number}))
        return best

    return least(frozenset(range(len(drawn))), frozenset(range(len(asks))))


@given(st.data())
def test_no_strategy_of_points_and_then_looks_is_cheaper(data: st.DataObject) -> None:
    drawn = data.draw(st.lists(causes, min_size=1, max_size=6))
    asks = in_a_row([data.draw(seconds) for _ in drawn[1:]][:4])
    search = Search(drawn, asks)
    assert search.step(search.whole).cost == pytest.approx(by_force_with_looks(drawn, asks))


@given(st.data())
def test_no_strategy_of_any_questions_and_then_looks_is_cheaper(data: st.DataObject) -> None:
    """Questions that part the causes anyhow, such as whether another source arrives; some tell nothing of a few."""
    drawn = data.draw(st.lists(causes, min_size=2, max_size=6))
    whole = (1 << len(drawn)) - 1
    asks = []
    for _ in range(data.draw(st.integers(1, 4))):
        yes = data.draw(st.integers(0, whole))
        asks.append(Ask(data.draw(seconds), yes, whole & ~yes | data.draw(st.integers(0, whole)) & yes))
    search = Search(drawn, asks)
    assert search.step(search.whole).cost == pytest.approx(by_force_with_looks(drawn, asks))
