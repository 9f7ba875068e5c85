"""Stereo is hunted side by side: the one that was named, and with both dead what they share."""

from __future__ import annotations

import pytest
from crew import Crew, hunted, text_at
from rigs import BASE, resolved
from test_hunt import demo

from lint.hunt.causes import DEAD, ELSEWHERE, NOISE, SYMPTOMS, WRONG
from lint.hunt.hunt import NO, YES, Hunt, Question
from lint.hunt.part import Part
from lint.hunt.sides import BOTH, LEFT, RIGHT, begun, sides_of, silent_beside
from lint.hunt.target import Target, UnknownTargetError, leak_of, target_of

TITLES_OF_ONE = {"the output patch at desk/out/1", "the output desk/out/1", "the cable from desk/out/1 to recorder"}


def started(what: str, side: str | None, symptom: str = DEAD, at: str | None = None) -> tuple[Target, Hunt]:
    rig = demo()
    target = target_of(rig, what, at)
    found, hunt = begun(rig, target, sides_of(rig, what, at, target), side, (symptom, ()))
    return found, hunt.answered(YES)


def suspected(hunt: Hunt) -> set[str]:
    return {row.part.title for row in hunt.suspects}


@pytest.mark.parametrize(
    ("what", "ends"),
    [
        ("recorder", ["desk/out/1", "desk/out/2"]),  # a stereo end
        ("house", ["east-box/out/7", "east-box/out/8"]),  # a stereo mix with an end on either side
        ("piano", ["east-box/out/7", "east-box/out/8"]),  # a pair, each panned to its own side
    ],
)
def test_what_is_stereo_has_two_sides(what: str, ends: list[str]) -> None:
    rig = demo()
    sides = sides_of(rig, what, None, target_of(rig, what))
    assert [side.name for side in sides] == [LEFT, RIGHT]
    assert [str(side.target.output) for side in sides] == ends


@pytest.mark.parametrize(
    ("what", "at"),
    [("kick", None), ("singer-wedge", None), ("desk/out/2", None), ("kick", "desk/out/1"), ("house", "sub")],
)
def test_what_is_mono_or_named_by_its_socket_has_none(what: str, at: str | None) -> None:
    rig = demo()
    assert sides_of(rig, what, at, target_of(rig, what, at)) == []


def test_what_is_panned_to_one_side_is_hunted_to_that_side() -> None:
    ends = [target_of(demo(), what).end for what in ("piano-left", "piano-right", "kick")]
    assert ends == ["house-left", "house-right", "house-left"]


def test_one_side_is_hunted_by_its_own_socket_and_the_other_is_asked_about_first() -> None:
    target, hunt = started("recorder", RIGHT)
    assert str(target.output) == "desk/out/2"
    assert not TITLES_OF_ONE & suspected(hunt)
    assert hunt.question is not None
    assert hunt.question.text == "Is the other side as it should be: the left side at recorder (desk/out/1)?"
    alone = suspected(hunt.answered(YES))
    assert alone == {"the output patch at desk/out/2", "the output desk/out/2", "the cable from desk/out/2 to recorder"}


def test_with_both_sides_dead_what_they_share_comes_first() -> None:
    _, hunt = started("recorder", BOTH)
    assert suspected(hunt) == {"the console desk", "the mix record", "recorder itself"}
    assert suspected(hunt) == suspected(started("recorder", LEFT)[1].answered(NO))
    _, pair = started("piano", BOTH)
    assert {"the link cable trunk", "the box east-box", "the mix house"} <= suspected(pair) | {
        part.title for part in pair.parts if part.name in pair.inside
    }
    assert not any("piano" in title or "Piano" in title for title in suspected(pair))


def test_the_other_of_a_pair_is_not_asked_for_as_a_neighbour() -> None:
    _, hunt = started("piano", BOTH)
    assert "Does another source on east-box arrive, such as saxophone:" in text_at(hunt, "neighbour")


@pytest.mark.parametrize("symptom", [symptom for symptom in SYMPTOMS if symptom != ELSEWHERE])
@pytest.mark.parametrize("what", ["recorder", "house", "piano", "player", "encoder"])
@pytest.mark.parametrize("side", [LEFT, RIGHT, BOTH])
def test_a_truthful_crew_finds_every_fault_of_either_side(what: str, side: str, symptom: str) -> None:
    target, hunt = started(what, side, symptom)
    rig = demo()
    others = {each.name: each.target for each in sides_of(rig, what, None, target_of(rig, what))}
    other = others[LEFT] if side == RIGHT else others[RIGHT]
    for fault in hunt.suspects:
        end, _, _ = hunted(hunt, Crew(rig, target, fault, other))
        assert end.found is not None
        assert end.found.key == fault.key


def test_a_side_that_is_not_there_is_told() -> None:
    with pytest.raises(UnknownTargetError, match="say --side left, right or both"):
        started("recorder", "up")


