"""A console that listens at the end of another's chain: it does still, wherever that ends once boxes are lost or moved."""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import resolved
from test_hot_plugs import CATALOGUE

from lint.check.engine import check_rig
from lint.check.finding import Verdict
from lint.plan.cures import FEWEST, Mending
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.quiet import DOWN, UP
from lint.plan.rebuild import as_living, rebuilt
from lint.plan.spares import Rescuer
from lint.plan.whatif import WhatIf, what_if
from lint.read.load import house_folder
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.address import Port
from lint.rig.build import load_rig
from lint.rig.model import Models

BAND = Path(__file__).parents[1] / "clean" / "link-split" / "rigs" / "string-band.yaml"
MODELS = Models(house_folder(BAND))
FAR = (
    "rig_format: 1\nevent: {name: play}\n"
    "devices:\n"
    "  desk: {model: console-48, along_stage_m: 5}\n"
    "  ears: {model: console-32, along_stage_m: 14}\n"
    "  near: {model: stage-box-16x8, output_bank: 1-8, along_stage_m: 1}\n"
    "  wide: {model: stage-box-16x8, output_bank: 9-16, along_stage_m: 12}\n"
    "cables:\n"
    "  trunk: {from: desk/link-1, to: near/upstream, length_m: 45}\n"
    "  crossing: {from: near/downstream, to: wide/upstream, length_m: 20}\n"
    "  far: {from: wide/downstream, to: ears/link-1, length_m: 8}\n"
    "splits: {air: {kind: link, from: desk/link-1, to: ears/link-1}}\n"
    "sources:\n"
    "  lead: {kind: dynamic-microphone, plugged_into: near/in/1, priority: 1}\n"
    "  speech: {kind: dynamic-microphone, plugged_into: wide/in/5, priority: 1}\n"
    "channels:\n"
    "  1: {carries: lead, patched_from: desk/link-1/1}\n"
    "  2: {carries: speech, patched_from: desk/link-1/21}\n"
    "consoles:\n"
    "  ears:\n"
    "    channels:\n"
    "      1: {carries: lead, patched_from: ears/link-1/1}\n"
    "      2: {carries: speech, patched_from: ears/link-1/21}\n"
)
LOOSE = "cables: {idle: {kind: cat6, length_m: 16}}"


def planned(words: str, week: str = LOOSE) -> WhatIf:
    return what_if(resolved(FAR, week), words.split(), Models(None), CATALOGUE)


def faults(rig: ResolvedRig) -> set[str]:
    return {row.rule for row in check_rig(rig, CATALOGUE).findings if row.weight.value == "no-go"}


def heard_on(rig: ResolvedRig, console: str) -> set[str]:
    return {name for key, row in rig.arrivals.items() if key[0] == console for name in row.sources}


def test_a_cable_that_hangs_in_a_box_that_nothing_reaches_brings_nothing() -> None:
    cut = resolved(FAR, "cables: {crossing: null}")
    assert heard_on(resolved(FAR), "ears") == {"lead", "speech"}
    assert heard_on(cut, "ears") == set()
    assert "chain-box-unreached" in faults(cut)


@pytest.mark.parametrize("words", ["order wide near", "remove wide", "add extra stage-box-8x8 behind wide bank 17-24"])
def test_it_listens_at_the_new_end_by_what_is_long_enough(words: str) -> None:
    plan = planned(words)
    end = plan.after.chains[next(link for link in plan.after.chains if link.device == "desk")].boxes[-1].device
    into = {
        cable.name
        for cable in plan.after.rig.cables.values()
        if {str(at) for at in cable.ends} == {f"{end}/downstream", "ears/link-1"}
    }
    assert len(into) == 1
    assert into == ({"far"} if end == "extra" else {"idle"})
    assert not {row.cable.name for row in plan.lacks} & into
    cured = plan.cures[FEWEST].result if plan.cures else plan.after
    assert "lead" in heard_on(cured, "ears")
    assert not faults(cured) & {
        "chain-port-shared",
        "patch-carries-nothing",
        "patch-carries-other",
    } or words.startswith("remove")
    told = [step for step in plan.made if "ears/link-1" in step]
    assert len(told) == 1, plan.made


def test_where_nothing_reaches_it_says_what_is_to_be_fetched() -> None:
    plan = planned("order wide near", "")
    assert ("far", 13) in [(row.cable.name, row.need_m) for row in plan.lacks]


