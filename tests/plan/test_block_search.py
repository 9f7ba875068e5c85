"""The fewest changes where the console patches in blocks, against every way to plug, to turn blocks and to patch."""

from __future__ import annotations

import itertools
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from rigs import examples

from lint.plan.cures import FEWEST, Mending
from lint.plan.intent import intent_of
from lint.rig.model import Models

BLOCKS = {"1-2": range(1, 3), "3-5": range(3, 6)}
# What the console hears, point by point, by the chain that is drawn.
MODELS = {"mini-2x2": 2, "mini-3x2": 3}
MOST_SLOTS = 10


@st.composite
def wrong_rigs(draw: st.DrawFn) -> dict[str, Any]:
    """A console that patches in two blocks, a box or two, and sources anywhere; its channels hear what they hear."""
    boxes = {f"box-{letter}": draw(st.sampled_from(sorted(MODELS))) for letter in "ab"[: draw(st.integers(1, 2))]}
    devices = {"desk": {"model": "console-mini"}} | {name: {"model": model} for name, model in boxes.items()}
    cables = {}
    feed = "desk/link-1"
    for name in boxes:
        if draw(st.integers(0, 4)):  # else nobody reaches it
            cables[f"to-{name}"] = {"from": feed, "to": f"{name}/upstream"}
            feed = f"{name}/downstream"
    sockets = ["desk/in/1", "desk/in/2"]
    sockets += [f"{name}/in/{number}" for name, model in boxes.items() for number in range(1, MODELS[model] + 1)]
    at = draw(st.permutations(sockets))[: draw(st.integers(1, 4))]
    numbers = draw(st.permutations(range(1, 7)))[: len(at)]
    channels: dict[str, Any] = {str(n): {"carries": f"source-{i}"} for i, n in enumerate(numbers)}
    if 6 in numbers:
        channels["6"]["patched_from"] = f"desk/link-1/{draw(st.integers(1, 5))}"
    return {
        "rig_format": 1, "devices": devices, "cables": cables, "channels": channels,
        "sources": {f"source-{i}": {"kind": "player", "plugged_into": socket} for i, socket in enumerate(at)},
        "input_blocks": {
            key: f"desk/link-1/{first}-{first + len(rows) - 1}"
            for key, rows in BLOCKS.items()
            if (first := draw(st.integers(1, 5)))
        },
    }  # fmt: skip


def hearing(data: dict[str, Any]) -> dict[str, tuple[str, int]]:
    """Return which point each socket arrives at, worked out along the chain by hand."""
    points = {f"desk/in/{number}": ("desk/in", number) for number in (1, 2)}
    slot = 1
    for cable in data["cables"].values():
        name = cable["to"].partition("/")[0]
        for number in range(1, MODELS[data["devices"][name]["model"]] + 1):
            points[f"{name}/in/{number}"] = ("desk/link-1", slot)
            slot += 1
    return points


def patch_changes(data: dict[str, Any], wanted: dict[int, tuple[str, int]]) -> int:
    """Return the fewest changes of patch: every start of every block is tried."""
    count = 0
    for number, point in wanted.items():
        if number == 6:
            row = data["channels"]["6"]["patched_from"]
            count += row != f"{point[0]}/{point[1]}"
    for key, rows in BLOCKS.items():
        first = int(data["input_blocks"][key].rpartition("/")[2].partition("-")[0])
        own = {number: wanted[number] for number in rows if number in wanted}

        def wrong(side: str, start: int, rows: range = rows, own: dict[int, tuple[str, int]] = own) -> int:
            return sum(point != (side, start + number - rows.start) for number, point in own.items())

        turned = (1 + wrong(side, start) for side in ("desk/link-1", "desk/in") for start in range(1, MOST_SLOTS))
        count += min(wrong("desk/link-1", first), *turned)
    return count


@examples(1)
@given(st.data())
def test_no_way_to_plug_turn_and_patch_takes_fewer_changes(built: Any, models: Models, data: st.DataObject) -> None:
    rows = data.draw(wrong_rigs())
    rig = built(rows)
    points = hearing(rows)
    own = [row["plugged_into"] for row in rows["sources"].values()]
    number_of = {int(row["carries"].rpartition("-")[2]): int(number) for number, row in rows["channels"].items()}
    best = (99, 99)
    for places in itertools.permutations(dict.fromkeys((*own, *points)), len(own)):
        if any(place not in points and place != start for place, start in zip(places, own, strict=True)):
            continue
        moved = sum(place != start for place, start in zip(places, own, strict=True))
        wanted = {number_of[i]: points[place] for i, place in enumerate(places) if place in points}
        unmet = len(own) - len(wanted)
        best = min(best, (unmet, moved + patch_changes(rows, wanted)))
    cure = Mending(rig, rig, intent_of(rig), models=models).cure(FEWEST)
    assert cure.proved
    assert (len(cure.unmet), cure.changes) == best


def test_a_turned_block_does_not_take_along_whom_a_plug_comes_to(built: Any, models: Models) -> None:
    sources = {f"source-{i}": {"kind": "player", "plugged_into": at}
               for i, at in enumerate(("box-a/in/1", "desk/in/1", "desk/in/2"))}  # fmt: skip
    rig = built({
        "rig_format": 1, "sources": sources, "input_blocks": {"3-5": "desk/link-1/1-3"},
        "devices": {"desk": {"model": "console-mini"}, "box-a": {"model": "mini-2x2"}, "box-b": {"model": "mini-3x2"}},
        "cables": {"to-box-b": {"from": "desk/link-1", "to": "box-b/upstream"}},
        "channels": {"5": {"carries": "source-0"}, "3": {"carries": "source-1"}, "4": {"carries": "source-2"}},
    })  # fmt: skip
    cure = Mending(rig, rig, intent_of(rig), models=models).cure(FEWEST)
    assert (cure.unmet, cure.changes, cure.proved) == ((), 3, True)
