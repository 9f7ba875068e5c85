"""The official JSON Schema test suite, Draft 2020-12, against the functions that house rules are compiled to.

Source: github.com/json-schema-org/JSON-Schema-Test-Suite (MIT licence, beside the cases), as carried by the source
distribution of jsonschema 4.17.3 on the Python Package Index, folder json/tests/draft2020-12; the files of every keyword
that is compiled, unchanged. Nothing is left out of them: what a house rule may not use must be refused.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from lint.house.predicate import SchemaRefusedError, compile_schema

CASES: dict[str, list[dict[str, Any]]] = json.loads(
    (Path(__file__).parent / "json_schema_suite" / "draft2020-12.json").read_text(encoding="utf-8")
)
GROUPS = [
    pytest.param(group, id=f"{name}: {group['description']}") for name, groups in CASES.items() for group in groups
]
# What the shorthand compiles to; of these nothing may be refused.
SHORTHAND = "allOf anyOf const contains enum exclusiveMaximum exclusiveMinimum items maxItems maximum minItems minimum not pattern type"
REFUSED_FOR = (
    "can't be used in a house rule",  # patternProperties, $id below the root, $anchor, $dynamicRef, unevaluated...
    "expected a reference within this schema",  # another file, or the whole schema: it would go round in a ring
    "refers to itself",
    "is not a keyword of JSON Schema",
    "there is nothing at",
)


@pytest.mark.parametrize("group", GROUPS)
def test_a_schema_says_what_the_suite_says_or_is_refused(group: dict[str, Any]) -> None:
    try:
        holds = compile_schema(group["schema"])
    except SchemaRefusedError as error:
        assert any(words in str(error) for words in REFUSED_FOR), str(error)
        return
    given = {case["description"]: bool(holds(case["data"])) for case in group["tests"]}
    assert given == {case["description"]: case["valid"] for case in group["tests"]}


def test_nothing_is_refused_of_what_the_shorthand_compiles_to_and_little_of_the_rest() -> None:
    refused: Counter[str] = Counter()
    cases: Counter[str] = Counter()
    for name, groups in CASES.items():
        for group in groups:
            cases[name] += len(group["tests"])
            try:
                compile_schema(group["schema"])
            except SchemaRefusedError:
                refused[name] += len(group["tests"])
    assert set(SHORTHAND.split()) <= set(CASES)
    assert {name for name in SHORTHAND.split() if refused[name]} == set()
    # References to other files and to the whole, and patternProperties: 46 of 729 cases.
    assert set(refused) <= {"ref", "properties", "additionalProperties"}
    assert cases.total() - refused.total() == 683
