"""The short form of conditions, made into JSON Schema: what a row (or a pair of rows) must be like.

What comes in here fits schemas/house-rule.schema.json already. A plain value stands for itself, a list for any one of
its members, a map for everything in it; nothing in it is ever run as code. What the rig does not say is null in a row,
so no number, text or wildcard holds for it: only a plain null does.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from lint.house.pattern import glob
from lint.house.predicate import at_pointer

Schema = Any


def condition_schema(condition: Any) -> Schema:
    """Return the JSON Schema of what is asked of one fact."""
    if isinstance(condition, list):
        plain = [entry for entry in condition if not isinstance(entry, dict)]
        if len(plain) == len(condition):
            return {"enum": condition}
        return {"anyOf": [condition_schema(entry) for entry in condition]}
    if isinstance(condition, dict):
        return _all_of([_OPERATORS[key](wanted) for key, wanted in condition.items()])
    return {"const": condition}


def row_schema(wanted: Any) -> Schema:
    """Return the JSON Schema of what is asked of a row: a map of facts, or a list of maps of which one must hold."""
    if isinstance(wanted, list):
        return {"anyOf": [row_schema(entry) for entry in wanted]}
    facts = {name: condition_schema(asked) for name, asked in wanted.items() if name != "schema"}
    parts = [{"properties": facts}] if facts else []
    return _all_of([*parts, _inlined(wanted["schema"], wanted["schema"])] if "schema" in wanted else parts)


def pair_schema(wanted: Any) -> Schema:
    """Return the JSON Schema of what is asked of a pair: `first` and `second` are rows, the rest names of facts."""
    if isinstance(wanted, list):
        return {"anyOf": [pair_schema(entry) for entry in wanted]}
    parts: list[Schema] = [
        {"properties": {side: row_schema(wanted[side])}} for side in ("first", "second") if side in wanted
    ]
    for key in ("alike", "unlike"):
        parts += [{"properties": {key: {"contains": {"const": name}}}} for name in named(wanted.get(key, []))]
    return _all_of([*parts, _inlined(wanted["schema"], wanted["schema"])] if "schema" in wanted else parts)


def named(written: str | list[str]) -> list[str]:
    """Return the names of facts, written as one or as a list."""
    return [written] if isinstance(written, str) else written


def _all_of(parts: list[Schema]) -> Schema:
    return parts[0] if len(parts) == 1 else {"allOf": parts}


def _number(keyword: str) -> Callable[[Any], Schema]:
    return lambda wanted: {"type": "number", keyword: wanted}


def _count(wanted: int | Mapping[str, int]) -> Schema:
    if isinstance(wanted, Mapping):
        keys = {"at_most": "maxItems", "at_least": "minItems"}
        return {"type": "array", **{keys[key]: number for key, number in wanted.items()}}
    return {"type": "array", "minItems": wanted, "maxItems": wanted}


_OPERATORS: dict[str, Callable[[Any], Schema]] = {
    "at_most": _number("maximum"),
    "at_least": _number("minimum"),
    "below": _number("exclusiveMaximum"),
    "above": _number("exclusiveMinimum"),
    "matches": lambda wanted: {"type": "string", "pattern": glob(wanted)},
    "not": lambda wanted: {"not": condition_schema(wanted)},
    "has": lambda wanted: {"type": "array", "contains": condition_schema(wanted)},
    "has_no": lambda wanted: {"type": "array", "items": {"not": condition_schema(wanted)}},
    "only": lambda wanted: {"type": "array", "items": condition_schema(wanted)},
    "count": _count,
    "schema": lambda wanted: _inlined(wanted, wanted),
}


def _inlined(part: Schema, root: Schema) -> Schema:
    """Return a schema of the author's with its references replaced by what they name: it becomes part of a larger one.

    It has been compiled by itself before, so its references lead somewhere, never in a ring, and it stays small.
    """
    if isinstance(part, list):
        return [_inlined(entry, root) for entry in part]
    if not isinstance(part, dict):
        return part
    own = {
        key: value if key in ("const", "enum", "default", "examples") else _inlined(value, root)
        for key, value in part.items()
        if key not in ("$ref", "$defs", "$id", "$schema")
    }
    reference = part.get("$ref")
    return {"allOf": [_inlined(at_pointer(root, reference), root), own]} if isinstance(reference, str) else own


# -- in words --------------------------------------------------------------------------------------------------


def condition_words(condition: Any) -> str:
    """Say what is asked of a fact, as it follows 'expected'."""
    if isinstance(condition, list):
        words = [condition_words(entry) for entry in condition]
        return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
    if isinstance(condition, dict):
        return " and ".join(_operator_words(key, wanted) for key, wanted in condition.items())
    if condition is None:
        return "nothing"
    return str(condition).lower() if isinstance(condition, bool) else str(condition)


def _operator_words(key: str, wanted: Any) -> str:
    if key == "schema":
        return "what the rule's schema says"
    if key == "count":
        return f"{wanted if isinstance(wanted, int) else condition_words(wanted)} of them"
    words = {"has": "one that is", "has_no": "none that is", "only": "only", "matches": "like", "below": "less than"}
    words["above"] = "more than"
    return f"{words.get(key, key.replace('_', ' '))} {condition_words(wanted)}"
