"""A quick yes to a document that fits one of our own schemas; where it is no, jsonschema decides and says why.

Each part of a schema becomes a table of plain functions by the type of the value, made when the first value comes to
it. A yes must be one of jsonschema's (tests/read/test_fits.py holds every schema to that); a no costs time alone. What
a stranger writes as a schema is `lint/house/predicate.py`'s work: it bounds what may be asked, and knows every keyword.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from functools import partial
from typing import Any

Fit = Callable[[Any], bool]
_Search = Callable[[str], object]
_Schema = Mapping[str, Any]

_KINDS: dict[str, tuple[type, ...]] = {
    "null": (type(None),),
    "boolean": (bool,),
    "string": (str,),
    "integer": (int, float),
    "number": (int, float),
    "array": (list,),
    "object": (dict,),
}
_EVERY_KIND = (type(None), bool, str, int, float, list, dict)
# How our schemas say the letters of an id, in whatever language.
_ANY_LETTER = r"[^\u0000-\u0060\u007b-\u00bf]"
_ANY_LETTER_OR_DIGIT = r"[^\u0000-\u002f\u003a-\u0060\u007b-\u00bf]"
_TOLD = frozenset(("$schema", "$id", "$defs", "title", "description", "type", "then", "else"))
_BOUNDS: dict[type, tuple[str, ...]] = {
    str: ("minLength", "maxLength"),
    list: ("minItems", "maxItems"),
    dict: ("minProperties", "maxProperties"),
}
_MEMBERS = frozenset(("properties", "patternProperties", "additionalProperties"))


class Fits:
    """A schema as a function. Raises ValueError for a keyword, or a use of one, that no schema of ours makes."""

    def __init__(self, whole: _Schema) -> None:
        self._definitions: _Schema = whole.get("$defs", {})
        self._named: dict[str, Fit] = {}
        self._whole = whole

    def __call__(self, value: Any) -> bool:
        """Whether a value fits; a no may be a mistake, a yes never."""
        return self.part("", self._whole)(value)

    def part(self, name: str, schema: _Schema) -> Fit:
        """Return the function of a part of the schema, made once a name."""
        if name not in self._named:
            self._named[name] = self._made(schema)
        return self._named[name]

    def _made(self, schema: _Schema) -> Fit:
        if set(schema) <= {"$ref", "description"} and "$ref" in schema:
            return self._later(schema["$ref"])
        kinds = _allowed(schema)
        if len(kinds) == 1:
            only, test = kinds[0], every(self._tests(kinds[0], schema))
            return lambda value: type(value) is only and test(value)
        tests = _Made(lambda kind: every(self._tests(kind, schema)), kinds, _never)
        return lambda value: tests[type(value)](value)

    def _later(self, reference: str) -> Fit:
        """Return a function that makes the named part when it is first asked."""
        name = reference.removeprefix("#/$defs/")
        named = self._named

        def fit(value: Any) -> bool:
            made = named.get(name) or self.part(name, self._definitions[name])
            return made(value)

        return fit

    def _tests(self, kind: type, schema: _Schema) -> list[Fit]:
        """Return what a value of one type must hold."""
        tests: list[Fit] = []
        if kind in _BOUNDS:
            tests += _sized(*(schema.get(key) for key in _BOUNDS[kind]))
        for key, wanted in schema.items():
            if key in _TOLD or key in _BOUNDS_OF_ALL:
                continue
            if key in _NUMBERS:
                tests += [_NUMBERS[key](wanted)] if kind in (int, float) else []
            elif key in _PLAIN:
                only, make = _PLAIN[key]
                tests += [make(wanted)] if kind is only else []
            elif key in ("const", "enum"):
                tests.append(_one_of(kind, wanted if key == "enum" else [wanted]))
            elif key in _MEMBERS:
                continue
            elif key in ("$ref", "if", "allOf"):
                tests += self._nested(kind, key, wanted, schema)
            elif key == "items":
                tests += [_each(self._made(wanted))] if kind is list else []
            else:
                raise ValueError(f"{key} stands in no schema of ours")
        if kind is dict and _MEMBERS & schema.keys():
            tests.append(self._members(schema))
        if kind is float and "integer" in schema.get("type", ()) and "number" not in schema.get("type", ()):
            tests.append(float.is_integer)
        return tests

    def _nested(self, kind: type, key: str, wanted: Any, schema: _Schema) -> list[Fit]:
        if key == "$ref":
            return [self._later(wanted)]
        if key == "allOf":
            return [self._of(kind, part) for part in wanted]
        then, otherwise = (self._of(kind, schema.get(word, {})) for word in ("then", "else"))
        if set(wanted) == {"type"} and wanted["type"] != "integer":
            return [then if kind in _allowed(wanted) else otherwise]
        return [_either(self._exact(kind, wanted), then, otherwise)]

    def _of(self, kind: type, schema: _Schema) -> Fit:
        """Return the function of a further schema for a value whose type is known."""
        return every(self._tests(kind, schema)) if kind in _allowed(schema) else _never

    def _exact(self, kind: type, condition: _Schema) -> Fit:
        """Return a condition's function: here a wrong no would lead to a wrong yes, so only what is exact is taken."""
        properties: Mapping[str, _Schema] = condition.get("properties", {})
        known = set(condition) <= {"properties", "required"}
        if not known or any(set(part) - {"const"} or type(part["const"]) is not str for part in properties.values()):
            raise ValueError(f"no schema of ours asks {condition}")
        return self._of(kind, condition)

    def _members(self, schema: _Schema) -> Fit:
        """Return what the members of a map must hold, each by its key."""
        parts = schema.get("properties", {})
        patterns = schema.get("patternProperties", {})
        further = schema.get("additionalProperties", True)
        if len(patterns) > 1 or (patterns and (parts or further is not False)):
            raise ValueError("no schema of ours mixes patterns of keys with other keys")
        if patterns:
            ((pattern, part),) = patterns.items()
            return _alike(pattern, self._made(part))
        other = _never if further is False else _always if further is True else self._made(further)
        return _by_key(_Made(lambda key: self._made(parts[key]), parts, other))


