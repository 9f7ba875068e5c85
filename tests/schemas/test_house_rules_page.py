"""The page schemas/house-rules.md, held against the program: its ten rules are run from its text, its tables are whole."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from lint.facts.kinds import KINDS
from lint.house.yaml_rule import load_yaml_rule
from lint.read.schema import schema
from lint.testing import examples

PAGE = (Path(__file__).parents[2] / "schemas" / "house-rules.md").read_text(encoding="utf-8")
RULES = dict(re.findall(r"^```yaml\n# rules/([a-z0-9-]+)\.yaml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL))


def section(title: str) -> str:
    return re.split(r"^## .+$", PAGE, flags=re.MULTILINE)[re.findall(r"^## (.+)$", PAGE, re.MULTILINE).index(title) + 1]


def test_there_are_ten_and_no_other_yaml() -> None:
    assert len(RULES) == 10
    assert PAGE.count("```yaml") == 10


@pytest.mark.parametrize("name", RULES)
def test_a_rule_of_the_page_does_what_its_examples_say(name: str, tmp_path: Path) -> None:
    path = tmp_path / f"{name}.yaml"
    path.write_text(RULES[name], encoding="utf-8")
    rule = load_yaml_rule(path, path.name)
    for example in examples(rule):
        example.prove()


def test_the_table_of_keys_is_that_of_the_schema() -> None:
    named = {
        key for row in section("The file").splitlines() if row.startswith("| `")
        for key in re.findall(r"`([a-z_]+)`", row.split("|")[1])
    }  # fmt: skip
    assert named == set(schema("house-rule")["properties"])
    needed = {
        match[1]
        for row in section("The file").splitlines()
        if (match := re.match(r"\| `(\w+)` \(must be there\)", row))
    }
    assert needed == set(schema("house-rule")["required"])


def test_the_tables_of_facts_are_those_of_the_program() -> None:
    pieces = re.split(r"^\*\*`(\w+)`\*\*$", section("The facts"), flags=re.MULTILINE)
    told = {
        kind: [tuple(row) for row in re.findall(r"^\| `(\w+)` \| (.+?) \| (.+) \|$", text, re.MULTILINE)]
        for kind, text in zip(pieces[1::2], pieces[2::2], strict=True)
    }
    assert told == {
        kind.name: [(fact.name, fact.type, fact.meaning) for fact in kind.facts.values()] for kind in KINDS.values()
    }


def test_what_can_be_asked_is_shown_for_every_operator() -> None:
    from lint.house.shorthand import _OPERATORS

    shown = section("What can be asked of a fact")
    assert {name for name in _OPERATORS if f"{name}" not in shown} == set()


def test_every_link_leads_somewhere() -> None:
    for link in re.findall(r"\]\(([^)#]+)[^)]*\)", PAGE):
        assert (Path(__file__).parents[2] / "schemas" / link).exists()
