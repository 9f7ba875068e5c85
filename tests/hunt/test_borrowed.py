"""What is borrowed for a test: whose place it takes, from which socket, by whose switch, and who has no power meanwhile."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from crew import answered_at

from lint.hunt.causes import DEAD
from lint.hunt.hunt import NO, SKIP, YES, Answer, Hunt, Question
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import target_of
from lint.hunt.terminal import CARE, CARE_AGAIN, care_of
from lint.resolve.resolved import resolve_rig
from lint.rig.build import load_rig

HALL = Path(__file__).parent / "powered-legs" / "rigs" / "hall.yaml"
TESTS = ("at-source", "at-socket")


def question_of(what: str, name: str) -> Question:
    rig = resolve_rig(load_rig(HALL))
    parts = path_of(rig, target_of(rig, what, "hall"))
    ((part, point),) = [(part, point) for part in parts for point in part.points if point.name == name]
    text = point.ask.format(**part.words)
    back = point.back.format(**part.words)
    return Question("point", "", text, point.seconds, point.handles, part=part, back=back, borrows=point.borrows)


@pytest.mark.parametrize(
    ("what", "name", "text"),
    [
        ("violin", "at-source", "Go to violin, which is plugged into riser/in/3: take its cable off and put a dynamic microphone that "
         "works (such as sax) on it: is it right at hall?"),
        ("violin", "at-socket", "Go to riser/in/3: swap violin for a dynamic microphone that works (such as sax): is it right at "
         "hall?"),
        ("bass", "at-source", "Go to bass, which is plugged into west/in/7 and mon/in/3: take its cable off and put a dynamic "
         "microphone that works (such as kick) on it: is it right at hall?"),
        ("bass", "at-socket", "Go to west/in/7: swap bass for a dynamic microphone that works (such as kick): is it right at hall?"),
    ],
)  # fmt: skip
def test_the_place_that_is_taken_and_the_one_that_is_left_are_named(what: str, name: str, text: str) -> None:
    assert question_of(what, name).text == text


@pytest.mark.parametrize("name", TESTS)
@pytest.mark.parametrize("text", [CARE, CARE_AGAIN])
def test_who_hangs_on_the_switches_is_muted_and_who_has_no_power_meanwhile_is_named(name: str, text: str) -> None:
    care = care_of(question_of("violin", name), text)
    assert "mute channels 17–19, 21–22 on desk" in care
    assert (
        "off at riser/in/3 and sax's riser/in/5–8 by channels 17–19 on desk (none for harp-l and harp-r meanwhile), and"
    ) in care
    assert "all back" not in care  # that is asked for by itself
    both = care_of(question_of("bass", name), text)
    assert "mute channels 1, 7 on desk and channel 3 on mon" in both
    assert "off at west/in/7 and mon/in/3 and kick's west/in/1 by channel 3 on mon, and" in both


def test_what_a_cable_is_changed_for_takes_power_from_others_too() -> None:
    rig = resolve_rig(load_rig(HALL))
    for what, said in (
        ("violin", " by channels 17–19 on desk (none for harp-l and harp-r meanwhile), wait"),
        ("kick", ", wait"),
    ):
        (line,) = [part for part in path_of(rig, target_of(rig, what, "hall")) if part.name == f"line of {what}"]
        care = care_of(Question("look", "", "", handles=True, part=line))
        assert f"phantom power off at the sockets it leaves and goes to{said}" in care


def test_what_was_borrowed_goes_back_before_anything_else_is_asked() -> None:
    rig = resolve_rig(load_rig(HALL))
    parts = path_of(rig, target_of(rig, "violin", "hall"))
    start = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
    (look,) = [row for row in start.suspects if row.cause.name == "source-broken"]
    hunts = [answered_at(start, name, said) for name in TESTS for said in (YES, NO, SKIP)]
    hunts += [
        replace(start, answers=(*start.answers, Answer(f"look {' / '.join(look.key)}", said))) for said in (NO, SKIP)
    ]
    for hunt in hunts:
        assert hunt.question is not None
        assert hunt.question.kind == "put-back"
        assert hunt.question.text.startswith("If you began that test: ") == (hunt.answers[-1].said == SKIP)
        # A harp of its kind takes its place, and the sax's microphone that of a test.
        own = len(hunts) - hunts.index(hunt) <= 2
        mute, theirs = ("17–19", "harp-r's riser/in/1–4") if own else ("17–19, 21–22", "sax's riser/in/5–8")
        into = "put harp-r back into riser/in/2" if own else "put sax back into riser/in/6"
        steps = (f"Mute channels {mute} on desk again", f"phantom power off at riser/in/3 and {theirs}", into,
                 "leave violin as it was, phantom power on only where it was; wait ten seconds")  # fmt: skip
        assert all(step in hunt.question.back for step in steps)
    assert replace(start, answers=(*start.answers, Answer(f"look {' / '.join(look.key)}", YES))).found is not None
