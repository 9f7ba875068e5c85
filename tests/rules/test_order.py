"""Metamorphic: a file may list its things in any order (YAML 1.2.2, 3.2.1.1: the keys of a mapping have none).

Whatever is at fault is found when it stands first as well as when it stands last.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from example_rigs import Example

from lint.check.catalogue import load_catalogue
from lint.check.engine import Checked
from lint.check.rule import Bad
from lint.read.document import Document

# Which of two cables in one port is meant, and where a ring begins, only their order in the file says.
BY_ORDER = {"chain-port-shared", "chain-ring"}
BAD = [
    pytest.param(bad, id=f"{rule.id}-{n}")
    for rule in load_catalogue().rules.values()
    for n, bad in enumerate(rule.bad)
    if rule.id not in BY_ORDER
]


def _turned(data: Any) -> Any:
    """Return the same data with the keys of every mapping in reverse; but the first console is the house's."""
    if isinstance(data, dict) and "rig_format" in data:
        return {key: data[key] if key == "devices" else _turned(data[key]) for key in reversed(data)}
    return {key: _turned(data[key]) for key in reversed(data)} if isinstance(data, dict) else data


def _found(checked: Checked) -> list[tuple[str, str, list[str], list[str]]]:
    """Return what was found, in no order: lists in a message name things as the file does."""
    return sorted(
        (
            finding.rule,
            finding.weight.value,
            sorted(set(re.findall(r"[\w/.-]*\w", finding.message))),
            sorted(place.address for place in finding.places),
        )
        for finding in checked.findings
    )


@pytest.mark.parametrize("bad", BAD)
def test_the_same_is_found_in_any_order(example: Example, bad: Bad) -> None:
    document = example.document(bad.rig)
    turned = example.check(Document(_turned(document.data), document.marks, document.files, ()))
    assert _found(turned) == _found(example.check(document))


NEIGHBOURS = {
    "stereo-split": (
        "sources: {echo: {kind: dynamic-microphone, plugged_into: east-box/in/2}}\n"
        "channels: {4: {carries: echo, patched_from: desk/link-1/3}}\n"
        "pairs: {voices: {left: lead-vocal, right: echo}, keys: {left: choir, right: piano}}",
        "the pair keys is on two boxes",
    ),
    "chain-input-from-downstream": (
        "devices: {third-box: {model: stage-box-8x8}, mon: {model: console-16}}\n"
        "consoles: {mon: {}}\n"
        "cables: {far: {from: east-box/downstream, to: mon/link-1}, other: {from: desk/link-2, to: third-box/downstream}}",
        "third-box is in backwards",
    ),
    "breaker-over-conductor": (
        "power: {circuits: {light: {breaker_a: 16}, dock: {breaker_a: 16, run: {length_m: 20, conductor_mm2: 2.5}},"
        " stage: {breaker_a: 32, run: {length_m: 20, conductor_mm2: 2.5}}}}",
        "the circuit stage has a breaker of 32 A",
    ),
    "clock-leader-two": (
        "clock: {leader: [desk, mon]}\nconsoles: {mon: {}}\n"
        "devices: {mon: {model: console-16}, third-box: {model: stage-box-8x8, clock_from: internal}}\n"
        "cables: {far: {from: mon/link-1, to: third-box/upstream}}",
        "mon and third-box have two clock leaders",
    ),
    "preamplifier-two-gains": (
        "channels: {1: {gain_db: 20}, 2: {gain_db: 30},"
        " 4: {carries: choir, patched_from: desk/link-1/2, doubles: 2, gain_db: 5, phantom: on}}",
        "west-box/in/2 has one preamplifier",
    ),
}


@pytest.mark.parametrize("rule", NEIGHBOURS)
def test_what_is_let_be_hides_nothing_that_comes_after_it(example: Example, rule: str) -> None:
    rig, told = NEIGHBOURS[rule]
    (finding,) = example.findings(rig, rule)
    assert finding.message.startswith(told)
