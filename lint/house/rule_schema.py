"""The schema of a house rule file, made of the table of facts: `python -m lint.house.rule_schema` prints it.

What stands in schemas/house-rule.schema.json is this, so that an editor offers every fact with its meaning, and a slip
is told with the nearest thing that was meant.
"""

from __future__ import annotations

import json
from typing import Any

from lint.facts.fact import FLAG, NUMBER, NUMBERS, TEXT, TEXTS, Fact
from lint.facts.kinds import KINDS, choices_of

Schema = dict[str, Any]

_ID = "^[a-z][a-z0-9-]*[a-z0-9]$"
_WORDS: Schema = {"type": "string", "minLength": 1, "maxLength": 400}
_NUMBER_KEYS = {
    "at_most": "It is a number, and not more than this.",
    "at_least": "It is a number, and not less than this.",
    "below": "It is a number less than this.",
    "above": "It is a number more than this.",
}
_SCHEMA: Schema = {"type": ["object", "boolean"], "description": "It fits this JSON Schema (Draft 2020-12)."}
_MATCHES: Schema = {
    "type": "string",
    "minLength": 1,
    "maxLength": 100,
    "description": "It looks like this: * is any letters or none, ? is any one letter.",
}
_COUNT: Schema = {
    "type": ["integer", "object"],
    "title": "a whole number, or a map such as {at_most: 8}",
    "if": {"type": "object"},
    "then": {
        "properties": {
            "at_most": {"type": "integer", "minimum": 0, "description": "Not more than so many."},
            "at_least": {"type": "integer", "minimum": 0, "description": "Not fewer than so many."},
        },
        "additionalProperties": False,
        "minProperties": 1,
    },
    "else": {"minimum": 0},
    "description": "How many members the list has.",
}


def rule_schema() -> Schema:
    """Return the whole schema."""
    definitions: dict[str, Schema] = {}
    for kind in KINDS.values():
        rows = {fact.name: _fact(fact, definitions) for fact in kind.facts.values()}
        definitions[f"{kind.name}_row"] = _row(rows)
        definitions[f"{kind.name}_rows"] = _one_or_more(f"{kind.name}_row")
        definitions[f"{kind.name}_pair"] = _pair(kind.name, list(kind.facts))
        definitions[f"{kind.name}_pairs"] = _one_or_more(f"{kind.name}_pair")
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "https://rigwalk.example/schemas/house-rule.schema.json",
        "title": "rigwalk house rule",
        "description": "A rule that a house writes for itself: rules/NAME.yaml in the house's folder.",
        "type": "object",
        "required": ["rule_format", "rule", "title", "because", "do"],
        "properties": _keys(),
        "additionalProperties": False,
        "allOf": [
            {
                "if": {"properties": {key: {"const": name}}, "required": [key]},
                "then": {
                    "properties": {
                        "where": {"$ref": f"#/$defs/{name}_{rows}"},
                        "expect": {"$ref": f"#/$defs/{name}_{rows}"},
                    }
                },
            }
            for key, rows in (("for_each", "rows"), ("pairs_of", "pairs"))
            for name in KINDS
        ],
        "$defs": definitions,
    }


def _keys() -> dict[str, Schema]:
    kinds: Schema = {"enum": list(KINDS)}
    count: Schema = {
        "type": ["integer", "string"],
        "title": "a whole number, or such as 8 per box",
        "minimum": 0,
        "pattern": "^[0-9]{1,6} per [a-z_]+$",
    }
    return {
        "rule_format": {"const": 1, "description": "The version of this format: 1."},
        "rule": {
            "type": "string",
            "pattern": _ID,
            "maxLength": 60,
            "title": "a name in lower-case letters, digits and hyphens, a letter first, such as choir-on-west-box",
            "description": "Its name: that of the file.",
        },
        "title": {**_WORDS, "description": "What must be so, in one line."},
        "severity": {
            "enum": ["no-go", "caution", "note"],
            "description": "How much it weighs; caution where nothing is said.",
        },
        "because": {**_WORDS, "maxLength": 1000, "description": "Why it matters."},
        "do": {**_WORDS, "maxLength": 1000, "description": "What to do where it is not so."},
        "source": {**_WORDS, "description": "Where it comes from; 'our own house rule' where nothing is said."},
        "for_each": {**kinds, "description": "The rows that it looks at, one by one."},
        "pairs_of": {**kinds, "description": "The rows that it looks at two by two."},
        "where": {
            "description": "Which of them it is about: those for which all of this holds; all, where it is left out."
        },
        "expect": {"description": "What must hold for each of them."},
        "at_most": {**count, "description": "There may be so many of them at most, in all or per fact."},
        "at_least": {**count, "description": "There must be so many of them at least, in all or per fact."},
        "message": {
            **_WORDS,
            "description": "What is said where it is not so. Facts stand in braces: {id} is on {box}.",
        },
        "base": {
            "enum": ["example", "house"],
            "description": "What the examples are merged into: the small example rig, or this house's house.yaml.",
        },
        **_examples(),
    }


def _examples() -> dict[str, Schema]:
    fragment: Schema = {"type": "object", "minProperties": 1}
    return {
        "good": {
            "type": "array",
            "items": {**fragment, "description": "A piece of a rig file with which the rule finds nothing."},
            "description": "Pieces of a rig file with which the rule finds nothing.",
        },
        "bad": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["rig", "gives"],
                "properties": {
                    "rig": {**fragment, "description": "A piece of a rig file with which the rule finds something."},
                    "gives": {
                        "type": "array",
                        "items": {"type": "string"},
                        "minItems": 1,
                        "description": "The messages that it gives then, word for word.",
                    },
                },
                "additionalProperties": False,
            },
            "description": "Pieces of a rig file with which the rule finds something, and what it says.",
        },
    }


