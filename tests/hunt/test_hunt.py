"""Hunts: every fault of every path is found, at no more than the promised cost; and what the house found before counts."""

from __future__ import annotations

from pathlib import Path

import pytest
from crew import SWAPS, Crew, answered_at, hunted, text_at
from rigs import BASE, resolved

from lint.hunt.causes import DEAD, ELSEWHERE, NOISE, SYMPTOMS, WRONG, causes
from lint.hunt.hunt import NO, SKIP, YES, Answer, Hunt, Question
from lint.hunt.learn import Found, likelihoods
from lint.hunt.part import Part
from lint.hunt.path import path_of
from lint.hunt.target import Target, UnknownTargetError, leak_of, target_of
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig

DEMO = Path(__file__).parents[2] / "lint" / "demo" / "rigs" / "clean-week.yaml"
AMPLIFIED = """
sources:
  reed: {kind: ribbon-microphone, plugged_into: west-box/in/5}
  radio: {kind: wireless-receiver, plugged_into: west-box/in/6}
  laptop: {kind: player, plugged_into: west-box/in/7}
channels:
  5: {carries: reed, patched_from: desk/link-1/5, phantom: off}
  9: {carries: effects/plate, patched_from: effects/plate}
effects: {plate: {fed_by: send}}
amplifiers: {amp: {plugged_into: east-box/out/7, circuit: stage, outputs: {one: {loudspeakers: [{impedance_ohm: 8}]}}}}
mixes:
  house: {takes: {channels: [1-3, 9]}}
  send: {kind: effects, takes: {channels: [5]}}
  subs: {kind: house, takes: {mixes: [house.mono]}}
feeds: {desk/link-1: {14: subs}}
destinations: {sub: {kind: subwoofer, plugged_into: east-box/out/6, expects: subs}}
"""


def begun(rig: ResolvedRig, target: Target, symptom: str, past: list[Found] | None = None) -> Hunt:
    parts = path_of(rig, target)
    return Hunt(parts, symptom, likelihoods(parts, symptom, past or ())).answered(YES)


def demo() -> ResolvedRig:
    return resolve_rig(load_rig(DEMO))


TARGETS = [
    ("lead-vocal", None), ("choir-left", None), ("kick", "drum-phones"), ("radio-1", "recorder"), ("house", None),
    ("choir-wedge", None), ("organ-left", "sub"), ("31", None), ("Ambience", None),
]  # fmt: skip


@pytest.mark.parametrize("symptom", [symptom for symptom in SYMPTOMS if symptom != ELSEWHERE])
@pytest.mark.parametrize(("what", "at"), [(what, at) for what, at in TARGETS if what != "choir-left"])
def test_every_fault_is_found_at_no_more_than_the_promised_cost(what: str, at: str | None, symptom: str) -> None:
    rig = demo()
    target = target_of(rig, what, at)
    check_all_faults(rig, target, begun(rig, target, symptom))


def check_all_faults(rig: ResolvedRig, target: Target, start: Hunt) -> list[int]:
    """Find every fault there may be; return how many questions each took."""
    assert start.suspects
    promised = start.expected_s()
    paid = 0.0
    counts = []
    for suspect in start.suspects:
        end, questions, seconds = hunted(start, Crew(rig, target, suspect))
        assert end.found is not None
        assert end.found.key == suspect.key
        paid += suspect.share * seconds
        counts.append(questions + 1)  # and the one about safety
    assert paid <= promised + 1e-6  # asking anew after each answer only ever saves
    return counts


@pytest.mark.parametrize(("what", "at"), [("kick", "singer-wedge"), ("house", "choir-wedge"), ("33", "choir-wedge")])
def test_every_leak_is_found(what: str, at: str) -> None:
    rig = demo()
    target = leak_of(rig, what, at)
    start = begun(rig, target, ELSEWHERE)
    check_all_faults(rig, target, start)
    assert not any(point.substitute for _, point in start.points.values())


