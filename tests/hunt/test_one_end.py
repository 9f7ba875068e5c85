"""Phantom power that is off at both ends of a split comes from one end alone: two feeds work against each other."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from crew import Crew, hunted

from lint.hunt.causes import DEAD
from lint.hunt.hunt import YES, Hunt, Question
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import target_of
from lint.hunt.terminal import care_of
from lint.plan.rebuild import rebuilt
from lint.read.load import house_folder
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.address import InputPoint, Socket
from lint.rig.build import load_rig
from lint.rig.model import Models

HALL = Path(__file__).parent / "powered-legs" / "rigs" / "hall.yaml"


def begun(rig: ResolvedRig, what: str, at: str) -> Hunt:
    parts = path_of(rig, target_of(rig, what, at))
    return Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)


def off_at_both(beside_a_ribbon: bool) -> ResolvedRig:
    """The bass without phantom power; or on the riser as well, by fours with a ribbon that must have none."""
    rig = load_rig(HALL)
    channels = {**rig.channels, ("mon", 3): rig.channels["mon", 3]._replace(phantom="off")}
    if not beside_a_ribbon:
        return resolve_rig(replace(rig, channels=channels))
    bass = rig.sources["bass"]
    at = (Socket("riser", "in", 8), bass.sockets[1])
    point = channels["desk", 7].patched_from
    assert isinstance(point, InputPoint)
    channels["desk", 7] = channels["desk", 7]._replace(patched_from=point._replace(number=24))
    return resolve_rig(replace(rig, channels=channels, sources={**rig.sources, "bass": bass._replace(sockets=at)}))


@pytest.mark.parametrize(
    ("beside_a_ribbon", "end"), [(False, "channel 7 (Bass) on desk"), (True, "channel 3 (Bass) on mon")]
)
def test_phantom_power_off_at_both_ends_comes_on_at_the_end_that_harms_nobody(beside_a_ribbon: bool, end: str) -> None:
    rig = off_at_both(beside_a_ribbon)
    hunt = begun(rig, "bass", "hall")
    (off,) = [row for row in hunt.suspects if row.cause.name == "phantom-off"]
    assert off.filled(off.cause.look) == (
        "Look at channel 7 (Bass) on desk and channel 3 (Bass) on mon: is phantom power on at one of them, as bass "
        "needs it?"
    )
    cure = off.filled(off.cause.cure)
    assert f"switch the phantom power of {end} on, at that one end alone and off at every other" in cure
    assert "channel 7 (Bass) on desk" in cure.partition(" and turn down")[0]
    assert "channel 3 (Bass) on mon" in cure.partition(" and turn down")[0]
    for fault in hunt.suspects:
        found, _, _ = hunted(hunt, Crew(rig, target_of(rig, "bass", "hall"), fault))
        assert found.found is not None
        assert found.found.key == fault.key


def cure_of(rig: ResolvedRig, what: str, at: str, key: tuple[str, str]) -> str:
    (found,) = [row for row in begun(rig, what, at).suspects if row.key == key]
    return found.filled(found.cause.cure)


def test_whoever_hears_what_a_console_powers_is_muted_before_it_has_its_mains_back() -> None:
    hall = resolve_rig(load_rig(HALL))
    cure = cure_of(hall, "bass", "hall", ("console mon", "console-dark"))
    assert cure.startswith(
        "turn down all on mon (wedge), monitors and house, ears out; mute channel 7 on desk (phantom power comes "
        "back with mon); then see that mon"
    )
    assert cure.endswith("; wait ten seconds, bring all up again slowly")
    east = cure_of(hall, "speech", "hall", ("box east", "box-dark"))
    assert "ears out; mute channels 25, 27 on desk and channel 4 on mon (phantom power" in east
    west = cure_of(hall, "kick", "hall", ("box west", "box-dark"))  # it gives nobody any
    assert west.startswith("turn down all on west (hall), monitors and house, ears out; then")


def test_where_the_way_that_powers_is_broken_the_source_goes_straight_to_the_end_that_is_hunted() -> None:
    cure = cure_of(resolve_rig(load_rig(HALL)), "bass", "hall", ("split rack to mon/in/3", "split-broken"))
    assert "join the cable from bass to the one to west/in/7 instead, with phantom power on at channel 7 (Bass)" in cure
    assert "bass is heard there alone then, and no more on channel 3 (Bass) on mon" in cure
    assert "leave the two joined" not in cure
    own = cure_of(resolve_rig(load_rig(HALL)), "bass", "hall", ("split rack to west/in/7", "split-broken"))
    assert "leave the two joined, with phantom power on at channel 7 (Bass) on desk from now" in own


def swapped(rig: ResolvedRig, what: str, at: str) -> tuple[str, str]:
    """The test that puts another in the place of a source, and what is to be heeded before it."""
    (found,) = [row for row in begun(rig, what, at).suspects if row.cause.name == "source-broken"]
    asked = Question("look", "", "", handles=True, suspect=found, part=found.part, borrows="lent")
    return found.filled(found.cause.look), care_of(asked)


def test_what_is_lent_for_a_test_is_muted_too_and_its_phantom_power_off_before_it_is_unplugged() -> None:
    hall = resolve_rig(load_rig(HALL))
    look, care = swapped(hall, "alto", "hall")
    assert "such as violin" not in look  # by fours with the harp, though speech is split
    assert "such as speech" in look
    assert "mute channels 25, 27 on desk and channel 4 on mon, monitors and house down on both" in care
    assert "phantom power off at east/in/1 and speech's east/in/3 and mon/in/4 by channels 25, 27 on desk, and" in care
    assert "all back but what mended it. Open" in care


def test_a_microphone_is_lent_that_silences_nobody_else_where_there_is_one() -> None:
    rig = load_rig(HALL)
    kick = rig.sources["kick"]._replace(kind="condenser-microphone", powering="phantom")
    hall = resolve_rig(replace(rig, sources={**rig.sources, "kick": kick}))
    look, care = swapped(hall, "alto", "hall")
    assert "such as kick" in look
    assert "mute channels 1, 25 on desk" in care
    assert "such as harp-r" in swapped(hall, "harp-l", "hall")[0]  # on its own switch
    speech, care = swapped(hall, "speech", "hall")
    assert "such as alto" in speech
    assert "alto's east/in/1" in care


def test_a_switch_at_a_dead_socket_clears_nothing() -> None:
    """It says on and gives nothing: the other end is asked of, and the dead one is off and out before that comes on."""
    rig = load_rig(HALL)
    bass = rig.sources["bass"]
    dead = bass.sockets[1]
    data = {"dead": {str(dead): "crackles"}}
    hurt = rebuilt(resolve_rig(rig), data, Models(house_folder(HALL)))
    assert hurt.phantom.unpowered >= {"bass"}
    (asked,) = [row for row in begun(hurt, "bass", "hall").suspects if row.cause.name == "phantom-off"]
    look = "Look at channel 7 (Bass) on desk: is its phantom power on, as bass needs it?"
    assert asked.filled(asked.cause.look) == look
    cured = asked.filled(asked.cause.cure)
    off = f"switch phantom power off at channel 3 on mon; ten seconds later take bass out of {dead} (both ends are too many)"
    assert cured.index(off) < cured.index("switch the phantom power of channel 7 (Bass) on desk on")
