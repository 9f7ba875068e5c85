"""Signal loops: each is told once, by its way round, and every cut that is offered ends it."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest
from example_rigs import Example
from hypothesis import given, settings
from hypothesis import strategies as st

from lint.check.catalogue import load_catalogue

LOOP, OWN, AFTER = "signal-loop", "effects-own-return", "monitor-after-fader"
PLATE = (
    "effects: {plate: {fed_by: verb-send}}\n"
    "channels: {4: {label: Plate L, carries: effects/plate.left, patched_from: effects/plate.left}, "
    "5: {label: Plate R, carries: effects/plate.right, patched_from: effects/plate.right}}\n"
)


def told(example: Example, rig: str) -> list[tuple[str, str, str]]:
    return [(f.weight.value, f.rule, f.about) for f in example.findings(rig, LOOP, OWN, AFTER)]


def sends(*entries: str) -> str:
    return PLATE + f"mixes: {{verb-send: {{kind: effects, takes: {{channels: {', '.join(entries)}}}}}}}"


def test_effects_used_as_they_are_meant_are_no_loop(example: Example) -> None:
    rig = sends("[1-3]") + "\n"
    assert told(example, rig.replace("mixes: {", "mixes: {house: {takes: {channels: [1-5]}}, ")) == []


@pytest.mark.parametrize(
    ("written", "left"),
    [
        ("[1-5]", ["1-3"]),
        ("[1, 2, 4]", ["1-2"]),
        ("[4, 5]", []),
        ("[1, 3-5]", [1, 3]),
    ],
)
def test_an_own_return_in_a_list_is_taken_out(example: Example, written: str, left: list[object]) -> None:
    rig = sends(written)
    assert told(example, rig) == [("no-go", OWN, "verb-send")]
    (finding,) = example.findings(rig, OWN)
    assert finding.cures[0].change == {"mixes": {"verb-send": {"takes": {"channels": left}}}}
    assert example.after_cures(rig, OWN) == [[]]


@pytest.mark.parametrize(
    ("written", "change"),
    [
        ("{1: {level_db: -3}, 4: {level_db: -6}}", {"4": None}),
        ("{1-4: {level_db: -3}}", {"1-4": None, "1-3": {"level_db": -3}}),
        ("{3-7: {tap: post-fader}}", {"3-7": None, "3": {"tap": "post-fader"}}),
        ("{4-5: {}}", {"4-5": None}),
    ],
)
def test_an_own_return_in_a_map_is_taken_out(example: Example, written: str, change: dict[str, object]) -> None:
    rig = sends(written)
    (finding,) = example.findings(rig, OWN)
    assert finding.cures[0].change == {"mixes": {"verb-send": {"takes": {"channels": change}}}}
    assert example.after_cures(rig, OWN) == [[]]


def test_where_the_own_return_is_not_looked_for_the_loop_is_told_after_all(example: Example) -> None:
    off = "\nrules: {effects-own-return: {off: true, because: a test}}"
    assert told(example, sends("[1-5]") + off) == [("no-go", LOOP, "verb-send")]
    (finding,) = example.findings(sends("[1-5]") + off, LOOP)
    assert finding.message == "a signal goes round: verb-send → plate → channel 4 (Plate L) → verb-send."
    assert example.after_cures(sends("[1-5]") + off, LOOP) == [[]]


def test_a_loop_beside_an_own_return_is_told_as_well(example: Example) -> None:
    """The plate hears itself, and it goes to the echo, which comes back to it: two causes."""
    rig = (
        "mixes: {verb-send: {kind: effects, takes: {channels: [1, 4, 6]}}, echo-send: {kind: effects, takes: {channels: [4]}}}\n"
        "effects: {plate: {fed_by: verb-send}, echo: {fed_by: echo-send}}\n"
        "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}, "
        "6: {label: Echo, carries: effects/echo, patched_from: effects/echo}}"
    )
    assert sorted(told(example, rig)) == [("no-go", OWN, "verb-send"), ("no-go", LOOP, "verb-send")]
    (finding,) = example.findings(rig, LOOP)
    assert "verb-send → plate → channel 4 (Plate) → echo-send → echo → channel 6 (Echo) → verb-send" in finding.message


def test_mixes_that_take_each_other(example: Example) -> None:
    rig = (
        "mixes: {one: {kind: record, takes: {channels: [1], mixes: [three]}}, two: {kind: record, takes: {mixes: [one]}}, "
        "three: {kind: record, takes: {mixes: [channel/2, two]}}}"
    )
    (finding,) = example.findings(rig, LOOP)
    assert finding.message == "a signal goes round: one → two → three → one."
    assert [place.address for place in finding.places] == ["one", "two", "three"]
    assert [cure.change for cure in finding.cures] == [
        {"mixes": {"one": {"takes": {"mixes": []}}}},
        {"mixes": {"two": {"takes": {"mixes": []}}}},
        {"mixes": {"three": {"takes": {"mixes": ["channel/2"]}}}},
    ]
    assert example.after_cures(rig, LOOP) == [[], [], []]


def test_a_side_of_a_stereo_mix_goes_round_as_well(example: Example) -> None:
    rig = (
        "mixes: {wide: {kind: record, width: stereo, takes: {mixes: [narrow]}}, "
        "narrow: {kind: record, takes: {mixes: [wide.left, wide.right]}}}"
    )
    assert told(example, rig) == [("no-go", LOOP, "wide")]
    assert example.after_cures(rig, LOOP) == [[], []]


def test_an_effects_unit_fed_by_its_own_return_channel(example: Example) -> None:
    rig = (
        "effects: {plate: {fed_by: channel/4}}\n"
        "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}"
    )
    (finding,) = example.findings(rig, LOOP)
    assert finding.message == "a signal goes round: channel 4 (Plate) → plate → channel 4 (Plate)."
    assert finding.about == "desk/channel/4"
    assert [cure.change for cure in finding.cures] == [None]


def test_two_loops_that_do_not_meet_are_two_findings(example: Example) -> None:
    rig = (
        "mixes: {a: {kind: record, takes: {mixes: [b]}}, b: {kind: record, takes: {mixes: [a]}}, "
        "c: {kind: record, takes: {mixes: [d]}}, d: {kind: record, takes: {mixes: [c]}}}"
    )
    assert [about for _, _, about in told(example, rig)] == ["a", "c"]


MIXES = [f"mix-{letter}" for letter in "abcde"]
TAKES = st.sets(st.tuples(st.sampled_from(MIXES), st.sampled_from(MIXES)), max_size=10)


@settings(max_examples=60, deadline=None)
@given(TAKES)
def test_against_another_graph_engine(takes: set[tuple[str, str]]) -> None:
    """Mixes that take each other any which way: as many findings as networkx finds groups, and each way round is real."""
    example = Example(load_catalogue())
    ways = nx.DiGraph([(taken, taker) for taker, taken in takes])
    groups = [
        group for group in nx.strongly_connected_components(ways) if len(group) > 1 or ways.has_edge(*(list(group) * 2))
    ]
    rows = ", ".join(
        f"{mix}: {{kind: record, takes: {{mixes: [{', '.join(sorted(b for a, b in takes if a == mix))}]}}}}"
        for mix in MIXES
    )
    rig = f"mixes: {{{rows}}}"
    findings = example.findings(rig, LOOP)
    assert len(findings) == len(groups)
    for finding in findings:
        way = finding.message.removeprefix("a signal goes round: ").removesuffix(".").split(" → ")
        assert way[0] == way[-1] == finding.about
        assert all(ways.has_edge(first, second) for first, second in pairwise(way))
        shortest = min(
            len(nx.shortest_path(ways, after, way[0]))
            for after in ways.successors(way[0])
            if nx.has_path(ways, after, way[0])
        )
        assert len(way) == shortest + 1
        (group,) = [group for group in groups if way[0] in group]
        assert way[0] == min(group)


class TestAfterFader:
    @pytest.mark.parametrize(
        ("tap", "expected"),
        [("post-fader", [("caution", AFTER, "singer-mon")]), ("pre-fader", []), ("null", [])],
    )
    def test_only_a_stated_tap_after_the_fader_counts(
        self, example: Example, tap: str, expected: list[tuple[str, str, str]]
    ) -> None:
        assert told(example, f"mixes: {{singer-mon: {{takes: {{channels: {{1: {{tap: {tap}}}}}}}}}}}") == expected

    @pytest.mark.parametrize("kind", ["effects", "record", "stream", "house", "cue"])
    def test_other_mixes_are_meant_to_follow(self, example: Example, kind: str) -> None:
        rig = f"mixes: {{other: {{kind: {kind}, takes: {{channels: {{1: {{tap: post-fader}}}}}}}}}}"
        assert told(example, rig) == []

    def test_the_cure_keeps_levels_and_the_other_sends(self, example: Example) -> None:
        rig = "mixes: {singer-mon: {takes: {channels: {1: {level_db: -4, tap: pre-fader}, 2-3: {level_db: -9, tap: post-fader}}}}}"
        (finding,) = example.findings(rig, AFTER)
        (cure,) = finding.cures
        assert cure.change == {"mixes": {"singer-mon": {"takes": {"channels": {"2-3": {"tap": "pre-fader"}}}}}}
        after = example.check(example.changed(example.document(rig), cure.change))
        mix = after.resolved.rig.mixes["singer-mon"]
        assert {number: (send.level_db, send.tap) for number, send in mix.sends.items()} == {
            1: (-4, "pre-fader"),
            2: (-9, "pre-fader"),
            3: (-9, "pre-fader"),
        }

    def test_a_console_for_monitors_alone_has_no_house_fader(self, example: Example) -> None:
        rig = (
            "devices: {mon: {model: console-16}}\n"
            "splits: {wires: {kind: analogue, sources: [choir]}}\n"
            "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
            "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2}}, "
            "mixes: {choir-mon: {kind: monitor, takes: {channels: {2: {tap: post-fader}}}}}}}\n"
        )
        assert told(example, rig) == []
