"""All that the rules say of their own bad examples besides the message: places, facts, cures and what they explain.

It stands in told.txt, a rule a paragraph, to be read like a letter when a rule is changed: whoever changes one looks at
what a lead would be told then. Make it anew: `python tests/rules/test_told.py > tests/rules/told.txt`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from example_rigs import Example

from lint.check.catalogue import Catalogue, load_catalogue
from lint.check.finding import Finding
from lint.check.rule import Rule

FILE = Path(__file__).with_name("told.txt")
CATALOGUE = load_catalogue()


def told(rule: Rule, catalogue: Catalogue) -> str:
    """Return what a rule says of each of its bad examples."""
    return "\n".join(line for bad in rule.bad for line in _of_rig(rule, bad.rig, Example(catalogue)))


def _of_rig(rule: Rule, rig: str, example: Example) -> Iterator[str]:
    yield from ("", *(f"    {line}" for line in rig.strip().splitlines()))
    for finding in example.findings(rig, rule.id):
        yield from _of_finding(finding)


def _of_finding(finding: Finding) -> Iterator[str]:
    places = "; ".join(f"{place.address} {place.line}:{place.column}" for place in finding.places)
    yield f"{finding.weight.value}: {places}"
    if finding.members:
        yield f"  members: {', '.join(finding.members)}"
    if finding.facts:
        yield f"  facts: {', '.join(f'{name} {value}' for name, value in finding.facts.items())}"
    for cure in finding.cures:
        yield f"  - {cure.text}"
        if cure.change is not None:
            yield f"    {json.dumps(cure.change, ensure_ascii=False)}"
    if finding.explains:
        yield f"  explains: {', '.join(f'{name} {address}' for name, address in sorted(finding.explains))}"


def _sections() -> dict[str, str]:
    parts = FILE.read_text(encoding="utf-8").removeprefix("# ").split("\n# ")
    return dict(part.split("\n", 1) for part in parts)


@pytest.mark.parametrize("name", CATALOGUE.rules)
def test_what_a_rule_says_of_its_bad_examples_is_what_was_read_and_found_good(name: str) -> None:
    assert _sections().get(name, "").strip() == told(CATALOGUE.rules[name], CATALOGUE).strip(), __doc__


def test_every_rule_has_its_paragraph_and_nothing_else_has() -> None:
    assert list(_sections()) == list(CATALOGUE.rules)


if __name__ == "__main__":
    print("\n\n".join(f"# {rule.id}\n{told(rule, CATALOGUE)}" for rule in CATALOGUE.rules.values()))
