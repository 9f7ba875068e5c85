"""Third-order intermodulation: rows I-1 to I-7 of our reference list, brute force, and how fast it is.

Formulas: US Army TM 11-490-5 and ITU-R SM.1134-1 (read); counts N(N - 1) and N(N - 1)(N - 2) / 2 from a knowledge page
on radio (secondary). The regulator's example is the Canadian Advanced question A-005-006-004, from a mirror of the bank.
"""

from __future__ import annotations

import random
import time
from itertools import combinations, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.formula.intermodulation import (
    count_three_signal,
    count_two_signal,
    products_near,
    three_signal,
    two_signal,
)

CARRIERS = st.lists(st.integers(1_000, 1_200), max_size=8)
REACH = st.integers(0, 25)


def hertz(*megahertz: str) -> list[int]:
    """Whole hertz of decimal megahertz, without a float between."""
    return [
        int(whole) * 1_000_000 + int(rest.ljust(6, "0"))
        for whole, _, rest in (text.partition(".") for text in megahertz)
    ]


def two(*megahertz: str) -> list[int]:
    return sorted(product.frequency_hz for product in two_signal(hertz(*megahertz)))


def three(*megahertz: str) -> list[int]:
    return sorted(product.frequency_hz for product in three_signal(hertz(*megahertz)))


# I-1, I-2: the regulator's worked example, a receiver on 146.70 MHz hit by 146.52 with 146.34 or 146.61 MHz.
# I-3: the two-tone table of a measurement primer (secondary): 100 and 101 MHz give 99 and 102 near by.
@pytest.mark.parametrize(
    ("row", "carriers", "expected"),
    [
        ("I-1", ("146.52", "146.34"), ("146.16", "146.70")),
        ("I-2", ("146.52", "146.61"), ("146.43", "146.70")),
        ("I-3", ("100", "101"), ("99", "102")),
        ("I-4", ("600.0", "600.4", "601.0"), ("599.0", "599.6", "599.8", "600.8", "601.6", "602.0")),
    ],
)
def test_two_signal_products(row: str, carriers: tuple[str, ...], expected: tuple[str, ...]) -> None:
    assert two(*carriers) == hertz(*expected), row


def test_i_4_three_signal_products() -> None:
    # By hand from a + b - c; floats would not do: 2 * 600.4 - 600.0 is not 600.8.
    assert three("600.0", "600.4", "601.0") == hertz("599.4", "600.6", "601.4")


# I-5. The page that prints the right formula then lists 12 and 30 products in all for 3 and 4 carriers (I-T1): its own
# formula gives 9 and 24, as do we.
@pytest.mark.parametrize(
    ("carriers", "of_two", "of_three"),
    [(2, 2, 0), (3, 6, 3), (4, 12, 12), (5, 20, 30), (8, 56, 168), (10, 90, 360), (16, 240, 1680), (20, 380, 3420)],
)
def test_i_5_how_many(carriers: int, of_two: int, of_three: int) -> None:
    frequencies = range(1_000_000, 1_000_000 + carriers)
    assert (count_two_signal(carriers), count_three_signal(carriers)) == (of_two, of_three)
    assert len(list(two_signal(frequencies))) == of_two
    assert len(list(three_signal(frequencies))) == of_three


def test_i_t1_three_and_four_carriers_in_all() -> None:
    assert [count_two_signal(n) + count_three_signal(n) for n in (3, 4)] == [9, 24]


def test_i_6_equally_spaced_carriers_hit_each_other() -> None:
    spaced = hertz("600.0", "600.4", "600.8", "601.2", "601.6")
    on_a_carrier = [p for p in (*two_signal(spaced), *three_signal(spaced)) if p.frequency_hz in spaced]
    assert len(on_a_carrier) == 24
    assert sum(near.products for near in products_near(spaced, 0)) == 24


