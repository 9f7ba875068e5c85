"""Why nothing arrives by a way between two things, at each point where that may be."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved

from lint.resolve.ways import ways_between

ON = "channels: {2: {phantom: on}, 3: {phantom: on}}\n"
DARK = "power: {circuits: {stage: {dark: true}, back: {}}}\n"
AMPLIFIER = (
    "amplifiers: {amp: {plugged_into: east-box/out/7, circuit: stage,"
    " outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}\n"
)
NO_MAINS = "{} has no mains: its circuit stage is dark, so nothing gets through"
NO_SUPPLY = "{} needs phantom power and gets none: silent"


def why(week: str, first: str, second: str) -> list[str]:
    """Return what stops the one way between two things."""
    (stops,) = ways_between(resolved(BASE, week), first, second).stops
    return list(stops)


@pytest.mark.parametrize(
    ("week", "first", "second", "reasons"),
    [
        (ON, "choir", "left", []),
        ("dead: {west-box/in: no level}", "vocal", "wedge", ["west-box/in/1–16 are dead (no level), so nothing gets through"]),
        ("dead: {west-box/in/2: no level}", "vocal", "wedge", []),
        ("dead: {desk: no lamp}", "vocal", "wedge", ["desk is dead (no lamp), so nothing gets through"]),
        ("dead: {desk: no lamp}", "1", "wedge-mix", ["desk is dead (no lamp), so nothing gets through"]),
        ("dead: {desk: no lamp}", "house", "left", ["desk is dead (no lamp), so nothing gets through"]),
        (
            "dead: {west-box/in/1: no level, desk: no lamp}",
            "vocal",
            "wedge",
            ["west-box/in/1 is dead (no level), so nothing gets through", "desk is dead (no lamp), so nothing gets through"],
        ),
        (f"devices: {{desk: {{circuit: stage}}}}\n{DARK}", "vocal", "house", [NO_MAINS.format("desk")]),
        (f"devices: {{desk: {{circuit: stage}}}}\n{DARK}", "house", "left", [NO_MAINS.format("desk")]),
        (f"devices: {{west-box: {{circuit: stage}}}}\n{DARK}", "vocal", "left", [NO_MAINS.format("west-box")]),
        (f"devices: {{east-box: {{circuit: stage}}}}\n{DARK}", "vocal", "left", [NO_MAINS.format("east-box")]),
        # A box further from the console than both ends does not matter.
        (f"devices: {{east-box: {{circuit: stage}}}}\n{DARK}", "vocal", "wedge", []),
        (f"{AMPLIFIER}{DARK}", "vocal", "left", [NO_MAINS.format("amp")]),
        (f"{AMPLIFIER}{DARK}", "vocal", "right", []),
        (f"{AMPLIFIER.replace('circuit: stage', 'circuit: back')}{DARK}", "vocal", "left", []),
        (f"destinations: {{wedge: {{circuit: stage}}}}\n{DARK}", "vocal", "wedge", [NO_MAINS.format("wedge")]),
        (f"destinations: {{wedge: {{circuit: back}}}}\n{DARK}", "vocal", "wedge", []),
        # What lives by phantom power is silent on its own way alone, from where it is plugged in.
        ("", "choir", "left", [NO_SUPPLY.format("choir")]),
        ("", "west-box/in/2", "left", [NO_SUPPLY.format("choir")]),
        ("", "piano", "left", [NO_SUPPLY.format("piano")]),
        ("", "vocal", "left", []),
        ("", "2", "left", []),
    ],
)  # fmt: skip
def test_what_stops_a_way(week: str, first: str, second: str, reasons: list[str]) -> None:
    assert why(week, first, second) == reasons


@pytest.mark.parametrize("dead", ["dead: {desk: no lamp}", "dead: {west-box/in: no level}"])
def test_where_there_is_no_way_for_another_reason_none_is_made_up_of_what_is_dead(dead: str) -> None:
    assert not ways_between(resolved(BASE, ON + dead), "piano", "wedge").found
