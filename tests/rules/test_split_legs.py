"""A leg of a splitter that is left lying is told once: at the channel that waits for it, else at the source."""

from __future__ import annotations

from example_rigs import Example

MISSING, NOTHING, APART = "split-leg-missing", "patch-carries-nothing", "stereo-split"
SPLIT = "splits: {stage: {kind: analogue, sources: [choir, lead-vocal]}}\n"
MON = (
    "devices: {mon: {model: console-16}, mon-box: {model: stage-box-8x8}}\n"
    "clock: {leader: [desk, mon]}\n"
    "cables: {lead: {from: mon/link-1, to: mon-box/upstream}}\n"
)
BARE = "consoles: {mon: {}}\n"


def test_each_source_with_one_leg_and_no_other(example: Example) -> None:
    rig = MON + BARE + SPLIT + "sources: {lead-vocal: {plugged_into: [west-box/in/1, mon-box/in/1]}}"
    (finding,) = example.findings(rig, MISSING)
    assert finding.about == "choir"
    assert [place.address for place in finding.places] == ["choir", "stage"]


def test_a_channel_that_waits_for_it_says_so(example: Example) -> None:
    rig = MON + SPLIT + "sources: {lead-vocal: {plugged_into: [west-box/in/1, mon-box/in/1]}}\n"
    rig += "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/link-1/2}}}}"
    assert [finding.rule for finding in example.findings(rig, MISSING, NOTHING)] == [NOTHING]


def test_the_split_of_a_link_has_no_legs_to_plug(example: Example) -> None:
    rig = "devices: {mon: {model: console-16}}\nclock: {leader: desk}\n" + BARE
    rig += "cables: {end: {from: east-box/downstream, to: mon/link-1}}\n"
    rig += "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}"
    assert example.findings(rig, MISSING) == []


def test_a_pair_of_which_one_has_a_leg_less_is_not_apart(example: Example) -> None:
    rig = MON + BARE + SPLIT + "sources: {lead-vocal: {plugged_into: [west-box/in/1, mon-box/in/1]}}\n"
    rig += "pairs: {two: {left: lead-vocal, right: choir}}"
    assert [finding.rule for finding in example.findings(rig, MISSING, APART)] == [MISSING]


DARK = (
    "devices: {mon: {model: console-16, circuit: back}, west-box: {circuit: %s}}\n"
    "clock: {leader: [desk, mon]}\n"
    "splits: {stage: {kind: analogue, sources: [choir, lead-vocal]}}\n"
    "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}, lead-vocal: {plugged_into: [west-box/in/1, mon/in/1]}}\n"
    "consoles: {mon: {channels: {1: {carries: lead-vocal, patched_from: mon/in/1},"
    " 2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}\n"
    "channels: {2: {phantom: off}}\n"
    "power: {circuits: {back: {volts: 230, breaker_a: 16, dark: %s}}}\n"
)
CUT_OFF = "cables: {trunk: null, crossing: {from: desk/link-1}}"


def test_at_a_console_without_mains_nothing_is_heard_and_phantom_power_is_not_to_blame(example: Example) -> None:
    (finding,) = example.findings(DARK % ("null", "true") + CUT_OFF, "chain-box-unreached")
    assert "one end of its split only" not in finding.message
    assert "without phantom power" not in finding.message
    assert (
        "Silent at both ends of its split: lead-vocal, choir; mon has no mains: its circuit back is dark."
        in finding.message
    )
    assert finding.cures[0].change is not None, "the box itself has mains, and a cable helps it"
    (alive,) = example.findings(DARK % ("null", "false") + CUT_OFF, "chain-box-unreached")
    assert "Arrives by one end of its split only: lead-vocal, choir." in alive.message


def test_no_link_cable_is_run_to_a_box_without_mains(example: Example) -> None:
    (finding,) = example.findings(DARK % ("back", "true") + CUT_OFF, "chain-box-unreached")
    (cure,) = finding.cures
    assert cure.change is None
    assert cure.text == "give west-box mains first: its circuit back is dark, and no link cable helps before that"


def test_a_leg_that_lies_is_not_blamed_on_phantom_power_where_the_other_has_no_mains(example: Example) -> None:
    rig = (DARK % ("null", "true")).replace("[west-box/in/2, mon/in/2]", "mon/in/2")
    rig = rig.replace("channels: {2: {phantom: off}}", "channels: {2: null}")
    (finding,) = example.findings(rig, MISSING)
    assert finding.message.endswith("mon/in/2. It is silent there: mon has no mains: its circuit back is dark.")