@pytest.mark.parametrize(("mix", "may_be"), [("singer-mon", False), ("drum-mon", True)])
def test_a_selector_is_suspected_of_a_leak_only_where_a_position_brings_the_mix_there(mix: str, may_be: bool) -> None:
    """Output 2 of a box carries slot 2, 10 or 18, whatever its selector says: drum-mon is on 2, singer-mon on 1."""
    chapel = resolve_rig(load_rig(Path(__file__).parent / "chapel.yaml"))
    start = begun(chapel, leak_of(chapel, mix, "porch"), ELSEWHERE)
    assert ("selector-wrong" in {suspect.cause.name for suspect in start.suspects}) == may_be


def test_what_is_heard_elsewhere_is_asked_for_where_it_should_not_be_and_not_at_its_own_channel() -> None:
    start = begun(demo(), leak_of(demo(), "kick", "singer-wedge"), ELSEWHERE)
    asks = [point.ask.format(**part.words) for part in start.parts for point in part.points]
    assert not any("right there" in ask for ask in asks if not ask.startswith(("Go to", "Listen at")))
    assert (
        "On desk, listen to the mix singer-mon behind its fader, or look at its meter: is nothing of kick heard there?"
        in asks
    )
    assert any(ask.startswith("Have kick alone sound and look at the input meters: does none but that") for ask in asks)
    assert start.suspects[0].cause.name == "spill"
    look = start.suspects[0].filled(start.suspects[0].cause.look)
    assert look == "Mute channel 1 (Kick) for a moment: is kick gone at singer-wedge?"


def test_noise_has_its_own_causes_where_they_can_be() -> None:
    rig = resolved(BASE, AMPLIFIED)

    def causes(what: str) -> set[str]:
        return {cause.name for part in path_of(rig, target_of(rig, what)) for cause in part.causes(NOISE)}

    assert "phantom-on" in causes("reed")
    assert "phantom-on" not in causes("choir")  # a condenser needs it
    assert "interference" in causes("reed")
    assert "ground-loop" not in causes("reed")  # it hangs on no mains
    assert {"ground-loop", "out-ground-loop"} <= causes("piano")  # a DI box may


def test_the_whole_path_from_a_source_to_a_loudspeaker_in_order() -> None:
    rig = resolved(BASE, AMPLIFIED)
    titles = [part.title for part in path_of(rig, target_of(rig, "piano", "sub"))]
    assert list(dict.fromkeys(titles)) == [
        "the phantom power of east-box/in/1",
        "the lead from the instrument to the DI box of piano",
        "the DI box of piano",
        "the cable from piano to east-box/in/1",
        "the socket east-box/in/1",
        "channel 3",  # its gain, at the socket
        "the box east-box",
        "the link cable crossing",
        "the box west-box",
        "the link cable trunk",
        "the console desk",
        "the chain on desk/link-1",
        "the input patch of channel 3",
        "what channel 3 sends to house",
        "the mix house",
        "what house sends to subs",
        "the mix subs",
        "the output patch at desk/link-1/14",
        "the output east-box/out/6",
        "the cable from east-box/out/6 to sub",
        "sub itself",
    ]
    ends = [part.title for part in path_of(rig, target_of(rig, "left"))]
    assert ends[-3:] == ["the cable from east-box/out/7 to amp", "the amplifier amp", "left itself"]
    assert list(dict.fromkeys(ends))[1:3] == ["the mix house", "the output patch at desk/link-1/15"]


