"""A channel without its gate, insert and equaliser is muted, and gets them again before anything behind it is judged."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from lint.hunt.causes import DEAD, DISTORTED, NOISE, WRONG
from lint.hunt.hunt import NO, SKIP, YES, Answer, Hunt
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import target_of
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig

CHAPEL = Path(__file__).parent / "chapel.yaml"


@cache
def chapel() -> ResolvedRig:
    return resolve_rig(load_rig(CHAPEL))


@pytest.mark.parametrize("symptom", [DEAD, WRONG, NOISE, DISTORTED])
@pytest.mark.parametrize("said", [YES, NO, SKIP])
@pytest.mark.parametrize("name", chapel().rig.sources)
def test_it_is_put_back_before_the_next_question(name: str, said: str, symptom: str) -> None:
    parts = path_of(chapel(), target_of(chapel(), name))
    hunt = Hunt(parts, symptom, likelihoods(parts, symptom)).answered(YES)
    bare = [key for key, (_, point) in hunt.points.items() if point.name == "bare"]
    assert bare
    for key in bare:
        after = Hunt(parts, symptom, hunt.weights, (*hunt.answers, Answer(key, said)))
        question = after.question
        assert question is not None and question.kind == "put-back"
        assert "equaliser of channel" in question.text and "on again as they were, and unmute it." in question.text
        assert question.text.startswith("If you began that test: ") is (said == SKIP)
        rest = after.answered(YES).question
        assert rest is None or rest.kind != "put-back"


@pytest.mark.parametrize("name", chapel().rig.sources)
def test_it_is_muted_first(name: str) -> None:
    """Open, it might howl without its equaliser."""
    points = [point for part in path_of(chapel(), target_of(chapel(), name)) for point in part.points]
    assert all(point.ask.startswith("Mute {channel}.") for point in points if "equaliser off" in point.ask)
