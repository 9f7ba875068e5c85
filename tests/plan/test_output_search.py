"""The fewest changes of the outputs, against every way there is: outputs that others follow, twin boxes, rows of plugs.

What is sent once the plugs have their places is worked out by `Feeding`, which `test_output_details.py` holds against
every set of changes.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import examples

from lint.plan.branch import Most, cheapest
from lint.plan.feeding import HARM
from lint.plan.hangs import Hang
from lint.plan.intent import intent_of
from lint.plan.outputs import OutputCure, OutputSide
from lint.rig.address import Socket

MIXES = ("a", "b", "c", "pair")
BANKS = ("1-2", "3-4", "5-6")
MONO = ("a", "b", "c")
# Who comes first where outputs are too few, written down again.
RANK = {"house-loudspeaker": 0, "subwoofer": 1, "fill-loudspeaker": 1, "wedge": 2, "recorder": 3}


@st.composite
def wrong_rigs(draw: st.DrawFn) -> dict[str, Any]:
    """A console and up to two small boxes whose outputs carry anything, on banks that may be the same."""
    boxes = ["box-a", "box-b"][: draw(st.integers(1, 2))]
    devices: dict[str, Any] = {"desk": {"model": "console-mini"}}
    cables: dict[str, Any] = {}
    feed = "desk/link-1"
    for box in boxes:
        devices[box] = {"model": "mini-2x2", "output_bank": draw(st.sampled_from(BANKS))}
        if draw(st.integers(0, 5)):  # else it is cut off
            length = draw(st.sampled_from([5, 60]))
            cables[f"to-{box}"] = {"from": feed, "to": f"{box}/upstream", "length_m": length}
            feed = f"{box}/downstream"
    sent: dict[str, Any] = {str(slot): draw(st.sampled_from(MONO)) for slot in draw(st.sets(st.integers(1, 6)))}
    copied = draw(st.booleans())
    local: Any = {"1-2": {"same_as": "desk/link-1/1-2"}} if copied else {"1": draw(st.sampled_from(MONO))}
    sockets = [f"{name}/out/{number}" for name in ("desk", *boxes) for number in (1, 2)]
    hung: dict[str, Any] = {}
    rows = [f"{name}/out/1-2" for name in ("desk", *boxes)]
    if draw(st.booleans()):
        row = draw(st.sampled_from(rows))
        hung["deck"] = {"kind": "recorder", "plugged_into": row, "expects": "pair"}
        sockets = [socket for socket in sockets if not row.startswith(socket.rpartition("/")[0])]
    for number, socket in enumerate(draw(st.permutations(sockets))[: draw(st.integers(1, 3))]):
        wedge = {
            "kind": draw(st.sampled_from(sorted(RANK))), "plugged_into": socket, "expects": draw(st.sampled_from(MONO))
        }  # fmt: skip
        hung[f"wedge-{number}"] = wedge
        if not draw(st.integers(0, 4)):
            hung[f"twin-{number}"] = {**wedge, "expects": draw(st.sampled_from(MONO))}
    mixes = {name: {"kind": "house" if name == "a" else "monitor"} for name in MONO} | {
        "pair": {"kind": "record", "width": "stereo"}
    }
    return {
        "rig_format": 1, "devices": devices, "cables": cables, "mixes": mixes, "destinations": hung,
        "feeds": {"desk/link-1": sent, "desk/out": local},
    }  # fmt: skip


def settings_of(side: OutputSide) -> Iterator[dict[str, str]]:
    """Yield every setting of the selectors, as what is turned."""
    boxes = [name for name in side.rig.boxes if any(s.device == name for hang in side.hangs for s in hang.sockets)]
    for at in itertools.product(side.rig.rig.devices["box-a"].model.outputs.selector, repeat=len(boxes)):
        yield {name: bank for name, bank in zip(boxes, at, strict=True) if bank != side.rig.device(name).output_bank}


def placings(side: OutputSide, banks: dict[str, str]) -> Iterator[dict[Hang, tuple[Socket, ...]]]:
    """Yield every way to plug what can move, each socket once."""
    loose = [hang for hang in side.hangs if hang.movable]
    held = {socket for hang in side.hangs if not hang.movable for socket in hang.sockets}
    options = [dict.fromkeys((hang.sockets, *side.rows(len(hang.sockets), banks))) for hang in loose]
    for rows in itertools.product(*options):
        sockets = [socket for row in rows for socket in row]
        if len(set(sockets)) == len(sockets) and held.isdisjoint(sockets):
            yield dict(zip(loose, rows, strict=True))


def least(side: OutputSide, may_send: bool) -> tuple[int, int, int]:
    """Return the fewest unmet wishes and changes of all ways to turn, plug and send, and the least that is carried."""
    best = (100 * HARM, 0, 0)
    for banks in settings_of(side) if may_send else [{}]:
        for places in placings(side, banks):
            moved = sum(len(row) for hang, row in places.items() if row != hang.sockets)
            feeds, unmet = side.sent_to(places, banks, may_send)
            best = min(best, (unmet, len(banks) + moved + len(feeds), side.carried(places)))
    return best


def holds(side: OutputSide, cure: OutputCure) -> None:
    """Hold a cure against what it says: its places, and what it sends there."""
    wishes = side.wishes(cure.moves, cure.banks)
    unmet = [
        wish for point, rows in wishes.items() for wish in rows if wish.signal != side.feeding.sent(point, cure.feeds)
    ]
    every = [wish for hang in side.hangs for wants in hang.wants for wish in wants]
    adrift = sum(wish.worth for wish in every) - sum(wish.worth for rows in wishes.values() for wish in rows)
    assert sum(wish.worth for wish in unmet) + adrift == cure.unmet % HARM  # what an audience must not be given is many


def unmet_by_rank(side: OutputSide, moves: dict[Hang, tuple[Socket, ...]], cure: OutputCure) -> list[int]:
    """Count what stays wrong by rank, the first first: from the kinds of the destinations alone."""
    counts = [0] * 4
    for hang in side.hangs:
        for socket, wants in zip(moves.get(hang, hang.sockets), hang.wants, strict=True):
            point = side.point(socket, dict(cure.banks))
            for name, wish in zip(hang.names, wants, strict=True):
                if point is None or side.feeding.sent(point, cure.feeds) != wish.signal:
                    counts[RANK[side.rig.rig.destinations[name].kind]] += 1
    return counts


@examples(1.5)
@given(st.data())
def test_no_way_to_turn_plug_and_send_takes_fewer_changes(built: Any, data: st.DataObject) -> None:
    rig = built(data.draw(wrong_rigs()))
    side = OutputSide(rig, intent_of(rig))
    cures = {True: side.by_fewest(), False: side.by_plugs()}
    for may_send, cure in cures.items():
        holds(side, cure)
        assert cure.proved
        assert (cure.unmet, cure.changes, cure.carried) == least(side, may_send)


def test_two_in_the_house_that_would_get_a_monitor_mix_count_for_two_wherever_they_are(built: Any) -> None:
    """One of the two on the same output is no better than on another, so the nearest place decides."""
    fills = {
        f"{name}-{n}": {"kind": "fill-loudspeaker", "plugged_into": f"box-a/out/{n}", "expects": "a"}
        for n in (1, 2)
        for name in ("wedge", "twin")
    }
    rig = built({
        "rig_format": 1,
        "devices": {
            "desk": {"model": "console-mini"},
            "box-a": {"model": "mini-2x2", "output_bank": "1-2"},
            "box-b": {"model": "mini-2x2", "output_bank": "1-2"},
        },
        "cables": {
            "one": {"from": "desk/link-1", "to": "box-a/upstream", "length_m": 5},
            "two": {"from": "box-a/downstream", "to": "box-b/upstream", "length_m": 5},
        },
        "mixes": {"a": {"kind": "house"}, "b": {"kind": "monitor"}},
        "feeds": {"desk/link-1": {"1": "b", "2": "b"}, "desk/out": {"1": "b"}},
        "destinations": fills,
    })  # fmt: skip
    side = OutputSide(rig, intent_of(rig))
    cure = side.by_plugs()
    assert (cure.unmet, cure.changes, cure.carried) == least(side, may_send=False)


@examples(1)
@given(st.data())
def test_no_way_leaves_less_wrong_of_those_that_come_first(built: Any, data: st.DataObject) -> None:
    rig = built(data.draw(wrong_rigs()))
    side = OutputSide(rig, intent_of(rig))
    cure = side.by_plugs()
    left = unmet_by_rank(side, dict(cure.moves), cure)
    for places in placings(side, {}):
        if not side.sent_to(places, {}, may_send=False)[1] // HARM:  # a monitor mix in the house is worse than silence
            assert cure.unmet >= HARM or left <= unmet_by_rank(side, places, OutputCure())


# -- the search itself ---------------------------------------------------------------------------------------------


def subset(weights: list[int], target: int) -> tuple[tuple[int, ...] | None, bool]:
    """The cheapest subset of weights with at least a sum: what is not decided yet counts as whatever is missing."""

    def solved(state: tuple[int, ...]) -> tuple[int, int | None, tuple[int, ...]]:
        chosen = sum(weight for weight, taken in zip(weights, state, strict=False) if taken)
        bound = max(chosen, target) if sum(weights[len(state) :]) + chosen >= target else 10**6
        return bound, chosen if chosen >= target else None, state

    def split(state: tuple[int, ...], _: object) -> list[tuple[int, ...]]:
        return [(*state, 1), (*state, 0)] if len(state) < len(weights) else []

    return cheapest((), solved, split, Most(10_000))


@given(st.lists(st.integers(1, 9), min_size=1, max_size=7), st.integers(1, 30))
def test_the_cheapest_is_found_and_proved(weights: list[int], target: int) -> None:
    sums = [sum(itertools.compress(weights, taken)) for taken in itertools.product((0, 1), repeat=len(weights))]
    best = min((total for total in sums if total >= target), default=None)
    found, proved = subset(weights, target)
    assert proved
    assert (None if found is None else sum(itertools.compress(weights, found))) == best


@pytest.mark.parametrize("most", [1, 2, 3])
def test_what_was_given_up_is_not_proved(most: int) -> None:
    answer, proved = cheapest(0, lambda state: (state, None, state), lambda state, _: [state + 1], Most(most))
    assert (answer, proved) == (None, False)
