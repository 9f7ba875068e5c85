"""Where one phantom switch is asked for two states: the plug moves no farther than it must, and no half cure is told."""

from __future__ import annotations

import pytest
from example_rigs import Example

GROUP = "phantom-group"
# Piano needs it, violin must not have it, and the trumpet's channel says off though it does not mind.
SWITCH = (
    "devices: {east-box: {model: group-box}}\n"
    "sources: {violin: {kind: ribbon-microphone, plugged_into: east-box/in/4}, "
    "trumpet: {kind: dynamic-microphone, plugged_into: east-box/in/3}}\n"
    "channels: {4: {carries: violin, patched_from: desk/link-1/20, phantom: off}, "
    "5: {carries: trumpet, patched_from: desk/link-1/19, phantom: off}"
)
FULL = "".join(f", {n}: {{carries: v{n}, patched_from: desk/link-1/{16 + n}}}" for n in range(6, 9))
TAKEN = "".join(f", v{n}: {{kind: dynamic-microphone, plugged_into: east-box/in/{n}}}" for n in range(5, 9))
FIFTH = ", 9: {carries: v5, patched_from: desk/link-1/21}}"


def full(devices: str = "", cables: str = "") -> str:
    rig = SWITCH.replace("in/3}", f"in/3}}{TAKEN}") + FULL + FIFTH
    return rig.replace("{model: group-box}", f"{{model: group-box{devices}}}") + cables


def cure(example: Example, rig: str) -> str:
    (finding,) = example.findings(rig, GROUP)
    return finding.cures[0].text


def test_what_stays_on_the_switch_says_on_then(grouped: Example) -> None:
    assert cure(grouped, SWITCH + "}") == (
        "with phantom power off, move the plug of violin to east-box/in/5 and patch channel 4 from desk/link-1/21; then, "
        "muted, switch phantom power on at channel 5"
    )
    assert grouped.after_cures(SWITCH + "}", GROUP) == [[]]


@pytest.mark.parametrize("says", [", phantom: off", ""])
def test_who_needs_it_says_on_then_as_well(grouped: Example, says: str) -> None:
    rig = SWITCH + f", 3: {{label: Piano, carries: piano, patched_from: desk/link-1/17{says or ', phantom: null'}}}}}"
    assert cure(grouped, rig).endswith("switch phantom power on at channel 3 (Piano) and channel 5")
    assert grouped.after_cures(rig, GROUP) == [[]]


def test_a_box_of_the_chain_comes_before_the_console(grouped: Example) -> None:
    rig = full("}, desk: {along_stage_m: 10")
    assert "move the plug of violin to west-box/in/3" in cure(grouped, rig)
    assert grouped.after_cures(rig, GROUP) == [[]]


def test_the_nearest_box_comes_first_by_where_they_stand(grouped: Example) -> None:
    more = "\ncables: {further: {from: east-box/downstream, to: north/upstream}}"
    places = ", along_stage_m: 10}, west-box: {along_stage_m: 0}, north: {model: stage-box-8x8, along_stage_m: 12"
    assert "move the plug of violin to north/in/1" in cure(grouped, full(places, more))
    places = places.replace("along_stage_m: 0", "along_stage_m: 9")
    assert "move the plug of violin to west-box/in/3" in cure(grouped, full(places, more))


def test_no_plug_moves_to_a_dead_socket(grouped: Example) -> None:
    assert "to east-box/in/6 " in cure(grouped, SWITCH + "}\ndead: {east-box/in/5: crackles}")


def test_a_dead_leg_that_may_still_give_it_goes_off(grouped: Example) -> None:
    rig = SWITCH.replace("sources: {", "sources: {piano: {plugged_into: [east-box/in/1, mon/in/1]}, ")
    rig = rig.replace("devices: {", "devices: {mon: {model: console-16}, ")
    rig += (
        ", 3: {phantom: off}}\nsplits: {snake: {kind: analogue, sources: [piano]}}\ndead: {mon/in/1: hums}\n"
        "consoles: {mon: {channels: {1: {carries: piano, patched_from: mon/in/1, phantom: on}}}}"
    )
    text = cure(grouped, rig)
    assert "switch phantom power off at channel 1 on mon, whose socket is dead, and on at channel 3" in text
    (after,) = grouped.after_cures(rig, GROUP)
    assert [rule for rule in after if rule.startswith("phantom")] == []