def test_every_cause_is_suspected_somewhere_and_every_text_is_filled_in() -> None:
    rig = resolved(BASE, AMPLIFIED)
    met = set()
    rows = rig.rig
    for what in [*rows.sources, *rows.mixes, *rows.destinations, *rows.amplifiers, "plate", "9"]:
        for part in path_of(rig, target_of(rig, what)):
            for symptom in SYMPTOMS:
                for cause in part.causes(symptom):
                    met.add(cause.name)
                    for text in (cause.look, cause.cure):
                        assert "{" not in text.format(**part.words)
            assert all("{" not in point.ask.format(**part.words) for point in part.points)
    # Only where no socket is free (`test_where_no_socket_is_free`), or between two consoles (`test_splits.py`).
    assert {cause.name for cause in causes()} - met == {
        "input-worn", "output-worn", "input-other", "split-off", "split-broken", "split-ground-loop",
            "other-leg-bad", "other-cable-bad", "own-leg-bad",
        "phantom-off-twice",
    }  # fmt: skip


def test_every_cause_has_odds_seconds_and_whole_sentences() -> None:
    for cause in causes():
        assert cause.odds, cause.name
        assert set(cause.odds) <= set(SYMPTOMS)
        assert all(isinstance(odds, int) and 0 < odds < 100 for odds in cause.odds.values())
        assert 0 < cause.seconds <= 300
        assert cause.look.endswith("?")
        assert cause.cure[0].islower() or cause.cure[0] == "{"
        assert not cause.cure.endswith(".")
        assert not (cause.swap and cause.mends_by_plug)  # what was put in its place has mended it
        assert [type(flag) for flag in (cause.handles, cause.swap, cause.mends_by_plug)] == [bool] * 3
        assert not isinstance(cause.after, str)
        assert set(cause.after) <= {other.name for other in causes()} - {cause.name}


def test_an_effects_unit_is_hunted_from_what_feeds_it_to_where_it_returns() -> None:
    rig = resolved(BASE, AMPLIFIED)
    titles = [
        "the console desk",
        "the mix send",
        "the effects unit plate",
        "the input patch of channel 9",
        "channel 9",
        "what channel 9 sends to house",
        "the mix house",
    ]
    for what in ("plate", "9", "effects/plate"):
        parts = path_of(rig, target_of(rig, what, "right"))
        assert list(dict.fromkeys(part.title for part in parts))[:7] == titles
    target = target_of(rig, "plate")
    assert (
        begun(rig, target, DEAD)
        .points["point effects plate / effects-meter"][1]
        .ask.startswith("On desk, look at the output meter of")
    )


def test_a_source_that_is_heard_only_by_an_effects_unit_is_followed_through_it() -> None:
    rig = resolved(BASE, AMPLIFIED)
    target = target_of(rig, "reed", "left")  # in no mix but what feeds the plate
    assert target.destination is not None
    assert target.destination.name == "left"
    titles = list(dict.fromkeys(part.title for part in path_of(rig, target)))
    assert titles[titles.index("the input patch of channel 5") : titles.index("the mix house")] == [
        "the input patch of channel 5",
        "what channel 5 sends to send",
        "the mix send",
        "the effects unit plate",
        "the input patch of channel 9",
        "channel 9",
        "what channel 9 sends to house",
    ]
    assert titles[-1] == "left itself"
    parts = [part.name for part in path_of(rig, target)]
    assert len(parts) == len(set(parts))
    for what in (target, target_of(rig, "plate"), target_of(rig, "9", "right")):
        for symptom in SYMPTOMS:
            if symptom != ELSEWHERE:
                check_all_faults(rig, what, begun(rig, what, symptom))
    assert not path_of(rig, target_of(rig, "piano"))[-1].title.startswith("the effects")


def asked_of(rig: ResolvedRig, target: Target, symptom: str, cause: str) -> list[str]:
    """Return the questions of a hunt that a truthful crew answers, until the cause is found."""
    hunt = begun(rig, target, symptom)
    fault = next(suspect for suspect in hunt.suspects if suspect.cause.name == cause)
    crew = Crew(rig, target, fault)
    asked = []
    while (question := hunt.question) is not None:
        asked.append(question.text)
        hunt = hunt.answered(crew.answer(hunt, question))
    assert hunt.found is not None
    assert hunt.found.key == fault.key
    return asked


