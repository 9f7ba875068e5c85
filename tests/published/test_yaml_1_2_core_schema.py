r"""Plain scalars against the YAML 1.2.2 core schema, section 10.3.2, "Tag Resolution", and the traps of YAML 1.1.

The table of that section has these rows, tried from the top; what no row takes is a string:

    null | Null | NULL | ~                                               null
    (empty)                                                              null
    true | True | TRUE | false | False | FALSE                           bool
    [-+]? [0-9]+                                                         int, base 10
    0o [0-7]+                                                            int, base 8
    0x [0-9a-fA-F]+                                                      int, base 16
    [-+]? ( \. [0-9]+ | [0-9]+ ( \. [0-9]* )? ) ( [eE] [-+]? [0-9]+ )?   float
    [-+]? ( \.inf | \.Inf | \.INF )                                      float, infinity
    \.nan | \.NaN | \.NAN                                               float, not a number
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.read.scalar import resolve_plain

INF = math.inf

# Every row of the table: the examples printed beside it in 10.3.2 and the edges of each expression.
NULLS = ["null", "Null", "NULL", "~", ""]
BOOLS = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
INTS = {"0": 0, "3": 3, "-19": -19, "+12": 12, "-0": 0, "+0": 0, "00": 0, "010": 10, "08": 8, "007": 7, "-010": -10}
OCTALS = {"0o7": 7, "0o14": 12, "0o0": 0, "0o00017": 15}
HEXES = {"0x3A": 58, "0x3a": 58, "0xfF": 255, "0x0": 0, "0xdeadBEEF": 0xDEADBEEF, "0x1e3": 0x1E3}
FLOATS = {
    "0.": 0.0,
    "-0.0": -0.0,
    ".5": 0.5,
    "+12e03": 12000.0,
    "-2E+05": -200000.0,
    "12e03": 12000.0,
    "1e3": 1000.0,
    "5.": 5.0,
    "5.e1": 50.0,
    "-.5": -0.5,
    "+.5e-1": 0.05,
    "010.5": 10.5,
    "685.23015e+03": 685230.15,
    "6.8523015e+5": 685230.15,
}
INFINITIES = {
    ".inf": INF,
    ".Inf": INF,
    ".INF": INF,
    "-.inf": -INF,
    "-.Inf": -INF,
    "-.INF": -INF,
    "+.inf": INF,
    "+.INF": INF,
}
NANS = [".nan", ".NaN", ".NAN"]

# Strings in 1.2, though YAML 1.1 (yaml.org/type) or a careless reading makes something else of them.
BOOLS_OF_1_1 = ["y", "Y", "yes", "Yes", "YES", "n", "N", "no", "No", "NO", "on", "On", "ON", "off", "Off", "OFF"]
SIXTIES_OF_1_1 = ["9:30", "1:30", "10:20:30", "190:20:30", "-1:30", "20:30.15", "09:30"]
NUMBERS_OF_1_1 = [
    "1_000",
    "0b1",
    "0b1010_0111",
    "0o7_7",
    "0x_0A_74_AE",
    "685_230.15",
    "+0x3A",
    "-0x3A",
    "+0o14",
    "-0o7",
]
DATES_OF_1_1 = ["2026-11-29", "2001-12-14t21:59:43.10-05:00", "2026-1-2"]
KEYS_OF_1_1 = ["=", "<<"]
NEAR_MISSES = [
    *("nUll", "nULL", "nil", "none", "None", "~~", "null0"),
    *("tRUE", "TRue", "truE", "fALSE", "FALSe", "t", "f"),
    *("0o9", "0o8", "0o", "0O14", "o14", "0o-1", "0xZZ", "0x", "0X3A", "x3A", "0xG", "0x3A.5"),
    *(
        ".",
        "-",
        "+",
        "--1",
        "+-1",
        "1-",
        "- 1",
        "1 2",
        "-.",
        "+.",
        "..5",
        "1..2",
        "1.2.3",
        "1,5",
        "1e",
        "1e+",
        "e3",
        ".e3",
    ),
    *("1.5e", "1e3.5", "1E 3", "15-16", "1-8", "1/2", "48k", "3dB", "90m", "١٢", "１２", "²", "½", "1 "),
    *(".iNF", ".inF", "inf", "Infinity", "-inf", "..inf", ". inf", "+ .inf"),
    *(".nAN", ".Nan", "nan", "NaN", "NAN", "+.nan", "-.nan", "-.NaN"),
]
STRINGS = [*BOOLS_OF_1_1, *SIXTIES_OF_1_1, *NUMBERS_OF_1_1, *DATES_OF_1_1, *KEYS_OF_1_1, *NEAR_MISSES]
FINITE = {**dict.fromkeys(NULLS), **BOOLS, **INTS, **OCTALS, **HEXES, **FLOATS}


def same(value: object, expected: object) -> bool:
    """Equal in kind and in value, a zero's sign too: True is not 1, and 10 is not 10.0."""
    return type(value) is type(expected) and repr(value) == repr(expected)


@pytest.mark.parametrize(("text", "expected"), [*FINITE.items(), *INFINITIES.items()])
def test_every_row_of_the_table(text: str, expected: object) -> None:
    assert same(resolve_plain(text), expected)


