"""The keywords of JSON Schema that hold no other schema: what each takes, and the function that it makes of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lint.house.pattern import matcher

Predicate = Callable[[Any], bool]


def same(first: Any, second: Any) -> bool:
    """Whether two values are equal as JSON: 1 and 1.0 are, 1 and true are not."""
    if isinstance(first, bool) or isinstance(second, bool):
        return first is second
    if isinstance(first, list) and isinstance(second, list):
        return len(first) == len(second) and all(map(same, first, second))
    if isinstance(first, dict) and isinstance(second, dict):
        return first.keys() == second.keys() and all(same(value, second[key]) for key, value in first.items())
    return bool(first == second)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_whole(value: Any) -> bool:
    return _is_number(value) and (isinstance(value, int) or value.is_integer())


_TYPES: dict[str, Predicate] = {
    "null": lambda value: value is None,
    "boolean": lambda value: isinstance(value, bool),
    "string": lambda value: isinstance(value, str),
    "number": _is_number,
    "integer": _is_whole,
    "array": lambda value: isinstance(value, list),
    "object": lambda value: isinstance(value, dict),
}


def _type(wanted: Any) -> Predicate:
    if isinstance(wanted, str):
        return _TYPES[wanted]
    tests = [_TYPES[name] for name in wanted]
    return lambda value: any(test(value) for test in tests)


def _is_type(wanted: Any) -> bool:
    names = [wanted] if isinstance(wanted, str) else wanted
    return isinstance(names, list) and bool(names) and all(isinstance(name, str) and name in _TYPES for name in names)


def _const(wanted: Any) -> Predicate:
    if wanted is None or isinstance(wanted, bool):
        return lambda value: value is wanted
    if isinstance(wanted, str):
        return lambda value: value == wanted
    return lambda value: same(value, wanted)


def _enum(wanted: list[Any]) -> Predicate:
    if all(isinstance(entry, str) for entry in wanted):
        texts = frozenset(wanted)
        return lambda value: isinstance(value, str) and value in texts
    return lambda value: any(same(value, entry) for entry in wanted)


def _pattern(wanted: str) -> Predicate:
    search = matcher(wanted)
    return lambda value: not isinstance(value, str) or bool(search(value))


def _multiple(wanted: float) -> Predicate:
    from fractions import Fraction  # noqa: PLC0415 - hardly a rule asks for multiples

    step = Fraction(str(wanted))
    return lambda value: not _is_number(value) or Fraction(str(value)) % step == 0


def _unique(wanted: bool) -> Predicate:
    def differ(value: Any) -> bool:
        if not isinstance(value, list) or len(value) < 2:
            return True
        plain = [(isinstance(entry, bool), entry) for entry in value if not isinstance(entry, list | dict)]
        nested = [entry for entry in value if isinstance(entry, list | dict)]
        return len(set(plain)) == len(plain) and not any(
            same(entry, other) for index, entry in enumerate(nested) for other in nested[:index]
        )

    return differ if wanted else (lambda _: True)


def _required(wanted: list[str]) -> Predicate:
    return lambda value: not isinstance(value, dict) or all(key in value for key in wanted)


def _dependent(wanted: dict[str, list[str]]) -> Predicate:
    return lambda value: (
        not isinstance(value, dict)
        or all(other in value for key, others in wanted.items() if key in value for other in others)
    )


def _compared(holds: Callable[[Any, Any], bool]) -> Callable[[Any], Predicate]:
    return lambda wanted: lambda value: not _is_number(value) or holds(value, wanted)


def _sized(
    kind: type[str] | type[list[Any]] | type[dict[str, Any]], holds: Callable[[int, Any], bool]
) -> Callable[[Any], Predicate]:
    return lambda wanted: lambda value: not isinstance(value, kind) or holds(len(value), wanted)


def is_count(wanted: Any) -> bool:
    """Whether a value is a whole number that is not negative."""
    return _is_whole(wanted) and wanted >= 0


def _is_texts(wanted: Any) -> bool:
    return isinstance(wanted, list) and all(isinstance(entry, str) for entry in wanted)


def _at_most(value: Any, wanted: Any) -> bool:
    return bool(value <= wanted)


def _at_least(value: Any, wanted: Any) -> bool:
    return bool(value >= wanted)


PLAIN: dict[str, tuple[Predicate, Callable[[Any], Predicate]]] = {
    "type": (_is_type, _type),
    "const": (lambda _: True, _const),
    "enum": (lambda wanted: isinstance(wanted, list), _enum),
    "minimum": (_is_number, _compared(_at_least)),
    "maximum": (_is_number, _compared(_at_most)),
    "exclusiveMinimum": (_is_number, _compared(lambda value, wanted: bool(value > wanted))),
    "exclusiveMaximum": (_is_number, _compared(lambda value, wanted: bool(value < wanted))),
    "multipleOf": (lambda wanted: _is_number(wanted) and wanted > 0, _multiple),
    "pattern": (lambda wanted: isinstance(wanted, str), _pattern),
    "minLength": (is_count, _sized(str, _at_least)),
    "maxLength": (is_count, _sized(str, _at_most)),
    "minItems": (is_count, _sized(list, _at_least)),
    "maxItems": (is_count, _sized(list, _at_most)),
    "uniqueItems": (lambda wanted: isinstance(wanted, bool), _unique),
    "minProperties": (is_count, _sized(dict, _at_least)),
    "maxProperties": (is_count, _sized(dict, _at_most)),
    "required": (_is_texts, _required),
    "dependentRequired": (
        lambda wanted: isinstance(wanted, dict) and all(_is_texts(others) for others in wanted.values()),
        _dependent,
    ),
}
