"""The text of a file: what is YAML of ours, what is refused, and where the message points."""

from __future__ import annotations

import time
import tracemalloc
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from rigs import BASE, examples

from lint.read import document
from lint.read import parse as reading
from lint.read.parse import MAX_ALIASED_NODES, MAX_DEPTH, parse
from lint.read.problem import CannotReadError
from lint.read.scalar import MAX_DIGITS


def refused(text: str) -> list[str]:
    with pytest.raises(CannotReadError) as caught:
        parse(text, "f")
    return [str(problem) for problem in caught.value.problems]


HINT = "; look at the indentation, the colons and the brackets on this line and the one before"


def tag(name: str, what: str) -> str:
    return f"the tag {name} is not used in these files; expected {what}"


def cannot_stand(code: str) -> str:
    return f"the character U+{code} can't stand in a YAML file; take it out"


def forges(code: str) -> str:
    return f"the text holds U+{code}, a control character that could forge a screen; write it without"


HIDDEN = "white space that can't be seen stands in a key; write it without"

REFUSED = [
    # nothing to read
    ("", "f:1:1: is empty; expected a map such as `rig_format: 1`"),
    ("# only a comment\n\n", "f:1:1: is empty; expected a map such as `rig_format: 1`"),
    ("a: 1\n---\nb: 2\n", "f:2:1: a second document starts here; expected one document a file"),
    ("--- \n--- \na: 1\n", "f:2:1: a second document starts here; expected one document a file"),
    # keys
    ("a: 1\nb: 2\na: 3\n", "f:3:1: the key 'a' stands here again; it is already on line 1"),
    ('1: a\n"1": b\n', "f:2:1: the key '1' stands here again; it is already on line 1"),
    ("a: {b: 1,\n  'b': 2}", "f:2:3: the key 'b' stands here again; it is already on line 1"),
    ("? [a, b]\n: c", "f:1:3: a map or list is used as a key here; expected a name or a number"),
    ("{a: 1}: 2", "f:1:1: a map or list is used as a key here; expected a name or a number"),
    ("? - a\n: b", "f:1:3: a map or list is used as a key here; expected a name or a number"),
    ("x: &a b\n*a : c", "f:2:1: the alias *a is used as a key; expected a name or a number"),
    ('"a\\tb": 1', f"f:1:1: {HIDDEN}"),
    ('"a\\nb": 1', f"f:1:1: {HIDDEN}"),
    ("a\u00a0b: 1", f"f:1:1: {HIDDEN}"),
    ("a\u200bb: 1", f"f:1:1: {HIDDEN}"),
    ("desk\u00ad: 1", f"f:1:1: {HIDDEN}"),
    # tags: nothing is ever built by name
    ("a: !!python/object:os.system {}", "f:1:4: " + tag("tag:yaml.org,2002:python/object:os.system", "plain YAML")),
    ("a: !!python/object/apply:os.system [x]", "f:1:4: " + tag("tag:yaml.org,2002:python/object/apply:os.system", "plain YAML")),
    ("a: !!str 1", "f:1:4: " + tag("tag:yaml.org,2002:str", "a plain value")),
    ("a: !x y", "f:1:4: " + tag("!x", "a plain value")),
    ("!!str a: b", "f:1:1: " + tag("tag:yaml.org,2002:str", "a plain key")),
    # aliases
    ("a: *b", "f:1:4: the alias *b stands for nothing (or for what it stands in)"),
    ("a: &b [*b]", "f:1:8: the alias *b stands for nothing (or for what it stands in)"),
    ("a: {b: *c}\nd: &c 1", "f:1:8: the alias *c stands for nothing (or for what it stands in)"),
    # numbers
    ("a: .nan", "f:1:4: found .nan, expected a finite number"),
    ("a: [1, -.INF]", "f:1:8: found -.INF, expected a finite number"),
    ("a: 1e999", "f:1:4: found 1e999, expected a finite number"),
    ("a: " + "9" * (MAX_DIGITS + 1), "f:1:4: this number has too many digits"),
    ("a: 0x" + "f" * 5000, "f:1:4: this number has too many digits"),
    ("a: 0o" + "7" * 5000, "f:1:4: this number has too many digits"),
    ("a: -" + "1" * 5000 + ".5e3", "f:1:4: this number has too many digits"),
    # characters
    ("a: b\x00", "f:1:5: " + cannot_stand("0000")),
    ("a: 1\nb: \x07", "f:2:4: " + cannot_stand("0007")),
    ("ä: é\nö: x\x7fy", "f:2:5: " + cannot_stand("007F")),
    ("a: 😀😀 \x01", "f:1:7: " + cannot_stand("0001")),
    ("a: \ufffe", "f:1:4: " + cannot_stand("FFFE")),
    ("a: \ud800", "f:1:4: " + cannot_stand("D800")),
    # YAML 1.1 would end the comment at these, and read on: YAML 1.2 (5.4) breaks lines at CR and LF only
    ("a: b # harmless\u2028devices: {}", "f:1:16: " + cannot_stand("2028")),
    ("a: b # harmless\u2029devices: {}", "f:1:16: " + cannot_stand("2029")),
    ("a: b # harmless\u0085devices: {}", "f:1:16: " + cannot_stand("0085")),
    # what could forge a screen
    ("a: \u202edrawkcab", "f:1:4: " + forges("202E")),
    ("a: 'x\u2066y'", "f:1:4: " + forges("2066")),
    ("a: [x, \u200fy]", "f:1:8: " + forges("200F")),
    ("\u202ea: x", "f:1:1: " + forges("202E")),
    ('a: "\\e[2J"', "f:1:4: " + forges("001B")),
    ('a: "x\\ry"', "f:1:4: " + forges("000D")),
    ('a: "\\u202e"', "f:1:4: " + forges("202E")),
    # tabs, quotes, brackets
    ("a:\n\tb: 1", "f:2:1: a tab stands here; indent with spaces"),
    ("\ta: 1", "f:1:1: a tab stands here; indent with spaces"),
    ('a: 1\nb: "open\nc: 2\n', "f:2:4: the quote that opens here is never closed"),
    ("a: 1\nb: 'open", "f:2:4: the quote that opens here is never closed"),
    ("a: {b: 1\nc: 2\n", "f:1:4: the { that opens here is never closed: } is missing, or a comma"),
    ("a: {b: 1", "f:1:4: the { that opens here is never closed: } is missing, or a comma"),
    ("a: [1, 2\n", "f:1:4: the [ that opens here is never closed: ] is missing, or a comma"),
    ("a: b: c", "f:1:5: a second colon stands in this line; text with “: ” in it needs quotes, such as \"a: b\""),
    ("a:\n  b: 1\n c: 2\n", "f:3:2: this stands under nothing; begin the line exactly below the others of its list or map"),
    # a colon too many, none, or one without its space: told on the line of the slip, not where the parser noticed
    ("a: 1\nb: Sunday: morning", "f:2:10: a second colon stands in this line; text with “: ” in it needs quotes, such as \"a: b\""),
    ("a: 1\nb: {c: Sunday: morning}", "f:2:14: a comma is missing before, or text with “: ” in it needs quotes, such as \"a: b\""),
    ("a: 1\nb\nc: 2", "f:2:1: a colon is missing after the name: found 'b', expected such as 'name: value'"),
    ("a 1\n# more\n\nb: 2", "f:1:1: a colon is missing after the name: found 'a 1', expected such as 'name: value'"),
    ("a:\n  b c\n  d: 2", "f:2:3: a colon is missing after the name: found 'b c', expected such as 'name: value'"),
    ("a \u202e1\nb: 2", "f:1:1: a colon is missing after the name, expected such as 'name: value'"),
    ("a:1\nb: 2", "f:1:2: a space is missing behind this colon"),
    ("a: [1, 2 3: 4}", "f:1:14: a comma or the closing ] is missing before this"),
    ("a: {b: 1}}", "f:1:10: this } closes nothing; take it out, or put in the bracket that opens"),
    ('a: "b" c', "f:1:8: this stands behind a value that is complete; take it out, or put all of it into quotes"),
    ("a: {b: 1}\n  c: 2", "f:2:3: this stands under nothing; begin the line exactly below the others of its list or map"),
    ("a: @b", "f:1:4: no text begins with @; put it into quotes"),
    ('a: "\\q"', "f:1:5: is not readable as YAML here while parsing a quoted scalar: found unknown escape character" + HINT),
    ('a: "\\ud83d"', "f:1:7: is not readable as YAML here while parsing a quoted scalar: found invalid Unicode character escape code" + HINT),
    ("a: 1\n...\nb: 2", "f:3:1: is not readable as YAML here: expected <document start>" + HINT),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), REFUSED, ids=lambda value: repr(value)[:60])
