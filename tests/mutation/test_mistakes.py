"""A sample of every kind of mistake: whatever is heard or risky is found, and one mistake is told once."""

from __future__ import annotations

import warnings
from itertools import chain
from statistics import median

import pytest
from bench import KINDS, Kind, Outcome
from known_misses import KNOWN_MISSES
from mistakes import bases, known, outcomes

LEAST_KINDS = 40
PLACES = 3  # a kind; `mistakes.py --all` makes them all


@pytest.fixture(scope="module")
def sample() -> dict[Kind, list[Outcome]]:
    rows: dict[Kind, list[Outcome]] = {mistake: [] for mistake in KINDS.values()}
    rigs = bases()
    slips = [mistake for mistake in rows if not mistake.expected]
    others = [mistake for mistake in rows if mistake.expected]
    for mistake, outcome in chain(outcomes(others, rigs, PLACES), outcomes(slips, rigs, 1)):
        rows[mistake].append(outcome)
    return rows


def test_there_are_enough_kinds_and_each_can_be_made(sample: dict[Kind, list[Outcome]]) -> None:
    assert len(sample) >= LEAST_KINDS
    assert [mistake.name for mistake, done in sample.items() if not done] == []


def test_what_is_heard_or_risky_is_found(sample: dict[Kind, list[Outcome]]) -> None:
    missed = [
        f"{mistake.name}, {outcome.base}, {outcome.where}"
        for mistake, done in sample.items()
        for outcome in done
        if mistake.risky and not outcome.detected and mistake.name not in KNOWN_MISSES
    ]
    assert missed == []


def test_the_known_misses_are_named_in_the_report(sample: dict[Kind, list[Outcome]]) -> None:
    assert KNOWN_MISSES.keys() <= KINDS.keys()
    lines = list(known(sample))
    assert len(lines) == len(KNOWN_MISSES)
    for line in lines:
        warnings.warn(line, stacklevel=1)


def test_one_mistake_is_told_once(sample: dict[Kind, list[Outcome]]) -> None:
    told = [outcome.told for outcome in chain.from_iterable(sample.values()) if outcome.detected]
    assert median(told) == 1
