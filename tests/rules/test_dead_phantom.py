"""A dead socket may still give phantom power, and so may a box that hangs on a dead console: that is told."""

from __future__ import annotations

from example_rigs import Example

TWO, WHILE = "phantom-two-feeds", "phantom-while-patching"
SPLIT = (
    "devices: {mon: {model: console-16}}\n"
    "splits: {choir-split: {kind: analogue, sources: [choir]}}\n"
    "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
    "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}\n"
)


def said(example: Example, rig: str, rule: str = WHILE) -> str:
    (finding,) = example.findings(rig, rule)
    return finding.message


def test_a_dead_leg_and_a_living_one_feed_the_same_source(example: Example) -> None:
    rig = SPLIT + "dead: {mon/in/2: hums}"
    assert said(example, rig, TWO) == (
        "choir gets phantom power from both ends of its split: west-box/in/2 (channel 2 (Choir) on desk) and mon/in/2 "
        "(channel 2 on mon); mon/in/2, dead as it is, may still give it."
    )
    (finding,) = example.findings(rig, TWO)
    assert [cure.text for cure in finding.cures] == [
        "mute channel 2 on mon, then switch phantom power off there",
        "muted, with phantom power off there, take the plug of choir out of mon/in/2, which is dead; then on again for what "
        "else has it there",
    ]
    assert finding.cures[0].change is not None
    assert example.findings(example.changed(example.document(rig), finding.cures[0].change), TWO) == []


def test_dead_sockets_are_counted_apart(example: Example) -> None:
    assert said(example, "dead: {west-box/in/2: crackles}").startswith(
        "phantom power is on at 1 socket: east-box/in/1; it may still be on at west-box/in/2 (dead). Mute the channel "
    )
    assert said(example, "sources: {piano: null}\nchannels: {3: null}\ndead: {west-box/in/2: crackles}").startswith(
        "phantom power may still be on at west-box/in/2 (dead). "
    )


def test_what_shares_a_switch_with_a_dead_socket_is_counted_with_it(grouped: Example) -> None:
    rig = "devices: {west-box: {model: group-box}}\ndead: {west-box/in/2: crackles}"
    where = "west-box/in/1, 3–4 (on the switch of a dead socket) and west-box/in/2 (dead)"
    assert f"may still be on at {where}" in said(grouped, rig)


def test_a_box_behind_a_dead_console_may_have_it_on_and_no_channel_switches_it(example: Example) -> None:
    message = said(example, "dead: {desk: no picture}")
    assert "may still be on at west-box/in/2; east-box/in/1 (behind a dead console)" in message
    assert message.endswith(
        "No channel switches it off on west-box and east-box now: let no plug move there while they have mains."
    )


def test_nothing_is_said_of_a_dead_socket_whose_channel_has_it_off(example: Example) -> None:
    assert "may" not in said(example, "dead: {west-box/in/1: crackles}")


def test_no_feed_is_switched_off_that_something_else_lives_by(grouped: Example) -> None:
    rig = (
        "devices: {mon: {model: console-16}, west-box: {model: group-box}}\n"
        "splits: {choir-split: {kind: analogue, sources: [choir]}}\n"
        "sources:\n"
        "  choir: {plugged_into: [west-box/in/2, mon/in/2]}\n"
        "  tenor: {kind: condenser-microphone, plugged_into: west-box/in/3}\n"
        "channels: {20: {carries: tenor, patched_from: desk/link-1/3, phantom: on}}\n"
        "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}\n"
    )
    (finding,) = grouped.findings(rig, TWO)
    assert [cure.text for cure in finding.cures] == ["mute channel 2 on mon, then switch phantom power off there"]
    (finding,) = grouped.findings(rig + "dead: {west-box/in/2: crackles}", TWO)
    assert [cure.text for cure in finding.cures] == [
        "muted, with phantom power off there, take the plug of choir out of west-box/in/2, which is dead; then on again for "
        "what else has it there"
    ]


def test_a_box_behind_a_dark_console_may_have_it_on_too(example: Example) -> None:
    message = said(example, "devices: {desk: {circuit: front}}\npower: {circuits: {front: {dark: true}}}")
    assert "may still be on at west-box/in/2; east-box/in/1 (behind what has no mains)" in message
    assert message.endswith("let no plug move there while they have mains.")


def test_what_is_lost_at_both_ends_of_its_split_by_different_causes_is_silent(example: Example) -> None:
    rig = SPLIT + "dead: {mon: no picture}\ncables: {trunk: null}"
    told = " ".join(
        finding.message for rule in ("dead-in-use", "chain-box-unreached") for finding in example.findings(rig, rule)
    )
    assert "Heard at one end" not in told
    assert "Silent at both ends of its split: choir." in told


def test_a_box_that_no_console_reaches_may_have_it_on_where_a_channel_waits_with_it_on(example: Example) -> None:
    cut = "cables: {trunk: null, crossing: {from: desk/link-1}}\n"
    message = said(example, cut)
    assert "it may still be on at west-box/in/2 (no console reaches it)" in message
    assert message.endswith("No channel switches it off on west-box now: let no plug move there while it has mains.")
    assert example.findings(cut + "channels: {2: {phantom: off}}", WHILE) == []


def test_what_has_no_mains_has_no_phantom_power_either(example: Example) -> None:
    dark = "devices: {west-box: {circuit: front}}\npower: {circuits: {front: {dark: true}}}\n"
    assert "may" not in said(example, dark + "cables: {trunk: null, crossing: {from: desk/link-1}}")


def test_of_a_split_only_the_end_that_waits_may_have_it(example: Example) -> None:
    """The monitor console hears the choir, with its phantom power; the desk's end is cut off, and had it off."""
    rig = SPLIT + "channels: {2: {phantom: off}}\ncables: {trunk: null, crossing: {from: desk/link-1}}"
    assert "may" not in said(example, rig)


def test_what_only_a_dead_console_had_a_channel_for_is_silent_though_its_box_is_reached(example: Example) -> None:
    rig = (
        "devices: {mon: {model: console-16}}\n"
        "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}\n"
        "cables: {to-mon: {from: east-box/downstream, to: mon/link-1}}\n"
        "sources: {tom: {kind: dynamic-microphone, plugged_into: east-box/in/5}}\n"
        "consoles: {mon: {channels: {2: {carries: tom, patched_from: mon/link-1/21}}}}\n"
    )
    assert "Silent: tom (channel 2)." in said(example, rig + "dead: {mon: no picture}", "dead-in-use")
    heard = rig + "dead: {mon: no picture}\nchannels: {9: {carries: tom, patched_from: desk/link-1/21}}"
    assert "Silent" not in said(example, heard, "dead-in-use")
    dark = rig.replace("console-16", "console-16, circuit: left") + "power: {circuits: {left: {dark: true}}}"
    assert "Silent: tom (channel 2)." in said(example, dark, "circuit-dark")


def test_a_dead_console_may_still_have_it_on_at_its_own_inputs(example: Example) -> None:
    message = said(example, SPLIT + "channels: {2: {phantom: off}, 3: {phantom: off}}\ndead: {mon: no picture}")
    assert "phantom power may still be on at mon/in/2 (on a dead console)" in message
    assert message.endswith("No channel switches it off on mon now: let no plug move there while it has mains.")
