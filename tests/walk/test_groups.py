"""Rows by eights, and the power order."""

from __future__ import annotations

import pytest
from rigs import resolved

from lint.check.catalogue import Catalogue
from lint.check.engine import Checked
from lint.check.finding import Verdict
from lint.walk.kinds import rows_of

CHAIN = """\
rig_format: 1
devices:
  desk:  {model: console-32}
  near:  {model: stage-box-8x8, output_bank: 1-8}
  far:   {model: stage-box-16x8, output_bank: 9-16, label: Far box, location: gallery}
cables:
  one: {from: desk/link-1, to: near/upstream}
  two: {from: near/downstream, to: far/upstream}
sources:
  a: {kind: dynamic-microphone, plugged_into: far/in/9}
  b: {kind: dynamic-microphone, plugged_into: far/in/2, label: Bee}
  c: {kind: dynamic-microphone, plugged_into: near/in/8}
  d: {kind: player, plugged_into: desk/in/1}
channels:
  1:  {carries: c, patched_from: desk/link-1/8}
  8:  {label: Bee, carries: b, patched_from: desk/link-1/10}
  9:  {carries: a, patched_from: desk/link-1/17, phantom: on}
  10: {carries: d, patched_from: desk/in/1}
mixes: {house: {kind: house, width: stereo, takes: {channels: [1-10]}}}
feeds: {desk/link-1: {9-10: house}}
"""


def checked(text: str) -> Checked:
    return Checked(resolved(text), (), Verdict.GO, (), Catalogue({}, ()), {})


def rows(kind: str, text: str):
    return [row for row, _ in rows_of(kind, checked(text))]


def test_plugs_go_box_by_box_along_the_chain_by_eights() -> None:
    told = [(row.fields["title"], row.fields["sockets"], row.fields["list"]) for row in rows("plug_rows", CHAIN)]
    assert told == [
        ("near", "inputs 1–8", "8 c"),
        ("Far box (gallery)", "inputs 1–8", "2 Bee"),
        ("Far box (gallery)", "inputs 9–16", "9 a"),
        ("desk", "inputs 1–8", "1 d"),
    ]


def test_channels_go_by_eights_in_order_with_runs_told_shortly() -> None:
    told = [(row.fields["title"], row.fields["patch"], row.fields["heard"]) for row in rows("channel_rows", CHAIN)]
    assert told == [
        ("Channels 1–8", "1 from desk/link-1/8, 8 from desk/link-1/10", "1 c, 8 Bee"),
        ("Channels 9–16", "9 from desk/link-1/17, 10 from desk/in/1", "9 a, 10 d"),
    ]
    assert [row.fields["phantom_on"] for row in rows("channel_rows", CHAIN)] == ["none", "9"]


def test_a_part_knows_the_source_its_socket_and_its_box() -> None:
    row = rows("channel_rows", CHAIN)[1]
    assert row.parts["9"].signal == "desk/channel/9"
    assert row.parts["9"].about == ("desk/channel/9", "a", "far/in/9", "far")


LOUD = """\
destinations:
  left:  {kind: house-loudspeaker, plugged_into: near/out/1, expects: house.left, circuit: c, watts: 300}
  tape:  {kind: recorder, plugged_into: desk/out/1, watts: 20}
amplifiers:
  rack: {label: Amp rack, plugged_into: near/out/2, watts: 900, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}
power: {circuits: {c: {volts: 230}}}
"""


@pytest.mark.parametrize("text", [CHAIN, CHAIN + LOUD])
def test_power_down_is_power_up_backwards(text: str) -> None:
    """Common practice: reference/checklist-design.md 5.3."""
    up = [(row.fields["devices"], row.fields["is_loud"]) for row in rows("power_on", text)]
    down = [(row.fields["devices"], row.fields["is_loud"]) for row in rows("power_off", text)]
    assert down == up[::-1]
    assert [row.fields["number"] for row in rows("power_off", text)] == list(range(1, len(up) + 1))


def test_what_drives_a_loudspeaker_is_last_on() -> None:
    steps = [row.fields for row in rows("power_on", CHAIN + LOUD)]
    assert [step["is_loud"] for step in steps] == [False] * (len(steps) - 1) + [True]
    assert steps[-1]["devices"] == "Amp rack, left"
    assert "tape" not in steps[-1]["devices"]


def test_an_amplifier_is_plugged_in_too() -> None:
    near = [row.fields["list"] for row in rows("plug_rows", CHAIN + LOUD) if row.key == "near/out/1-8"]
    assert near == ["1 left, 2 Amp rack"]


def test_loudspeakers_whose_power_the_rig_does_not_speak_of_are_last_all_the_same() -> None:
    text = CHAIN + "destinations: {left: {kind: house-loudspeaker, plugged_into: near/out/1, expects: house.left}}\n"
    assert rows("power_on", text)[-1].fields["devices"] == "Every amplifier and powered loudspeaker"
    assert rows("power_off", text)[0].fields["devices"] == "Every amplifier and powered loudspeaker"
    assert not any(row.fields["is_loud"] for row in rows("power_on", CHAIN))
