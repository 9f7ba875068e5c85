"""Traces: every way to name a signal, and where and why it stops."""

from __future__ import annotations

import pytest
from rigs import of_data

from lint.check.example import FILE, example_document
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.resolve.step import Step, UnknownSignalError
from lint.resolve.trace import trace_signal
from lint.resolve.ways import reached
from lint.rig.build import build_rig
from lint.rig.model import Models


def rig(fragment: str = "") -> ResolvedRig:
    return resolve_rig(build_rig(example_document(fragment), FILE, Models(None)))


def lines(steps: list[Step]) -> list[str]:
    return [step.text for trace in steps for step in trace.every()]


def stops(steps: list[Step]) -> list[str]:
    return [step.text for trace in steps for step in trace.every() if step.stops]


def test_a_source_is_followed_to_everything_that_hears_it() -> None:
    found = trace_signal(rig(), "lead-vocal")
    assert stops(found) == []
    text = lines(found)
    assert text[:4] == [
        "lead-vocal, dynamic-microphone",
        "plugged into west-box/in/1",
        "arrives on slot desk/link-1/1 (west-box is box 1 on the chain: its inputs are slots 1–16)",
        "channel 1 (Lead vox), which should carry lead-vocal: as meant",
    ]
    assert "house-left, house-loudspeaker, which expects house.left: as meant" in text
    assert "singer-wedge, wedge, which expects singer-mon: as meant" in text


@pytest.mark.parametrize("what", ["1", "channel/1", "channel 1", "desk/channel/1", "Lead vox", "lead VOX"])
def test_a_channel_has_many_names(what: str) -> None:
    assert lines(trace_signal(rig(), what))[:3] == [
        "channel 1 (Lead vox)",
        "comes from",
        "lead-vocal (desk/link-1/1 ← west-box/in/1); should carry lead-vocal: as meant",
    ]


@pytest.mark.parametrize(
    ("fragment", "what", "stop"),
    [
        ("channels: {1: null}\nmixes: {singer-mon: null, house: {takes: {channels: [2, 3]}}}\nfeeds: {desk/link-1: {1: null}}\ndestinations: {singer-wedge: null}", "lead-vocal", "no channel is patched from that slot"),
        ("sources: {lead-vocal: {plugged_into: west-box/in/17}}", "lead-vocal", "plugged into west-box/in/17: west-box has 16 inputs"),
        ("dead: {west-box/in/1-2: crackles}", "lead-vocal", "west-box/in/1–2 are dead (crackles), so nothing gets through"),
        ("dead: {west-box/in/1: crackles}", "channel/1", "desk/link-1/1 ← west-box/in/1: west-box/in/1 is dead (crackles); should carry lead-vocal: WRONG"),
        ("dead: {desk: no picture}", "lead-vocal", "plugged into west-box/in/1, but desk is dead (no picture)"),
        ("dead: {desk: no picture}", "channel/1", "desk is dead; should carry lead-vocal: WRONG"),
        ("dead: {desk: no picture}", "singer-wedge", "west-box/out/1: desk is dead (no picture)"),
        ("cables: {crossing: null}", "piano", "plugged into east-box/in/1, but no console reaches east-box"),
        ("cables: {crossing: {to: east-box/downstream}}", "piano", "plugged into east-box/in/1, but east-box is cut off: see `rigwalk check`"),
        ("feeds: {desk/link-1: {1: null}}", "singer-wedge", "west-box/out/1 carries slot desk/link-1/1 (selector: 1-8): nothing is sent there"),
        ("devices: {west-box: {output_bank: null}}", "singer-wedge", "west-box/out/1: its output bank is not stated"),
        ("devices: {west-box: {output_bank: 9-16}}", "singer-mon", "no box's selector takes that slot"),
        ("channels: {1: {patched_from: desk/link-1/30}}", "1", "desk/link-1/30: past the end of the chain; should carry lead-vocal: WRONG"),
    ],
)  # fmt: skip
def test_where_and_why_a_signal_stops(fragment: str, what: str, stop: str) -> None:
    assert stop in stops(trace_signal(rig(fragment), what))


def test_a_loop_ends_the_trace_and_is_told() -> None:
    loop = "mixes: {a: {kind: monitor, takes: {channels: [1], mixes: [b]}}, b: {kind: monitor, takes: {mixes: [a]}}}"
    assert "a again: the signal goes round in a loop" in stops(trace_signal(rig(loop), "lead-vocal"))
    assert "b again: the signal goes round in a loop" in stops(trace_signal(rig(loop), "b"))


def test_a_box_tells_what_is_plugged_into_it() -> None:
    assert lines(trace_signal(rig(), "west-box")) == [
        "west-box, stage-box-16x8: box 1 on desk/link-1, output bank 1-8",
        "west-box/in/1 → desk/link-1/1: lead-vocal",
        "west-box/in/2 → desk/link-1/2: choir",
        "west-box/out/1 carries singer-mon: singer-wedge",
    ]
    assert stops(trace_signal(rig("cables: {trunk: null}"), "west-box"))


def test_an_effects_unit_is_followed_both_ways() -> None:
    plate = "effects: {plate: {fed_by: send}}\nmixes: {send: {kind: effects, takes: {channels: [1]}}}\n"
    back = "channels: {9: {label: Plate, carries: effects/plate, patched_from: effects/plate}}"
    assert stops(trace_signal(rig(plate), "plate")) == ["it returns on no channel"]
    assert "returns on channel 9 (Plate)" in lines(trace_signal(rig(plate + back), "effects/plate"))
    assert "returns on channel 9 (Plate)" in lines(trace_signal(rig(plate + back), "lead-vocal"))


