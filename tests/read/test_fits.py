"""The quick yes to a document is always one of jsonschema's, and where a file is right it comes quickly.

Each part of each schema is asked about values at, beside and beyond every limit and word that it holds; whole documents
are broken at random.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import examples

import lint
from lint.read import schema as schemas
from lint.read.fits import Fits
from lint.read.load import load_document

HERE = Path(__file__).parent.parent
BUNDLED = Path(str(lint.__file__)).parent
NAMES = ("rig", "model", "checklist", "house-rule")
DOCUMENTS = [
    *(("rig", path) for path in sorted((BUNDLED / "demo" / "rigs").glob("*.yaml"))),
    *(("rig", path) for path in sorted((HERE / "clean").glob("**/rigs/*.yaml"))),
    *(("model", path) for path in sorted((BUNDLED / "models").glob("*.yaml"))),
    *(("checklist", path) for path in sorted((HERE.parent / "checklists").glob("short*.yaml"))),
    *(("house-rule", path) for path in sorted((BUNDLED / "demo" / "rules").glob("*.yaml"))),
]
READ = [(name, load_document(path).data) for name, path in DOCUMENTS]
ANY: list[Any] = [
    *(None, True, False, 0, 1, -1, 1.0, 0.5, 10**9, 10**400, -1e300, "", "a", "1", "ä-1", "a\n", "x" * 500),
    *([], ["a"], ["a", "a"], [1, 1.0], [True, 1], [[]], {}, {"": None}, {"a": 1}, {"kind": "link"}, {"type": []}),
]


def parts(schema: Any, name: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield every schema within a schema, with its JSON pointer; what a keyword merely lists is none."""
    if not isinstance(schema, dict):
        return
    yield name, schema
    for key, below in schema.items():
        if key in ("properties", "patternProperties", "$defs"):
            for inner, part in below.items():
                yield from parts(part, f"{name}/{key}/{inner}")
        elif key == "allOf":
            for index, part in enumerate(below):
                yield from parts(part, f"{name}/{key}/{index}")
        elif key not in ("enum", "const"):
            yield from parts(below, f"{name}/{key}")


def around(part: dict[str, Any]) -> Iterator[Any]:
    """Yield values at, beside and beyond the limits and words of one schema."""
    yield from ANY
    for wanted in (*part.get("enum", ()), *([part["const"]] if "const" in part else ())):
        yield from (wanted, str(wanted), [wanted], float(wanted) if isinstance(wanted, int) else f"{wanted} ")
    for key in ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"):
        if key in part:
            yield from (part[key] - 1, part[key] - 1e-9, part[key], float(part[key]), part[key] + 1e-9, part[key] + 1)
    for key in ("Length", "Items", "Properties"):
        for size in {part[end] + step for end in (f"min{key}", f"max{key}") if end in part for step in (-1, 0, 1)}:
            yield "a" * size
            yield [f"a{index}" for index in range(size)]
            yield {f"a{index}": "a" for index in range(size)}
    keys = [*part.get("properties", ()), *part.get("required", ())]
    for value in (None, "a", 1, {}, []):
        yield dict.fromkeys(keys, value)
        yield dict.fromkeys(part.get("required", ()), value)
        yield {**dict.fromkeys(part.get("required", ()), value), "further": value}


@pytest.mark.parametrize("name", NAMES)
def test_no_part_of_a_schema_says_yes_where_jsonschema_says_no(name: str) -> None:
    whole = schemas.schema(name)
    judge = schemas._validator(name)
    fits = Fits(whole)
    every = [part for part in parts(whole) if name != "house-rule" or part[0].count("/") < 5]
    agreed = 0
    for pointer, part in every:
        fit = fits.part(pointer or "whole", part)
        exact = judge.evolve(schema=schemas._inlined(part, whole["$defs"]))
        for value in around(part):
            if fit(value):
                assert exact.is_valid(value), (pointer, value)
                agreed += 1
    assert agreed > 4 * len(every)


@pytest.mark.parametrize(("name", "path"), DOCUMENTS, ids=lambda entry: getattr(entry, "name", entry))
def test_a_file_that_is_right_never_waits_for_jsonschema(name: str, path: Path) -> None:
    assert Fits(schemas.schema(name))(load_document(path).data)


def test_an_unknown_keyword_is_refused_rather_than_passed_over() -> None:
    for schema in (
        {"multipleOf": 2},
        {"type": "object", "patternProperties": {"^a": {}, "^b": {}}},
        {"type": "object", "patternProperties": {"^a": {}}},
        {"if": {"properties": {"a": {"const": 1}}}, "then": {}},
        {"if": {"not": {}}, "then": {}},
    ):
        with pytest.raises(ValueError, match="no schema of ours"):
            Fits(schema)({"a": 1})


def trails(data: Any, trail: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    yield trail
    for step, below in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
        yield from trails(below, (*trail, step))


TRAILS = [list(trails(data))[1:] for _, data in READ]


def broken(data: Any, trail: tuple[Any, ...], draw: st.DrawFn) -> None:
    """Make one mistake (or none) at a place that may have gone already."""
    here = data
    for step in trail[:-1]:
        if not isinstance(here, dict | list) or (isinstance(here, dict) and step not in here):
            return
        here = here[step] if isinstance(here, dict) or (isinstance(step, int) and step < len(here)) else None
    last = trail[-1]
    if isinstance(here, list):
        here.append(draw(st.sampled_from([*ANY, *here])))
    elif isinstance(here, dict):
        kind = draw(st.sampled_from(("gone", "other", "key", "twin")))
        if kind == "gone":
            here.pop(last, None)
        elif kind == "other":
            here[last] = copy.deepcopy(draw(st.sampled_from(ANY)))
        elif kind == "key":
            here[draw(st.text("ab1-/_ \n\u00e4", max_size=4))] = here.get(last)
        else:
            here[last] = [here.get(last), here.get(last)]


@examples(10)
@given(st.data())
def test_a_document_broken_at_random_fits_only_where_jsonschema_says_so(data: st.DataObject) -> None:
    which = data.draw(st.integers(0, len(READ) - 1))
    name, document = READ[which][0], copy.deepcopy(READ[which][1])
    for trail in data.draw(st.lists(st.sampled_from(TRAILS[which]), max_size=3)):
        data.draw(st.composite(lambda draw, trail=trail: broken(document, trail, draw))())
    if schemas._fits(name)(document):
        assert schemas._validator(name).is_valid(document), json.dumps(document)
