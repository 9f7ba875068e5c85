"""Phantom power of a whole rig: who switches what on, and whom it reaches."""

from __future__ import annotations

from rigs import BASE, resolved

from lint.rig.address import Socket

SPLIT = (
    "devices: {mon: {model: console-16}}\n"
    "splits: {stage: {kind: analogue, sources: [choir]}}\n"
    "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
    "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2}}}}\n"
)
ON = "channels: {2: {phantom: on}, 3: {phantom: on}}\n"
WEST_IS_DARK = "power: {circuits: {stage: {volts: 230, breaker_a: 16, dark: true}}}\n"


def test_one_leg_that_is_on_is_enough() -> None:
    phantom = resolved(BASE, SPLIT + ON).phantom
    assert phantom.unpowered == frozenset()
    (choir,) = (entry for entry in phantom.fed if entry.source.name == "choir")
    assert [supply.words for supply in choir.live] == ["west-box/in/2"]
    assert [channel.address for channel in phantom.powering(choir.source)] == ["desk/channel/2"]


def test_a_leg_that_another_hears_gives_none_once_its_own_is_gone() -> None:
    rig = resolved(BASE, SPLIT + "channels: {2: {phantom: on, patched_from: desk/link-1/9}, 3: {phantom: on}}")
    assert rig.phantom.unpowered == {"choir"}
    assert [channel.address for channel in rig.channels_of["choir"]] == ["mon/channel/2"]


def test_what_no_channel_takes_is_not_called_unpowered() -> None:
    assert resolved(BASE, "channels: {2: null, 3: {phantom: on}}").phantom.unpowered == frozenset()


def test_a_wrong_patch_switches_it_on_and_is_told_apart() -> None:
    rig = resolved(BASE, "channels: {1: {phantom: on, patched_from: desk/link-1/2}, 2: {phantom: off}}")
    choir, socket = rig.rig.sources["choir"], Socket("west-box", "in", 2)
    assert rig.phantom.is_live(socket)
    assert rig.phantom.wrong == {"desk/channel/1"}
    assert not rig.phantom.supplies[rig.phantom.switch_at(socket)].on
    assert [channel.number for channel in rig.phantom.powering(choir)] == [1]


def test_what_must_not_have_it_is_named_with_who_brings_it() -> None:
    phantom = resolved(BASE, "sources: {choir: {kind: ribbon-microphone}}\nchannels: {2: {phantom: on}}").phantom
    assert {name: [c.number for c in channels] for name, channels in phantom.harmed.items()} == {"choir": [2]}


def test_a_box_without_mains_gives_none_and_harms_nobody() -> None:
    dark = WEST_IS_DARK + "devices: {west-box: {circuit: stage}}\n"
    assert resolved(BASE, f"{dark}{ON}").phantom.fed == ()
    split = SPLIT.replace("devices: {", "devices: {west-box: {circuit: stage}, ")
    assert "choir" in resolved(BASE, WEST_IS_DARK + split + ON).phantom.unpowered
    ribbon = "sources: {choir: {kind: ribbon-microphone}}\n"
    assert not resolved(BASE, f"{dark}{ribbon}{ON}").phantom.harmed
