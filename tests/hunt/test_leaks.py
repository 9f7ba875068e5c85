"""Leaks of a mix into an end that plays some of the same rightly: asked is what tells the one from the other."""

from __future__ import annotations

import io

import pytest
from crew import Crew, answered_at, hunted, text_at
from rigs import resolved
from test_every_cause import begun
from test_splits import TWO_DESKS

from lint.hunt.causes import ELSEWHERE
from lint.hunt.hunt import NO, YES
from lint.hunt.keys import Keys
from lint.hunt.target import leak_of
from lint.hunt.terminal import Hunter
from lint.resolve.resolved import ResolvedRig
from lint.walk.screen import Screen, StoppedError

LISTENED = ("mix-before-fader", "mix-meter", "output-meter", "at-output", "far-end")
BEHIND_FADER = "mixes: {wedge-a: {takes: {channels: {1: {tap: post-fader}}}}}"


def rig_of(week: str = "") -> ResolvedRig:
    return resolved(TWO_DESKS.read_text(), week)


@pytest.mark.parametrize(
    ("what", "at", "asked"),
    [
        ("house", "ears", "is nothing of what house takes and vox-ears does not, such as kick, heard there?"),
        (
            "wedge-a",
            "house-l",
            "with what goes to house from channels 1–3, 5–6 turned down on desk for a moment, is nothing of wedge-a heard "
            "there?",
        ),
        ("vox-ears", "a-wedge", "with channels 1, 5–6 muted on desk for a moment, is nothing of vox-ears heard there?"),
        ("kick", "ears", "is nothing of kick heard there?"),
    ],
)
def test_asked_is_after_what_the_end_does_not_play_rightly_else_that_is_turned_down(
    what: str, at: str, asked: str
) -> None:
    hunt = begun(rig_of(), leak_of(rig_of(), what, at), ELSEWHERE)
    for point in LISTENED:
        assert text_at(hunt, point).endswith(asked)


def test_a_source_that_is_panned_to_one_side_is_named_last() -> None:
    for week, named in (("", "kick"), ("channels: {2: {pan: left}}", "hat")):
        hunt = begun(rig_of(week), leak_of(rig_of(week), "house", "ears"), ELSEWHERE)
        assert f"such as {named}" in text_at(hunt, "mix-meter")


def test_what_comes_in_by_what_is_turned_down_is_not_ruled_out_by_the_silence() -> None:
    hunt = begun(rig_of(), leak_of(rig_of(), "vox-ears", "a-wedge"), ELSEWHERE)
    by_it = {("inputs of desk", "input-other"), ("send to wedge-a", "spill")}
    for point in LISTENED:
        for said in (YES, NO):
            assert by_it <= {row.key for row in answered_at(hunt, point, said).suspects}


def test_where_turning_down_takes_the_leak_down_too_nobody_is_asked_to_listen() -> None:
    rig = rig_of(BEHIND_FADER)
    hunt = begun(rig, leak_of(rig, "wedge-a", "house-l"), ELSEWHERE)
    assert hunt.suspects
    assert not [point.name for _, point in hunt.points.values() if point.name in LISTENED]


class Turned(Crew):
    """Hears what comes in by what is turned down as little as what belongs there."""

    def _seen(self, test: str, question: object, behind: object) -> str:
        if test in LISTENED and self.name in ("input-other", "spill"):
            return YES
        return super()._seen(test, question, behind)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("what", "at", "week"),
    [
        ("house", "ears", ""),
        ("house", "a-wedge", ""),
        ("wedge-a", "house-l", ""),
        ("vox-ears", "a-wedge", ""),
        ("vox-ears", "house-l", ""),
        ("wedge-a", "house-l", BEHIND_FADER),
    ],
)
def test_every_cause_is_found_by_what_can_be_told(what: str, at: str, week: str) -> None:
    rig = rig_of(week)
    target = leak_of(rig, what, at)
    start = begun(rig, target, ELSEWHERE)
    paused = "for a moment, is" in start.parts[0].words["right"]
    for fault in start.suspects:
        end, _, _ = hunted(start, (Turned if paused else Crew)(rig, target, fault))
        assert end.found is not None, fault.key
        assert end.found.key == fault.key


def test_the_first_lines_say_what_is_listened_for() -> None:
    out = io.StringIO()
    screen = Screen(io.StringIO(), out)
    target = leak_of(rig_of(), "house", "ears")
    hunter = Hunter(begun(rig_of(), target, ELSEWHERE), target, screen, Keys(screen, "", True))
    with pytest.raises(StoppedError):
        hunter.run()
    assert "means: what house takes and vox-ears does not, such as kick, is not heard" in " ".join(
        out.getvalue().split()
    )


def test_what_should_not_be_sent_is_set_to_off() -> None:
    rig = rig_of()
    rows = [
        row for row in begun(rig, leak_of(rig, "kick", "a-wedge"), ELSEWHERE).suspects if row.cause.name == "send-wrong"
    ]
    assert rows
    assert all("sends to it (off, as the rig has it), then" in row.filled(row.cause.cure) for row in rows)
