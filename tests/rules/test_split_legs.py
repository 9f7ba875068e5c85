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
