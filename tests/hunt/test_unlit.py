"""Before patch or link cables change, phantom power is off where it may have come to what must not have it."""

from __future__ import annotations

from rigs import BASE, resolved
from test_every_cause import begun

from lint.hunt.causes import DEAD, ELSEWHERE, WRONG
from lint.hunt.hunt import Question
from lint.hunt.target import leak_of, target_of
from lint.hunt.terminal import care_of
from lint.resolve.resolved import ResolvedRig

HELD = """
sources:
  reed:   {kind: ribbon-microphone, plugged_into: west-box/in/5}
  radio:  {kind: wireless-receiver, plugged_into: desk/in/1}
channels:
  2: {phantom: on}
  3: {phantom: on}
  4: {carries: radio, patched_from: desk/in/1}
  5: {carries: reed, patched_from: desk/link-1/5, phantom: off}
mixes: {house: {takes: {channels: [1-5]}}}
"""


def cure(rig: ResolvedRig, what: str, symptom: str, cause: str) -> str:
    suspects = begun(rig, target_of(rig, what), symptom).suspects
    (row,) = [row for row in suspects if row.cause.name == cause]
    return row.filled(row.cause.cure)


def test_a_channel_with_phantom_power_on_is_not_patched_before_it_is_off() -> None:
    rig = resolved(BASE, HELD)
    for symptom in (WRONG, DEAD):
        text = cure(rig, "choir", symptom, "patch-wrong")
        steps = [
            "mute channel 2 and all that hear what it is patched from now or share its switch",
            "phantom power off on channel 2 on desk, wait ten seconds: it may stand on what must not have it, such as "
            "reed, a ribbon microphone; ",
            "patch channel 2 from desk/link-1/2",
            "phantom power on there again, wait ten seconds",
        ]
        assert [text.index(step) for step in steps] == sorted(text.index(step) for step in steps)


def test_a_channel_without_phantom_power_is_patched_as_ever() -> None:
    text = cure(resolved(BASE, HELD), "vocal", WRONG, "patch-wrong")
    assert text == "mute channel 1, turn down, patch channel 1 from desk/link-1/1, then bring it up again slowly"


def test_the_phantom_power_of_a_chain_is_off_while_its_boxes_change_places() -> None:
    rig = resolved(BASE, HELD)
    text = cure(rig, "vocal", WRONG, "chain-order")  # it has none itself: what comes by the same cables does
    steps = [
        "mute channels 1–3, 5 on desk",  # whatever the cables carry, and not the radio
        "phantom power off on channels 2–3 on desk, wait ten seconds",
        "such as reed, a ribbon microphone",
        "cable them so (to leave them, phantom power off first too: `rigwalk whatif RIG order ...` says what it takes)",
        "phantom power on there again, wait ten seconds",
    ]
    assert [text.index(step) for step in steps] == sorted(text.index(step) for step in steps)


def test_a_chain_without_phantom_power_is_cabled_as_ever() -> None:
    text = cure(resolved(BASE), "vocal", WRONG, "chain-order")
    assert "phantom" not in text
    assert "(to leave them: `rigwalk whatif RIG order ...` says what it takes)" in text
    assert "mute channels 1–3 on desk; cable them so" in text


def test_in_another_order_any_channel_of_the_link_may_carry_anything() -> None:
    """Also one that nothing arrives on by the file: in the order that is there it is another box's."""
    rig = resolved(
        BASE, HELD.replace("  5: {carries: reed", "  6: {patched_from: desk/link-1/30}\n  5: {carries: reed")
    )
    assert "mute channels 1–3, 5–6 on desk" in cure(rig, "vocal", WRONG, "chain-order")


def leak_cure(rig: ResolvedRig, what: str, at: str, cause: str) -> tuple[str, str]:
    """Return a cure of what is heard where it should not be, and its caution."""
    suspects = begun(rig, leak_of(rig, what, at), ELSEWHERE).suspects
    (row,) = [row for row in suspects if row.cause.name == cause]
    care = care_of(Question("cured", "", "", handles=True, suspect=row, part=row.part))
    return row.filled(row.cause.cure), care


def test_a_wrong_plug_is_not_moved_before_phantom_power_is_off_at_both_sockets() -> None:
    rig = resolved(BASE, HELD.replace("mixes: {", "mixes: {wedge-mix: {takes: {channels: [2]}}, "))
    text, care = leak_cure(rig, "reed", "wedge", "plug-elsewhere")
    steps = [
        "mute channels 2, 5 on desk",
        "phantom power off at both sockets by channel 2 on desk (reed, a ribbon microphone, must not have it), wait ten",
        "take out what else is in west-box/in/5, plug reed in there",
        "phantom power on only where it was, wait ten seconds",
    ]
    assert [text.index(step) for step in steps] == sorted(text.index(step) for step in steps)
    assert care.startswith(
        "Before a plug moves, besides what is muted and off by the words below: monitors and house down"
    )


def test_so_it_is_at_the_inputs_of_a_console_that_has_no_channel_for_it() -> None:
    rig = resolved(
        BASE,
        "devices: {mon: {model: console-16}}\n"
        "splits: {wires: {kind: analogue, sources: [choir]}}\n"
        "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
        "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}, "
        "mixes: {ears-mix: {kind: monitor, takes: {channels: [2]}}}}}\n"
        "feeds: {mon/out: {1: ears-mix}}\n"
        "destinations: {ears: {kind: ear-transmitter, plugged_into: mon/out/1, expects: ears-mix}}\n",
    )
    for what in ("vocal", "house"):
        text, care = leak_cure(rig, what, "ears", "input-other")
        assert "mute " in text
        where = "all of them" if what == "vocal" else "both sockets"
        assert f"phantom power off at {where} by channel 2 on mon, wait ten seconds" in text
        assert "2 on desk and channel 2 on mon" in text
        assert "besides what is muted" in care


def test_what_must_not_have_it_does_not_get_it_back() -> None:
    rig = resolved(BASE, HELD.replace("phantom: off", "phantom: on"))  # the ribbon's, by mistake
    assert cure(rig, "reed", WRONG, "patch-wrong").endswith(
        "patch channel 5 from desk/link-1/5, phantom power left off, then bring it up again slowly"
    )
    order = cure(rig, "vocal", WRONG, "chain-order")
    assert "phantom power off on channels 2–3, 5 on desk" in order
    assert "phantom power on again on channels 2–3 on desk alone, wait ten seconds" in order


def test_where_a_ribbon_comes_back_to_its_channel_nobody_has_phantom_power_on_there() -> None:
    """Whose channel took its slot meanwhile may have it on; its own may have it for what that got."""
    text = cure(resolved(BASE, HELD), "reed", WRONG, "patch-wrong")
    off = (
        "see that the phantom power of west-box/in/5 is off by whoever takes it, channel 5 too, and wait ten seconds: "
        "reed, a ribbon microphone, must not have it; patch channel 5 from desk/link-1/5"
    )
    assert off in text
    assert "all that hear what it is patched from now or share its switch" in text


def test_no_switch_of_a_dead_console_is_to_be_turned() -> None:
    rig = resolved(
        BASE,
        "dead: {mon: no picture}\n"
        "devices: {mon: {model: console-16}}\n"
        "splits: {wires: {kind: analogue, sources: [choir]}}\n"
        "sources: {choir: {kind: condenser-microphone, plugged_into: [west-box/in/2, mon/in/2]}}\n"
        "channels: {2: {phantom: off}}\n"
        "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}\n",
    )
    text = cure(rig, "choir", DEAD, "phantom-off")
    assert "switch the phantom power of channel 2 on desk on" in text