def _allowed(schema: _Schema) -> tuple[type, ...]:
    """Return the types of values that a schema allows."""
    wanted = schema.get("type")
    if wanted is None:
        return _EVERY_KIND
    return _KINDS[wanted] if isinstance(wanted, str) else tuple(kind for name in wanted for kind in _KINDS[name])


def _never(_: Any) -> bool:
    return False


def _always(_: Any) -> bool:
    return True


def every(tests: Sequence[Fit]) -> Fit:
    """Return the function that all of several hold."""
    if not tests:
        return _always
    if len(tests) == 1:
        return tests[0]
    if len(tests) == 2:
        first, second = tests
        return lambda value: first(value) and second(value)
    return lambda value: all(test(value) for test in tests)


def _either(condition: Fit, then: Fit, otherwise: Fit) -> Fit:
    return lambda value: then(value) if condition(value) else otherwise(value)


def _sized(least: int | None, most: int | None) -> list[Fit]:
    if most is not None:
        low = least or 0
        return [lambda value: low <= len(value) <= most]
    return [] if not least else [lambda value: len(value) >= least]


def _searches(pattern: str) -> tuple[_Search, _Search]:
    """Return two searches of a pattern: one that knows plain letters alone, and the whole, made when it is asked.

    `$` is the very end, as JSON Schema means it. Letters of every language are half of the cost of making a pattern.
    """
    whole = pattern[:-1] + r"\Z" if pattern.endswith("$") else pattern
    plain = whole.replace(_ANY_LETTER, "[a-z]").replace(_ANY_LETTER_OR_DIGIT, "[a-z0-9]")
    return re.compile(plain).search, partial(re.search, whole)


def _pattern(wanted: str) -> Fit:
    plain, whole = _searches(wanted)
    return lambda value: (plain(value) or whole(value)) is not None


def _one_of(kind: type, wanted: list[Any]) -> Fit:
    """Return whether a value of one type is listed; what is equal as a number alone (1.0 and 1) is jsonschema's."""
    choices = frozenset(entry for entry in wanted if type(entry) is kind and kind not in (list, dict))
    return choices.__contains__ if choices else _never


def _unique(wanted: bool) -> Fit:
    """Texts or whole numbers that all differ; anything else that may differ is left to jsonschema."""
    if not wanted:
        return _always
    return lambda value: len(value) < 2 or (set(map(type, value)) in ({str}, {int}) and len(set(value)) == len(value))


def _required(wanted: list[str]) -> Fit:
    keys = frozenset(wanted)
    return lambda value: keys <= value.keys()


def _each(part: Fit) -> Fit:
    return lambda value: all(map(part, value))


def _alike(pattern: str, part: Fit) -> Fit:
    plain, whole = _searches(pattern)

    def hold(value: dict[str, Any]) -> bool:
        return (all(map(plain, value)) or all(map(whole, value))) and all(map(part, value.values()))

    return hold


class _Made(dict[Any, Fit]):
    """Functions by the key of a member, or by the type of a value, each made when it is first asked."""

    def __init__(self, make: Callable[[Any], Fit], keys: Collection[Any], other: Fit) -> None:
        super().__init__()
        self._make, self._keys, self._other = make, keys, other

    def __missing__(self, key: Any) -> Fit:
        if key not in self._keys:
            return self._other
        self[key] = self._make(key)
        return self[key]


def _by_key(parts: _Made) -> Fit:
    def hold(value: dict[str, Any]) -> bool:
        for key, entry in value.items():  # noqa: SIM110 - half the time of all() with a generator
            if not parts[key](entry):
                return False
        return True

    return hold


_NUMBERS: dict[str, Callable[[Any], Fit]] = {
    "minimum": lambda wanted: lambda value: value >= wanted,
    "maximum": lambda wanted: lambda value: value <= wanted,
    "exclusiveMinimum": lambda wanted: lambda value: value > wanted,
    "exclusiveMaximum": lambda wanted: lambda value: value < wanted,
}
_PLAIN: dict[str, tuple[type, Callable[[Any], Fit]]] = {
    "pattern": (str, _pattern),
    "uniqueItems": (list, _unique),
    "required": (dict, _required),
}
_BOUNDS_OF_ALL = frozenset(key for keys in _BOUNDS.values() for key in keys)
