"""What a trace says of several things at once, and what is so of a rig though nothing is wrong with it."""

from __future__ import annotations

from rigs import BASE, resolved

from lint.resolve.trace import trace_signal
from lint.resolve.ways import silent_without
from lint.rig.address import Socket

ON = "channels: {2: {phantom: on}, 3: {phantom: on}}\n"


def told(week: str, what: str) -> list[str]:
    steps = [step for trace in trace_signal(resolved(BASE, week), what) for step in trace.every()]
    return [text for step in steps for text in (step.text, step.comes_to) if text]


def test_every_channel_that_a_source_misses_and_every_one_where_it_comes_out_is_named() -> None:
    week = (
        "channels: {1: {patched_from: desk/link-1/5}, 4: {carries: vocal, patched_from: desk/link-1/6},"
        " 5: {carries: choir, patched_from: desk/link-1/1}, 6: {carries: piano, patched_from: desk/link-1/1}}"
    )
    assert "vocal does not reach channel 1 and channel 4; it comes out on channel 5 and channel 6" in told(
        week, "vocal"
    )


def test_every_channel_that_brings_phantom_power_to_what_must_not_have_it_is_named() -> None:
    week = (
        "sources: {vocal: {kind: ribbon-microphone}}\n"
        "channels: {1: {phantom: on}, 4: {carries: vocal, patched_from: desk/link-1/1, phantom: on}}"
    )
    assert "vocal must not have phantom power, and gets it by channel 1 and channel 4" in told(week, "vocal")


def test_every_leg_that_brings_phantom_power_is_named_with_its_channels() -> None:
    week = (
        "splits: {wires: {kind: analogue, sources: [choir]}}\n"
        "sources: {choir: {plugged_into: [west-box/in/2, east-box/in/2]}}\n"
        "channels: {2: {phantom: on}, 4: {carries: choir, patched_from: desk/link-1/2, phantom: on},"
        " 5: {carries: choir, patched_from: desk/link-1/18, phantom: on}}"
    )
    by = "west-box/in/2, from channel 2 and channel 4 and by east-box/in/2, from channel 5"
    assert f"has its phantom power by {by}" in told(week, "choir")


def test_an_output_without_a_selector_names_none_and_a_copied_one_what_it_is_the_same_as() -> None:
    week = (
        "feeds: {desk/out: {1: wedge-mix}}\n"
        "destinations: {radio: {kind: recorder, plugged_into: desk/out/1, expects: wedge-mix}}"
    )
    assert "desk/out/1" in told(week, "radio")
    assert "west-box/out/1 carries slot desk/link-1/1 (selector: 1-8)" in told("", "wedge")
    assert not [
        text for text in told("devices: {west-box: {output_bank: null}}", "west-box/out/1") if "selector:" in text
    ]


def test_two_consoles_that_are_joined_by_two_chains_make_no_ring() -> None:
    """A console is no way through: nothing comes back over it to where it came from."""
    week = (
        "devices: {side: {model: console-32}, loft: {model: stage-box-8x8, output_bank: 1-8}}\n"
        "consoles: {side: {channels: {}}}\n"
        "cables: {back: {from: east-box/downstream, to: side/link-1}, up: {from: desk/link-2, to: loft/upstream},"
        " over: {from: loft/downstream, to: side/link-2}}"
    )
    assert "ring" not in {fault.kind for fault in resolved(BASE, week).cabling.faults}


def test_what_has_its_phantom_power_through_another_console_is_silent_without_that_though_nothing_sends_it_on() -> None:
    week = (
        "devices: {side: {model: console-16, circuit: wing}}\n"
        "power: {circuits: {wing: {}}}\n"
        "splits: {wires: {kind: analogue, sources: [choir]}}\n"
        "sources: {choir: {plugged_into: [west-box/in/2, side/in/2]}}\n"
        "mixes: {house: {takes: {channels: [1, 3]}}}\n"
        "consoles: {side: {channels: {2: {carries: choir, patched_from: side/in/2, phantom: on}}}}"
    )
    assert "choir" in silent_without(resolved(BASE, week), "wing")


def test_what_is_fed_says_by_which_sockets() -> None:
    fed = {entry.source.name: entry.sockets for entry in resolved(BASE, ON).phantom.fed}
    assert fed["choir"] == (Socket("west-box", "in", 2),)
