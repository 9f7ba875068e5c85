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
