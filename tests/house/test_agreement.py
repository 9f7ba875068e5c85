"""Three readings of one condition always agree: the compiled function, jsonschema on the compiled schema, and plain Python.

The plain reading is written here from the words of the documentation and knows nothing of JSON Schema.
"""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Iterator
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, ValidationError, validators
from rigs import examples

from lint.house.predicate import compile_schema
from lint.house.shorthand import condition_schema, pair_schema, row_schema

# -- the plain reading -----------------------------------------------------------------------------------------


def equal(value: Any, wanted: Any) -> bool:
    return (type(value) is bool) == (type(wanted) is bool) and value == wanted


def is_number(value: Any) -> bool:
    return type(value) in (int, float)


def holds(value: Any, wanted: Any) -> bool:
    if isinstance(wanted, list):
        return any(holds(value, entry) for entry in wanted)
    if not isinstance(wanted, dict):
        return equal(value, wanted)
    return all(asked(value, key, what) for key, what in wanted.items())


def asked(value: Any, key: str, what: Any) -> bool:  # noqa: PLR0911 - one return an operator
    if key in ("at_most", "at_least", "above", "below"):
        if not is_number(value):
            return False
        return {"at_most": value <= what, "at_least": value >= what, "above": value > what, "below": value < what}[key]
    if key == "matches":
        return isinstance(value, str) and fnmatch.fnmatchcase(value, re.sub(r"[\[\]]", r"[\g<0>]", what))
    if key == "not":
        return not holds(value, what)
    if not isinstance(value, list):
        return False
    if key == "has":
        return any(holds(entry, what) for entry in value)
    if key == "has_no":
        return not any(holds(entry, what) for entry in value)
    if key == "only":
        return all(holds(entry, what) for entry in value)
    if isinstance(what, dict):
        return all(asked(len(value), bound, number) for bound, number in what.items())
    return len(value) == what


# -- jsonschema ------------------------------------------------------------------------------------------------


def whole_pattern(_validator: Any, pattern: str, instance: Any, _schema: Any) -> Iterator[ValidationError]:
    """`$` is the very end in ECMA 262, and in Python also before a last line break."""
    if isinstance(instance, str) and not re.search(pattern.removesuffix("$") + r"\Z", instance):
        yield ValidationError("no")


Validator = validators.extend(Draft202012Validator, {"pattern": whole_pattern})


def by_jsonschema(schema: Any, value: Any) -> bool:
    return bool(Validator(schema).is_valid(value))


# -- drawn at random -------------------------------------------------------------------------------------------

LETTERS = st.text("ab-*?.[]^$\\(){}|+ \n\u00e9", max_size=6)
NUMBERS = st.integers(-3, 60) | st.sampled_from([0.0, 1.0, 2.5, -0.0, 1e9, 50.0])
PLAIN = st.none() | st.booleans() | NUMBERS | LETTERS
VALUES = PLAIN | st.lists(PLAIN, max_size=4)
NUMBER_OPS = st.dictionaries(
    st.sampled_from(["at_most", "at_least", "above", "below"]), NUMBERS, min_size=1, max_size=3
)
PATTERNS = st.text("ab-*?.[]^$\\(){}|+ \n", min_size=1, max_size=8).map(lambda text: {"matches": text})


def wider(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    counts = st.integers(0, 4) | st.dictionaries(
        st.sampled_from(["at_most", "at_least"]), st.integers(0, 4), min_size=1
    )
    lists = st.fixed_dictionaries({}, optional={"has": inner, "has_no": inner, "only": inner, "count": counts})
    return (
        st.lists(inner.filter(lambda entry: not isinstance(entry, list)), min_size=1, max_size=3)
        | inner.map(lambda entry: {"not": entry})
        | lists.filter(bool)
        | st.tuples(NUMBER_OPS, inner).map(lambda both: {**both[0], "not": both[1]})
    )


CONDITIONS = st.recursive(PLAIN | NUMBER_OPS | PATTERNS, wider, max_leaves=6)
NAMES = ("id", "box", "gain_db", "mixes")


@examples(8)
@given(CONDITIONS, VALUES)
def test_a_condition_on_one_fact(condition: Any, value: Any) -> None:
    schema = condition_schema(condition)
    assert compile_schema(schema)(value) == by_jsonschema(schema, value) == holds(value, condition)


@examples(5)
@given(CONDITIONS, st.data())
def test_a_condition_on_a_value_that_it_names(condition: Any, data: st.DataObject) -> None:
    """Values at random hardly ever are what is asked for; so here they are taken out of the condition itself."""
    named = list(values_in(condition))
    value = data.draw(st.sampled_from(named) | st.lists(st.sampled_from(named), max_size=3))
    schema = condition_schema(condition)
    assert compile_schema(schema)(value) == by_jsonschema(schema, value) == holds(value, condition)


def values_in(condition: Any) -> Iterator[Any]:
    if isinstance(condition, dict | list):
        for entry in condition.values() if isinstance(condition, dict) else condition:
            yield from values_in(entry)
    else:
        yield condition


ROWS = st.fixed_dictionaries(dict.fromkeys(NAMES, VALUES))
WHERES = st.dictionaries(st.sampled_from(NAMES), CONDITIONS, min_size=1, max_size=3)


@examples(5)
@given(WHERES | st.lists(WHERES, min_size=1, max_size=3), ROWS)
def test_a_row(where: Any, row: dict[str, Any]) -> None:
    ways = where if isinstance(where, list) else [where]
    plainly = any(all(holds(row[name], asked_of) for name, asked_of in way.items()) for way in ways)
    schema = row_schema(where)
    assert compile_schema(schema)(row) == by_jsonschema(schema, row) == plainly


@examples(4)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            "first": WHERES,
            "second": WHERES,
            "alike": st.sampled_from(NAMES) | st.lists(st.sampled_from(NAMES), min_size=1, max_size=2),
            "unlike": st.sampled_from(NAMES),
        },
    ).filter(bool),
    ROWS,
    ROWS,
)
def test_a_pair(where: dict[str, Any], first: dict[str, Any], second: dict[str, Any]) -> None:
    stated = [name for name in NAMES if first[name] is not None and second[name] is not None]
    alike = [name for name in stated if first[name] == second[name]]
    pair = {"first": first, "second": second, "alike": alike, "unlike": [n for n in stated if n not in alike]}
    plainly = all(
        all(holds(pair[side][name], asked_of) for name, asked_of in where.get(side, {}).items())
        for side in ("first", "second")
    )
    for key in ("alike", "unlike"):
        names = where.get(key, [])
        plainly = plainly and all(name in pair[key] for name in ([names] if isinstance(names, str) else names))
    schema = pair_schema(where)
    assert compile_schema(schema)(pair) == by_jsonschema(schema, pair) == plainly
