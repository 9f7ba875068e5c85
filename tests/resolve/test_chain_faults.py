"""Cabling: every fault told as what it is, one cause as one fault, and nothing silent without a word.

addressing.md lists the faults; common practice.
"""

from __future__ import annotations

import json
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
        wired(1, 3, *CHAIN[:2], "b/downstream to c/downstream"),
        ("backwards", "c/downstream", ("cable-3",), ("c",)),
    ),
    "a box in the middle is in backwards: the cable behind it joins two upstream ports because of that": (
        wired(1, 3, CHAIN[0], "a/downstream to b/downstream", "b/upstream to c/upstream"),
        ("backwards", "b/downstream", ("cable-2",), ("b", "c")),
    ),
    "the first box is in backwards": (
        wired(1, 2, "desk/link-1 to a/downstream", "a/upstream to b/upstream"),
        ("backwards", "a/downstream", ("cable-1",), ("a", "b")),
    ),
    "two boxes joined downstream to downstream, each fed by its own console": (
        wired(2, 2, "desk/link-1 to a/upstream", "a/downstream to b/downstream", "mon/link-1 to b/upstream"),
        ("ports-alike", "b/downstream", ("cable-2",), ("a", "b")),
    ),
    "two consoles joined directly": (
        wired(2, 1, "desk/link-1 to a/upstream", "desk/link-2 to mon/link-1"),
        ("ports-alike", "mon/link-1", ("cable-2",), ()),
    ),
    "the far end of a chain comes back to the same console": (
        wired(1, 2, *CHAIN[:2], "b/downstream to desk/link-2"),
        ("ring", "desk/link-2", ("cable-1", "cable-2", "cable-3"), ("a", "b")),
    ),
    "it comes back to a console whose first link the chain enters backwards": (
        wired(1, 1, "desk/link-1 to a/downstream", "a/upstream to desk/link-2"),
        ("ring", "desk/link-2", ("cable-1", "cable-2"), ("a",)),
    ),
    "boxes on two links of one console, joined at their far ends": (
        wired(1, 2, "desk/link-1 to a/upstream", "desk/link-2 to b/upstream", "a/downstream to b/downstream"),
        ("ring", "b/downstream", ("cable-1", "cable-2", "cable-3"), ("a", "b")),
    ),
    "a ring behind the console": (
        wired(1, 3, *CHAIN, "c/downstream to b/upstream"),
        ("ring", "b/upstream", ("cable-3", "cable-4"), ("b", "c")),
    ),
    "a ring that no console feeds, with a box hanging on it": (
        wired(1, 2, "a/downstream to b/upstream", "b/downstream to a/upstream"),
        ("ring", "a/upstream", ("cable-1", "cable-2"), ("a", "b")),
    ),
    "a box plugged into itself": (
        wired(1, 1, "a/downstream to a/upstream"),
        ("ring", "a/upstream", ("cable-1",), ("a",)),
    ),
    "two cables in a console's port": (
        wired(1, 3, "desk/link-1 to a/upstream", "desk/link-1 to b/upstream", "b/downstream to c/upstream"),
        ("port-shared", "desk/link-1", ("cable-1", "cable-2"), ("b", "c")),
    ),
    "two cables in a downstream port": (
        wired(1, 3, *CHAIN[:2], "a/downstream to c/upstream"),
        ("port-shared", "a/downstream", ("cable-2", "cable-3"), ("c",)),
    ),
    "a stray box in the port that takes the feed, written before the feed": (
        wired(1, 2, "a/upstream to b/downstream", "desk/link-1 to a/upstream"),
        ("port-shared", "a/upstream", ("cable-1", "cable-2"), ("b",)),
    ),
    "a stray console's own box in the port that takes another's feed": (
        wired(2, 2, "desk/link-1 to a/upstream", "mon/link-1 to b/upstream", "b/downstream to a/upstream"),
        ("port-shared", "a/upstream", ("cable-1", "cable-3"), ()),
    ),
    "an undeclared console at the far end": (
        wired(2, 2, *CHAIN[:2], "b/downstream to mon/link-1"),
        ("two-consoles", "mon/link-1", ("cable-1", "cable-3"), ("a", "b")),
    ),
    "an undeclared console in the port that takes the feed": (
        wired(2, 1, "desk/link-1 to a/upstream", "mon/link-1 to a/upstream"),
        ("two-consoles", "mon/link-1", ("cable-1", "cable-2"), ("a",)),
    ),
    "two undeclared consoles": (
        wired(3, 1, "desk/link-1 to a/upstream", "mon/link-1 to a/upstream", "a/downstream to van/link-1"),
        ("two-consoles", "van/link-1", ("cable-1", "cable-3", "cable-2"), ("a",)),
    ),
    "a listener whose split is declared from another link": (
        wired(2, 1, "desk/link-2 to a/upstream", "a/downstream to mon/link-1", splits=SPLIT),
        ("two-consoles", "mon/link-1", ("cable-1", "cable-2"), ("a",)),
    ),
    "the owner and the listener of a split are swapped": (
        wired(2, 2, "mon/link-1 to a/upstream", "a/downstream to b/upstream", "b/downstream to desk/link-1", splits=SPLIT),
        ("backwards", "b/downstream", ("cable-3",), ("b", "a")),
    ),
    "a chain with a declared split is cut": (
        wired(2, 2, CHAIN[0], "b/downstream to mon/link-1", splits=SPLIT),
        ("unreached", "b/upstream", (), ("b",)),
    ),
    "an island": (
        wired(1, 3, CHAIN[0], "b/downstream to c/upstream"),
        ("unreached", "b/upstream", (), ("b", "c")),
    ),
    "an island, its last box named first": (
        wired(1, 3, "desk/link-1 to b/upstream", "a/upstream to c/downstream"),
        ("unreached", "c/upstream", (), ("a", "c")),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", ONE_CAUSE)
def test_one_cause_is_one_fault(name: str) -> None:
    rig, expected = ONE_CAUSE[name]
    assert faults(rig) == [expected]