def test_with_one_fault_on_the_channel_the_meters_lead_there_first() -> None:
    asked = asked_of(demo(), target_of(demo(), "lead-vocal"), DEAD, "channel-muted")
    assert len(asked) <= 6
    assert asked[-1] == "Turn its fader down, unmute it, bring it up slowly. Is it right now?"


def test_another_source_of_the_box_of_a_dead_one_clears_or_blames_what_they_share() -> None:
    hunt = begun(demo(), target_of(demo(), "lead-vocal"), DEAD)
    assert text_at(hunt, "neighbour") == (
        "Does another source on west-box arrive, such as acoustic: "
        "does the input meter of channel 9 (Acoustic) move when it sounds?"
    )
    shared = {"box west-box", "link cable trunk", "chain desk/link-1", "clock desk/link-1", "console desk"}
    assert not shared & {suspect.part.name for suspect in answered_at(hunt, "neighbour", YES).suspects}
    assert {suspect.part.name for suspect in answered_at(hunt, "neighbour", NO).suspects} == shared


def test_what_is_right_at_the_same_end_clears_the_links_that_the_signal_passes_twice() -> None:
    hunt = begun(demo(), target_of(demo(), "lead-vocal"), DEAD)
    (others,) = [
        point for _, point in hunt.points.values() if point.ask.startswith("Listen at house-left to something")
    ]
    assert {"link cable trunk", "box west-box"} <= others.behind


@pytest.mark.parametrize(
    "name",
    [
        name
        for name in SWAPS
        if name not in ("amplifier-broken", "speaker-broken", "input-worn", "output-worn", "split-broken")
        and not name.startswith(("other-", "own-"))  # of a split: `test_other_legs.py`
    ],
)
def test_another_in_its_place_that_is_right_has_found_and_mended_it_and_one_that_is_not_clears_it(name: str) -> None:
    hunt = begun(demo(), target_of(demo(), "bass" if name == "lead-broken" else "lead-vocal"), DEAD)
    suspect = next(each for each in hunt.suspects if each.cause.name == name)
    key = f"look {' / '.join(suspect.key)}"
    right = Hunt(hunt.parts, DEAD, hunt.weights, (*hunt.answers, Answer(key, YES)))
    assert right.found is not None
    assert right.found.key == suspect.key
    assert right.question is None
    wrong = Hunt(hunt.parts, DEAD, hunt.weights, (*hunt.answers, Answer(key, NO)))
    assert wrong.found is None
    assert suspect.key not in [each.key for each in wrong.suspects]


def test_safety_comes_first_and_a_no_ends_the_hunt() -> None:
    rig = demo()
    parts = path_of(rig, target_of(rig, "kick"))
    hunt = Hunt(parts, DEAD, likelihoods(parts, DEAD))
    assert hunt.question is not None
    assert hunt.question.kind == "safety"
    stopped = hunt.answered(NO)
    assert stopped.is_stopped
    assert stopped.question is None
    assert stopped.found is None


def test_a_question_that_cannot_be_answered_is_not_asked_again_and_back_takes_it_back() -> None:
    rig = demo()
    hunt = begun(rig, target_of(rig, "kick"), DEAD)
    first = hunt.question
    skipped = hunt.answered(SKIP)
    asked = set()
    while (question := skipped.question) is not None:
        assert question.key not in asked
        asked.add(question.key)
        skipped = skipped.answered(SKIP)
    assert first is not None
    assert first.key not in asked
    assert skipped.suspects == hunt.suspects
    assert hunt.answered(YES).back() == hunt


def all_is_well(question: Question) -> str:
    """Answer as where nothing can be found wrong: every look is right, and no swap makes it so."""
    return NO if question.suspect is not None and question.suspect.cause.name in SWAPS else YES