def _row(facts: dict[str, Schema]) -> Schema:
    return {
        "type": "object",
        "properties": {
            **facts,
            "schema": {**_SCHEMA, "description": "The whole row fits this JSON Schema (Draft 2020-12)."},
        },
        "additionalProperties": False,
        "minProperties": 1,
    }


def _one_or_more(definition: str) -> Schema:
    return {
        "type": ["object", "array"],
        "if": {"type": "array"},
        "then": {"items": {"$ref": f"#/$defs/{definition}"}, "minItems": 1},
        "else": {"$ref": f"#/$defs/{definition}"},
    }


def _pair(kind: str, facts: list[str]) -> Schema:
    one: Schema = {"enum": facts}
    named: Schema = {
        "type": ["string", "array"],
        "title": "the name of a fact, or a list of them",
        "if": {"type": "array"},
        "then": {"items": one, "minItems": 1},
        "else": one,
    }
    row = {"$ref": f"#/$defs/{kind}_row"}
    return {
        "type": "object",
        "properties": {
            "first": {**row, "description": "What holds for one of the two."},
            "second": {**row, "description": "What holds for the other."},
            "alike": {**named, "description": "The facts that are stated for both and the same."},
            "unlike": {**named, "description": "The facts that are stated for both and not the same."},
            "schema": {
                **_SCHEMA,
                "description": "The pair fits this JSON Schema; it has first, second, alike and unlike.",
            },
        },
        "additionalProperties": False,
        "minProperties": 1,
    }


def _fact(fact: Fact, definitions: dict[str, Schema]) -> Schema:
    """A fact with its meaning; what can be asked of it goes by its type, and stands in `definitions` once."""
    value = _define_value(fact, definitions)
    if fact.is_list:
        definitions.setdefault(f"{value}_list", _list_condition(fact, value))
        value += "_list"
    return {"$ref": f"#/$defs/{value}", "description": fact.meaning[:1].upper() + fact.meaning[1:] + "."}


def _define_value(fact: Fact, definitions: dict[str, Schema]) -> str:
    """Define what can be asked of one value of a fact, or of a member of its list; return the definition's name."""
    kind = {TEXT: "string", TEXTS: "string", NUMBER: "number", NUMBERS: "number", FLAG: "boolean"}[fact.type]
    name = fact.choices.replace("/", "_") or {"string": "text", "boolean": "flag"}.get(kind, kind)
    if name in definitions:
        return name
    choices = choices_of(fact)
    plain: Schema = {"enum": [*choices, None]} if choices else {"type": [kind, "null"]}
    asked: dict[str, Schema] = {}
    if kind == "number":
        asked = {key: {"type": "number", "description": text} for key, text in _NUMBER_KEYS.items()}
    elif kind == "string":
        asked = {"matches": _MATCHES}
    words = {"string": "text", "boolean": FLAG, "number": NUMBER}[kind]
    example = {"string": "{matches: choir-*}", "boolean": "{not: true}", "number": "{at_most: 8}"}[kind]
    definitions[f"{name}_value"] = {"title": words, **plain}
    title = f"{words}, a list of which one must hold, or a map such as {example}"
    definitions[f"{name}_simple"] = _one_of_forms(kind, title, f"{name}_value", asked)
    negated = {"$ref": f"#/$defs/{name}_simple", "description": "It is not this, or not like this."}
    asked = {**asked, "not": negated, "schema": _SCHEMA}
    definitions[f"{name}_member"] = {
        "type": [kind, "null", "object"],
        "title": f"{words}, or a map such as {example}",
        "if": {"type": "object"},
        "then": {"properties": asked, "additionalProperties": False, "minProperties": 1},
        "else": {"$ref": f"#/$defs/{name}_value"},
    }
    definitions[name] = _one_of_forms(kind, title, f"{name}_member", asked)
    return name


def _one_of_forms(kind: str, title: str, member: str, asked: dict[str, Schema]) -> Schema:
    """A plain value, a list of which one must hold, or a map of what is asked."""
    return {
        "type": [kind, "null", "array", "object"],
        "title": title,
        "if": {"type": "object"},
        "then": {"properties": asked, "additionalProperties": False, "minProperties": 1},
        "else": {
            "if": {"type": "array"},
            "then": {"items": {"$ref": f"#/$defs/{member}"}, "minItems": 1},
            "else": {"$ref": f"#/$defs/{member.rpartition('_')[0]}_value"},
        },
    }


def _list_condition(fact: Fact, value: str) -> Schema:
    member = {"$ref": f"#/$defs/{value}"}
    return {
        "type": "object",
        "title": "a map such as {has: " + ("8}" if fact.type == NUMBERS else "talkback}"),
        "properties": {
            "has": {**member, "description": "A member of the list is so."},
            "has_no": {**member, "description": "No member of the list is so."},
            "only": {**member, "description": "Every member of the list is so."},
            "count": _COUNT,
            "schema": _SCHEMA,
        },
        "additionalProperties": False,
        "minProperties": 1,
    }


if __name__ == "__main__":
    print(json.dumps(rule_schema(), indent=1, ensure_ascii=False))
