"""What is dark by the rig file is no place to save anything into, and what hangs there is lost with the rest."""

from __future__ import annotations

import pytest
from test_both_ends import MODELS, planned, rig_of, spared
from test_hot_plugs import followed

from lint.plan.cures import FEWEST
from lint.plan.phantom import Switches
from lint.resolve.dark import dark_on_the_way, unlit
from lint.resolve.mixup import nested
from lint.resolve.phantom import BARRED, NEEDED
from lint.rig.address import Socket

DARK = nested(("power", "circuits", "cr", "dark"), True)  # box-b in the midst of its chain, and the monitor console


@pytest.mark.parametrize("what", ["box-a", "box-b", "box-c", "desk/in", "ab"])
def test_nothing_is_saved_into_what_is_dark_and_what_hangs_there_is_saved_too(what: str) -> None:
    saved, steps = spared(what, "base", DARK)
    result = saved.rescue.cure.result
    places = {socket for row in (saved.rescue.places, saved.rescue.besides) for socket in row.values()}
    assert not {at.device for at in places} & {"box-b", "mon"}
    assert "bass" in {plug.source for plug in saved.rescue.lost}  # it is plugged into box-b
    assert "by the file the circuit cr is dark: " in saved.outage.words
    for plug in saved.rescue.places:
        for arrival in result.arrivals.values():
            if plug.source in arrival.sources and arrival.channel.console == "desk":
                assert arrival.socket is not None
                assert not dark_on_the_way(result, arrival.socket.device), steps


def test_nor_by_a_cure() -> None:
    cure = planned("lose box-c", change=DARK).cures[FEWEST]
    ends = {step.end.device for step in cure.handlings if step.end is not None}
    assert cure.handlings
    assert not ends & {"box-b", "mon"}


def test_what_is_behind_a_dark_box_is_unlit_and_nothing_else() -> None:
    assert unlit(rig_of("base")) == frozenset()
    assert unlit(rig_of("base", DARK)) == {"box-b", "box-c", "mon"}


MON_DARK = nested(("power", "circuits"), {"cm": {"volts": 230, "breaker_a": 16, "dark": True}}) | {
    "devices": {"mon": {"circuit": "cm"}}
}


@pytest.mark.parametrize("what", ["mon", "dl", "box-d", "cm"])
def test_what_a_dark_console_powered_gets_it_from_another_end_once_its_box_is_off(what: str) -> None:
    """Only the desk hears the acoustic guitar then, whose phantom power came from the monitor console's box."""
    saved, steps = spared(what, "boxed", MON_DARK)
    result = saved.rescue.cure.result
    live = result.phantom.live_at(result.rig.sources["acoustic"])
    assert [at.device for at in live] == ["box-a"]
    (off,) = [at for at, step in enumerate(steps) if "no console reaches box-d now" in step]
    (on,) = [at for at, step in enumerate(steps) if "acoustic gets it from nowhere else now" in step]
    assert off < on
    assert any(step.startswith("once mon is back, first switch phantom power off") for step in steps)


def test_a_cure_counts_what_is_silent_by_a_dark_console_as_by_a_dead_one() -> None:
    words = "bank box-b 1-8"
    dark = planned(words, "boxed", MON_DARK).cures[FEWEST]
    dead = planned(words, "boxed", {"dead": {"mon": "no picture"}}).cures[FEWEST]
    assert dark.changes == dead.changes
    assert len(dark.unmet) == len(dead.unmet)
    assert "acoustic" not in dark.result.phantom.unpowered


@pytest.mark.parametrize("words", ["lose box-c", "bank box-b 1-8", "move box-d desk/link-2"])
def test_no_plug_is_handled_hot_where_a_console_is_dark(words: str) -> None:
    assert [*followed(planned(words, "boxed", MON_DARK), MODELS)] == []


def test_nobody_who_needs_phantom_power_goes_where_a_ribbon_keeps_the_switch_off() -> None:
    """Beside the ribbon stands what has lost its phantom power: the switch can't come on for it, nor for others."""
    off = {"9": {"phantom": "off"}, "10": {"phantom": "off"}}
    rig = rig_of("base", {"sources": {"choir-right": {"kind": "ribbon-microphone"}}, "channels": off})
    staying = {Socket("box-b", "in", 1): "choir-left", Socket("box-b", "in", 2): "choir-right"}
    free = Socket("box-b", "in", 3)
    switches = Switches(rig, staying, [free, *staying])
    assert switches.state[switches.of[free]] == BARRED
    assert switches.cost(free, NEEDED, switches.state) is None
    assert switches.cost(free, BARRED, switches.state) is not None


def test_what_is_silent_by_the_file_does_not_go_silent_by_a_change() -> None:
    """Only the dark monitor console sent the wedge and the ears, and gave the acoustic guitar its phantom power."""
    effect = planned("lose box-c", "boxed", MON_DARK).effect
    assert effect.silent == ("organ-left", "organ-right", "radio")
    assert {row.end.name for row in effect.outputs}.isdisjoint({"lead-wedge", "ears"})
    rows = {row.name: row for row in planned("order box-b box-a box-c", "boxed", MON_DARK).effect.sources}
    assert {channel.console for channel in rows["lead-vocal"].was_on} == {"desk"}


VIOLIN = {
    "sources": {"violin": {"kind": "dynamic-microphone", "plugged_into": "box-d/in/6"}},
    "consoles": {"mon": {"channels": {"5": {"carries": "violin", "patched_from": "mon/link-1/6"}}}},
}


def test_a_source_that_only_a_dead_console_had_a_channel_for_counts_as_left_wrong() -> None:
    plan = planned("lose mon and move box-d desk/link-2", "boxed", VIOLIN)
    assert plan.effect.silent == ("acoustic", "violin")
    for cure in plan.cures.values():
        (left,) = [row for row in cure.unmet if row.silent == "violin"]
        assert str(left) == "violin is heard nowhere: only mon has a channel for it"
        (told,) = [row for row in plan.cured(cure.way).findings if row.rule == "dead-in-use"]
        assert "Silent: violin (channel 5)." in told.message


def test_nor_does_one_count_that_a_living_console_hears_too() -> None:
    plan = planned(
        "lose mon", "boxed", VIOLIN | {"channels": {"18": {"carries": "violin", "patched_from": "desk/in/2"}}}
    )
    assert "violin" not in {row.silent for row in plan.mending.unmet if row.cause.startswith("only")}


@pytest.mark.parametrize(
    "words", ["lose box-a", "lose cl", "order box-c box-b box-a", "move box-d desk/link-2", "lose ab"]
)
def test_a_change_does_as_much_beside_a_dark_console_as_beside_a_dead_one(words: str) -> None:
    dark, dead = (planned(words, "boxed", change).effect for change in (MON_DARK, {"dead": {"mon": "no picture"}}))
    assert dark.silent == dead.silent
    assert dark.house_lost == dead.house_lost
    assert [(row.name, row.now_at) for row in dark.sources] == [(row.name, row.now_at) for row in dead.sources]
    assert [(row.end.name, row.was, row.now) for row in dark.outputs] == [
        (row.end.name, row.was, row.now) for row in dead.outputs
    ]