@pytest.mark.parametrize("text", NANS)
def test_not_a_number(text: str) -> None:
    value = resolve_plain(text)
    assert isinstance(value, float)
    assert math.isnan(value)


@pytest.mark.parametrize("text", STRINGS)
def test_what_no_row_takes_is_a_string(text: str) -> None:
    assert same(resolve_plain(text), text)


# The same through the parser, in a map and in a list; the text comes back from the C parser's events.
@pytest.mark.parametrize(("text", "expected"), FINITE.items())
def test_every_finite_row_in_a_file(text: str, expected: object) -> None:
    data, _ = parse(f"a: {text}\nb:\n  - {text}\n", "rig.yaml")
    assert same(data["a"], expected)
    assert same(data["b"][0], expected)


@pytest.mark.parametrize("text", [text for text in STRINGS if text == text.strip() and text not in ("-", "- 1")])
def test_every_trap_in_a_file_is_the_text_that_was_written(text: str) -> None:
    data, _ = parse(f"a: {text}\nb:\n  - {text}\n", "rig.yaml")
    assert data == {"a": text, "b": [text]}


@pytest.mark.parametrize("text", [*STRINGS[:40], *(text for text in FINITE if text)])
def test_a_key_stays_the_text_it_is_written_as(text: str) -> None:
    # Ours, on purpose stricter than YAML: every key is an id, a number or a range.
    data, marks = parse(f"{text}: here\n", "rig.yaml")
    assert data == {text: "here"}
    assert list(marks.members) == [text]


def test_a_merge_key_of_1_1_merges_nothing() -> None:
    data, _ = parse("a: &a {x: 1}\nb:\n  <<: *a\n", "rig.yaml")
    assert data == {"a": {"x": 1}, "b": {"<<": {"x": 1}}}


@pytest.mark.parametrize("text", [*(text for text in FINITE if text), *INFINITIES, *NANS])
@pytest.mark.parametrize("quote", ["'", '"'])
def test_quotes_make_a_string_of_everything(text: str, quote: str) -> None:
    # 10.3.2: only plain scalars are resolved; a quoted one is a string.
    data, _ = parse(f"a: {quote}{text}{quote}\n", "rig.yaml")
    assert same(data["a"], text)


@pytest.mark.parametrize("text", [*INFINITIES, *NANS, "1e999", "-1e999"])
def test_a_number_that_is_not_finite_is_refused_in_a_file_at_its_place(text: str) -> None:
    # Ours: no length, level or count is infinite, and JSON (RFC 8259, section 6) can't write it.
    with pytest.raises(CannotReadError, match=rf"^rig\.yaml:2:4: found {re.escape(text)}, expected a finite number$"):
        parse(f"a: 1\nb: {text}\n", "rig.yaml")


def test_a_number_of_more_digits_than_python_reads_is_refused_at_its_place() -> None:
    with pytest.raises(CannotReadError, match=r"^rig\.yaml:1:4: this number has too many digits$"):
        parse("a: " + "9" * 5000, "rig.yaml")


# A second opinion: the table's own expressions, tried from the top, in a form that shares no code with ours.
TABLE: list[tuple[str, object]] = [
    (r"null|Null|NULL|~|", lambda _: None),
    (r"true|True|TRUE|false|False|FALSE", lambda text: text.lower() == "true"),
    (r"[-+]?[0-9]+", lambda text: int(text, 10)),
    (r"0o[0-7]+", lambda text: int(text, 0)),
    (r"0x[0-9a-fA-F]+", lambda text: int(text, 0)),
    (r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", float),
    (r"[-+]?(\.inf|\.Inf|\.INF)", lambda text: float(text.replace(".", "").lower())),
    (r"\.nan|\.NaN|\.NAN", lambda _: math.nan),
]


def by_table(text: str) -> object:
    for expression, make in TABLE:
        if re.fullmatch(expression, text, re.ASCII):
            return make(text)  # type: ignore[operator]
    return text


PIECES = st.lists(
    st.sampled_from([*"0123456789", "+", "-", ".", "e", "E", "_", "0o", "0x", "a", "F", "inf", "Inf", "nan", "NaN"])
    | st.sampled_from([":", "~", "null", "Null", "true", "TRUE", "no", "x", "o", "٣", " ", "\n"]),
    max_size=7,
).map("".join)


@given(PIECES | st.text(max_size=12))
@example("1\n")
@example("0o7\n")
@example(".nan\n")
@example("true\n")
def test_every_text_is_what_the_table_makes_of_it(text: str) -> None:
    assert same(resolve_plain(text), by_table(text))


@given(st.integers(-(10**40), 10**40))
def test_every_whole_number_comes_back(number: int) -> None:
    assert same(resolve_plain(str(number)), number)
    if number >= 0:
        assert resolve_plain(f"0o{number:o}") == resolve_plain(f"0x{number:x}") == resolve_plain(f"+{number}") == number


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_finite_number_comes_back_from_its_shortest_form(number: float) -> None:
    assert same(resolve_plain(repr(number)), number)