def test_a_dark_circuit_on_the_path_is_the_first_question_and_nearly_sure() -> None:
    week = "devices: {west-box: {circuit: stage}}\npower: {circuits: {stage: {dark: true}}}"
    rig = resolved(BASE, week)
    for what in ("vocal", "piano", "left"):  # the last two pass the dark box
        target, hunt = begun(rig, target_of(rig, what), [], None, (DEAD, ()))
        hunt = hunt.answered(YES)
        assert hunt.suspects[0].words == "the box west-box: no mains"
        assert hunt.suspects[0].share > 0.9
        assert hunt.question is not None
        assert hunt.question.text.startswith("By the rig file west-box has no mains: its circuit stage is dark. Go to ")
        for fault in hunt.suspects:  # the file may be wrong about it
            end, _, _ = hunted(hunt, Crew(rig, target, fault))
            assert end.found is not None
            assert end.found.key == fault.key
    _, noise = begun(rig, target_of(rig, "vocal"), [], None, (NOISE, ()))
    assert [text for part in noise.parts for text in part.known.values()] == [
        "west-box has no mains: its circuit stage is dark"
    ]


def test_a_console_that_is_dark_by_the_rig_file_is_the_first_suspect() -> None:
    rig = resolved(BASE, "devices: {desk: {circuit: back}}\npower: {circuits: {back: {dark: true}}}")
    _, hunt = begun(rig, target_of(rig, "vocal"), [], None, (DEAD, ()))
    assert hunt.answered(YES).suspects[0].words == "the console desk: no mains"
    lit = resolved(BASE, "devices: {desk: {circuit: back}}\npower: {circuits: {back: {dark: false}}}")
    _, hunt = begun(lit, target_of(lit, "vocal"), [], None, (DEAD, ()))
    assert hunt.answered(YES).suspects[0].words != "the console desk: no mains"
    assert "the console desk: no mains" in {row.words for row in hunt.suspects}


def test_where_one_side_alone_was_heard_to_be_wrong_it_is_not_asked_again() -> None:
    rig = demo()
    target = target_of(rig, "recorder")
    _, hunt = begun(rig, target, sides_of(rig, "recorder", None, target), RIGHT, (DEAD, ()), alone=True)
    assert suspected(hunt) == suspected(started("recorder", RIGHT)[1].answered(YES))


def test_a_pair_that_leaks_is_hunted_side_by_side_to_where_it_does_not_belong() -> None:
    rig = demo()
    leak = leak_of(rig, "organ", "singer-wedge")
    sides = sides_of(rig, "organ", "singer-wedge", leak)
    assert [(side.target.name, side.target.end, side.target.leaks) for side in sides] == [
        ("organ-left", "singer-wedge", True), ("organ-right", "singer-wedge", True),
    ]  # fmt: skip


RIGHT_DARK = "destinations: {right: {circuit: stage}}\npower: {circuits: {stage: {dark: true}}}"


@pytest.mark.parametrize("name", [BOTH, LEFT, None])
def test_a_side_that_is_dark_by_the_rig_file_bears_no_witness_for_the_other(name: str | None) -> None:
    rig = resolved(BASE, RIGHT_DARK)
    target = target_of(rig, "house")
    sides = sides_of(rig, "house", None, target)
    found, hunt = begun(rig, target, sides, name, (DEAD, ()))
    assert found.end == "left"
    assert not hunt.given
    assert not any(point.name == "other-side" for _, point in hunt.points.values())
    assert silent_beside(rig, sides, 0) == ["right has no mains: its circuit stage is dark"]
    for fault in hunt.answered(YES).suspects:
        end, _, _ = hunted(hunt.answered(YES), Crew(rig, found, fault))
        assert end.found is not None
        assert end.found.key == fault.key


def test_of_both_the_side_that_lives_is_hunted_and_the_other_one_by_its_name() -> None:
    rig = resolved(BASE, RIGHT_DARK.replace("right", "left"))
    target = target_of(rig, "house")
    sides = sides_of(rig, "house", None, target)
    assert begun(rig, target, sides, BOTH, (DEAD, ()))[0].end == "right"
    dark, hunt = begun(rig, target, sides, LEFT, (DEAD, ()))
    assert (dark.end, silent_beside(rig, sides, 0)) == ("left", [])
    assert hunt.answered(YES).suspects[0].words == "left itself: no mains"


def test_what_both_sides_lack_by_the_rig_file_leaves_them_each_other_s_witness() -> None:
    rig = resolved(BASE, "devices: {east-box: {circuit: stage}}\npower: {circuits: {stage: {dark: true}}}")
    target = target_of(rig, "house")
    sides = sides_of(rig, "house", None, target)
    assert silent_beside(rig, sides, 0) == []
    assert begun(rig, target, sides, BOTH, (DEAD, ()))[1].given


class Swapped(Crew):
    """A crew whose plug, patch or feed is swapped with that of the other side, which is as wrong then."""

    def _seen(self, test: str, question: Question, behind: Part) -> str:
        return NO if test == "other-side" else super()._seen(test, question, behind)


@pytest.mark.parametrize(
    ("what", "causes"),
    [("piano", ("plug-elsewhere", "patch-wrong")), ("house", ("feed-wrong", "out-plug-elsewhere"))],
)
@pytest.mark.parametrize("side", [LEFT, BOTH])
def test_two_sides_that_are_swapped_are_found_though_both_are_wrong(what: str, causes: tuple[str], side: str) -> None:
    target, hunt = started(what, side, WRONG)
    swapped = [row for row in started(what, LEFT, WRONG)[1].suspects if row.cause.name in causes]
    assert len(swapped) >= len(causes)
    for fault in swapped:
        end, _, _ = hunted(hunt, Swapped(demo(), target, fault))
        assert end.found is not None
        assert end.found.key == fault.key
        assert not end.is_reopened
