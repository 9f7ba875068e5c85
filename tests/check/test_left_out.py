"""Nothing that a rule goes by may be left out in silence: the finding stays, or the check says what it did not check.

Of every rule about quantities, each value of each bad example is taken out of the rig in turn, where the schema allows
it. Then the rule still finds it, another rule does, or a line of “Not checked” is there that was not there before.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.check.example import FILE, example_document
from lint.check.rule import Rule
from lint.check.unchecked import unchecked
from lint.read.document import Document, Trail
from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.read.schema import require_valid
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

CATALOGUE = load_catalogue()
FAMILIES = ("power", "wireless", "phantom", "level", "loudspeakers", "latency", "exposure")
RULES = [rule for rule in CATALOGUE.rules.values() if rule.family in FAMILIES or rule.id.startswith("link-cable")]
# What says the fault itself, or what a rule holds against something: without it there is nothing left to check, and
# nobody is led to think that there was.
SAYS_SO_ITSELF = {
    "dimmers": "that dimmers hang there is the fault; nobody says of each circuit that none do",
    "outdoor": "indoors, unless it is said",
    "circuit": "told by circuit-unstated where circuits are stated",
    "continuous_share": "the house's own rule",
    "jurisdiction": "no code is gone by that the house does not name",
    "reel": "on no reel, unless it is said; the walk asks of every reel",
    "connection": "balanced, unless it is said",
    "phantom": "off, unless it is said; a source that needs it is then told as phantom-missing",
    "count": "one, unless it is said",
    "audience_limit_db": "the WHO's, unless it is said",
    "aligned_to": "a delay that is aligned to nothing is held against its own distance",
    "latency_ms": "one of several on the way; what adds to a monitor's delay and states none is told",
    "delay_ms": "no delay, unless it is said",
    "way_m": "written where a plan's cable does not reach; how far every cable runs nobody has to say",
    "gain_db": "told as the level on channels, where a level is known; two gains need two",
}


def leaves(data: Any, trail: Trail = ()) -> Iterator[Trail]:
    rows = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in rows:
        yield from leaves(value, (*trail, key))
    if not isinstance(data, dict | list) and isinstance(trail[-1], str):
        yield trail


def without(fragment: str, trail: Trail) -> Document | None:
    """The example rig less one value; None where the schema wants it there or nothing can be built of the rest."""
    data, _ = parse(fragment, FILE)
    here: Any = data
    for step in trail[:-1]:
        here = here[step]
    if any(isinstance(step, int) for step in trail):
        del here[trail[-1]]
    else:
        here[trail[-1]] = None  # takes it out of the base rig as well
    less = example_document(json.dumps(data))
    try:
        require_valid(less, "rig")
        build_rig(less, FILE, Models(None))
    except CannotReadError:
        return None
    return less


def told(document: Document) -> tuple[set[str], set[tuple[str, str]]]:
    rig = build_rig(document, FILE, Models(None))
    found = {
        finding.rule for finding in check_rig(resolve_rig(rig), CATALOGUE).findings if finding.rule in CATALOGUE.rules
    }
    return found, set(unchecked(rig))


def every_case() -> Iterator[tuple[Rule, int, str, Trail]]:
    for rule in RULES:
        for index, bad in enumerate(rule.bad):
            for trail in leaves(parse(bad.rig, FILE)[0]) if bad.rig.strip() else ():
                yield rule, index, bad.rig, trail


CASES = [
    pytest.param(rule, rig, trail, id=f"{rule.id}-{index}-{'/'.join(map(str, trail))}")
    for rule, index, rig, trail in every_case()
    if trail[-1] not in SAYS_SO_ITSELF
]


@pytest.mark.parametrize(("rule", "fragment", "trail"), CASES)
def test_nothing_is_left_out_in_silence(rule: Rule, fragment: str, trail: Trail) -> None:
    less = without(fragment, trail)
    if less is None:
        return  # the schema wants it
    found, lines = told(example_document(fragment))
    found_less, lines_less = told(less)
    assert rule.id in found
    if rule.family == "power" and ("power", "mains power") in lines_less:
        return
    assert rule.id in found_less or found_less - found or lines_less - lines, f"{'/'.join(map(str, trail))} is missed"


def test_every_reason_is_of_something_that_rules_go_by() -> None:
    assert set(SAYS_SO_ITSELF) <= {trail[-1] for _, _, _, trail in every_case()}
