"""The parts of the cures on their own: patch in blocks, outputs that follow others, rows of plugs, splits, consoles."""

from __future__ import annotations

import itertools
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from rigs import BASE, BUNDLED, examples, of_data, resolved

from lint.plan.blocks import turned_blocks
from lint.plan.cures import CONSOLE, FEWEST, PLUGS, Cure, Mending
from lint.plan.feeding import Feeding, Wish
from lint.plan.intent import intent_of
from lint.plan.words import edits_of
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import OutputPoint, Port, Signal, Slot, Socket

LINK = Port("desk", "link-1")


def cured(before: ResolvedRig, words: str, way: str) -> Cure:
    edits, after = edits_of(before, words.split(), BUNDLED)
    dead = frozenset().union(*(edit.dead for edit in edits))
    settled = frozenset().union(*(edit.settled for edit in edits))
    return Mending(before, after, intent_of(before), dead, settled, BUNDLED).cure(way)


# -- patch in blocks -----------------------------------------------------------------------------------------------

BLOCKS = {
    "rig_format": 1,
    "devices": {"desk": {"model": "console-32"}, "box": {"model": "stage-box-16x8"}},
    "cables": {"trunk": {"from": "desk/link-1", "to": "box/upstream"}},
    "input_blocks": {"1-4": "desk/link-1/1-4", "5-8": "desk/link-1/9-12"},
    "channels": {str(number): {} for number in range(1, 9)},
}


@examples(3)
@given(st.dictionaries(st.integers(1, 8), st.integers(1, 16), min_size=1))
def test_no_way_to_turn_blocks_and_patch_single_channels_takes_fewer_changes(wanted: dict[int, int]) -> None:
    rig = of_data(BLOCKS)
    points = {("desk", number): Slot(LINK, slot) for number, slot in wanted.items()}
    turns = {turn.block.key: turn.first.number for turn in turned_blocks(rig, points)}
    least = made = 0
    for key, start, channels in (("1-4", 1, range(1, 5)), ("5-8", 9, range(5, 9))):

        def wrong(first: int, channels: range = channels) -> int:
            return sum(wanted.get(number, first + i) != first + i for i, number in enumerate(channels))

        least += min(wrong(start), *(1 + wrong(first) for first in range(1, 17)))
        made += 1 + wrong(turns[key]) if key in turns else wrong(start)
    assert made == least


def test_two_boxes_swapped_on_a_console_that_patches_in_blocks_turn_its_blocks() -> None:
    data: dict[str, Any] = {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-32"}, "a": {"model": "stage-box-8x8"}, "b": {"model": "stage-box-8x8"}},
        "cables": {
            "one": {"from": "desk/link-1", "to": "a/upstream"},
            "two": {"from": "a/downstream", "to": "b/upstream"},
        },
        "sources": {
            f"s{n}": {"kind": "player", "plugged_into": f"{'ab'[n > 8]}/in/{n - 8 * (n > 8)}"} for n in range(1, 17)
        },
        "channels": {str(n): {"carries": f"s{n}"} for n in range(1, 17)},
        "input_blocks": {"1-8": "desk/link-1/1-8", "9-16": "desk/link-1/9-16"},
    }
    for way in (CONSOLE, FEWEST):
        cure = cured(of_data(data), "order b a", way)
        assert cure.turns == (
            "patch the block of channels 1-8 from desk/link-1/9-16",
            "patch the block of channels 9-16 from desk/link-1/1-8",
        )
        assert cure.unmet == ()


# -- outputs that follow others ------------------------------------------------------------------------------------

SENT = ["a", "b", "c"]


@st.composite
def forests(draw: st.DrawFn) -> tuple[dict[str, Any], dict[int, list[str]]]:
    """Outputs 1 to 5 of a console, some the same as one before them, and what is wanted at them."""
    feeds: dict[str, Any] = {}
    for number in range(1, 6):
        kind = draw(st.sampled_from(["mix", "mix", "copy", "none"]))
        if kind == "copy" and number > 1:
            feeds[str(number)] = {"same_as": f"desk/out/{draw(st.integers(1, number - 1))}"}
        elif kind != "none":
            feeds[str(number)] = draw(st.sampled_from(SENT))
    wishes = draw(
        st.dictionaries(st.integers(1, 5), st.lists(st.sampled_from(SENT), min_size=1, max_size=2), min_size=1)
    )
    return feeds, wishes


