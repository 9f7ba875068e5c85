"""`rigwalk hunt` stopped in the middle of a test or a cure: what is put back comes first in its closing words."""

from __future__ import annotations

from datetime import UTC, datetime
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
from lint.record.hunts import record_hunt
from lint.record.ledger import Ledger
from lint.resolve.resolved import resolve_rig
from lint.rig.build import load_rig

HALL = Path(__file__).parents[1] / "hunt" / "powered-legs" / "rigs" / "hall.yaml"


def closing(keys: str) -> str:
    ended = CliRunner(env={"COLUMNS": "80"}).invoke(app, ["hunt", str(HALL), "violin", "--answers", keys + "q"])
    assert ended.exit_code == 1
    told = ended.stdout.partition("Stopped: not found.")[2]
    assert told.count("FIRST: ") <= 1
    before, first, last = told.partition("  FIRST: ")
    assert (
        "to be looked at, the likeliest first" in before
    )  # what is to be done stands last, where no list pushes it off the screen
    return " ".join(f"{first}{last}".split())


def keys_to(key: str, what: str = "violin") -> str:
    """Return the keys that skip all questions up to the one of that key."""
    rig = resolve_rig(load_rig(HALL))
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


def test_what_was_seen_to_be_wrong_is_told_with_its_cure_wherever_the_hunt_is_told(tmp_path: Path) -> None:
    """Who goes on with it next week did not see the screen: a patch is muted and without phantom power half way."""
    keys = keys_to("look patch desk/channel/19 / patch-wrong") + NO
    ended = CliRunner(env={"COLUMNS": "80"}).invoke(app, ["hunt", str(HALL), "violin", "--answers", keys + "q"])
    told = " ".join(ended.stdout.partition("Stopped: not found.")[2].split())
    seen = "the input patch of channel 19 (Violin) on desk: patched from elsewhere"
    assert f"Seen to be wrong: {seen}. Whether its cure helps is not known yet. Besides it to be looked at" in told
    assert told.count(seen) == 1  # and not among what is still to be looked at
    rig = resolve_rig(load_rig(HALL))
    parts = path_of(rig, target_of(rig, "violin"))
    hunt = Hunt(parts, DEAD, likelihoods(parts, DEAD))
    for key in keys:
        hunt = hunt.answered(key)
    assert hunt.seen is not None
    cure = hunt.seen.filled(hunt.seen.cause.cure)
    assert f"go through with it, or put all back as it was, slowly. The cure: {' '.join(cure.split())}." in told
    with Ledger(tmp_path / "walks.sqlite") as ledger:
        body = record_hunt(ledger, "hall", "violin", hunt, "ann", datetime(2026, 3, 1, 9, tzinfo=UTC)).body
    assert f"seen to be wrong, and not known whether its cure helps: {seen};" in body["found"]
    assert body["found"].count(seen) == 1
    assert body["cure"] == "go through with that cure, and hunt it again if it does not help"
    assert cure in body["put_back"]


def test_a_test_that_was_begun_is_named() -> None:
    text = closing(keys_to("look line of violin / cable-broken"))
    assert "The test: Put another cable that works" in text
