"""Whose own is borrowed for a test: the least important that fits, and never what the place of another may harm."""

from __future__ import annotations

import pytest
from rigs import resolved

from lint.hunt import borrow
from lint.hunt.borrow import lender

RIG = """
rig_format: 1
clock: {sample_rate_hz: 48000, leader: desk}
devices:
  desk: {model: console-32}
  west-box: {model: stage-box-16x8}
cables: {trunk: {from: desk/link-1, to: west-box/upstream}}
sources:
  lead:   {kind: dynamic-microphone, plugged_into: west-box/in/1, priority: 1}
  guitar: {kind: dynamic-microphone, plugged_into: west-box/in/2, priority: 3}
  kick:   {kind: dynamic-microphone, plugged_into: west-box/in/7, priority: 6}
  snare:  {kind: dynamic-microphone, plugged_into: west-box/in/8, priority: 6}
  reed:   {kind: ribbon-microphone, plugged_into: west-box/in/4, priority: 4}
  horn:   {kind: ribbon-microphone, plugged_into: west-box/in/5, priority: 4}
channels:
  1: {carries: lead, patched_from: desk/link-1/1, phantom: off}
  2: {carries: guitar, patched_from: desk/link-1/2, phantom: off}
  4: {carries: reed, patched_from: desk/link-1/4, phantom: off}
  5: {carries: horn, patched_from: desk/link-1/5, phantom: off}
  7: {carries: kick, patched_from: desk/link-1/7, phantom: off}
  8: {carries: snare, patched_from: desk/link-1/8, phantom: off}
mixes: {house: {kind: house, takes: {channels: [1, 2, 4, 5, 7, 8]}}}
"""


@pytest.mark.parametrize(
    ("what", "whose"), [("lead", "kick"), ("guitar", "kick"), ("snare", "kick"), ("kick", "snare")]
)
def test_the_least_important_lends_and_among_equals_the_nearest(what: str, whose: str) -> None:
    rig = resolved(RIG)
    assert getattr(lender(rig, rig.rig.sources[what]), "name", None) == whose
    assert getattr(borrow.tester(rig, rig.rig.sources[what]), "name", None) == whose


def test_what_the_day_hangs_on_is_not_lent_to_try_something_lesser() -> None:
    rig = resolved(
        RIG,
        "sources: {guitar: null, kick: null}\nchannels: {2: null, 7: null}\nmixes: {house: {takes: {channels: [1, 4, 5, 8]}}}",
    )
    assert lender(rig, rig.rig.sources["snare"]) is None
    assert getattr(lender(rig, rig.rig.sources["lead"]), "name", None) == "snare"
    alike = resolved(
        RIG, "sources: {lead: {priority: 5}, guitar: {priority: 5}, kick: {priority: 5}, snare: {priority: 5}}"
    )
    assert getattr(lender(alike, alike.rig.sources["snare"]), "name", None) == "kick"


def test_a_ribbon_is_lent_only_where_there_is_no_phantom_power() -> None:
    rig = resolved(RIG)
    assert getattr(lender(rig, rig.rig.sources["reed"]), "name", None) == "horn"
    assert getattr(borrow.tester(rig, rig.rig.sources["reed"]), "name", None) == "kick"
    lit = resolved(RIG, "channels: {4: {phantom: on}}")
    assert lender(lit, lit.rig.sources["reed"]) is None
