"""Cabling: every fault told as what it is, one cause as one fault, and nothing silent without a word.

addressing.md lists the faults; common practice.
"""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import any_cabling, base, cabling, examples, good_chains, of_data, resolved

from lint.resolve.chain import CableFault
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port, Socket

A, B = "a/upstream", "a/downstream"


def faults(rig: ResolvedRig) -> list[tuple[str, str, tuple[str, ...], tuple[str, ...]]]:
    """Each fault as (kind, where it shows, its cables, the boxes it takes from the console)."""
    return [told(fault) for fault in rig.cabling.faults]


def told(fault: CableFault) -> tuple[str, str, tuple[str, ...], tuple[str, ...]]:
    return fault.kind, str(fault.port), tuple(cable.name for cable in fault.cables), fault.devices


def wired(consoles: int, boxes: int, *ends: str, **more: Any) -> ResolvedRig:
    """A rig of 8-input boxes a, b, c ... cabled as `port to port` says, cable-1, cable-2 and so on."""
    pairs = [(first, second) for first, _, second in (end.partition(" to ") for end in ends)]
    return of_data(cabling(consoles, ["stage-box-8x8"] * boxes, pairs, **more))


def chain(rig: ResolvedRig, port: str) -> list[str]:
    device, _, name = port.partition("/")
    return [box.device for box in rig.chains[Port(device, name)].boxes]


CHAIN = ("desk/link-1 to a/upstream", "a/downstream to b/upstream", "b/downstream to c/upstream")
SPLIT = {"stage": {"kind": "link", "from": "desk/link-1", "to": "mon/link-1"}}

