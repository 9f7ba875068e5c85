"""How much the search of the next question weighs: counted, since seconds hang on the machine."""

from __future__ import annotations

from pathlib import Path

import pytest

from lint.hunt import strategy
from lint.hunt.causes import DEAD
from lint.hunt.hunt import YES, Hunt
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.strategy import Cause, in_order, ranked
from lint.hunt.target import target_of
from lint.resolve.resolved import resolve_rig
from lint.rig.build import load_rig

HALL = Path(__file__).parent / "powered-legs" / "rigs" / "hall.yaml"


@pytest.fixture
def weighed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The causes that were chosen by weighing them against all others with what they wait for."""
    calls: list[int] = []
    real = strategy._worthiest

    def counted(*arguments: object) -> int:
        calls.append(real(*arguments))  # type: ignore[arg-type]
        return calls[-1]

    monkeypatch.setattr(strategy, "_worthiest", counted)
    return calls


def test_what_waits_for_nothing_is_weighed_against_nothing(weighed: list[int]) -> None:
    free = [Cause(weight, 10.0, f"c{weight}") for weight in (3, 1, 2)]
    assert in_order(free) == ranked(free) == [0, 2, 1]
    assert not weighed
    assert in_order([Cause(9, 10.0, "late", ("early",)), Cause(1, 10.0, "early")]) == [1, 0]
    assert len(weighed) == 1


def test_the_next_question_of_a_long_path_weighs_less_than_two_causes_a_set(weighed: list[int]) -> None:
    rig = resolve_rig(load_rig(HALL))
    parts = path_of(rig, target_of(rig, "bass", "hall"))
    assert len(parts) >= 25
    hunt = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
    assert hunt.question is not None
    sets = len(hunt._search[0]._steps)
    assert sets > 50
    assert len(weighed) < 2 * sets


def test_the_weight_of_a_set_is_summed_once() -> None:
    rig = resolve_rig(load_rig(HALL))
    parts = path_of(rig, target_of(rig, "bass", "hall"))
    hunt = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
    search, _ = hunt._search
    whole = search.expected_s()
    assert search._weights.keys() >= search._steps.keys()
    assert search.expected_s() == whole
