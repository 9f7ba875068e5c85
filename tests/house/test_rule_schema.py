"""The schema of rule files: it is what the table of facts makes it, and an editor can work with it."""

from __future__ import annotations

import json

from jsonschema import Draft202012Validator

from lint.facts.kinds import KINDS
from lint.house.rule_schema import rule_schema
from lint.house.shorthand import _OPERATORS
from lint.read.fits import Fits
from lint.read.schema import schema, schema_text


def test_the_file_is_what_the_facts_make_it() -> None:
    made = json.dumps(rule_schema(), indent=1, ensure_ascii=False) + "\n"
    assert schema_text("house-rule") == made, "python -m lint.house.rule_schema > schemas/house-rule.schema.json"


def test_every_fact_is_offered_with_its_meaning() -> None:
    Draft202012Validator.check_schema(schema("house-rule"))
    for kind in KINDS.values():
        offered = schema("house-rule")["$defs"][f"{kind.name}_row"]["properties"]
        assert set(offered) == {*kind.facts, "schema"}
        for fact in kind.facts.values():
            assert offered[fact.name]["description"].casefold().startswith(fact.meaning[:20].casefold())


def test_every_operator_of_the_short_form_is_offered_and_no_other() -> None:
    text = schema_text("house-rule")
    assert {name for name in _OPERATORS if f'"{name}": {{' not in text} == set()


def test_jsonschema_and_the_compiled_function_agree_on_rule_files() -> None:
    fits = Fits(schema("house-rule"))
    validator = Draft202012Validator(schema("house-rule"))
    head = {"rule_format": 1, "rule": "own-rule", "title": "t", "because": "b", "do": "d"}
    conditions = [
        {"box": "a"}, {"box": ["a", None]}, {"box": [["a"]]}, {"box": {}}, {"box": 3}, {"bax": 1}, {},
        {"gain_db": {"at_most": 3, "not": [1, 2]}}, {"gain_db": {"at_most": "3"}}, {"gain_db": [1, {"above": 3}]},
        {"gain_db": {"not": {"not": 3}}}, {"mixes": "a"}, {"mixes": {"has": {"matches": "a*"}}}, {"mixes": {"count": 3}},
        {"mixes": {"count": {"at_most": 3.5}}}, {"kind": "player"}, {"kind": "playr"}, {"needs_phantom": True},
        {"needs_phantom": 1}, {"schema": {}}, {"schema": 3}, [{"box": "a"}, {"id": "b"}], [], [{"bax": 1}], None, "a",
    ]  # fmt: skip
    for condition in conditions:
        for key in ("where", "expect"):
            for form in ({"for_each": "sources"}, {"pairs_of": "sources"}, {}):
                data = {**head, **form, key: condition}
                assert fits(data) == validator.is_valid(data), data
    for name, value in (
        ("rule", "Own"),
        ("severity", "bad"),
        ("at_most", "8 per"),
        ("good", [3]),
        ("base", "x"),
        ("y", 1),
    ):
        data = {**head, "for_each": "sources", "expect": {"box": "a"}, name: value}
        assert not fits(data)
        assert not validator.is_valid(data)
