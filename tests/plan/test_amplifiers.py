"""Amplifiers are destinations to a plan: what they are given is told, mended and moved like a loudspeaker's."""

from __future__ import annotations

import pytest
from amped import AMPED
from rigs import resolved

from lint.check.catalogue import load_catalogue
from lint.check.finding import Verdict
from lint.plan.cures import CONSOLE, FEWEST, PLUGS, Mending
from lint.plan.ends import HOUSE, MONITOR, ends_of
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.rescue import Rescue
from lint.plan.spares import Rescuer
from lint.plan.whatif import WhatIf, what_if
from lint.report.whatif import handling_words
from lint.rig.address import Signal
from lint.rig.model import Models

CATALOGUE = load_catalogue()


def planned(words: str, week: str = "") -> WhatIf:
    return what_if(resolved(AMPED, week), words.split(), Models(None), CATALOGUE)


def rescued(what: str, week: str = "") -> Rescue:
    before = resolved(AMPED, week)
    outage = outage_of(before, what, Models(None))
    mending = Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, Models(None))
    return Rescuer(mending).rescue()


def test_an_amplifier_is_an_end_unless_its_loudspeaker_stands_for_it() -> None:
    assert {name: end.hears for name, end in ends_of(resolved(AMPED)).items() if name.endswith("amp")} == {
        "horn-amp": MONITOR,
        "porch-amp": HOUSE,
    }
    named = "destinations: {porch: {kind: zone-loudspeaker, plugged_into: right/out/2, expects: house.mono}}\n"
    assert "porch-amp" not in ends_of(resolved(AMPED, named))


def test_a_turned_selector_is_told_of_the_amplifiers_the_house_first() -> None:
    effect = planned("bank right 1-8").effect
    assert [(row.end.name, str(row.now), row.danger) for row in effect.astray] == [
        ("porch-amp", "drum-mon", 0),
        ("horn-amp", "vox-mon", 2),
    ]
    lost = {row.end.name: row.lost for row in effect.hearing}
    assert lost["horn-amp"] == ("horn", "sax")
    assert "vox" in lost["porch-amp"]


def test_a_cure_of_a_turned_selector_puts_the_amplifiers_right() -> None:
    plan = planned("bank right 1-8")
    assert plan.wrong_channels == 0
    assert set(map(str, plan.mending.unmet)) == {
        "horn-amp (right/out/1) gets vox-mon, not horn-mon",
        "porch-amp (right/out/2) gets drum-mon, not house.mono",
    }
    cure = plan.cures[FEWEST]
    assert cure.unmet == ()
    assert [f"{step.plug} {step.end}" for step in cure.handlings] == ["horn-amp right/out/3", "porch-amp right/out/4"]
    assert cure.result.rig.amplifiers["porch-amp"].sockets[0].number == 4
    assert not plan.cures[PLUGS].changes


@pytest.mark.parametrize("way", [CONSOLE, PLUGS, FEWEST])
def test_no_cure_sends_a_monitor_mix_into_the_house(way: str) -> None:
    # Two wedges and one amplifier on one slot: the two would win by number.
    week = "destinations: {aux-wedge: {kind: wedge, plugged_into: left/out/2, expects: drum-mon, shared_by: y-lead}}\n"
    cure = planned("bank left 9-16", week).cures[way]
    porch = cure.result.departure(cure.result.rig.amplifiers["porch-amp"].sockets[0])
    assert porch.signal == Signal("mix", "house", "mono")


def test_a_dead_box_has_its_amplifiers_moved_to_free_outputs() -> None:
    rescue = rescued("right")
    moved = {step.plug: str(step.end) for step in rescue.cure.handlings if step.plug.endswith("amp")}
    assert moved == {"horn-amp": "left/out/3", "porch-amp": "left/out/4"}
    assert rescue.cure.unmet == ()


def test_two_amplifiers_in_each_others_socket_are_exchanged_by_a_ring() -> None:
    week = "amplifiers: {horn-amp: {plugged_into: right/out/2}, porch-amp: {plugged_into: right/out/1}}\n"
    before = resolved(AMPED, week)
    mending = Mending(before, before, intent_of(before), models=Models(None))
    cure = mending.cure(PLUGS)
    assert cure.unmet == ()
    assert [step.plug for step in cure.handlings] == ["horn-amp", "porch-amp", "horn-amp"]
    assert mending.cure(CONSOLE).changes == 2


def test_the_check_agrees_with_the_cure() -> None:
    assert planned("bank right 1-8").cured(FEWEST).verdict is Verdict.GO


# -- a loudspeaker without mains of its own: the amplifier is what is plugged ------------------------------------------

DRIVEN = """
destinations: {porch-left: {kind: house-loudspeaker, plugged_into: right/out/7, expects: house.left}}
feeds: {desk/link-1: {15: house.left}}
amplifiers:
  big-amp:
    plugged_into: right/out/7
    expects: house.left
    circuit: back
    outputs: {a: {rated_w: 200, least_load_ohm: 4, loudspeakers: [{impedance_ohm: 8}]}}
"""


def test_a_rescue_moves_the_plug_of_the_amplifier_that_drives_a_loudspeaker() -> None:
    rescue = rescued("right", DRIVEN)
    (step,) = [words for words in map(handling_words, rescue.cure.handlings) if "porch-left" in words]
    end = rescue.cure.patch["amplifiers"]["big-amp"]["plugged_into"]
    care = "about 10 m off, the amplifier off or turned down first"
    assert step == f"big-amp (drives porch-left): its input from right/out/7 into {end}, {care}"
    assert "big-amp (drives porch-left)" in [row.name for row in rescue.outputs]


def test_a_cure_and_a_replaced_box_call_the_amplifier_by_its_plug() -> None:
    (handling,) = [h for h in planned("remove right", DRIVEN).cures[FEWEST].handlings if "porch-left" in h.plug]
    assert (handling.plug, handling.is_amplifier) == ("big-amp (drives porch-left)", True)
    again = planned("replace right stage-box-16x8", DRIVEN).made
    assert "big-amp (drives porch-left) out/7" in again[-3]
    assert "switch off or turn down what is fed from right or behind it: horn-amp, porch-amp, big-amp" in again
