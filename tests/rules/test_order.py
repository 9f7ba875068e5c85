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