def test_what_is_refused_is_told_where_it_stands(text: str, message: str) -> None:
    assert refused(text) == [message]


def test_every_duplicate_key_is_told_at_once() -> None:
    assert refused("a: 1\nb: {c: 1, c: 2}\na: 3\na: 4\n") == [
        "f:2:11: the key 'c' stands here again; it is already on line 2",
        "f:3:1: the key 'a' stands here again; it is already on line 1",
        "f:4:1: the key 'a' stands here again; it is already on line 3",
    ]


@pytest.mark.parametrize(
    ("text", "data"),
    [
        ("\ufeffa: 1", {"a": 1}),
        ("a: 1\r\nb: 2\r\n", {"a": 1, "b": 2}),
        ("a: 1\rb: 2\r", {"a": 1, "b": 2}),
        ("--- \na: 1\n...\n", {"a": 1}),
        ("%YAML 1.1\n---\na: no\n", {"a": "no"}),
        ("? a\n: b", {"a": "b"}),
        ("1: a\n01: b\n1.0: c\ntrue: d\nnull: e", {"1": "a", "01": "b", "1.0": "c", "true": "d", "null": "e"}),
        ('"": f', {"": "f"}),
        ("<<: {a: 1}\nb: 2", {"<<": {"a": 1}, "b": 2}),  # the merge key is YAML 1.1's; here it is a key like another
        ("a: &x {b: 1}\nc: *x\n", {"a": {"b": 1}, "c": {"b": 1}}),
        ("a: &x\nb: *x\n", {"a": None, "b": None}),
        ("a: &x 1\nb: &x 2\nc: *x\n", {"a": 1, "b": 2, "c": 2}),
        ('a: "no"\nb: "1"\nc: \'null\'', {"a": "no", "b": "1", "c": "null"}),
        ("a: |\n  1\n", {"a": "1\n"}),
        ('a: "tab\\there"', {"a": "tab\there"}),
        ("a: שלום\nb: 日本語\nc: 👩\u200d🎤", {"a": "שלום", "b": "日本語", "c": "👩\u200d🎤"}),
        ("a: [1, [2, {b: 3}]]", {"a": [1, [2, {"b": 3}]]}),
        ("- a\n- b", ["a", "b"]),
        ("just text", "just text"),
    ],
)  # fmt: skip
def test_what_is_read(text: str, data: Any) -> None:
    assert parse(text, "f")[0] == data


