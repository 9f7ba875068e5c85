"""Merging against RFC 7396, JSON Merge Patch: the table of its appendix A and the example of its section 3."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.read.document import Document, Marks
from lint.read.merge import extend, merge_patch
from lint.read.parse import parse

# RFC 7396, appendix A, "Example Test Cases": original, patch, result, in its order.
APPENDIX_A = [
    ('{"a":"b"}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"b"}', '{"b":"c"}', '{"a":"b","b":"c"}'),
    ('{"a":"b"}', '{"a":null}', "{}"),
    ('{"a":"b","b":"c"}', '{"a":null}', '{"b":"c"}'),
    ('{"a":["b"]}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"c"}', '{"a":["b"]}', '{"a":["b"]}'),
    ('{"a":{"b":"c"}}', '{"a":{"b":"d","c":null}}', '{"a":{"b":"d"}}'),
    ('{"a":[{"b":"c"}]}', '{"a":[1]}', '{"a":[1]}'),
    ('["a","b"]', '["c","d"]', '["c","d"]'),
    ('{"a":"b"}', '["c"]', '["c"]'),
    ('{"a":"foo"}', "null", "null"),
    ('{"a":"foo"}', '"bar"', '"bar"'),
    ('{"e":null}', '{"a":1}', '{"e":null,"a":1}'),
    ("[1,2]", '{"a":"b","c":null}', '{"a":"b"}'),
    ("{}", '{"a":{"bb":{"ccc":null}}}', '{"a":{"bb":{}}}'),
]

# RFC 7396, section 3: the document, the patch and the document it becomes.
SECTION_3 = (
    """{"title": "Goodbye!", "author": {"givenName": "John", "familyName": "Doe"}, "tags": ["example", "sample"],
        "content": "This will be unchanged"}""",
    """{"title": "Hello!", "phoneNumber": "+01-123-456-7890", "author": {"familyName": null}, "tags": ["example"]}""",
    """{"title": "Hello!", "author": {"givenName": "John"}, "tags": ["example"], "content": "This will be unchanged",
        "phoneNumber": "+01-123-456-7890"}""",
)
EVERY = [*APPENDIX_A, SECTION_3]
KEYS = st.sampled_from(["a", "b", "c", "d"])
SCALARS = st.none() | st.booleans() | st.integers(-9, 9) | st.sampled_from(["", "x", "null", "no"])
VALUES = st.recursive(
    SCALARS, lambda below: st.lists(below, max_size=2) | st.dictionaries(KEYS, below, max_size=4), max_leaves=12
)
MAPS = st.dictionaries(KEYS, VALUES, max_size=4)


def read(data: Any, file: str) -> Document:
    """Read data by way of its text, one value a line, so that every value has a position of its own."""
    text = json.dumps(data, indent=1)
    value, marks = parse(text, file)
    assert value == data
    return Document(value, marks, (file,), ())


def extended(base: Any, patch: Any) -> Document:
    document = read(patch, "week.yaml")
    return extend(read(base, "house.yaml"), document.data, document.marks)


@pytest.mark.parametrize(("original", "patch", "result"), EVERY)
def test_the_published_cases(original: str, patch: str, result: str) -> None:
    assert merge_patch(json.loads(original), json.loads(patch)) == json.loads(result)


@pytest.mark.parametrize(
    ("original", "patch", "result"), [row for row in EVERY if row[0].startswith("{") and row[1].startswith("{")]
)
def test_the_published_cases_of_two_maps_with_positions(original: str, patch: str, result: str) -> None:
    document = extended(json.loads(original), json.loads(patch))
    assert document.data == json.loads(result)


def test_appendix_a_is_whole() -> None:
    assert len(APPENDIX_A) == 15
    assert len({row[:2] for row in APPENDIX_A}) == 15


def section_2(target: Any, patch: Any) -> Any:
    """The pseudocode of RFC 7396, section 2, word for word: a second opinion that changes its target in place."""
    if isinstance(patch, dict):
        if not isinstance(target, dict):
            target = {}
        for name, value in patch.items():
            if value is None:
                if name in target:
                    del target[name]
            else:
                target[name] = section_2(target.get(name), value)
        return target
    return patch


@given(VALUES, VALUES)
def test_the_pseudocode_of_section_2_gives_the_same(target: Any, patch: Any) -> None:
    before = copy.deepcopy((target, patch))
    merged = merge_patch(target, patch)
    assert (target, patch) == before
    assert merged == section_2(target, patch)


@given(MAPS, MAPS)
def test_extending_with_positions_is_the_merge_patch(base: Any, patch: Any) -> None:
    document = extended(base, patch)
    assert document.data == merge_patch(base, patch)
    assert list(document.data) == list(merge_patch(base, patch))  # the order of the rows is the order of the screens


@given(MAPS, MAPS)
def test_every_merged_value_is_found_in_the_file_that_says_it(base: Any, patch: Any) -> None:
    document = extended(base, patch)
    texts = {"house.yaml": json.dumps(base, indent=1), "week.yaml": json.dumps(patch, indent=1)}
    for trail, value in leaves(document.data):
        file, line, column = document.locate(trail)
        written = texts[file].splitlines()[line - 1][column - 1 :].rstrip(",")
        assert json.loads(written) == value
        assert file == ("week.yaml" if says(patch, trail) else "house.yaml")


@given(MAPS, MAPS)
def test_the_positions_have_the_shape_of_the_data(base: Any, patch: Any) -> None:
    document = extended(base, patch)
    assert shape(document.marks) == shape_of(document.data)


@given(MAPS, MAPS)
def test_a_null_that_removes_nothing_is_told_once_and_at_its_place(base: Any, patch: Any) -> None:
    document = extended(base, patch)
    told = [(problem.file, problem.message.split("'")[1]) for problem in document.idle_removals]
    assert told == [("week.yaml", key) for key in idle(base, patch)]
    lines = json.dumps(patch, indent=1).splitlines()
    for problem in document.idle_removals:
        assert (
            lines[problem.line - 1][problem.column - 1 :].rstrip(",") == f'"{problem.message.split(chr(39))[1]}": null'
        )


@given(MAPS)
def test_a_patch_applied_twice_changes_nothing_more(patch: Any) -> None:
    once = merge_patch({}, patch)
    assert merge_patch(once, patch) == once


@given(MAPS, MAPS, MAPS)
def test_three_files_merge_from_the_house_outwards(house: Any, season: Any, week: Any) -> None:
    document = read(week, "week.yaml")
    merged = extend(extended(house, season), document.data, document.marks)
    assert merged.data == merge_patch(merge_patch(house, season), week)
    assert merged.files == ("house.yaml", "week.yaml", "week.yaml")


def leaves(value: Any, trail: tuple = ()) -> list[tuple[tuple, Any]]:
    """Every scalar with its trail, whether in maps or in lists."""
    if isinstance(value, dict):
        return [row for key, below in value.items() for row in leaves(below, (*trail, key))]
    if isinstance(value, list):
        return [row for index, below in enumerate(value) for row in leaves(below, (*trail, index))]
    return [(trail, value)]


def says(patch: Any, trail: tuple) -> bool:
    """Whether the patch has something at a trail, or replaces what the trail leads through."""
    for step in trail:
        if not isinstance(patch, dict):
            return True
        if step not in patch:
            return False
        patch = patch[step]
    return True


def shape(marks: Any) -> Any:
    return {key: shape(entry[1]) for key, entry in marks.members.items()} if isinstance(marks, Marks) else None


def shape_of(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: shape_of(value) for key, value in data.items()}
    return {index: shape_of(value) for index, value in enumerate(data)} if isinstance(data, list) else None


def idle(target: Any, patch: dict[str, Any]) -> list[str]:
    """The keys whose null removes nothing, in the order of the patch."""
    found = []
    here = target if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None and key not in here:
            found.append(key)
        elif isinstance(value, dict):
            found += idle(here.get(key), value)
    return found
