"""What counts as over a limit, and that no message says the same number twice."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.formula.limit import exceeds, falls_short, reaches, told_apart

NUMBERS = st.floats(-1e6, 1e6)


@pytest.mark.parametrize(("value", "limit"), [(0.1 + 0.2, 0.3), (3 * 0.1 * 100, 30), (1e-12, 0), (16.0, 16)])
def test_the_noise_of_sums_is_not_over(value: float, limit: float) -> None:
    assert not exceeds(value, limit) and not falls_short(value, limit) and reaches(value, limit)


@pytest.mark.parametrize(("value", "limit"), [(16.0043, 16), (4, 3.9975), (0.004, 0), (100.00001, 100)])
def test_a_little_is_over(value: float, limit: float) -> None:
    assert exceeds(value, limit) and falls_short(limit, value) and reaches(value, limit) and not reaches(limit, value)


@given(NUMBERS, NUMBERS)
def test_never_over_and_short_at_once(value: float, limit: float) -> None:
    assert not (exceeds(value, limit) and falls_short(value, limit))


@pytest.mark.parametrize(
    ("value", "limit", "places", "told"),
    [
        (16.0043, 16, 2, "16.004"),
        (23.043, 16, 2, "23.04"),
        (16, 16, 2, "16.00"),
        (3.9975, 4, 2, "3.998"),
        (100.00001, 100, 1, "100.00001"),
        (0.3 + 1e-17, 0.3, 1, "0.3"),
    ],
)
def test_as_many_digits_as_tell_them_apart(value: float, limit: float, places: int, told: str) -> None:
    assert told_apart(value, limit, places) == told


@given(st.floats(0, 1e4), st.floats(0, 1e4))
def test_what_is_over_is_never_written_as_its_limit(value: float, limit: float) -> None:
    if exceeds(value, limit) and not math.isclose(value, limit, rel_tol=1e-8, abs_tol=2e-9):
        assert told_apart(value, limit, 2) != f"{limit:.2f}"