@pytest.mark.parametrize(("opening", "closing"), [("[", "]"), ("{a: ", "}"), ("- ", "")])
def test_nesting_is_bounded(opening: str, closing: str) -> None:
    parse(opening * MAX_DEPTH + "1" + closing * MAX_DEPTH, "f")
    (message,) = refused(opening * (MAX_DEPTH + 1) + "1" + closing * (MAX_DEPTH + 1))
    assert message == f"f:1:{len(opening) * MAX_DEPTH + 1}: nested more than 100 levels deep"
    for depth in (5_000, 500_000):
        (message,) = refused(opening * depth)
        assert message.startswith("f:1:")


def test_nesting_through_aliases_is_bounded_as_well() -> None:
    """Each anchor stands on the one before: forty lines of 99 levels would be 3,960 levels deep."""
    lines = ["a0: &a0 x"] + [f"a{n}: &a{n} {'[' * 98}*a{n - 1}{']' * 98}" for n in range(1, 40)]
    assert refused("\n".join(lines)) == [f"f:3:{len('a2: &a2 ') + 98 + 1}: nested more than 100 levels deep"]
    parse("\n".join(lines[:2]), "f")


def test_ten_levels_of_ten_aliases_are_refused_fast_and_small() -> None:
    """The classic bomb: 10^10 values in half a kilobyte."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 11)]
    text = "\n".join(lines)
    tracemalloc.start()
    started = time.process_time()
    (message,) = refused(text)
    seconds = time.process_time() - started
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert message.endswith(f"aliases repeat more than {MAX_ALIASED_NODES:,} values; write them out")
    assert message.startswith("f:5:")
    assert seconds < 0.5
    assert peak < 1_000_000


def test_aliases_in_small_are_fine() -> None:
    rows = "\n".join(f"  {number}: *row" for number in range(2, 1000))
    data, _ = parse(f"channels:\n  1: &row {{phantom: on}}\n{rows}\n", "f")
    assert len(data["channels"]) == 999
    assert data["channels"]["999"] == {"phantom": "on"}


def test_a_flat_list_of_aliases_counts_what_it_repeats() -> None:
    row = "a: &a [" + ", ".join("x" * 99) + "]\n"
    parse(row + "b: [" + ", ".join(["*a"] * 1000) + "]", "f")
    (message,) = refused(row + "b: [" + ", ".join(["*a"] * 1001) + "]")
    assert "aliases repeat more than 100,000 values" in message


# -- both parsers of PyYAML --------------------------------------------------------------------------------------


def told(text: str) -> Any:
    """What a text comes to: its data and places, or the places of what is refused."""
    try:
        data, marks = parse(text, "f")
    except CannotReadError as error:
        return {(problem.line, problem.column) for problem in error.problems} if "again" in str(error) else "refused"
    return data, places(data, marks)


def places(data: Any, marks: Any) -> Any:
    """Where everything stands that was written: of nothing, the parsers say otherwise where it stands."""
    if not isinstance(marks, document.Marks):
        return None if data is None else (marks.line, marks.column)
    return {
        step: ((key.line, key.column) if step else None, places(data[step], value))
        for step, (key, value) in marks.members.items()
        if data[step] is not None
    }


@pytest.mark.skipif(not hasattr(yaml, "CSafeLoader"), reason="PyYAML was built without the C parser")
@examples(3)
@given(
    st.lists(
        st.sampled_from(["a", "b: ", "\n", "  ", "- ", "[", "]", "{", "}", ", ", "'x'", '"y"', "# c", "&a ", "*a", "é", "1", "|\n", "?"]),
        max_size=14,
    ).map("".join)
)  # fmt: skip
def test_the_python_parser_reads_the_same(text: str) -> None:
    """Where PyYAML comes without its C parser the Python one stands in: same data, same places."""
    by_c = told(text)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reading, "PARSER", yaml.SafeLoader)
        by_python = told(text)
    if "refused" not in (by_c, by_python):  # they differ in what they still call YAML, at the edges of its grammar
        assert by_python == by_c


def test_the_python_parser_reads_a_rig_and_tells_of_bad_characters(monkeypatch: pytest.MonkeyPatch) -> None:
    expected = told(BASE)
    monkeypatch.setattr(reading, "PARSER", yaml.SafeLoader)
    assert told(BASE) == expected
    assert refused("ä: é\nö: x\x7fy") == ["f:2:5: " + cannot_stand("007F")]
    assert refused("a: \n  b: [1") != []
