"""Who falls silent without a thing, where the file has other things dead or dark already."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved

from lint.resolve.ways import silent_without

SPLIT = (
    "devices: {mon: {model: console-16, circuit: side}}\n"
    "splits: {stage: {kind: analogue, sources: [vocal]}}\n"
    "sources: {vocal: {plugged_into: [west-box/in/1, mon/in/1]}}\n"
    "consoles: {mon: {channels: {1: {carries: vocal, patched_from: mon/in/1}},"
    " mixes: {stage-mix: {kind: monitor, takes: {channels: [1]}}}}}\n"
    "feeds: {mon/out: {1: stage-mix}}\n"
    "destinations: {drums: {kind: wedge, plugged_into: mon/out/1, expects: stage-mix}}\n"
)
LIT = "power: {circuits: {side: {}}}\n"


@pytest.mark.parametrize(
    ("already", "is_lost"),
    [
        (LIT, False),  # the other console hears it by its own leg
        ("power: {circuits: {side: {dark: true}}}\n", True),
        (LIT + "dead: {mon/in/1: no level}\n", True),
        (LIT + "dead: {mon: no lamp}\n", True),
        (LIT + "dead: {mon/in/2: no level}\n", False),
    ],
)
def test_a_leg_that_is_dead_or_dark_by_the_file_keeps_nobody_heard(already: str, is_lost: bool) -> None:
    assert ("vocal" in silent_without(resolved(BASE, SPLIT + already), "trunk")) is is_lost


def test_what_is_dark_already_is_not_lost_with_something_else() -> None:
    dark = "devices: {east-box: {circuit: side}}\npower: {circuits: {side: {dark: true}}}"
    rig = resolved(BASE, "channels: {2: {phantom: on}, 3: {phantom: on}}\n" + dark)
    assert silent_without(rig, "trunk") == ["vocal", "choir", "wedge"]
    assert silent_without(rig, "side") == ["choir", "piano", "left", "right"]  # the choir is heard there alone


def test_an_amplifier_that_drives_nothing_by_name_is_told_and_one_that_does_is_told_by_that() -> None:
    alone = "amplifiers: {foyer: {plugged_into: east-box/out/6, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}\nfeeds: {desk/link-1: {14: house.mono}}"
    assert "foyer" in silent_without(resolved(BASE, alone), "crossing")
    drives = "amplifiers: {amp: {plugged_into: east-box/out/7, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}"
    found = silent_without(resolved(BASE, drives), "crossing")
    assert "left" in found
    assert "amp" not in found
