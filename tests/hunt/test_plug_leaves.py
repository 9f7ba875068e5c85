"""Before a plug moves phantom power is off at the socket that it leaves as well: there the next one goes in."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved
from test_every_cause import begun
from test_splits import TWO_DESKS

from lint.hunt.causes import DEAD, WRONG
from lint.hunt.hunt import Question, Suspect
from lint.hunt.target import target_of
from lint.hunt.terminal import CARE_AGAIN, PUT_BACK, care_of
from lint.resolve.resolved import ResolvedRig

HORN = """
sources: {horn: {kind: ribbon-microphone, plugged_into: [abox/in/7, mon/in/2]}}
splits: {voxsplit: {sources: [vox, horn]}}
channels: {7: {carries: horn, patched_from: desk/link-1/7, phantom: off}}
consoles: {mon: {channels: {2: {carries: horn, patched_from: mon/in/2, phantom: off}}}}
mixes: {house: {takes: {channels: [1-7]}}}
"""
LEAVES = "each other socket that a plug leaves or goes to"


def split_rig() -> ResolvedRig:
    return resolved(TWO_DESKS.read_text(), HORN)


def rows(rig: ResolvedRig, what: str, symptom: str, cause: str) -> list[Suspect]:
    found = [row for row in begun(rig, target_of(rig, what), symptom).suspects if row.cause.name == cause]
    assert found
    return found


def the(rig: ResolvedRig, what: str, symptom: str, cause: str, part: str = "") -> Suspect:
    (row,) = [row for row in rows(rig, what, symptom, cause) if row.part.name.startswith(part)]
    return row


def cured(row: Suspect) -> Question:
    text = row.filled(row.cause.cure)
    return Question("cured", "", text, handles=True, suspect=row, part=row.part)


def test_the_leg_of_a_split_ribbon_leaves_no_live_socket() -> None:
    row = the(split_rig(), "horn", WRONG, "plug-elsewhere", "leg to abox/in/7")
    text = row.filled(row.cause.cure)
    steps = [
        "mute channel 7 on desk and channel 2 on mon and whatever hears the socket that it is in now",
        f"phantom power off at abox/in/7 and mon/in/2, and at {LEAVES} (horn, a ribbon microphone, must not have it)",
        "wait ten seconds",
        "plug the split voxsplit (horn) in there",
        "phantom power on only where it was, ten seconds",
        "bring all up again slowly",
    ]
    assert [text.index(step) for step in steps] == sorted(text.index(step) for step in steps)
    assert "besides what is muted and off by the words below" in care_of(cured(row))
    assert "at abox/in/7 and mon/in/2, and where it leaves or goes" in care_of(cured(row), PUT_BACK)


def test_at_a_split_it_is_the_sockets_behind_the_way_that_is_left() -> None:
    row = the(split_rig(), "horn", WRONG, "plug-elsewhere", "line of horn")
    assert "and at the sockets behind each other way that a plug leaves or goes to" in (row.filled(row.cause.cure))


@pytest.mark.parametrize("cause", ["cable-broken", "split-broken", "source-broken"])
def test_the_tests_of_a_split_say_so_too(cause: str) -> None:
    for row in rows(split_rig(), "horn", DEAD, cause):
        borrows = "lent" if row.cause.lends else ""
        question = Question("look", "", row.filled(row.cause.look), handles=True, part=row.part, borrows=borrows)
        for text in (care_of(question), care_of(question, CARE_AGAIN), care_of(question, PUT_BACK)):
            assert "and where it leaves or goes" in text


def test_the_cure_that_is_noted_says_it_where_nothing_is_split() -> None:
    rig = split_rig()
    text = the(rig, "hat", DEAD, "plug-elsewhere").filled(the(rig, "hat", DEAD, "plug-elsewhere").cause.cure)
    assert f"phantom power off at abox/in/3 by channel 3 on desk, and at {LEAVES}, wait ten seconds" in text
    dry = resolved(BASE)  # nobody switches any on
    row = the(dry, "vocal", DEAD, "plug-elsewhere")
    assert "phantom" not in row.filled(row.cause.cure)


def test_a_split_is_not_joined_past_while_phantom_power_is_on() -> None:
    bass = HORN.replace("ribbon-microphone", "active-di").replace("phantom: off", "phantom: on", 1)
    row = the(resolved(TWO_DESKS.read_text(), bass), "horn", DEAD, "split-off")
    text = row.filled(row.cause.cure)
    assert "all muted and turned down, phantom power off at abox/in/7 and mon/in/2 by channel 7 on desk" in text


def test_nothing_is_said_of_phantom_power_at_an_output() -> None:
    row = the(split_rig(), "a-wedge", WRONG, "out-plug-elsewhere")
    for text in (care_of(cured(row)), care_of(cured(row), PUT_BACK)):
        assert "phantom" not in text
        assert "monitors and house down, ears out" in text


def test_of_several_channels_each_is_looked_at_for_phantom_power_that_must_be_off() -> None:
    row = the(split_rig(), "horn", DEAD, "phantom-on")
    assert "channel 7 on desk and channel 2 on mon: is phantom power off on each of them" in row.filled(row.cause.look)
    single = the(resolved(BASE, "sources: {vocal: {kind: ribbon-microphone}}"), "vocal", DEAD, "phantom-on")
    assert "channel 1: is its phantom power off, as" in single.filled(single.cause.look)
