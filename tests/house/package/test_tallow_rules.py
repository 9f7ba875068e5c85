"""How a package tests its rules: with the kit, and nothing of rigwalk's own tests."""

import pytest
from tallow_rules import lavalier_gain

from lint.testing import Example, examples


@pytest.mark.parametrize("example", examples(lavalier_gain.check), ids=str)
def test_the_rule_does_what_its_example_says(example: Example) -> None:
    example.prove()