def test_when_everything_left_was_cleared_the_whole_path_is_looked_at_again() -> None:
    rig = demo()
    hunt = begun(rig, target_of(rig, "kick"), DEAD)
    while not hunt.is_reopened:
        assert hunt.question is not None
        hunt = hunt.answered(all_is_well(hunt.question))  # whatever is asked is right, and so is every suspect
    assert hunt.suspects
    looks = 0
    while (question := hunt.question) is not None:
        assert question.kind in ("look", "put-back")
        hunt = hunt.answered(all_is_well(question))
        looks += 1
    assert looks
    assert hunt.suspects == []
    assert hunt.found is None


def test_what_the_house_found_before_is_suspected_first() -> None:
    rig = demo()
    target = target_of(rig, "lead-vocal")
    fresh = begun(rig, target, DEAD)
    cable = "line of lead-vocal"
    past = [Found(DEAD, "cable-broken", cable)] * 6 + [Found(WRONG, "patch-wrong", "patch desk/channel/10")] * 50
    known = begun(rig, target, DEAD, past)
    assert known.suspects[0].key == (cable, "cable-broken")
    assert known.suspects[0].share > 2 * next(row.share for row in fresh.suspects if row.key == (cable, "cable-broken"))
    other = begun(rig, target_of(rig, "kick"), DEAD, past)
    of_kick = {row.key: row.share for row in other.suspects}
    assert of_kick["line of kick", "cable-broken"] > 0.1  # the kind counts on every path, the very part more
    assert of_kick["line of kick", "cable-broken"] < known.suspects[0].share
    check_all_faults(rig, target, known)


def test_likelihoods_are_odds_of_what_is_on_the_path() -> None:
    part = Part("one", "one", ("mix",), {})
    weights = likelihoods([part], DEAD, [Found(DEAD, "mix-muted", "elsewhere")])
    assert weights == {("one", "mix-muted"): pytest.approx(21.0)}


@pytest.mark.parametrize(
    ("what", "at", "message"),
    [
        ("lead-vocl", None, "nothing here is called 'lead-vocl'; did you mean 'lead-vocal'?"),
        ("kick", "singer-wedg", "no destination is called 'singer-wedg'; did you mean 'singer-wedge'?"),
        ("kick", "singer-wedge", "by the rig kick does not get to singer-wedge; if it is heard there hunt it as `elsewhere`"),
        ("stairwell", None, "stairwell is no signal: hunt what is missed (`rigwalk trace` tells what rides on stairwell), or ask"),
        ("desk", None, "desk is no signal: hunt what is missed (`rigwalk trace` tells what rides on desk), or ask `rigwalk spares` how to carry on without desk"),
    ],
)  # fmt: skip
def test_what_is_not_there_is_told(what: str, at: str | None, message: str) -> None:
    with pytest.raises(UnknownTargetError) as told:
        target_of(demo(), what, at)
    assert str(told.value).startswith(message)


def test_a_destination_is_not_heard_at_another() -> None:
    with pytest.raises(UnknownTargetError, match="say what is heard at singer-wedge"):
        leak_of(demo(), "choir-wedge", "singer-wedge")


def test_a_source_that_leaks_is_not_hunted_through_the_effects_unit_that_it_feeds() -> None:
    leak = leak_of(resolved(BASE, AMPLIFIED), "reed", "wedge")
    assert leak.then is None
    assert not any("effects" in part.title for part in path_of(resolved(BASE, AMPLIFIED), leak))


def test_a_socket_stands_for_what_is_plugged_into_it() -> None:
    rig = resolved(BASE)
    assert target_of(rig, "west-box/in/1") == target_of(rig, "vocal")
    assert target_of(rig, "east-box/out/7") == target_of(rig, "left")
    assert target_of(rig, "vocal", "east-box/out/7") == target_of(rig, "vocal", "left")
    fed = resolved(
        BASE, "amplifiers: {amp: {plugged_into: east-box/out/1, outputs: {one: {loudspeakers: [{impedance_ohm: 8}]}}}}"
    )
    assert target_of(fed, "east-box/out/1") == target_of(fed, "amp")
    with pytest.raises(UnknownTargetError):
        target_of(rig, "west-box/in/9")
