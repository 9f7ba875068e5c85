"""The cheapest assignment against SciPy: `scipy.optimize.linear_sum_assignment` (Crouse 2016), on random costs."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from lint.plan.assign import LazyCosts, assign


@st.composite
def costs(draw: st.DrawFn, most: int = 12) -> list[list[int]]:
    rows = draw(st.integers(1, most))
    columns = rows + draw(st.integers(0, 6))
    high = draw(st.sampled_from([1, 3, 1000, 10**12]))  # few values make many ties
    row = st.lists(st.integers(-high, high), min_size=columns, max_size=columns)
    return draw(st.lists(row, min_size=rows, max_size=rows))


def total(matrix: list[list[int]], columns: list[int]) -> int:
    assert len(set(columns)) == len(columns) == len(matrix)
    return sum(row[column] for row, column in zip(matrix, columns, strict=True))


@settings(max_examples=settings().max_examples * 4)
@given(costs())
def test_no_assignment_is_cheaper_than_scipys_nor_dearer(matrix: list[list[int]]) -> None:
    array = np.array(matrix, dtype=np.int64)
    rows, columns = linear_sum_assignment(array)
    assert total(matrix, assign(matrix)) == int(array[rows, columns].sum())


@given(costs(most=5))
def test_no_permutation_at_all_is_cheaper(matrix: list[list[int]]) -> None:
    every = itertools.permutations(range(len(matrix[0])), len(matrix))
    assert total(matrix, assign(matrix)) == min(total(matrix, list(columns)) for columns in every)


def test_whole_numbers_past_2_to_the_53rd_stay_exact() -> None:
    """Where floats would no longer tell two costs apart."""
    high = 10**40
    assert assign([[high + 1, high], [high, high]]) == [1, 0]
    assert assign([[high, high + 1], [high, high]]) == [0, 1]


def test_nothing_is_assigned_to_nothing_and_too_few_columns_are_refused() -> None:
    assert assign([]) == []
    with pytest.raises(ValueError, match="2 rows can't have a column each of 1"):
        assign([[1], [2]])


@settings(max_examples=settings().max_examples * 4)
@given(costs(), st.randoms(use_true_random=False))
def test_rows_that_start_where_they_cost_nothing_lead_to_the_same_least_cost(
    matrix: list[list[int]], chance: random.Random
) -> None:
    matrix = [[abs(cost) for cost in row] for row in matrix]
    free: dict[int, int] = {}
    for row, column in zip(range(len(matrix)), chance.sample(range(len(matrix[0])), len(matrix)), strict=True):
        if chance.random() < 0.6:
            matrix[row][column] = 0
            free[row] = column
    lazy = LazyCosts(len(matrix), matrix.__getitem__)
    least = total(matrix, assign(matrix))
    assert total(matrix, assign(lazy, free)) == least
    away = [cost for row, own in free.items() for column, cost in enumerate(matrix[row]) if column != own]
    assert total(matrix, assign(lazy, free, min(away, default=0))) == least
    for row, own in free.items():  # where those that may stay are loath to go
        matrix[row] = [cost + 700 * (column != own) for column, cost in enumerate(matrix[row])]
    least = total(matrix, assign(matrix))
    assert total(matrix, assign(matrix, free, 700)) == least


def test_the_costs_of_a_row_that_may_stay_are_not_looked_at() -> None:
    asked = []

    def row(number: int) -> list[int]:
        asked.append(number)
        return [[0, 9, 9], [0, 5, 9], [9, 9, 0]][number]

    assert assign(LazyCosts(3, row), {0: 0, 2: 2}) == [0, 1, 2]
    assert sorted(asked) == [0, 1]
