"""Latency along monitor paths: what is on the way, and who is told."""

from __future__ import annotations

import pytest
from example_rigs import Example

from lint.resolve.latency import MonitorPath, monitor_paths

RULE = "monitor-latency"
STATED = "devices: {desk: {latency_ms: 2}, west-box: {latency_ms: 0.5}, east-box: {latency_ms: 0.7}}\n"
HOP_BOX = (
    "model_format: 1\nkind: stage-box\ninputs: {{count: {count}}}\nlatency_ms: {latency}\nhop_ms: {hop}\n"
    "outputs: {{count: 8, addressed: by-selector, selector: [1-8, 9-16]}}\nchain: {{slots: {{48000: 48}}}}\n"
)


def path(example: Example, rig: str, source: str, destination: str = "singer-wedge") -> MonitorPath | None:
    every = list(monitor_paths(example.check(rig).resolved))
    found = [path for path in every if (path.source, path.destination.name) == (source, destination)]
    assert len(found) <= 1, "a source is told once a destination"
    return found[0] if found else None


def parts(found: MonitorPath | None) -> list[tuple[str, float | None]]:
    assert found is not None
    return [(delay.what, delay.ms) for delay in found.delays]


@pytest.fixture
def hops(house: Example) -> Example:
    """Boxes of the house's own, which delay what they pass on: 16 inputs at 0.5 ms, 8 at 0.7 ms."""
    assert house.house is not None
    (house.house / "models" / "near-box.yaml").write_text(HOP_BOX.format(count=16, latency=0.5, hop=0.1))
    (house.house / "models" / "far-box.yaml").write_text(HOP_BOX.format(count=8, latency=0.7, hop=0.2))
    return house


HOPS = "devices: {desk: {latency_ms: 2}, west-box: {model: near-box}, east-box: {model: far-box}}\n"
PIANO_IN_WEDGE = "mixes: {singer-mon: {takes: {channels: {3: {tap: pre-fader}}}}}\n"


def test_the_way_of_the_voice_to_its_wedge(example: Example) -> None:
    found = path(example, STATED + "sources: {lead-vocal: {latency_ms: 3}}", "lead-vocal")
    assert parts(found) == [
        ("lead-vocal", 3),
        ("west-box", 0.5),
        ("desk", 2),
        ("west-box", 0.5),
        ("singer-wedge", 0.0),
    ]
    assert found is not None and (found.total_ms, found.unstated) == (6, ())


def test_what_nobody_states_is_named_and_counts_as_nothing(example: Example) -> None:
    found = path(example, "devices: {desk: {latency_ms: 2}}", "lead-vocal")
    assert found is not None and (found.total_ms, found.unstated) == (2, ("west-box", "west-box"))


def test_a_box_delays_what_it_passes_on(hops: Example) -> None:
    """The piano is on the second box: through it, past the first, the desk, and out of the first."""
    assert parts(path(hops, HOPS + PIANO_IN_WEDGE, "piano")) == [
        ("piano", 0.0),
        ("east-box", 0.7),
        ("past west-box", 0.1),
        ("desk", 2),
        ("west-box", 0.5),
        ("singer-wedge", 0.0),
    ]


def test_and_on_the_way_out_as_well(hops: Example) -> None:
    rig = HOPS + (
        "feeds: {desk/link-1: {9: singer-mon}}\n"
        "destinations: {drum-wedge: {kind: wedge, plugged_into: east-box/out/1, expects: singer-mon}}"
    )
    assert parts(path(hops, rig, "lead-vocal", "drum-wedge")) == [
        ("lead-vocal", 0.0),
        ("west-box", 0.5),
        ("desk", 2),
        ("past west-box", 0.1),
        ("east-box", 0.7),
        ("drum-wedge", 0.0),
    ]


@pytest.mark.parametrize("order", [(1, 4), (4, 1)])
def test_of_two_ways_to_one_monitor_the_slower_counts(hops: Example, order: tuple[int, int]) -> None:
    """The piano on both boxes, behind a splitter: the second box is the longer way, whichever channel comes first."""
    near, far = order
    rig = HOPS + (
        "splits: {wires: {kind: analogue, sources: [piano]}}\n"
        "sources: {piano: {plugged_into: [west-box/in/3, east-box/in/1]}, lead-vocal: null}\n"
        f"channels: {{1: null, {near}: {{carries: piano, patched_from: desk/link-1/3}}, 3: null,\n"
        f" {far}: {{carries: piano, patched_from: desk/link-1/17, doubles: {near}}}}}\n"
        "mixes: {singer-mon: {takes: {channels: [1, 4]}}}"
    ).replace("1: null, 1:", "1:").replace("channels: {1: null, 4", "channels: {4")  # fmt: skip
    assert ("east-box", 0.7) in parts(path(hops, rig, "piano"))


