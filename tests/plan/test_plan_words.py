"""What the texts of plans say: labels as they will be, each caution once, no finding hidden behind a count."""

from __future__ import annotations

from typing import Any

from amped import AMPED
from rigs import BUNDLED, resolved

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.plan.cures import Mending
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.rescue import Spared
from lint.plan.spares import Rescuer
from lint.plan.whatif import WhatIf, what_if
from lint.report.spares import spares_text
from lint.report.whatif import whatif_text
from lint.resolve.resolved import ResolvedRig
from lint.rig.model import Models

CATALOGUE = load_catalogue()


def spared(before: ResolvedRig, what: str, models: Models) -> str:
    gone = outage_of(before, what, models)
    mending = Mending(before, gone.after, intent_of(before), gone.dead, gone.dead, models)
    rescue = Rescuer(mending).rescue()
    return spares_text(Spared(gone, rescue, check_rig(rescue.cure.result, CATALOGUE)))


def planned(words: str, week: str = "") -> WhatIf:
    return what_if(resolved(AMPED, week), words.split(), BUNDLED, CATALOGUE)


def plain(text: str) -> str:
    return " ".join(text.split())


def test_a_label_says_that_phantom_is_on_where_another_of_its_switch_has_it(built: Any, models: Models) -> None:
    rig = {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-mini"}, "a": {"model": "grouped-4x2"}, "b": {"model": "mini-2x2"}},
        "cables": {
            "one": {"from": "desk/link-1", "to": "a/upstream", "length_m": 5},
            "two": {"from": "a/downstream", "to": "b/upstream", "length_m": 5},
        },
        "sources": {
            "choir": {"kind": "condenser-microphone", "plugged_into": "b/in/1", "priority": 1},
            "talker": {"kind": "dynamic-microphone", "plugged_into": "b/in/2"},
            **{f"own-{n}": {"kind": "dynamic-microphone", "plugged_into": at} for n, at in
               enumerate(("a/in/1", "a/in/2", "desk/in/1", "desk/in/2"))},
        },
        "channels": {
            "1": {"carries": "choir", "patched_from": "desk/link-1/5", "phantom": "on"},
            "2": {"carries": "talker", "patched_from": "desk/link-1/6", "phantom": "off"},
        },
    }  # fmt: skip
    labels = spared(built(rig), "b", models).split("New labels\n")[1].splitlines()
    assert [row.split() for row in labels[1:3]] == [
        ["a/in/3", "choir", "1", "on", "5", "m"],
        ["a/in/4", "talker", "2", "on", "5", "m"],
    ]


def test_that_a_cable_must_reach_is_said_once_and_not_at_every_plug() -> None:
    text = plain(spared(resolved(AMPED), "right", Models(None)))
    assert text.count("a cable that reaches") == 1
    assert text.count("about 10 m off") > 2
    assert "a cable that reaches" not in plain(whatif_text(planned("bank right 1-8")))  # no plug goes to another box


def test_no_findings_hide_behind_what_a_cure_leaves_wrong() -> None:
    plan = planned("remove left")
    told = whatif_text(plan)
    shown = {way: plan.cured(way) for way, cure in plan.cures.items() if cure.unmet and cure.changes}
    assert shown
    for checked in shown.values():
        for finding in checked.findings:
            if finding.waived is None and finding.weight.value == "no-go":
                assert plain(told).count(plain(finding.message)) >= 1 + (finding in plan.checked.findings)


def test_a_source_that_is_wholly_silent_is_among_what_is_heard_no_longer() -> None:
    plan = planned("lose right")
    assert "horn" in plan.effect.silent
    heard = whatif_text(plan).split("What is heard where\n")[1].splitlines()
    assert heard[0] == "  main-left, main-right: no longer: horn, sax, choir-l, choir-r"


def test_one_channel_is_it_and_several_are_them() -> None:
    one = plain(whatif_text(planned("order right left")))
    assert "at channel 4, where another source arrives then. Mute it and switch the phantom power off" in one
    week = "channels: {6: {phantom: on}}\nsources: {bell: {kind: dynamic-microphone, plugged_into: right/in/8}}"
    several = plain(whatif_text(planned("order right left", week)))
    assert "at channels 4, 6, where another source arrives then. Mute them and switch" in several
