"""`rigwalk hunt` stopped in the middle of a test or a cure: what is put back comes first in its closing words."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from lint.cli import app
from lint.hunt.causes import DEAD
from lint.hunt.hunt import NO, SKIP, YES, Hunt, Question
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.replay import answers_to
from lint.hunt.target import target_of
from lint.resolve.resolved import resolve
from lint.rig.build import load_rig

HALL = Path(__file__).parents[1] / "hunt" / "powered-legs" / "rigs" / "hall.yaml"


def closing(keys: str) -> str:
    ended = CliRunner(env={"COLUMNS": "80"}).invoke(app, ["hunt", str(HALL), "violin", "--answers", keys + "q"])
    assert ended.exit_code == 1
    told = ended.stdout.partition("Stopped: not found.")[2]
    assert told.count("FIRST: ") <= 1
    before, first, last = told.partition("  FIRST: ")
    assert "Still to be looked at" in before  # what is to be done stands last, where no list pushes it off the screen
    return " ".join(f"{first}{last}".split())


def keys_to(key: str, what: str = "violin") -> str:
    """Return the keys that skip all questions up to the one of that key."""
    rig = resolve(load_rig(HALL))
    parts = path_of(rig, target_of(rig, what))
    hunt, keys = Hunt(parts, DEAD, likelihoods(parts, DEAD)), ""
    while isinstance(question := hunt.question, Question) and question.key != key:
        said = SKIP if SKIP in answers_to(question) else YES
        hunt, keys = hunt.answered(said), keys + said
    assert hunt.question is not None
    return keys


@pytest.mark.parametrize(
    ("key", "whose"),
    [("look source violin / source-broken", "harp-r back into riser/in/2"), ("point source violin / at-source", "sax back into riser/in/6")],
)  # fmt: skip
def test_what_was_borrowed_is_put_back_first(key: str, whose: str) -> None:
    keys = keys_to(key)
    for more, began in (("", "If you began the last test: "), (NO, "")):
        text = closing(keys + more)
        assert text.startswith(f"FIRST: {began}Mute channels 17–19")
        assert f"take out what was borrowed, put {whose}, and leave violin as it was" in text


def test_another_cable_is_taken_out_again_with_the_same_care() -> None:
    text = closing(keys_to("look line of violin / cable-broken"))
    assert text.startswith("FIRST: If you began the last test: mute channel 19 (Violin) on desk")
    assert "put all back as it was, phantom on only where it was" in text


def test_a_cure_that_was_begun_is_gone_through_with_or_undone() -> None:
    text = closing(keys_to("look line of violin / plug-elsewhere") + NO)
    assert text.startswith("FIRST: If you began the cure: go through with it, or mute channel 19 (Violin) on desk")
