"""For the tests of your own rules, in a package or in a house: every rule does what its own examples say.

    import pytest
    from lint.testing import examples, house_rules
    from my_package import check

    @pytest.mark.parametrize("example", examples(check), ids=str)
    def test_the_rule_does_what_its_example_says(example):
        example.prove()

`house_rules(folder)` returns the rules of a house's `rules/` folder. Of Python rules only those are run whose digest
is trusted on this machine or given as `trust`.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from lint.check.rule import Rule
from lint.house import proof
from lint.house.load import FOLDER, load_rule, rule_files
from lint.house.proof import Example, Outcome

__all__ = ["Example", "Outcome", "examples", "house_rules"]


def examples(*rules: Rule) -> list[Example]:
    """Return every example of the rules.

    Raises ValueError for a rule without a good or without a bad example: it would pass unseen.
    """
    for rule in rules:
        if not rule.good or not rule.bad:
            raise ValueError(f"the rule {rule.id} needs a good and a bad example")
    return [example for rule in rules for example in proof.examples(rule)]


def house_rules(house: str | Path, trust: Collection[str] = ()) -> list[Rule]:
    """Return the rules in the `rules/` folder of a house.

    Raises ValueError where there are none, for a test of no rules would pass unseen; CannotReadError, RuleFailedError
    or NotTrustedError for the first that can't be loaded.
    """
    paths = rule_files(Path(house))
    if not paths:
        raise ValueError(f"there are no rules in {Path(house) / FOLDER}; expected the folder of a house")
    return [load_rule(path, trust) for path in paths]
