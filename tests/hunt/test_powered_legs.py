"""Hunts of what needs phantom power: by whichever leg and switch that comes, it is a part of the path."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from crew import Crew, answered_at, hunted, text_at

from lint.hunt.causes import DEAD, NOISE, SYMPTOMS, WRONG
from lint.hunt.hunt import NO, SKIP, YES, Answer, Hunt, Suspect
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.replay import answers_to
from lint.hunt.target import target_of
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig

HALL = Path(__file__).parent / "powered-legs" / "rigs" / "hall.yaml"
WAYS = [("bass", "hall"), ("bass", "wedge"), ("speech", "hall"), ("speech", "wedge"), ("violin", "hall"),
        ("cornet", "hall"), ("lead", "wedge")]  # fmt: skip


@cache
def hall() -> ResolvedRig:
    return resolve_rig(load_rig(HALL))


def begun(what: str, at: str, symptom: str = DEAD) -> Hunt:
    parts = path_of(hall(), target_of(hall(), what, at))
    return Hunt(parts, symptom, likelihoods(parts, symptom)).answered(YES)


def left(hunt: Hunt) -> set[str]:
    return {row.part.name for row in hunt.suspects}


def the(hunt: Hunt, part: str, cause: str) -> Suspect:
    (found,) = [row for row in hunt.suspects if row.key == (part, cause)]
    return found


@pytest.mark.parametrize(("what", "at"), WAYS)
@pytest.mark.parametrize("keeps", [False, True])
@pytest.mark.parametrize("symptom", [symptom for symptom in SYMPTOMS if symptom != "elsewhere"])
def test_a_truthful_crew_ends_in_the_very_cause_whatever_powers_the_source(
    what: str, at: str, keeps: bool, symptom: str
) -> None:
    start, target = begun(what, at, symptom), target_of(hall(), what, at)
    paid = 0.0
    for fault in start.suspects:
        end, _, seconds = hunted(start, Crew(hall(), target, fault, keeps=keeps))
        assert end.found is not None, fault.key
        assert end.found.key == fault.key
        paid += fault.share * seconds
    assert paid <= start.expected_s() + 1e-6


@pytest.mark.parametrize(
    ("what", "at", "powering"),
    [
        (
            "speech",
            "hall",
            {"leg to east/in/3", "socket east/in/3", "box east", "link cable second", "patch desk/channel/27"},
        ),
        ("speech", "wedge", {"leg to east/in/3", "socket east/in/3", "box east", "console desk", "link cable trunk"}),
        ("bass", "wedge", {"leg to mon/in/3", "socket mon/in/3", "split rack to mon/in/3"}),
        (
            "bass",
            "hall",
            {"leg to mon/in/3", "socket mon/in/3", "split rack to mon/in/3", "console mon", "patch mon/channel/3"},
        ),
    ],
)
def test_dead_on_both_consoles_leaves_what_powers_it(what: str, at: str, powering: set[str]) -> None:
    hunt = begun(what, at)
    both = left(answered_at(hunt, "split", NO))
    assert powering <= both
    assert f"line of {what}" in both
    heard = left(answered_at(hunt, "split", YES))
    assert f"line of {what}" not in heard
    # What the signal passes itself may keep its power and pass no sound: that is left. What only powers it is not.
    home = str(target_of(hall(), what, at).socket)
    assert (f"leg to {home}" in heard) and (powering <= heard) == (f"leg to {home}" in powering)


def test_what_else_the_powering_console_hears_clears_its_mains_at_a_look() -> None:
    """Only what goes through the same split is heard there: arriving it clears the split too, silent it leaves both."""
    hunt = answered_at(begun("bass", "hall"), "split", NO)
    assert text_at(hunt, "beside-split") == (
        "bass has its phantom power from mon. Does another source there arrive, such as lead: does the input meter of "
        "channel 1 (Lead) on mon move when it sounds?"
    )
    assert not {"console mon", "split rack"} & left(answered_at(hunt, "beside-split", YES))
    assert left(answered_at(hunt, "beside-split", NO)) == {"console mon", "split rack"}
    assert hunt.question is not None
    assert hunt.question.key.endswith(" / beside-split")  # five seconds, before anybody walks to the lamp
    other = begun("speech", "wedge")  # east has one behind no split
    lit = {"box east", "box riser", "box west", "link cable second", "link cable first", "link cable trunk",
           "chain desk/link-1", "console desk"}  # fmt: skip
    assert "such as alto:" in text_at(other, "beside-power")
    assert left(answered_at(other, "beside-power", NO)) == lit
    assert not any(point.name == "beside-split" for _, point in other.points.values())


def test_the_one_asked_about_beside_it_needs_no_phantom_power_itself_where_there_is_such_a_one() -> None:
    rig = resolve_rig(load_rig(HALL.with_name("beside.yaml")))
    parts = path_of(rig, target_of(rig, "bass", "hall"))
    assert "such as lead:" in text_at(Hunt(parts, DEAD, likelihoods(parts, DEAD)), "beside-split")


def test_what_has_its_phantom_power_from_elsewhere_clears_nothing() -> None:
    """Silent it may be for want of that: nobody is asked to look at it."""
    rig = load_rig(HALL)
    lead = rig.sources["lead"]._replace(kind="condenser-microphone", powering="phantom")
    fed = resolve_rig(replace(rig, sources={**rig.sources, "lead": lead}))
    asks = [point.ask for part in path_of(fed, target_of(fed, "bass", "hall")) for point in part.points]
    assert not any("such as lead" in ask for ask in asks)


@pytest.mark.parametrize("keeps", [False, True])
def test_a_link_that_the_signal_passes_itself_is_left_where_what_it_powers_is_silent(keeps: bool) -> None:
    rig = resolve_rig(load_rig(HALL.with_name("one-desk.yaml")))
    target = target_of(rig, "bass", "hall")
    parts = path_of(rig, target)
    start = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
    silent = left(answered_at(start, "beside-power", NO))
    assert silent == {"box east", "link cable second", "box riser", "link cable first", "box west", "link cable trunk",
                      "chain desk/link-1", "console desk"}  # fmt: skip
    assert not silent & left(answered_at(start, "beside-power", YES))
    for fault in start.suspects:
        end, _, _ = hunted(start, Crew(rig, target, fault, keeps=keeps))
        assert end.found is not None, fault.key
        assert end.found.key == fault.key


def test_where_two_legs_give_phantom_power_one_that_is_off_silences_nothing() -> None:
    rig = load_rig(HALL)
    bass = rig.channels["desk", 7]
    twice = resolve_rig(replace(rig, channels={**rig.channels, ("desk", 7): bass._replace(phantom="on")}))
    for at in ("hall", "wedge"):
        target = target_of(twice, "bass", at)
        parts = path_of(twice, target)
        start = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
        (power,) = [row for row in start.suspects if row.part.name.startswith("phantom power")]
        assert power.words == (
            "the phantom power of west/in/7 and mon/in/3: off at all of them (off at one alone, it goes on)"
        )
        assert power.filled(power.cause.look) == (
            f"Look at {BASS}: is phantom power on at one of them at least, as bass needs it?"
        )
        assert power.share < 0.01
        names = {row.part.name for row in start.suspects}
        assert not {"console mon", "leg to mon/in/3"} & names or at == "wedge"
        for fault in start.suspects:
            end, _, _ = hunted(start, Crew(twice, target, fault))
            assert end.found is not None, fault.key
            assert end.found.key == fault.key


BASS = "channel 7 (Bass) on desk and channel 3 (Bass) on mon"


def looked_at(hunt: Hunt, part: str, cause: str, said: str) -> Hunt:
    return replace(hunt, answers=(*hunt.answers, Answer(f"look {part} / {cause}", said)))


def test_phantom_power_by_the_leg_that_is_hunted_tells_whether_it_is_what_is_missing() -> None:
    hunt = answered_at(begun("bass", "hall"), "split", NO)
    assert text_at(hunt, "power-here") == (
        f"Mute {BASS} and turn down; switch phantom power off at channel 3 (Bass) on mon, then on at channel 7 (Bass) on "
        "desk, for this test alone; wait ten seconds, bring up slowly: is bass right at hall with that (s if the split "
        "lets none through from there, as one with transformers)?"
    )
    missing = {"leg to mon/in/3", "socket mon/in/3", "split rack to mon/in/3", "console mon",
               "patch mon/channel/3"}  # fmt: skip
    looked = looked_at(hunt, "phantom power of mon/in/3", "phantom-off", YES)
    assert left(answered_at(looked, "power-here", YES)) == missing
    assert not left(answered_at(looked, "power-here", NO)) & missing


def test_whether_phantom_power_is_on_is_looked_at_before_it_is_worked_for_a_test() -> None:
    """As it was is as somebody saw it: else the switch may be put on that was off, and is the fault."""
    met = 0
    for what, at in WAYS:
        start, target = begun(what, at), target_of(hall(), what, at)
        for fault in start.suspects:
            hunt, crew = start, Crew(hall(), target, fault)
            looked = False
            while (question := hunt.question) is not None and not hunt.is_reopened:
                looked |= question.key.endswith("/ phantom-off")
                powered = question.kind == "point" and question.back
                met += bool(powered)
                assert looked or not powered, question.text
                hunt = hunt.answered(crew.answer(hunt, question))
    assert met


@pytest.mark.parametrize("said", [YES, NO, SKIP])
def test_after_a_test_of_phantom_power_all_is_put_back_before_anything_else_is_asked(said: str) -> None:
    hunt = answered_at(begun("bass", "hall"), "split", NO)
    tested = answered_at(looked_at(hunt, "phantom power of mon/in/3", "phantom-off", YES), "power-here", said)
    back = tested.question
    assert back is not None
    assert (back.kind, answers_to(back)) == ("put-back", (YES,))
    began = "If you began that test: " if said == SKIP else ""
    assert back.text == (
        f"{began}Mute {BASS} again and turn down, switch phantom power off at channel 7 (Bass) on desk and back at channel 3 "
        "(Bass) on mon as you found it; wait ten seconds, bring up slowly. Is that done?"
    )
    done = tested.answered(YES)
    assert done.question is not None
    assert done.question.kind in ("look", "point")
    assert left(done) == left(tested)
    assert done.back() == tested  # taken back, it is asked for again
    assert tested.back().question is not None


def test_two_that_were_joined_past_a_split_are_taken_apart_again_unless_that_was_it() -> None:
    hunt = begun("bass", "hall")
    way = ("split rack to west/in/7", "split-broken")
    (back,) = [looked_at(hunt, *way, said).question for said in (NO,)]
    assert back is not None
    assert back.text == (
        f"Mute {BASS} again and turn down, phantom power off; take the two apart and plug both in as they were, phantom "
        "power on only where it was; wait ten seconds, bring up slowly. Is that done?"
    )
    found = looked_at(hunt, *way, YES)
    assert found.found is not None
    assert found.question is None
    own = looked_at(begun("speech", "hall"), "split rack to east/in/3", "split-broken", NO)  # its own leg gives it
    assert own.question is not None
    assert own.question.kind != "put-back"


def test_joined_past_the_split_it_is_told_what_powers_it_and_who_loses_it() -> None:
    hunt = begun("bass", "hall")
    way = the(hunt, "split rack to west/in/7", "split-broken")
    assert way.filled(way.cause.look).endswith(
        "join the two, with phantom power on at channel 7 (Bass) on desk for as long as that: does it do as it should "
        "with that, and not with that phantom power alone?"
    )
    dead = the(hunt, "split rack", "split-off")
    assert dead.filled(dead.cause.cure).endswith(
        "if it is as before, join the cable from bass to the one to west/in/7 past it, all muted and "
        "turned down, phantom power off at west/in/7 and mon/in/3 by channel 3 on mon, ten seconds before, with phantom "
        "power on at channel 7 (Bass) on desk from now: bass is heard there alone then, and no more on channel 3 (Bass) on mon; label it "
        "broken"
    )


def test_all_that_hangs_on_a_switch_is_muted_before_it_is_worked() -> None:
    off = the(begun("violin", "hall"), "phantom power of riser/in/1–4", "phantom-off")
    cure = off.filled(off.cause.cure)
    assert cure.startswith(
        "mute channel 19 (Violin) on desk and channel 17 (Harp L) on desk and channel 18 (Harp R) on desk and turn down"
    )
    on = the(begun("cornet", "hall", NOISE), "source cornet", "phantom-on")
    assert on.filled(on.cause.look).startswith("Look at channel 21 (Cornet) on desk and channel 22 (Sax) on desk: is")
    assert on.filled(on.cause.cure).startswith("mute channel 21 (Cornet) on desk and channel 22 (Sax) on desk and turn")


def test_where_another_of_the_same_switch_arrives_it_is_on() -> None:
    hunt = begun("violin", "hall")
    assert "such as harp-r:" in text_at(hunt, "neighbour")
    power = "phantom power of riser/in/1–4"
    assert power not in left(answered_at(hunt, "neighbour", YES))
    assert left(answered_at(hunt, "neighbour", NO)) == {
        power, "box riser", "box west", "link cable first", "link cable trunk", "chain desk/link-1",
        "clock desk/link-1", "console desk",
    }  # fmt: skip


def test_of_a_shared_switch_that_one_channel_asks_for_the_patch_of_that_is_a_suspect() -> None:
    rig = load_rig(HALL)
    off = {("desk", n): rig.channels["desk", n]._replace(phantom="off") for n in (18, 19)}
    shared = resolve_rig(replace(rig, channels={**rig.channels, **off}))  # harp-l alone has it on, for all four
    target = target_of(shared, "violin", "hall")
    parts = path_of(shared, target)
    start = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
    asking = {"phantom power of riser/in/1–4", "patch desk/channel/17"}
    assert asking <= left(start)
    assert not asking & left(answered_at(start, "neighbour", YES))
    assert asking <= left(answered_at(start, "neighbour", NO))
    for fault in start.suspects:
        end, _, _ = hunted(start, Crew(shared, target, fault))
        assert end.found is not None, fault.key
        assert end.found.key == fault.key


def test_who_loses_phantom_power_by_the_switch_is_told() -> None:
    rig = load_rig(HALL)
    sax = rig.sources["sax"]._replace(kind="condenser-microphone", powering="phantom")
    mixed = resolve_rig(replace(rig, sources={**rig.sources, "sax": sax}))
    parts = path_of(mixed, target_of(mixed, "cornet", "hall"))
    (source,) = [part for part in parts if part.name == "source cornet"]
    (on,) = [cause for cause in source.causes(NOISE) if cause.name == "phantom-on"]
    assert "slowly (the same switch gives sax theirs: move what needs it to other inputs); if cornet is dull" in (
        on.cure.format(**source.words)
    )


def test_a_channel_in_the_place_of_another_gives_the_phantom_power_that_a_wrong_patch_takes_away() -> None:
    hunt = begun("alto", "hall")
    (point,) = [point for _, point in hunt.points.values() if point.name == "spare-channel"]
    assert point.after == {"phantom-off"}
    assert point.ask.startswith("Mute channel 25 (Alto) on desk; on desk, patch channel 32, which is free, from ")
    assert "its fader down and its phantom power on, wait ten seconds, and listen" in point.ask
    assert point.back == (
        "Mute channel 25 (Alto) on desk again, leave the phantom power at desk/link-1/25 as it was and channel 32 without "
        "a patch; wait ten seconds, bring up slowly."
    )
    (plain,) = [point for _, point in begun("kick", "hall").points.values() if point.name == "spare-channel"]
    assert not plain.after
    assert "phantom" not in plain.ask


def test_all_that_hears_it_is_muted_before_its_power_is_patched() -> None:
    wrong = the(begun("speech", "hall"), "patch desk/channel/27", "patch-wrong")
    both = (
        "mute channel 27 (Speech) on desk and channel 4 (Speech) on mon and all that hear what it is patched from now"
    )
    assert wrong.filled(wrong.cause.cure).startswith(both)


def test_what_is_in_the_place_of_a_plug_comes_out_first() -> None:
    hunt = begun("alto", "hall", WRONG)
    swapped = the(hunt, "line of alto", "plug-elsewhere")
    assert swapped.filled(swapped.cause.cure) == (
        "mute channel 25 (Alto) on desk and whatever hears the socket that it is in now; phantom power off at "
        "east/in/1 by channel 25 on desk, and at each other socket that a plug leaves or goes to, wait ten seconds; take "
        "out what else is in east/in/1, plug alto in there all the way, and what you took out where that belongs; phantom "
        "power on only where it was, ten seconds, then bring all up again slowly"
    )