def test_i_7_one_more_carrier() -> None:
    assert [count_two_signal(n) + count_three_signal(n) for n in (10, 11)] == [450, 605]
    assert [n * n * (n - 1) // 2 for n in (10, 11)] == [450, 605]


def brute_force(frequencies: list[int], guard: int, told_spacing: int) -> dict[int, list[int]]:
    """The distance of every product from every carrier it is near, straight from the definition."""
    carriers = sorted(set(frequencies))
    products = [((a, a), b) for a, b in permutations(carriers, 2)]
    products += [((a, b), c) for a, b in combinations(carriers, 2) for c in carriers if c not in (a, b)]
    found: dict[int, list[int]] = {}
    for carrier in carriers:
        for (a, b), c in products:
            reach = min(guard, told_spacing - 1)
            told = reach > 0 and (
                max(abs(a - carrier), abs(b - c)) <= reach or max(abs(b - carrier), abs(a - c)) <= reach
            )
            if abs(a + b - c - carrier) <= guard and not told:
                found.setdefault(carrier, []).append(abs(a + b - c - carrier))
    return {carrier: sorted(distances) for carrier, distances in found.items()}


@given(CARRIERS, REACH, REACH, st.integers(1, 5))
def test_the_search_finds_what_brute_force_finds(
    frequencies: list[int], guard: int, told_spacing: int, most: int
) -> None:
    expected = brute_force(frequencies, guard, told_spacing)
    found = {near.carrier_hz: near for near in products_near(frequencies, guard, told_spacing, most)}
    assert {carrier: near.products for carrier, near in found.items()} == {c: len(d) for c, d in expected.items()}
    for carrier, near in found.items():
        distances = [abs(product.frequency_hz - carrier) for product in near.nearest]
        assert distances == expected[carrier][:most]
        assert len(set(near.nearest)) == len(near.nearest)
        assert all(product.minus not in product.plus for product in near.nearest)


@given(CARRIERS, REACH, st.randoms(use_true_random=False))
def test_the_order_of_the_carriers_does_not_matter(frequencies: list[int], guard: int, random_: random.Random) -> None:
    shuffled = frequencies[:]
    random_.shuffle(shuffled)
    assert products_near(shuffled, guard) == products_near(frequencies, guard)


@given(CARRIERS, REACH, st.integers(1, 1000))
def test_moving_every_carrier_alike_changes_nothing(frequencies: list[int], guard: int, by: int) -> None:
    moved = products_near([frequency + by for frequency in frequencies], guard)
    assert [(near.carrier_hz - by, near.products) for near in moved] == [
        (near.carrier_hz, near.products) for near in products_near(frequencies, guard)
    ]


@given(CARRIERS, REACH, REACH)
def test_a_wider_guard_never_finds_less(frequencies: list[int], one: int, other: int) -> None:
    narrow, wide = sorted((one, other))
    counts = {near.carrier_hz: near.products for near in products_near(frequencies, wide)}
    assert all(near.products <= counts[near.carrier_hz] for near in products_near(frequencies, narrow))


@pytest.mark.parametrize("told_spacing", [0, 350_000])
@pytest.mark.parametrize(("step", "guard"), [(400_000, 0), (400_000, 50_000), (400_000, 5_000_000), (25_000, 50_000)])
def test_sixty_carriers_are_searched_in_no_time(step: int, guard: int, told_spacing: int) -> None:
    """Sixty equally spaced carriers: 106 200 products, and more hits than anybody reads."""
    spaced = [600_000_000 + step * number for number in range(60)]
    spent = []
    for _ in range(5):
        start = time.process_time()
        found = products_near(spaced, guard, told_spacing)
        spent.append(time.process_time() - start)
    assert len(found) == 60
    assert min(spent) < 0.2


@pytest.mark.parametrize("impossible", [[0, 600], [-600], [600.5]])
def test_what_is_no_carrier_is_refused(impossible: list[int]) -> None:
    for function in (lambda: list(two_signal(impossible)), lambda: list(three_signal(impossible))):
        with pytest.raises(ValueError, match="expected a whole number over 0"):
            function()
    with pytest.raises(ValueError, match="expected a whole number over 0"):
        products_near(impossible, 50)


def test_impossible_guards_and_counts_are_refused() -> None:
    with pytest.raises(ValueError, match="expected 0 or more"):
        products_near([600, 700], -1)
    with pytest.raises(ValueError, match="expected 0 or more"):
        count_two_signal(-1)
    with pytest.raises(ValueError, match="expected 0 or more"):
        count_three_signal(-3)