def test_a_slot_is_told_in_both_directions() -> None:
    text = lines(trace_signal(rig(), "desk/link-1/1"))
    assert "desk/link-1/1, towards the console" in text
    assert "comes from west-box/in/1: lead-vocal" in text
    assert "desk/link-1/1, from the console" in text
    assert "singer-wedge, wedge" in " ".join(text)


PANNED = """
channels: {1: {pan: left}, 2: {pan: right}}
mixes: {record: {kind: record, width: stereo, takes: {mixes: [house.left, house.right]}}, far: {kind: record, takes: {mixes: [house.right]}}}
feeds: {desk/out: {1-2: record, 3: far}}
"""


def test_what_is_panned_to_one_side_does_not_get_to_the_other() -> None:
    right = lines(trace_signal(rig(PANNED), "house-right"))
    assert "nothing of channel 1 (Lead vox): panned to the other side" in right
    assert not any(line.startswith("channel 1 (Lead vox): ") for line in right)
    assert any(line.startswith("channel 2 (Choir): ") for line in right)
    left = lines(trace_signal(rig(PANNED), "lead-vocal"))
    assert "house (panned left)" in left
    assert "record.left leaves at desk/out/1" in left  # sides stay sides
    assert not any("house.right" in line or "record.right" in line or "taken by far" in line for line in left)
    assert "house-left, house-loudspeaker, which expects house.left: as meant" in left
    assert "singer-wedge, wedge, which expects singer-mon: as meant" in left  # a mono mix has no sides
    centre = lines(trace_signal(rig(), "lead-vocal"))
    assert any(line.startswith("house.right leaves") for line in centre)
    record = lines(trace_signal(rig(PANNED), "record.right"))
    assert "takes house.right" in record
    assert "takes house.left" not in record


LEGS = """
devices: {mon: {model: console-16}}
clock: {leader: [desk, mon]}
splits: {rack: {kind: analogue, sources: [choir]}}
sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}
consoles: {mon: {channels: {2: {label: Choir, carries: choir, patched_from: mon/in/2, phantom: %s}}}}
"""


def test_of_two_legs_it_is_told_by_which_a_source_has_its_phantom_power() -> None:
    off = "channels: {2: {phantom: off}}"
    here, there = "west-box/in/2, from channel 2 (Choir) on desk", "mon/in/2, from channel 2 (Choir) on mon"
    alone = "has its phantom power by {}: without that leg it is silent on all"
    assert alone.format(there) in lines(trace_signal(rig(LEGS % "on" + off), "choir"))
    assert alone.format(here) in lines(trace_signal(rig(LEGS % "off"), "choir"))
    assert f"has its phantom power by {here} and by {there}" in lines(trace_signal(rig(LEGS % "on"), "choir"))
    for fragment, what in ((LEGS % "off" + off, "choir"), ("", "choir"), (LEGS % "off", "lead-vocal")):
        assert not any("has its phantom" in line for line in lines(trace_signal(rig(fragment), what)))


def test_what_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(UnknownSignalError, match="did you mean 'lead-vocal'"):
        trace_signal(rig(), "led-vocal")


MIXED = {
    "rig_format": 1,
    "devices": {"desk": {"model": "console-32"}},
    "sources": {f"s{n}": {"kind": "dynamic-microphone", "plugged_into": f"desk/in/{n}"} for n in (1, 2)},
    "channels": {
        "1": {"patched_from": "desk/in/1", "pan": "left"},
        "2": {"patched_from": "desk/in/2"},
    },
    "feeds": {"desk/out": {"1-2": "end"}},
    "destinations": {"tape": {"kind": "recorder", "plugged_into": "desk/out/1-2"}},
}


@pytest.mark.parametrize("side", ["", ".left", ".mono"])
@pytest.mark.parametrize("width", ["mono", "stereo"])
def test_mixes_of_mixes_are_followed_whichever_side_they_take(side: str, width: str) -> None:
    mixes = {
        "sub": {"kind": "house", "width": "stereo", "takes": {"channels": [1, 2]}},
        "mid": {"kind": "house", "width": width, "takes": {"mixes": [f"sub{side}"]}},
        "end": {"kind": "record", "width": "stereo", "takes": {"mixes": ["mid"]}},
    }
    found = of_data({**MIXED, "mixes": mixes})
    for source in ("s1", "s2"):
        steps = trace_signal(found, source)
        assert stops(steps) == []
        assert "taken by mid (house mix)" in lines(steps)
        assert any(line.startswith("tape, recorder") for line in lines(steps))
        assert "tape" in reached(found, source, upstream=False)["destination"]


def test_a_mix_that_takes_a_direct_output_is_on_its_way() -> None:
    mixes = {"end": {"kind": "record", "width": "stereo", "takes": {"mixes": ["channel/2"]}}}
    steps = trace_signal(of_data({**MIXED, "mixes": mixes}), "s2")
    assert "end (record mix) (by its direct output)" in lines(steps)
    assert any(line.startswith("tape, recorder") for line in lines(steps))
    assert stops(steps) == []