@examples(5)
@given(forests(), st.fixed_dictionaries({name: st.integers(1, 3) for name in SENT}))
def test_no_change_of_what_is_sent_meets_more_wishes_with_fewer_outputs(
    drawn: tuple[dict[str, Any], dict[int, list[str]]], worth: dict[str, int]
) -> None:
    feeds, wishes = drawn
    data = {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-32"}},
        "mixes": {name: {"kind": "monitor"} for name in SENT},
        "feeds": {"desk/out": feeds},
    }
    feeding = Feeding(of_data(data))
    wanted = {
        Socket("desk", "out", number): [Wish(Signal("mix", name), worth[name]) for name in names]
        for number, names in wishes.items()
    }
    changes, unmet = feeding.fewest(wanted)

    def sent(number: int, made: dict[int, str]) -> str | None:
        if number in made:
            return made[number]
        value = feeds.get(str(number))
        origin = int(value["same_as"].rpartition("/")[2]) if isinstance(value, dict) else None
        # An origin that sends nothing copies nothing, and what is then sent there is not copied either.
        return (
            sent(origin, made)
            if origin is not None and is_live(origin)
            else (value if isinstance(value, str) else None)
        )

    def is_live(number: int) -> bool:
        value = feeds.get(str(number))
        return is_live(int(value["same_as"].rpartition("/")[2])) if isinstance(value, dict) else value is not None

    def left(made: dict[int, str]) -> int:
        return sum(worth[name] for number, names in wishes.items() for name in names if sent(number, made) != name)

    best = min(
        (left(made), len(made))
        for row in itertools.product([None, *SENT], repeat=5)
        if (made := {number: value for number, value in enumerate(row, start=1) if value is not None}) is not None
    )
    assert (unmet, len(changes)) == best
    own: dict[OutputPoint, Signal | None] = dict(changes)
    wrong = (wish for point, rows in wanted.items() for wish in rows if feeding.sent(point, own) != wish.signal)
    assert sum(wish.worth for wish in wrong) == unmet


# -- rows of plugs, splits, two consoles ---------------------------------------------------------------------------

STEREO = """
mixes: {record: {kind: record, width: stereo, takes: {mixes: [house.left, house.right]}}}
feeds: {desk/link-1: {7-8: record}}
destinations: {recorder: {kind: recorder, plugged_into: west-box/out/7-8, expects: record}}
"""


def test_a_row_of_plugs_moves_as_one_and_side_by_side() -> None:
    cure = cured(resolved(BASE, STEREO), "remove west-box", FEWEST)
    moved = [(step.plug, str(step.end)) for step in cure.handlings if step.plug.startswith("recorder")]
    assert [plug for plug, _ in moved] == ["recorder (plug 1)", "recorder (plug 2)"]
    ends = [end for _, end in moved]
    assert int(ends[1].rpartition("/")[2]) == int(ends[0].rpartition("/")[2]) + 1
    assert cure.unmet == ()


def test_by_plugs_alone_a_row_finds_the_place_where_both_sides_leave() -> None:
    week = (
        STEREO
        + "devices: {loft-box: {model: stage-box-8x8, output_bank: 17-24}}\ncables: {stairs: {from: east-box/downstream, to: loft-box/upstream}}"
    )
    cure = cured(resolved(BASE, week), "bank west-box 17-24 and bank loft-box 1-8", PLUGS)
    assert sorted(str(step.end) for step in cure.handlings) == ["loft-box/out/1", "loft-box/out/7", "loft-box/out/8"]
    assert cure.unmet == ()
    assert cure.result.rig.destinations["recorder"].sockets == (
        Socket("loft-box", "out", 7),
        Socket("loft-box", "out", 8),
    )


def test_where_a_selector_turned_puts_all_right_that_is_the_fewest() -> None:
    week = "destinations: {east-wedge: {kind: wedge, plugged_into: east-box/out/1, expects: wedge-mix}}\nfeeds: {desk/link-1: {9: wedge-mix}}"
    before = resolved(BASE, week)
    wrong = resolved(BASE, week + "\ndevices: {east-box: {output_bank: 33-40}}")
    cure = Mending(before, wrong, intent_of(before), models=BUNDLED).cure(FEWEST)
    assert cure.turns == ("turn the output selector of east-box to 9-16 (now: 33-40)",)
    assert (cure.changes, cure.unmet, cure.proved) == (1, (), True)


SPLIT = """
devices: {mon: {model: console-16}}
splits: {vox: {kind: analogue, sources: [vocal]}}
sources: {vocal: {plugged_into: [west-box/in/1, mon/in/1]}}
consoles: {mon: {channels: {1: {carries: vocal, patched_from: mon/in/1}}}}
"""


def test_a_source_behind_a_splitter_moves_the_plug_that_is_lost_and_keeps_the_other() -> None:
    cure = cured(resolved(BASE, SPLIT), "remove west-box", FEWEST)
    assert cure.unmet == ()
    sockets = cure.result.rig.sources["vocal"].sockets
    assert sockets[0].device == "east-box"
    assert sockets[1] == Socket("mon", "in", 1)
    assert "channel 1 on mon" not in " ".join(cure.turns)


def test_a_dark_console_is_mended_by_nobody_and_the_other_goes_on() -> None:
    week = SPLIT.replace(
        "devices: {mon: {model: console-16}}", "devices: {mon: {model: console-16}, desk: {circuit: foh}}"
    )
    before = resolved(BASE, week)
    cure = cured(before, "lose circuit foh", FEWEST)
    assert cure.result.arrivals["mon", 1].sources == ("vocal",)
    assert all("on mon" not in words for words in map(str, cure.unmet))
