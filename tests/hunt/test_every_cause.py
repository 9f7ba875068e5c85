"""A truthful crew finds every cause of every symptom, in few questions: what each test shows is stated in `crew.py`."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from crew import Crew, hunted

from lint.hunt.causes import DEAD, DISTORTED, ELSEWHERE, NOISE, SYMPTOMS, causes
from lint.hunt.hunt import NO, YES, Hunt
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import Target, UnknownTargetError, leak_of, target_of
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig

HERE = Path(__file__).parent
CHAPEL, DEMO = HERE / "chapel.yaml", HERE.parents[1] / "lint" / "demo" / "rigs" / "clean-week.yaml"
# The most questions that a fault may take, and how many on average where all are equally likely; safety counts too.
MOST = {DEAD: (18, 8), "wrong": (8, 6), NOISE: (14, 7.5), DISTORTED: (11, 6.5), ELSEWHERE: (9, 6.5)}
# With what is put back in between: what is noisy is muted while something else is listened to, and unmuted after it; a
# channel that was listened to bare gets its gate, insert and equaliser again.
MOST_STEPS = MOST | {NOISE: (15, 8), DISTORTED: (12, 7)}


@cache
def rig_of(path: Path) -> ResolvedRig:
    return resolve_rig(load_rig(path))


def begun(rig: ResolvedRig, target: Target, symptom: str) -> Hunt:
    parts = path_of(rig, target)
    return Hunt(parts, symptom, likelihoods(parts, symptom)).answered(YES)


def targets(rig: ResolvedRig, symptom: str, step: int) -> list[Target]:
    """Everything there is to hunt under a symptom, each `step`th of it."""
    whats = [*rig.rig.sources, *rig.rig.mixes, *rig.rig.destinations, *rig.rig.amplifiers][::step]
    if symptom != ELSEWHERE:
        return [target_of(rig, what) for what in whats]
    found = []
    for what in [*rig.rig.sources, *rig.rig.mixes][::step]:
        for at in [*rig.rig.destinations, *rig.rig.amplifiers][::2]:
            try:
                found.append(leak_of(rig, what, at))
            except UnknownTargetError:  # it belongs there
                continue
    return found


@pytest.mark.parametrize(("path", "step"), [(CHAPEL, 1), (DEMO, 5)])
@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_a_truthful_crew_ends_in_the_very_cause_in_few_questions(path: Path, step: int, symptom: str) -> None:
    rig = rig_of(path)
    counts, steps = [], []
    for target in targets(rig, symptom, step):
        start = begun(rig, target, symptom)
        for fault in start.suspects:
            end, asked, _ = hunted(start, Crew(rig, target, fault))
            assert end.found is not None, (target.name, fault.key)
            assert end.found.key == fault.key, target.name
            steps.append(asked + 1)
            counts.append(asked + 1 - sum(answer.key.startswith("put back ") for answer in end.answers))
    for rows, (most, mean) in ((counts, MOST[symptom]), (steps, MOST_STEPS[symptom])):
        assert max(rows) <= most
        assert sum(rows) / len(rows) <= mean


def test_what_is_to_be_looked_at_first_is_there_and_goes_round_nowhere() -> None:
    after = {cause.name: cause.after for cause in causes()}
    left = dict(after)
    while left:
        free = [name for name, names in left.items() if not set(names) & set(left)]
        assert free
        for name in free:
            del left[name]


def questions(what: str, symptom: str, cause: str, path: Path = CHAPEL) -> list[str]:
    rig = rig_of(path)
    target = target_of(rig, what)
    hunt = begun(rig, target, symptom)
    crew = Crew(rig, target, next(each for each in hunt.suspects if each.cause.name == cause))
    asked = []
    while (question := hunt.question) is not None:
        asked.append(question.text)
        hunt = hunt.answered(crew.answer(hunt, question))
    assert hunt.found == crew.fault._replace(share=1.0)
    return asked


@pytest.mark.parametrize(("what", "symptom"), [("bass", DISTORTED), ("cymbals", NOISE), ("singer", DEAD)])
def test_gain_is_before_the_meters_and_is_asked_for(what: str, symptom: str) -> None:
    asked = questions(what, symptom, "gain-wrong")
    assert any("is its gain" in text for text in asked)
    assert len(asked) <= 7


def test_what_goes_on_with_nothing_plugged_in_comes_from_the_loudspeaker_or_its_mains() -> None:
    rig = rig_of(DEMO)
    hunt = begun(rig, target_of(rig, "house-left"), NOISE).answered(YES)  # the mix is right
    assert hunt.question is not None
    assert hunt.question.text.endswith("is the noise as before with nothing plugged in?")
    assert {row.part.name for row in hunt.answered(YES).suspects} == {"destination house-left"}
    assert {row.cause.name for row in hunt.answered(YES).suspects} >= {"mains-noise", "destination-broken"}
    assert "destination house-left" not in {row.part.name for row in hunt.answered(NO).suspects}


@pytest.mark.parametrize(("what", "at"), [("horn-mon", None), ("horn-amp", None), ("horn", "horn-amp")])
def test_a_mix_that_feeds_an_amplifier_alone_is_followed_to_its_loudspeakers(what: str, at: str | None) -> None:
    rig = rig_of(CHAPEL)
    assert [part.title for part in path_of(rig, target_of(rig, what, at))][-4:] == [
        "the output apse-box/out/1",
        "the cable from apse-box/out/1 to horn-amp",
        "the amplifier horn-amp",
        "the loudspeakers of horn-amp",
    ]


@pytest.mark.parametrize("what", ["main-r", "horn-amp"])
def test_the_circuit_that_the_rig_states_is_asked_for(what: str) -> None:
    (asked,) = [
        text for text in questions(what, DEAD, "end-dark") if text.startswith("Go to ") and "mains lamp" in text
    ]
    assert asked == f"Go to {what}: is its mains lamp lit, its plug in, the breaker of its circuit apse on?"


def test_a_dead_wedge_is_not_walked_to_lamp_by_lamp() -> None:
    rig = rig_of(DEMO)
    hunt = begun(rig, target_of(rig, "choir-wedge"), DEAD)
    assert hunt.question is not None
    assert hunt.question.text == (
        "Does a source on loft-box arrive, such as soprano: does the input meter of channel 25 (Soprano) move when it sounds?"
    )
    left = {row.part.name.split()[0] for row in hunt.answered(YES).suspects}
    assert not left & {"box", "link", "clock", "console"}
    assert {row.part.name.split()[0] for row in hunt.answered(NO).suspects} == {"box", "link", "clock", "console"}
    assert max(len(questions("choir-wedge", DEAD, row.cause.name, DEMO)) for row in hunt.suspects) <= 10


@pytest.mark.parametrize(
    ("what", "cause", "asks", "never"),
    [
        ("singer", "source-off", "Go to singer: if it has a switch, is that on?", "attery"),
        ("radio", "transmitter-off", "Look at the transmitter of radio, in the hand or on the belt: is it switched on, not muted, its battery", "Go to radio: if"),
        ("keyboard", "instrument-off", "Go to keyboard: is the instrument plugged into its input, its own volume up", "if it has a switch"),
        ("music", "player-off", "Go to music: is it on and playing", "battery"),
    ],
)  # fmt: skip
def test_each_kind_of_source_is_asked_for_what_it_has(what: str, cause: str, asks: str, never: str) -> None:
    asked = questions(what, DEAD, cause)
    assert any(text.startswith(asks) for text in asked)
    rig = rig_of(CHAPEL)
    looks = [row.filled(row.cause.look) for row in begun(rig, target_of(rig, what), DEAD).suspects]
    assert not any(never in text for text in looks)
    assert not any("to the box" in text for text in looks)


def test_of_a_dead_radio_the_transmitter_is_looked_at_first() -> None:
    rig = rig_of(CHAPEL)
    assert begun(rig, target_of(rig, "radio"), DEAD).suspects[0].cause.name == "transmitter-off"


def test_a_plug_is_pushed_home_before_a_cable_is_changed() -> None:
    rig = rig_of(CHAPEL)
    (trunk,) = [
        row
        for row in begun(rig, target_of(rig, "singer"), DEAD).suspects
        if row.key == ("link cable trunk", "link-broken")
    ]
    cure = trunk.filled(trunk.cause.cure)
    assert cure.index("push both plugs of trunk home") < cure.index("for its spare (in the drawer)")


def test_what_belongs_there_by_the_rig_file_is_no_leak() -> None:
    with pytest.raises(
        UnknownTargetError, match=r"by the rig file singer belongs at recorder: channel 6 \(Singer\) → house → rec"
    ):
        leak_of(rig_of(CHAPEL), "singer", "recorder")
    with pytest.raises(UnknownTargetError, match="by the rig file house belongs at recorder: house → rec"):
        leak_of(rig_of(CHAPEL), "house", "recorder")


LOOKS = ("end-dark", "amplifier-off", "destination-off")


@pytest.mark.parametrize("symptom", [DEAD, DISTORTED])
@pytest.mark.parametrize("path", [CHAPEL, DEMO])
def test_no_plug_of_what_the_mains_feed_is_touched_before_its_lamps_are_looked_at(path: Path, symptom: str) -> None:
    rig = rig_of(path)
    for what in [*rig.rig.destinations, *rig.rig.amplifiers]:
        hunt = begun(rig, target_of(rig, what), symptom)
        ends = [part.name for part in hunt.parts if part.name.startswith(("outlet ", "line to ", "amplifier "))]
        looked: set[str] = set()
        first = {suspect.cause.name for suspect in hunt.suspects if suspect.cause.name in LOOKS}
        assert first or symptom == DISTORTED
        while (question := hunt.question) is not None and not hunt.is_reopened:
            name, _, cause = question.key.partition(" ")[2].rpartition(" / ")
            looked |= {cause} & first
            if question.handles and name in ends:
                assert looked == first, (what, question.text)
                assert "down" in question.text or "Switch" in question.text, question.text
            hunt = hunt.answered(YES if question.kind != "look" or not question.suspect.cause.swap else NO)