# What is cabled, and the one fault it must be told as: kind, port, cables, boxes.
ONE_CAUSE = {
    "the last box is in backwards": (
        partial(wired, 1, 3, *CHAIN[:2], "b/downstream to c/downstream"),
        ("backwards", "c/downstream", ("cable-3",), ("c",)),
    ),
    "a box in the middle is in backwards: the cable behind it joins two upstream ports because of that": (
        partial(wired, 1, 3, CHAIN[0], "a/downstream to b/downstream", "b/upstream to c/upstream"),
        ("backwards", "b/downstream", ("cable-2",), ("b", "c")),
    ),
    "the first box is in backwards": (
        partial(wired, 1, 2, "desk/link-1 to a/downstream", "a/upstream to b/upstream"),
        ("backwards", "a/downstream", ("cable-1",), ("a", "b")),
    ),
    "two boxes joined downstream to downstream, each fed by its own console": (
        partial(wired, 2, 2, "desk/link-1 to a/upstream", "a/downstream to b/downstream", "mon/link-1 to b/upstream"),
        ("ports-alike", "b/downstream", ("cable-2",), ("a", "b")),
    ),
    "two consoles joined directly": (
        partial(wired, 2, 1, "desk/link-1 to a/upstream", "desk/link-2 to mon/link-1"),
        ("ports-alike", "mon/link-1", ("cable-2",), ()),
    ),
    "the far end of a chain comes back to the same console": (
        partial(wired, 1, 2, *CHAIN[:2], "b/downstream to desk/link-2"),
        ("ring", "desk/link-2", ("cable-1", "cable-2", "cable-3"), ("a", "b")),
    ),
    "it comes back to a console whose first link the chain enters backwards": (
        partial(wired, 1, 1, "desk/link-1 to a/downstream", "a/upstream to desk/link-2"),
        ("ring", "desk/link-2", ("cable-1", "cable-2"), ("a",)),
    ),
    "boxes on two links of one console, joined at their far ends": (
        partial(wired, 1, 2, "desk/link-1 to a/upstream", "desk/link-2 to b/upstream", "a/downstream to b/downstream"),
        ("ring", "b/downstream", ("cable-1", "cable-2", "cable-3"), ("a", "b")),
    ),
    "a ring behind the console": (
        partial(wired, 1, 3, *CHAIN, "c/downstream to b/upstream"),
        ("ring", "b/upstream", ("cable-3", "cable-4"), ("b", "c")),
    ),
    "a ring that no console feeds, with a box hanging on it": (
        partial(wired, 1, 2, "a/downstream to b/upstream", "b/downstream to a/upstream"),
        ("ring", "a/upstream", ("cable-1", "cable-2"), ("a", "b")),
    ),
    "a box plugged into itself": (
        partial(wired, 1, 1, "a/downstream to a/upstream"),
        ("ring", "a/upstream", ("cable-1",), ("a",)),
    ),
    "two cables in a console's port": (
        partial(wired, 1, 3, "desk/link-1 to a/upstream", "desk/link-1 to b/upstream", "b/downstream to c/upstream"),
        ("port-shared", "desk/link-1", ("cable-1", "cable-2"), ("b", "c")),
    ),
    "two cables in a downstream port": (
        partial(wired, 1, 3, *CHAIN[:2], "a/downstream to c/upstream"),
        ("port-shared", "a/downstream", ("cable-2", "cable-3"), ("c",)),
    ),
    "a stray box in the port that takes the feed, written before the feed": (
        partial(wired, 1, 2, "a/upstream to b/downstream", "desk/link-1 to a/upstream"),
        ("port-shared", "a/upstream", ("cable-1", "cable-2"), ("b",)),
    ),
    "a stray console's own box in the port that takes another's feed": (
        partial(wired, 2, 2, "desk/link-1 to a/upstream", "mon/link-1 to b/upstream", "b/downstream to a/upstream"),
        ("port-shared", "a/upstream", ("cable-1", "cable-3"), ()),
    ),
    "an undeclared console at the far end": (
        partial(wired, 2, 2, *CHAIN[:2], "b/downstream to mon/link-1"),
        ("two-consoles", "mon/link-1", ("cable-1", "cable-3"), ("a", "b")),
    ),
    "an undeclared console in the port that takes the feed": (
        partial(wired, 2, 1, "desk/link-1 to a/upstream", "mon/link-1 to a/upstream"),
        ("two-consoles", "mon/link-1", ("cable-1", "cable-2"), ("a",)),
    ),
    "two undeclared consoles": (
        partial(wired, 3, 1, "desk/link-1 to a/upstream", "mon/link-1 to a/upstream", "a/downstream to van/link-1"),
        ("two-consoles", "van/link-1", ("cable-1", "cable-3", "cable-2"), ("a",)),
    ),
    "a listener whose split is declared from another link": (
        partial(wired, 2, 1, "desk/link-2 to a/upstream", "a/downstream to mon/link-1", splits=SPLIT),
        ("two-consoles", "mon/link-1", ("cable-1", "cable-2"), ("a",)),
    ),
    "the owner and the listener of a split are swapped": (
        partial(wired, 2, 1, "mon/link-1 to a/upstream", "a/downstream to desk/link-1", splits=SPLIT),
        ("backwards", "a/downstream", ("cable-2",), ("a",)),
    ),
    "a chain with a declared split is cut": (
        partial(wired, 2, 2, CHAIN[0], "b/downstream to mon/link-1", splits=SPLIT),
        ("unreached", "b/upstream", (), ("b",)),
    ),
    "an island": (
        partial(wired, 1, 3, CHAIN[0], "b/downstream to c/upstream"),
        ("unreached", "b/upstream", (), ("b", "c")),
    ),
    "an island, its last box named first": (
        partial(wired, 1, 3, "desk/link-1 to b/upstream", "a/upstream to c/downstream"),
        ("unreached", "c/upstream", (), ("a", "c")),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", ONE_CAUSE)
def test_one_cause_is_one_fault(name: str) -> None:
    make, expected = ONE_CAUSE[name]
    assert faults(make()) == [expected]


def test_each_box_in_backwards_is_told_at_its_own_port() -> None:
    """A chain fed at its far end: each box takes its feed downstream, and each has two plugs to swap."""
    rig = wired(1, 2, "desk/link-1 to b/downstream", "a/downstream to b/upstream")
    assert faults(rig) == [
        ("backwards", "b/downstream", ("cable-1",), ("b", "a")),
        ("backwards", "a/downstream", ("cable-2",), ("a",)),
    ]


def test_two_causes_are_two_faults() -> None:
    rig = wired(1, 4, CHAIN[0], "a/downstream to b/downstream", "c/upstream to d/upstream")
    assert faults(rig) == [
        ("backwards", "b/downstream", ("cable-2",), ("b",)),
        ("ports-alike", "d/upstream", ("cable-3",), ("c", "d")),
        ("unreached", "c/upstream", (), ("c", "d")),
    ]


def test_a_shared_port_on_an_island_is_not_why_it_is_silent() -> None:
    rig = wired(1, 3, "a/downstream to b/upstream", "a/downstream to c/upstream")
    assert faults(rig) == [
        ("port-shared", "a/downstream", ("cable-1", "cable-2"), ()),
        ("unreached", "a/upstream", (), ("a", "b", "c")),
    ]


def test_a_spur_beside_a_ring_is_told_too() -> None:
    rig = wired(1, 3, *CHAIN[:2], "b/downstream to desk/link-2", "b/downstream to c/upstream")
    assert [fault[0] for fault in faults(rig)] == ["ring", "port-shared"]
    assert faults(rig)[1] == ("port-shared", "b/downstream", ("cable-3", "cable-4"), ("c",))


def test_a_bridge_between_two_rings_is_on_neither() -> None:
    ring = ("desk/link-1 to a/upstream", "a/downstream to desk/link-2")
    far = ("c/downstream to c/upstream",)
    rig = wired(1, 3, *ring, "a/downstream to b/upstream", "b/downstream to c/upstream", *far)
    rings = [fault for fault in faults(rig) if fault[0] == "ring"]
    assert [(fault[2], fault[3]) for fault in rings] == [
        (("cable-1", "cable-2"), ("a",)),
        (("cable-5",), ("c",)),
    ]
    assert ("port-shared", "a/downstream", ("cable-2", "cable-3"), ("b", "c")) in faults(rig)


def test_a_port_that_another_fault_explains_hides_no_shared_port() -> None:
    rival = ("desk/link-1 to a/upstream", "mon/link-1 to a/upstream")
    rig = wired(2, 3, *rival, "a/downstream to b/upstream", "a/downstream to c/upstream")
    assert faults(rig) == [
        ("two-consoles", "mon/link-1", ("cable-1", "cable-2"), ("a", "b")),
        ("port-shared", "a/downstream", ("cable-3", "cable-4"), ("c",)),
    ]


def test_what_hangs_on_a_ring_without_a_console_is_lost_with_it() -> None:
    rig = wired(1, 3, "a/downstream to b/upstream", "b/downstream to a/upstream", "c/upstream to b/downstream")
    assert faults(rig) == [
        ("ring", "a/upstream", ("cable-1", "cable-2"), ("a", "b", "c")),
        ("port-shared", "b/downstream", ("cable-2", "cable-3"), ()),
    ]


# -- what follows for the boxes ----------------------------------------------------------------------------------


def test_lost_boxes_keep_the_slots_they_would_have_had() -> None:
    boxes = ["stage-box-16x8", "stage-box-8x8", "stage-box-32x16"]
    cables = [("desk/link-1", A), (B, "b/downstream"), ("b/upstream", "c/upstream")]
    rig = of_data(cabling(1, boxes, cables))
    (whole,) = [chain for link, chain in rig.chains.items() if link.name == "link-1"]
    assert [(box.device, box.position, box.input_slots) for box in whole.boxes] == [("a", 1, range(1, 17))]
    assert [(box.device, box.position, box.input_slots) for box in whole.lost] == [
        ("b", 2, range(17, 25)),
        ("c", 3, range(25, 57)),
    ]
    assert set(rig.boxes) == {"a"}
    assert set(rig.lost_boxes) == {"b", "c"}
    assert Socket("b", "in", 1) not in rig.slot_of


def test_each_console_keeps_its_own_boxes_where_a_cable_joins_them_downstream_to_downstream() -> None:
    rig = wired(2, 2, "desk/link-1 to a/upstream", "a/downstream to b/downstream", "mon/link-1 to b/upstream")
    assert (chain(rig, "desk/link-1"), chain(rig, "mon/link-1")) == (["a"], ["b"])
    assert rig.lost_boxes == {}


def test_a_lost_box_does_not_narrow_the_link_of_the_others(tmp_path: Path) -> None:
    models = tmp_path / "models"
    models.mkdir()
    narrow = "model_format: 1\nkind: stage-box\ninputs: {count: 8}\nchain: {slots: {48000: 8}}\n"
    (models / "narrow-box.yaml").write_text(narrow, encoding="utf-8")
    text = (
        "rig_format: 1\n"
        "devices: {desk: {model: console-32}, a: {model: stage-box-16x8}, b: {model: narrow-box}}\n"
        "cables: {one: {from: desk/link-1, to: a/upstream}, two: {from: a/downstream, to: b/%s}}\n"
    )
    link = Port("desk", "link-1")
    assert resolved(text % "upstream", house=tmp_path).chains[link].capacity == 8
    assert resolved(text % "downstream", house=tmp_path).chains[link].capacity == 48


def test_a_device_that_only_ends_a_link_is_no_console(tmp_path: Path) -> None:
    """A recorder with a link port may hang at the far end, or on a console's second port: nothing is wrong with it."""
    models = tmp_path / "models"
    models.mkdir()
    tap = "model_format: 1\nkind: other\nlinks: {link-1: {slots: {48000: 48}}}\n"
    (models / "link-recorder.yaml").write_text(tap, encoding="utf-8")
    text = (
        "rig_format: 1\ndevices: {desk: {model: console-32}, a: {model: stage-box-8x8},\n"
        " tape: {model: link-recorder}, spare: {model: link-recorder}}\n"
        "cables: {one: {from: desk/link-1, to: a/upstream}, two: {from: a/downstream, to: tape/link-1},\n"
        " three: {from: desk/link-2, to: spare/link-1}}\n"
    )
    rig = resolved(text, house=tmp_path)
    assert rig.cabling.faults == ()
    assert chain(rig, "desk/link-1") == ["a"]
    assert Port("tape", "link-1") not in rig.chains


# -- two consoles on one chain -----------------------------------------------------------------------------------

MON = "devices: {mon: {model: console-16}}\nconsoles: {mon: {channels: {1: {carries: choir, patched_from: mon/link-1/2}}}}\n"
FAR = "cables: {far: {from: east-box/downstream, to: mon/link-1}}\n"
OWN = "cables: {own: {from: mon/link-1, to: own-box/upstream}}\n"
STAGE = "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}\n"


def test_a_declared_listener_hears_the_same_slots() -> None:
    rig = base(MON + FAR + STAGE)
    assert rig.cabling.faults == ()
    assert rig.cabling.listens_to == {Port("mon", "link-1"): Port("desk", "link-1")}
    assert Port("mon", "link-1") not in rig.chains
    arrival = rig.arrivals["mon", 1]
    assert (arrival.sources, arrival.socket, str(arrival.slot)) == (
        ("choir",),
        Socket("west-box", "in", 2),
        "mon/link-1/2",
    )
    assert str(rig.input_point(Socket("east-box", "in", 1), "mon")) == "mon/link-1/17"
    assert str(rig.input_point(Socket("east-box", "in", 1), "desk")) == "desk/link-1/17"


def test_a_declared_split_with_no_box_between_is_no_fault() -> None:
    for ends in ("desk/link-1 to mon/link-1", "mon/link-1 to desk/link-1"):
        assert faults(wired(2, 0, ends, splits=SPLIT)) == []


def test_an_undeclared_one_hears_nothing() -> None:
    rig = base(MON + FAR)
    assert [fault.kind for fault in rig.cabling.faults] == ["two-consoles"]
    assert (rig.arrivals["mon", 1].stop, rig.arrivals["mon", 1].sources) == ("no-socket", ())
    assert rig.arrivals["desk", 2].sources == ("choir",)
    assert rig.input_point(Socket("west-box", "in", 2), "mon") is None


def test_a_declared_split_that_is_not_cabled_is_not_heard() -> None:
    rig = base(MON + STAGE)
    assert rig.cabling.listens_to == {}
    assert (rig.arrivals["mon", 1].stop, rig.arrivals["mon", 1].sources) == ("no-socket", ())


def test_a_listener_cabled_to_boxes_of_its_own_does_not_listen() -> None:
    rig = base(MON.replace("devices: {", "devices: {own-box: {model: stage-box-8x8}, ") + OWN + STAGE)
    assert rig.cabling.faults == ()
    assert rig.cabling.listens_to == {}
    assert chain(rig, "mon/link-1") == ["own-box"]
    assert rig.socket_at(rig.slot_of[Socket("own-box", "in", 2)]) == Socket("own-box", "in", 2)
    assert rig.arrivals["mon", 1].stop == "empty-socket"


def test_a_listener_behind_a_box_in_backwards_is_told_by_that_box() -> None:
    rig = base(
        MON + STAGE + "cables: {crossing: {to: east-box/downstream}, far: {from: east-box/upstream, to: mon/link-1}}"
    )
    assert [fault.kind for fault in rig.cabling.faults] == ["backwards"]
    assert Port("mon", "link-1") in rig.cabling.listens_to


# -- the whole space of cablings ---------------------------------------------------------------------------------


@examples(8)
@given(any_cabling())
def test_nothing_is_silent_or_loose_without_a_word(data: dict[str, Any]) -> None:
    """Every box is reached or named in a fault, never both lost and reached; every cable is in use or accounted for."""
    rig = of_data(data)
    cabling = rig.cabling
    takes = [fault for fault in cabling.faults if fault.kind in ("backwards", "port-shared", "ring", "unreached")]
    named = {name for fault in takes for name in fault.devices}
    boxes = {device.name for device in rig.rig.boxes}
    assert boxes - set(rig.boxes) <= named
    assert set(rig.boxes).isdisjoint(rig.lost_boxes)
    in_use = {box.cable.name for chain in cabling.chains.values() for box in (*chain.boxes, *chain.lost)}
    in_fault = {cable.name for fault in cabling.faults for cable in fault.cables}
    for cable in rig.rig.cables.values():
        beside_a_fault = any(end.device in named - set(rig.boxes) for end in cable.ends)
        listens = any(end in cabling.listens_to for end in cable.ends)
        assert cable.name in in_use | in_fault or beside_a_fault or listens


@examples(8)
@given(any_cabling())
def test_a_rig_is_without_fault_exactly_if_every_plug_is_where_it_belongs(data: dict[str, Any]) -> None:
    rig = of_data(data)
    assert (rig.cabling.faults == ()) == is_proper(data)
    if is_proper(data):
        assert {box: str(place.link) for box, place in rig.boxes.items()} == {
            name: head(data, name) for name in data["devices"] if len(name) == 1
        }


def is_proper(data: dict[str, Any]) -> bool:
    """Whether each port has one plug at most, each cable runs onwards, and each box is fed: said without our code."""
    listeners = {split["to"]: split["from"] for split in data.get("splits", {}).values()}
    ends = [end for row in data["cables"].values() for end in (row["from"], row["to"])]
    if len(set(ends)) < len(ends):
        return False
    for row in data["cables"].values():
        sides = sorted(row.values(), key=lambda end: "link" in end)
        kinds = {end.partition("/")[2].rstrip("-12") for end in sides}
        if kinds == {"link", "downstream"}:
            if sides[1] not in listeners or head(data, sides[0][0]) != listeners[sides[1]]:
                return False
        elif kinds == {"link"}:
            if listeners.get(sides[0]) != sides[1] and listeners.get(sides[1]) != sides[0]:
                return False
        elif kinds not in ({"link", "upstream"}, {"downstream", "upstream"}):
            return False
    return all(head(data, name) is not None for name in data["devices"] if len(name) == 1)


def head(data: dict[str, Any], box: str) -> str | None:
    """The console port from which a box is fed, going from upstream port to upstream port."""
    for _ in data["devices"]:
        feeds = [row for row in data["cables"].values() if f"{box}/upstream" in row.values()]
        if len(feeds) != 1:
            return None
        (source,) = set(feeds[0].values()) - {f"{box}/upstream"}
        if "link" in source:
            return str(source)
        if "downstream" not in source:
            return None
        box = source[0]
    return None


@examples(2)
@given(any_cabling(), st.data())
def test_which_end_of_a_cable_is_named_first_changes_nothing(data: dict[str, Any], drawn: st.DataObject) -> None:
    turned = json.loads(json.dumps(data))
    for row in turned["cables"].values():
        if drawn.draw(st.booleans()):
            row["from"], row["to"] = row["to"], row["from"]
    one, other = of_data(data), of_data(turned)
    assert one.slot_of == other.slot_of
    assert sorted_faults(one) == sorted_faults(other)


def sorted_faults(rig: ResolvedRig) -> list[tuple[str, list[str]]]:
    return sorted((fault.kind, sorted(fault.devices)) for fault in rig.cabling.faults)


Ends = list[tuple[str, str]]


@examples(2)
@given(good_chains(), st.data())
def test_one_box_turned_round_is_one_fault(good: tuple[list[str], Ends], drawn: st.DataObject) -> None:
    boxes, cables = good
    index = drawn.draw(st.integers(0, len(boxes) - 1))
    swap = {
        f"{name(index)}/upstream": f"{name(index)}/downstream",
        f"{name(index)}/downstream": f"{name(index)}/upstream",
    }
    turned = [(swap.get(first, first), swap.get(second, second)) for first, second in cables]
    rig = of_data(cabling(1, boxes, turned))
    behind = tuple(map(name, range(index, len(boxes))))
    assert faults(rig) == [("backwards", f"{name(index)}/downstream", (f"cable-{index + 1}",), behind)]


@examples(2)
@given(good_chains(), st.data())
def test_one_cable_pulled_is_one_fault(good: tuple[list[str], Ends], drawn: st.DataObject) -> None:
    boxes, cables = good
    index = drawn.draw(st.integers(0, len(boxes) - 1))
    rig = of_data(cabling(1, boxes, cables[:index] + cables[index + 1 :]))
    behind = tuple(map(name, range(index, len(boxes))))
    assert faults(rig) == [("unreached", f"{name(index)}/upstream", (), behind)]


@examples(2)
@given(good_chains(), st.data())
def test_one_cable_too_many_is_one_fault(good: tuple[list[str], Ends], drawn: st.DataObject) -> None:
    """From the far end back to the console, to an undeclared console, or from a taken port to a spare box."""
    boxes, cables = good
    last = name(len(boxes) - 1)
    port = drawn.draw(st.sampled_from([end for cable in cables for end in cable]))
    extra, consoles, more, kind = drawn.draw(
        st.sampled_from(
            [
                ((f"{last}/downstream", "desk/link-2"), 1, [], "ring"),
                ((f"{last}/downstream", "mon/link-1"), 2, [], "two-consoles"),
                ((port, f"{name(len(boxes))}/upstream"), 1, ["stage-box-8x8"], "port-shared"),
                ((port, f"{name(len(boxes))}/downstream"), 1, ["stage-box-8x8"], "port-shared"),
            ]
        )
    )
    rig = of_data(cabling(consoles, boxes + more, [*cables, extra]))
    assert [fault.kind for fault in rig.cabling.faults] == [kind]
    assert f"cable-{len(cables) + 1}" in {cable.name for cable in rig.cabling.faults[0].cables}
    assert set(rig.boxes) == set(map(name, range(len(boxes))))


def name(index: int) -> str:
    return "abcdefghij"[index]
