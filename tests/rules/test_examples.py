"""Every rule of the catalogue does what its own documentation says: the examples people read are the ones run here."""

from __future__ import annotations

import pytest
from example_rigs import Example

from lint.check.catalogue import load_catalogue
from lint.check.finding import Severity
from lint.check.rule import FAMILIES, Rule

RULES = load_catalogue().rules
GOOD = [pytest.param(rule, text, id=f"{rule.id}-{n}") for rule in RULES.values() for n, text in enumerate(rule.good)]
BAD = [pytest.param(rule, bad, id=f"{rule.id}-{n}") for rule in RULES.values() for n, bad in enumerate(rule.bad)]


def test_no_package_of_rules_failed_to_load() -> None:
    assert load_catalogue().failures == ()


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_a_rule_is_fully_documented(rule: Rule) -> None:
    assert rule.title and rule.why and rule.do and rule.source
    assert rule.family in FAMILIES
    assert rule.good, "no good example"
    assert rule.bad, "no bad example"
    assert all(bad.gives for bad in rule.bad), "a bad example that gives nothing"
    assert all(limit.meaning for limit in rule.limits.values())


def test_no_message_calls_anything_safe() -> None:
    """We say what was checked; nobody is told that something is safe."""
    texts = [(rule.id, text) for rule in RULES.values() for text in (rule.title, rule.why, rule.do, rule.safety)]
    texts += [(rule.id, message) for rule in RULES.values() for bad in rule.bad for message in bad.gives]
    assert [name for name, text in texts if " safe" in f" {text.casefold()}"] == []


def test_the_base_rig_of_the_examples_is_a_go(example: Example) -> None:
    assert example.no_goes("") == []


@pytest.mark.parametrize(("rule", "fragment"), GOOD)
def test_a_good_example_is_let_be(example: Example, rule: Rule, fragment: str) -> None:
    assert [finding.message for finding in example.findings(fragment, rule.id)] == []
    assert example.no_goes(fragment) == []


@pytest.mark.parametrize(("rule", "bad"), BAD)
def test_a_bad_example_gives_exactly_its_messages_and_no_other_no_go(example: Example, rule: Rule, bad) -> None:
    found = example.check(bad.rig).findings
    assert [finding.message for finding in found if finding.rule == rule.id] == list(bad.gives)
    others = {finding.rule for finding in found if finding.weight is Severity.NO_GO} - {rule.id}
    assert others == set(bad.also)


@pytest.mark.parametrize(("rule", "bad"), BAD)
def test_every_cure_of_a_bad_example_cures_it(example: Example, rule: Rule, bad) -> None:
    document = example.document(bad.rig)
    for finding in example.findings(document, rule.id):
        for cure in finding.cures:
            assert cure.text
            if cure.change is None:
                continue
            after = example.changed(document, cure.change)
            left = example.findings(after, rule.id)
            assert finding.message not in [other.message for other in left], f"not cured by: {cure.text}"
            # What may be left is what the same fragment was bad for besides, or a lighter word about the same place.
            same = [other for other in left if other.about == finding.about and other.weight is finding.weight]
            assert same == [] or len(bad.gives) > 1, f"still there after: {cure.text}"
            assert example.findings(after, "rule-failed", "removal-idle") == [], f"an idle change in: {cure.text}"