def test_one_side_that_gets_nothing_hides_not_the_other(example: Example) -> None:
    rig = STATED + (
        "mixes: {ear-mon: {kind: monitor, width: stereo, takes: {channels: [1]}}}\nfeeds: {desk/out: {2: ear-mon.right}}\n"
        "destinations: {ears: {kind: ear-transmitter, plugged_into: desk/out/1-2, expects: ear-mon, latency_ms: 4}}"
    )
    assert parts(path(example, rig, "lead-vocal", "ears"))[-2:] == [("desk", 2), ("ears", 4)]


def test_the_device_s_own_word_goes_before_its_model_s(hops: Example) -> None:
    found = path(hops, HOPS.replace("near-box}", "near-box, latency_ms: 0.9}"), "lead-vocal")
    assert ("west-box", 0.9) in parts(found) and ("west-box", 0.5) not in parts(found)


def test_a_second_console_at_the_far_end_hears_past_the_boxes_beyond(hops: Example) -> None:
    rig = HOPS.replace("devices: {", "devices: {mon: {model: console-16, latency_ms: 1}, ") + (
        "cables: {tail: {from: east-box/downstream, to: mon/link-1}}\n"
        "splits: {both: {kind: link, from: desk/link-1, to: mon/link-1}}\n"
        "consoles: {mon: {channels: {1: {carries: lead-vocal, patched_from: mon/link-1/1}}, "
        "mixes: {ear-mon: {kind: monitor, takes: {channels: [1]}}}}}\n"
        "feeds: {mon/out: {1: ear-mon}}\n"
        "destinations: {ears: {kind: ear-transmitter, plugged_into: mon/out/1, expects: ear-mon, latency_ms: 4}}"
    )
    assert parts(path(hops, rig, "lead-vocal", "ears")) == [
        ("lead-vocal", 0.0),
        ("west-box", 0.5),
        ("past east-box", 0.2),
        ("mon", 1),
        ("ears", 4),
    ]


def test_the_console_s_own_sockets_are_the_console(example: Example) -> None:
    rig = STATED + (
        "sources: {lead-vocal: {plugged_into: desk/in/1}}\nchannels: {1: {patched_from: desk/in/1}}\n"
        "feeds: {desk/out: {1: singer-mon}}\n"
        "destinations: {singer-wedge: {plugged_into: desk/out/1}}"
    )
    assert parts(path(example, rig, "lead-vocal")) == [("lead-vocal", 0.0), ("desk", 2), ("singer-wedge", 0.0)]


def test_mixes_within_mixes_and_direct_outputs_are_heard(example: Example) -> None:
    rig = STATED + (
        "mixes: {group: {kind: monitor, takes: {channels: [2], mixes: [channel/3]}}, singer-mon: {takes: {mixes: [group]}}}"
    )
    resolved = example.check(rig).resolved
    assert {path.source for path in monitor_paths(resolved)} == {"lead-vocal", "choir", "piano"}


def test_a_direct_output_to_a_wedge_is_its_channel_alone(example: Example) -> None:
    rig = STATED + "feeds: {desk/link-1: {1: channel/3}}\ndestinations: {singer-wedge: {expects: channel/3}}"
    assert path(example, rig, "lead-vocal") is None
    assert [what for what, _ in parts(path(example, rig, "piano"))][:2] == ["piano", "east-box"]


def test_effects_are_another_sound(example: Example) -> None:
    rig = STATED + (
        "mixes: {verb-send: {kind: effects, takes: {channels: [3]}}, singer-mon: {takes: {channels: [4]}}}\n"
        "effects: {plate: {fed_by: verb-send}}\n"
        "channels: {4: {carries: effects/plate, patched_from: effects/plate}}"
    ).replace("channels: [4]", "channels: {4: {tap: pre-fader}}")
    assert path(example, rig, "piano") is None


