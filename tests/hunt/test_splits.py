"""Hunts over splits and two consoles: any way of a source is followed, and what two consoles share is told at once."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from crew import Crew, answered_at, hunted, text_at
from rigs import resolved

from lint.hunt.causes import DEAD, DISTORTED, ELSEWHERE, NOISE, WRONG
from lint.hunt.hunt import NO, YES, Hunt, Question
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import Target, UnknownTargetError, leak_of, target_of
from lint.hunt.terminal import CARE, CARE_AGAIN, care_of
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig

HERE = Path(__file__).parent
TWO_DESKS = HERE / "two-desks.yaml"
THEATRE, BARN = (
    HERE.parents[1] / "tests" / "clean" / house / "rigs" / rig
    for house, rig in (("monitor-split", "folk-night.yaml"), ("link-split", "string-band.yaml"))
)
SYMPTOMS = (DEAD, WRONG, NOISE, DISTORTED)


def rig_of(path: Path) -> ResolvedRig:
    return resolve_rig(load_rig(path))


def begun(rig: ResolvedRig, target: Target, symptom: str) -> Hunt:
    parts = path_of(rig, target)
    return Hunt(parts, symptom, likelihoods(parts, symptom)).answered(YES)


def check_every_fault(rig: ResolvedRig, target: Target, symptom: str) -> None:
    """Hold the hunt of a truthful crew against every cause that there may be, at no more than the promised cost."""
    start = begun(rig, target, symptom)
    assert start.suspects
    paid = 0.0
    for fault in start.suspects:
        end, _, seconds = hunted(start, Crew(rig, target, fault))
        assert end.found is not None, (target.name, fault.key)
        assert end.found.key == fault.key, target.name
        paid += fault.share * seconds
    assert paid <= start.expected_s() + 1e-6


@pytest.mark.parametrize("what", ["vox", "Vox", "1", "mon/in/1", "abox/in/1"])
@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_a_split_source_is_hunted_at_what_it_gets_to_by_the_second_console(what: str, symptom: str) -> None:
    rig = rig_of(TWO_DESKS)
    target = target_of(rig, what, "ears")
    assert (target.name, str(target.socket)) == ("vox", "mon/in/1")
    titles = list(dict.fromkeys(part.title for part in path_of(rig, target)))
    assert titles == [
        "vox itself",
        "the cable from vox to the split voxsplit",
        "the split voxsplit",
        "the other leg of the split voxsplit, to abox/in/1",
        "the own leg of the split voxsplit, to mon/in/1",
        "the way of the split voxsplit to mon/in/1",
        "the cable from the split voxsplit to mon/in/1",
        "the socket mon/in/1",
        "channel 1 (Vox) on mon",
        "the console mon",
        "the input patch of channel 1 (Vox) on mon",
        "what channel 1 (Vox) on mon sends to vox-ears",
        "the mix vox-ears",
        "the output patch at mon/out/1",
        "the output mon/out/1",
        "the cable from mon/out/1 to ears",
        "ears itself",
    ]
    check_every_fault(rig, target, symptom)


def test_the_way_that_leads_to_the_end_is_taken_and_the_socket_that_was_named() -> None:
    rig = rig_of(TWO_DESKS)
    assert str(target_of(rig, "vox").socket) == "abox/in/1"
    assert str(target_of(rig, "vox", "a-wedge").socket) == "abox/in/1"
    here = target_of(rig, "mon/in/1")
    assert (str(here.socket), here.end) == ("mon/in/1", "ears")
    with pytest.raises(UnknownTargetError, match="by the rig kick does not get to ears"):
        target_of(rig, "kick", "ears")


@pytest.mark.parametrize("path", [THEATRE, BARN])
@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_every_source_is_hunted_to_the_ends_of_both_consoles(path: Path, symptom: str) -> None:
    rig = rig_of(path)
    met = set()
    for source in list(rig.rig.sources)[::3]:
        for end in rig.rig.destinations:
            try:
                target = target_of(rig, source, end)
            except UnknownTargetError:
                continue
            assert target.channel is not None
            met.add(target.channel.console)
            check_every_fault(rig, target, symptom)
    assert met == {console.name for console in rig.rig.consoles}


def test_the_other_console_clears_or_blames_what_is_before_the_split() -> None:
    hunt = begun(rig_of(TWO_DESKS), target_of(rig_of(TWO_DESKS), "vox"), DEAD)
    assert text_at(hunt, "split") == (
        "Does vox arrive on mon too, behind the split: does the input meter of channel 1 (Vox) on mon move when it "
        "sounds?"
    )
    shared = {"source vox", "line of vox", "split voxsplit"}
    assert not shared & {row.part.name for row in answered_at(hunt, "split", YES).suspects}
    legs = {"other leg to mon/in/1", "own leg to abox/in/1"}  # one wire
    assert {row.part.name for row in answered_at(hunt, "split", NO).suspects} == shared | legs
    assert not legs & {row.part.name for row in answered_at(hunt, "split", YES).suspects}
    ears = begun(rig_of(TWO_DESKS), target_of(rig_of(TWO_DESKS), "vox", "ears"), DEAD)
    assert text_at(ears, "split").startswith("Does vox arrive on desk too, behind the split: does the input meter of")


@pytest.mark.parametrize("symptom", [WRONG, NOISE, DISTORTED])
def test_what_is_amiss_before_the_split_is_heard_on_the_other_console_too(symptom: str) -> None:
    rig = rig_of(TWO_DESKS)
    hunt = begun(rig, target_of(rig, "vox"), symptom)
    assert text_at(hunt, "split-heard") == (
        "Listen to channel 1 (Vox) on mon alone on headphones there, before its fader: is it right?"
    )
    shared = {"source vox", "line of vox", "split voxsplit"}
    assert not shared & {row.part.name for row in answered_at(hunt, "split-heard", YES).suspects}
    unsure = {"earths of split voxsplit", "other leg to mon/in/1", "own leg to abox/in/1"}  # heard there too, or not
    assert {row.part.name for row in answered_at(hunt, "split-heard", NO).suspects} <= shared | unsure
    link = begun(rig_of(BARN), target_of(rig_of(BARN), "singer", "encoder"), symptom)  # one gain, that of the owner
    gained = {row.part.name for row in answered_at(link, "split-heard", YES).suspects}
    assert not any(name.startswith("gain ") for name in gained)


def test_phantom_power_is_looked_at_where_it_comes_from_and_both_consoles_are_muted_for_it() -> None:
    rig = rig_of(THEATRE)
    hunt = begun(rig, target_of(rig, "fiddle", "fiddle-wedge"), DEAD)
    (fault,) = [row for row in hunt.suspects if row.cause.name == "phantom-off"]
    assert fault.filled(fault.cause.look) == (
        "Look at channel 6 (Fiddle) on foh: is its phantom power on, as fiddle needs it?"
    )
    assert fault.filled(fault.cause.cure).startswith(
        "mute channel 6 (Fiddle) on mon and channel 6 (Fiddle) on foh and turn down, switch the phantom power of "
        "channel 6 (Fiddle) on foh on"
    )


def test_a_mix_of_one_channel_takes_only_that_channel() -> None:
    rig = rig_of(TWO_DESKS)
    hunt = begun(rig, target_of(rig, "vox", "ears"), WRONG)
    (fault,) = [row for row in hunt.suspects if row.cause.name == "mix-takes-other"]
    assert fault.filled(fault.cause.look) == "On mon, look at the mix vox-ears: does it take only channel 1?"


@pytest.mark.parametrize("what", ["kick", "2", "keys-l", "abox/in/3"])
def test_what_no_console_in_between_carries_is_not_suspected_of_a_leak_on_the_other_console(what: str) -> None:
    rig = rig_of(TWO_DESKS)
    leak = leak_of(rig, what, "ears")
    hunt = begun(rig, leak, ELSEWHERE)
    assert {row.part.name for row in hunt.suspects} == {
        f"line of {leak.source}", "inputs of mon", "send to vox-ears", "intake of vox-ears", "feed mon/out/1", "line to ears",
    }  # fmt: skip
    assert "send-wrong" not in {row.cause.name for row in hunt.suspects}
    texts = [row.filled(text) for row in hunt.suspects for text in (row.cause.look, row.cause.cure)]
    assert not any("desk" in text for text in texts if not text.startswith("mute"))
    assert text_at(hunt, "only-meter") == (
        f"Have {leak.source} alone sound and look at the input meters on mon, of mon/in/1 (vox): does none move, or only a "
        "little those of microphones near it?"
    )
    blamed = {row.part.name for row in answered_at(hunt, "only-meter", NO).suspects}
    assert blamed == {f"line of {leak.source}", "inputs of mon"}
    check_every_fault(rig, leak, ELSEWHERE)


def test_what_an_open_microphone_of_the_other_console_picks_up_is_told_by_muting_that() -> None:
    rig = rig_of(TWO_DESKS)
    for what in ("kick", "house"):
        (spill,) = [
            row for row in begun(rig, leak_of(rig, what, "ears"), ELSEWHERE).suspects if row.cause.name == "spill"
        ]
        assert spill.words == "what vox-ears takes: another open microphone picks it up"
        assert spill.filled(spill.cause.look) == f"On mon, mute channel 1 for a moment: is {what} still heard at ears?"


def test_a_split_source_belongs_where_any_of_its_consoles_sends_it() -> None:
    with pytest.raises(UnknownTargetError, match=r"vox belongs at ears: channel 1 \(Vox\) on mon → vox-ears"):
        leak_of(rig_of(TWO_DESKS), "vox", "ears")
    quiet = leak_of(rig_of(THEATRE), "whistle", "singer-wedge")  # split, and not in that mix
    assert quiet.channel is not None
    assert (quiet.channel.console, quiet.away) == ("mon", None)
    asks = [
        point.ask.format(**part.words) for part in path_of(rig_of(THEATRE), quiet) for point in part.points
    ]  # its meter on foh moves as well, and should
    assert any(
        ask.startswith("Have whistle alone sound and look at the input meters on mon: does none") for ask in asks
    )


WITHOUT_SECOND = """
rig_format: 1
extends: {rig}
consoles: {{air: {{channels: {{10: null}}}}}}
"""


def test_what_a_split_link_brings_along_may_be_patched_by_the_other_console(tmp_path: Path) -> None:
    house = tmp_path / "house"
    shutil.copytree(BARN.parents[1], house)
    rig = house / "rigs" / "quiet.yaml"
    rig.write_text(WITHOUT_SECOND.format(rig=BARN.name), encoding="utf-8")
    leak = leak_of(rig_of(rig), "second", "encoder")
    assert leak.away == "air"
    names = {row.part.name for row in begun(rig_of(rig), leak, ELSEWHERE).suspects}
    assert {"line of second", "chain foh/link-1", "patch air", "send to programme"} <= names
    assert "inputs of air" not in names
    check_every_fault(rig_of(rig), leak, ELSEWHERE)


@pytest.mark.parametrize("path", [TWO_DESKS, THEATRE])
def test_every_leak_between_consoles_is_found(path: Path) -> None:
    rig = rig_of(path)
    met = 0
    for what in [*list(rig.rig.sources)[::2], *rig.rig.mixes]:
        for end in rig.rig.destinations:
            try:
                leak = leak_of(rig, what, end)
            except UnknownTargetError:
                continue
            met += leak.away is not None
            check_every_fault(rig, leak, ELSEWHERE)
    assert met


@pytest.mark.parametrize(
    ("source", "end", "way"),
    [
        ("singer", "encoder", ["box left-box", "link cable cross", "box rear-box", "link cable to-cabin"]),
        ("dobro", "encoder", ["box rear-box", "link cable to-cabin"]),
        ("dobro", "house-left", ["box rear-box", "link cable cross", "box left-box", "link cable trunk"]),
    ],
)
def test_a_console_that_listens_to_a_link_hears_by_its_own_cable(source: str, end: str, way: list[str]) -> None:
    rig = rig_of(BARN)
    lit = ("box ", "link ", "console ")
    names = [part.name for part in path_of(rig, target_of(rig, source, end)) if part.name.startswith(lit)]
    assert names[: len(way)] == way
    # First the owner of the link, whose mains it rides on.
    assert end != "encoder" or names == [*way, "console foh", "console air"]


def test_the_console_that_owns_a_link_is_a_suspect_of_what_another_hears_by_it() -> None:
    rig = rig_of(BARN)
    hunt = begun(rig, target_of(rig, "singer", "encoder"), DEAD)
    (owner,) = [row for row in hunt.suspects if row.part.name == "console foh"]
    assert owner.words == "the console foh: no mains"
    for point in ("split", "neighbour"):
        assert "console foh" not in {row.part.name for row in answered_at(hunt, point, YES).suspects}
        assert "console foh" in {row.part.name for row in answered_at(hunt, point, NO).suspects}
    (gain,) = [row for row in hunt.suspects if row.cause.name == "gain-wrong"]
    assert gain.filled(gain.cause.look).startswith("Look at channel 9 (Singer) on foh: is its gain 34 dB")
    assert gain.filled(gain.cause.cure).startswith("turn channel 9 (Singer) on air and channel 9 (Singer) on foh down")
    own = {row.part.name for row in begun(rig, target_of(rig, "singer", "house-left"), DEAD).suspects}
    assert {name for name in own if name.startswith("console ")} == {"console foh"}  # who hears by it is no matter


def test_the_channel_of_the_owner_that_asks_for_phantom_power_is_a_suspect_by_its_patch() -> None:
    rig = rig_of(BARN)
    hunt = begun(rig, target_of(rig, "banjo", "encoder"), DEAD)
    patch = "patch foh/channel/1"
    assert patch in {row.part.name for row in hunt.suspects}
    assert patch in {row.part.name for row in answered_at(hunt, "split", NO).suspects}
    assert patch not in {row.part.name for row in answered_at(hunt, "split", YES).suspects}
    check_every_fault(rig, target_of(rig, "banjo", "encoder"), DEAD)


def test_noise_is_looked_for_on_the_circuit_of_the_console_that_sends_to_the_end() -> None:
    room = "{volts: 230, breaker_a: 16}"
    week = (
        "devices: {desk: {watts: 200}, mon: {watts: 200}, abox: {watts: 50}}\ndestinations: {ears: {watts: 20}}\n"
        f"power: {{circuits: {{left: {room}, back: {room}}}}}"
    )
    rig = resolved(TWO_DESKS.read_text(), week)
    parts = path_of(rig, target_of(rig, "vox", "ears"))
    said = [
        text.format(**part.words) for part in parts for cause in part.causes(NOISE) for text in (cause.look, cause.cure)
    ]
    named = [text for text in said if "the circuit that" in text]
    assert named
    assert all("the circuit that mon is on (left)" in text for text in named), named


# -- what a split is, and who is muted for it ------------------------------------------------------------------------

BOTH = "channel 1 (Vox) on desk and channel 1 (Vox) on mon"


@pytest.mark.parametrize(("end", "socket"), [("house-l", "abox/in/1"), ("ears", "mon/in/1")])
def test_where_one_console_hears_it_and_the_other_does_not_the_split_is_a_suspect(end: str, socket: str) -> None:
    rig = rig_of(TWO_DESKS)
    hunt = begun(rig, target_of(rig, "vox", end), DEAD)
    one = {row.part.name for row in answered_at(hunt, "split", YES).suspects}
    assert {f"split voxsplit to {socket}", f"leg to {socket}"} <= one
    assert not {"split voxsplit", "source vox"} & one
    assert "split voxsplit" in {row.part.name for row in answered_at(hunt, "split", NO).suspects}


@pytest.mark.parametrize("end", ["house-l", "ears"])
@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_every_console_that_hears_it_is_muted_before_hands_are_laid_on_a_split_source(end: str, symptom: str) -> None:
    rig = rig_of(TWO_DESKS)
    start = begun(rig, target_of(rig, "vox", end), symptom)
    met = 0
    for part in start.parts:
        is_before = part.name.startswith(("source ", "line of ", "split ", "leg ", "socket "))
        for cause in part.causes(symptom) if is_before else ():
            asked = Question("look", "", "", handles=True, part=part)
            for text in (CARE, CARE_AGAIN):
                told = care_of(asked, text)
                assert f"mute {told.partition('mute ')[2].partition(',')[0]}" in (f"mute {BOTH}", f"mute {TURNED}")
                assert "on both" in told
                assert "abox/in/1 and mon/in/1" in told
            cure = cause.cure.format(**part.words)
            assert "mute" not in cure.replace("still muted", "") or BOTH in cure or TURNED in cure, cure
            met += 1
    assert met > 1


TURNED = "channel 1 (Vox) on mon and channel 1 (Vox) on desk"


def test_the_questions_carry_the_part_that_hands_are_laid_on() -> None:
    rig = rig_of(TWO_DESKS)
    for fault in (start := begun(rig, target_of(rig, "vox"), DEAD)).suspects:
        hunt, crew = start, Crew(rig, target_of(rig, "vox"), fault)
        while (question := hunt.question) is not None:
            if question.handles and question.part is not None and "vox" in question.part.name:
                lent = "mute channels 1–2 on desk and channel 1 on mon"  # where the kick's is put in its place
                told = f"{care_of(question)} {question.text}"  # a cure may say itself who is muted
                assert BOTH in told or lent in told
            assert question.part is not None or question.kind == "put-back"
            hunt = hunt.answered(crew.answer(hunt, question))


def test_a_channel_that_takes_the_socket_for_the_test_is_muted_too() -> None:
    text = TWO_DESKS.read_text(encoding="utf-8")
    rig = resolved(text, "channels: {9: {label: Old, patched_from: desk/link-1/4, phantom: off}}")
    (part,) = [part for part in path_of(rig, target_of(rig, "kick")) if part.name == "socket abox/in/2"]
    assert part.words["test"].startswith(
        "Mute channel 9 (Old) on desk as well, patched from there now, and plug kick into"
    )


def test_the_test_of_a_split_gives_a_source_the_phantom_power_that_came_from_elsewhere() -> None:
    rig = rig_of(THEATRE)
    parts = path_of(rig, target_of(rig, "fiddle", "fiddle-wedge"))
    (part,) = [
        part
        for part in parts
        if part.name.endswith(f" to {target_of(rig, 'fiddle', 'fiddle-wedge').socket}") and part.kinds == ("split-way",)
    ]
    (cause,) = part.causes(DEAD)
    look = cause.look.format(**part.words)
    assert "join the two, with phantom power on at channel 6 (Fiddle) on mon for as long as that: does it do" in look


def test_a_channel_number_of_two_consoles_is_taken_only_where_both_carry_the_same() -> None:
    rig = rig_of(TWO_DESKS)
    assert target_of(rig, "1").name == "vox"
    other = resolved(
        TWO_DESKS.read_text(encoding="utf-8"),
        "consoles: {mon: {channels: {2: {carries: vox, patched_from: mon/in/1}}}}",
    )
    with pytest.raises(
        UnknownTargetError,
        match=r"2 is channel 2 \(Kick\) on desk and channel 2 on mon: say desk/channel/2 or mon/channel/2, or the source",
    ):
        target_of(other, "2")
    assert target_of(other, "mon/channel/2").channel == other.rig.channels["mon", 2]
    assert target_of(other, "2", "house-l").source == "kick"  # where it gets to tells them apart


def test_a_leak_by_the_patch_is_looked_for_at_the_channels_that_the_end_hears() -> None:
    rig = rig_of(TWO_DESKS)
    leak = leak_of(rig, "kick", "a-wedge")
    hunt = begun(rig, leak, ELSEWHERE)
    (fault,) = [row for row in hunt.suspects if row.cause.name == "patch-wrong"]
    assert fault.filled(fault.cause.look) == (
        "Look at the input patch of desk: is each channel that wedge-a takes patched from desk/link-1/1 (vox), "
        "desk/link-1/5 (keys-l), desk/link-1/6 (keys-r)?"
    )
    asks = [point.ask.format(**part.words) for part in hunt.parts for point in part.points]
    assert any("does none but that of channel 2 (Kick) on desk move" in ask for ask in asks)
    check_every_fault(rig, leak, ELSEWHERE)


def test_the_clock_is_looked_at_on_a_console_that_only_listens_too() -> None:
    rig = rig_of(BARN)
    (fault,) = [
        row for row in begun(rig, target_of(rig, "singer", "encoder"), NOISE).suspects if row.cause.name == "clock-lost"
    ]
    assert fault.filled(fault.cause.look) == "Look at foh and at air: is the clock shown as locked, at 48 kHz?"
    alone = begun(rig, target_of(rig, "singer", "house-left"), NOISE).suspects
    assert {row.filled(row.cause.look) for row in alone if row.cause.name == "clock-lost"} == {
        "Look at foh: is the clock shown as locked, at 48 kHz?"
    }