def test_a_dead_cable_of_it_has_another_in_its_place() -> None:
    before = resolved(FAR, LOOSE)
    outage = outage_of(before, "far", Models(None))
    assert outage.fetched == ("fetch the link cable idle, which lies loose",)
    assert heard_on(outage.after, "ears") == {"lead", "speech"}
    assert check_rig(outage.after, CATALOGUE).verdict is not Verdict.NO_GO
    # It comes on with whatever it brings: the house is down, and who listens by it muted.
    rescue = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, Models(None))).rescue()
    first, last = rescue.cure.quiet.first, rescue.cure.quiet.last
    assert first == (f"{DOWN}, and mute channels 1–2 on ears",)
    assert last == (f"with the faders down unmute channels 1–2 on ears, one by one; then {UP}",)


def test_where_the_chain_goes_to_another_port_it_is_listened_to_there() -> None:
    outage = outage_of(resolved(FAR), "desk/link-1", Models(None))
    assert outage.after.cabling.listens_to == {Port("ears", "link-1"): Port("desk", "link-2")}
    assert heard_on(outage.after, "ears") == {"lead", "speech"}
    moved = planned("move near desk/link-2 and move wide desk/link-2", "").after
    assert moved.cabling.listens_to == {Port("ears", "link-1"): Port("desk", "link-2")}


def test_what_one_chain_is_done_with_serves_another() -> None:
    """Both first boxes hang on one circuit: the cable between the two of the one reaches the second of the other."""
    week = (
        "devices:\n  ears: null\n  mon: {model: console-32, along_stage_m: 0}\n  drum: {model: stage-box-8x8, output_bank: 1-8, "
        "along_stage_m: 5, circuit: left}\n  pit: {model: stage-box-8x8, output_bank: 9-16, along_stage_m: 8}\n"
        "  near: {circuit: left}\npower: {circuits: {left: {}}}\ncables:\n"
        "  riser: {from: mon/link-1, to: drum/upstream, length_m: 15}\n"
        "  line: {from: drum/downstream, to: pit/upstream, length_m: 12}\n  far: null\n"
        "splits: null\nsources: {bell: {kind: player, plugged_into: pit/in/1}}\n"
        "consoles: {ears: null, mon: {channels: {1: {carries: bell, patched_from: mon/link-1/9}}}}\n"
    )
    before = resolved(FAR, week)
    outage = outage_of(before, "left", Models(None))
    assert outage.after.boxes["pit"].cable.name == "crossing"
    assert not outage.lacks


def test_who_is_saved_is_heard_on_every_console_that_is_to_hear_it() -> None:
    """A socket of the console that listens is nearer: the house would not hear it there."""
    before = resolved(FAR, LOOSE)
    outage = outage_of(before, "wide", Models(None))
    rescue = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, Models(None))).rescue()
    (end,) = rescue.places.values()
    assert end.device == "near"
    result = rescue.cure.result
    assert "speech" in heard_on(result, "desk") & heard_on(result, "ears")
    # Where no socket is heard on both the house comes first.
    houses = "mixes: {house: {kind: house, takes: {channels: [1-2]}}}"
    for week in (f"{LOOSE}\n{houses}", f"{houses}\ncables: {{far: null, idle: {{kind: cat6, length_m: 2}}}}"):
        before = resolved(FAR, week)
        outage = outage_of(before, "trunk", Models(None))
        mending = Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, Models(None))
        assert {end.device for end in Rescuer(mending).rescue().places.values()} == {"desk"}
    # Where the house has no socket left it is better heard there than nowhere.
    full = "sources:\n" + "".join(f"  s{n}: {{kind: player, plugged_into: near/in/{n}}}\n" for n in range(2, 17))
    full += "".join(f"  d{n}: {{kind: player, plugged_into: desk/in/{n}}}\n" for n in range(1, 49))
    before = resolved(FAR, f"{LOOSE}\n{full}")
    outage = outage_of(before, "wide", Models(None))
    rescue = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, Models(None))).rescue()
    assert {end.device for end in rescue.places.values()} == {"ears"}


def test_in_the_house_of_the_string_band_too() -> None:
    whole = resolve_rig(load_rig(BAND))
    for words in ("order rear-box left-box", "remove rear-box"):
        plan = what_if(whole, words.split(), MODELS, CATALOGUE)
        for way, cure in plan.cures.items():
            assert "chain-port-shared" not in faults(cure.result), (words, way)
        assert plan.after.cabling.listens_to, words
    for name in (*whole.boxes, *whole.rig.cables):
        outage = outage_of(whole, name, MODELS)
        living = as_living(whole, MODELS)
        rescue = Rescuer(Mending(living, outage.after, intent_of(living), outage.dead, outage.dead, MODELS)).rescue()
        written = rebuilt(whole, rescue.cure.patch, MODELS)
        assert "chain-port-shared" not in faults(written), name