def test_where_a_source_comes_by_two_channels_the_slower_counts(example: Example) -> None:
    rig = STATED + (
        "splits: {wires: {kind: analogue, sources: [lead-vocal]}}\n"
        "sources: {lead-vocal: {plugged_into: [west-box/in/1, desk/in/1]}}\n"
        "channels: {4: {carries: lead-vocal, patched_from: desk/in/1, doubles: 1}}\n"
        "mixes: {singer-mon: {takes: {channels: {4: {tap: pre-fader}}}}}"
    )
    found = path(example, rig, "lead-vocal")
    assert found is not None and found.total_ms == 3


@pytest.mark.parametrize(
    ("kind", "late_ms", "told"),
    [
        ("wedge", 20, False),
        ("wedge", 20.001, True),
        ("ear-transmitter", 10, False),
        ("ear-transmitter", 10.001, True),
        ("headphone-amplifier", 10.001, True),
        ("fill-loudspeaker", 40, False),
    ],
)
def test_the_limit_by_what_hangs_there(example: Example, kind: str, late_ms: float, told: bool) -> None:
    rig = f"destinations: {{singer-wedge: {{kind: {kind}, latency_ms: {late_ms}}}}}"
    found = [(finding.weight.value, finding.about) for finding in example.findings(rig, RULE)]
    assert found == ([("caution", "singer-wedge")] if told else [])


def test_t_6_by_the_house_s_own_limit(example: Example) -> None:
    """1.5 + 0.5 + 3 + 1.5 = 6.5 ms: nothing by our default, told where the house asks for 5 ms."""
    rig = (
        "devices: {west-box: {latency_ms: 0.5}, desk: {latency_ms: 3}}\n"
        "sources: {lead-vocal: {plugged_into: desk/in/1, latency_ms: 1.5}}\nchannels: {1: {patched_from: desk/in/1}}\n"
        "destinations: {singer-wedge: {kind: ear-transmitter, latency_ms: 1.5}}\n"
    )
    assert example.findings(rig, RULE) == []
    strict = rig + "rules: {monitor-latency: {limits: {ears_ms: 5}, because: singers in ears}}"
    (finding,) = example.findings(strict, RULE)
    assert finding.facts == {"latency_ms": 6.5, "limit_ms": 5, "monitors": 1}
    assert "begin with the largest part, desk with 3 ms" in finding.cures[0].text


def test_one_finding_a_destination_with_the_latest_source(example: Example) -> None:
    rig = "sources: {lead-vocal: {latency_ms: 25}, piano: {latency_ms: 31}}\n" + PIANO_IN_WEDGE
    (finding,) = example.findings(rig, RULE)
    assert "at singer-wedge piano is 31 ms late" in finding.message
    assert [place.address for place in finding.places] == ["singer-wedge", "piano"]


def test_what_makes_several_monitors_late_is_told_once(example: Example) -> None:
    rig = (
        "devices: {desk: {latency_ms: 25}}\nfeeds: {desk/link-1: {2: singer-mon}}\n"
        "destinations: {second-wedge: {kind: wedge, plugged_into: west-box/out/2, expects: singer-mon}}\n"
    )
    (finding,) = example.findings(rig, RULE)
    assert finding.message.startswith("desk makes 2 monitors late: at singer-wedge lead-vocal is 25 ms late")
    assert [place.address for place in finding.places] == ["singer-wedge", "second-wedge", "lead-vocal"]
    waived = rig + f"waivers: [{{rule: {RULE}, about: second-wedge, because: a try, by: A. Lead, until: 2099-01-01}}]"
    assert [bool(f.waived) for f in example.findings(waived, RULE)] == [True, False]


def test_nothing_stated_is_nothing_said(example: Example) -> None:
    assert example.findings("", RULE) == []


@pytest.mark.parametrize(
    ("ms", "words"), [(16.5, ""), (16.501, "is 20.001 ms late, by what is stated; the limit for a wedge is 20 ms")]
)
def test_a_little_late_is_not_told_as_the_limit_itself(example: Example, ms: float, words: str) -> None:
    rig = f"devices: {{desk: {{latency_ms: 2.5}}, west-box: {{latency_ms: 0.5}}}}\nsources: {{lead-vocal: {{latency_ms: {ms}}}}}"
    found = example.findings(rig, RULE)
    assert [words in finding.message for finding in found] == ([True] if words else [])
