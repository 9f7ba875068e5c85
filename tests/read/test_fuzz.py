"""Files broken at random: whatever is read ends in a verdict or in CannotReadError, with a place for each problem.

The start is the clean week of the demo, which extends its house. `pytest tests/read/test_fuzz.py` tries over 2,000
files; with `--hypothesis-profile=long` it is 25 times as many.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import examples

import lint
from lint.check.catalogue import Catalogue, load_catalogue
from lint.check.engine import Checked, check_rig
from lint.check.own import RULE_FAILED
from lint.read.problem import CannotReadError
from lint.report.json_report import check_json, rig_json
from lint.resolve.resolved import resolve_rig
from lint.rig.build import load_rig

DEMO = Path(lint.__file__).parent / "demo"
HOUSE = (DEMO / "house.yaml").read_text(encoding="utf-8")
WEEK = (DEMO / "rigs" / "clean-week.yaml").read_text(encoding="utf-8")
TODAY = date(2026, 11, 29)
# What a message quotes is cut short, and nothing of the file may move the cursor: one line, and only what can be shown.
UNSHOWABLE = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue()


@pytest.fixture(scope="module")
def hall() -> Iterator[Path]:
    """A house to write the broken files into."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "rigs").mkdir()
        (Path(folder) / "house.yaml").write_text(HOUSE, encoding="utf-8")
        yield Path(folder)


def verdict(hall: Path, catalogue: Catalogue, week: bytes, house: bytes = b"") -> Checked | CannotReadError:
    """Check a week's file (over a house's own, where one is given); any other exception fails the test."""
    path = hall / "rigs" / "week.yaml"
    path.write_bytes(week)
    (hall / "house.yaml").write_bytes(house or HOUSE.encode())
    try:
        checked = check_rig(resolve_rig(load_rig(path)), catalogue, TODAY)
    except CannotReadError as error:
        hold_to_form(error, hall)
        return error
    failed = [finding.message for finding in checked.findings if finding.rule == RULE_FAILED]
    assert failed == []
    assert check_json([rig_json(checked)], [])  # every finding can be told
    return checked


def hold_to_form(error: CannotReadError, hall: Path) -> None:
    """Hold what is told against what every such message must be: placed in a file, in order, shown on one line."""
    files = {str(hall / name): (hall / name).read_bytes() for name in ("house.yaml", "rigs/week.yaml")}
    assert error.problems
    for problem in error.problems:
        assert problem.file in files
        assert problem.line >= 1
        assert problem.column >= 1
        assert problem.line <= len(re.split(b"\r\n|\r|\n", wide(files[problem.file])))
        assert not UNSHOWABLE.search(problem.message)
        assert problem.message
        assert len(problem.message) < 1500
    assert len(set(error.problems)) == len(error.problems)


def wide(raw: bytes) -> bytes:
    """The bytes with those of UTF-16 taken out that would hide a line break."""
    return raw.replace(b"\0", b"") if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else raw


# -- breaking a text -------------------------------------------------------------------------------------------

TOKEN = re.compile(r"[\w.-]+|\s+|[^\w\s]")
HOUSE_TOKENS = TOKEN.findall(HOUSE)
TOKENS = sorted({*TOKEN.findall(WEEK), *HOUSE_TOKENS})
ODD = [
    *("null", "~", "true", "no", "0", "-1", "1.5", "99999", "100000", "1e3", ".nan", ".inf", "''", '"', "'", "[]", "{}"),
    *("[", "]", "{", "}", ":", ": ", ",", "- ", "? ", "&a ", "*a", "!!str ", "!x ", "|", ">-", "%", "@", "`", "#", "<<: "),
    *("\t", "\n", "\r", "\0", "\x1b", "\x85", "\u2028", "\u202e", "\u200b", "\ufeff", "\ud800", "é", "𝄞", "---\n", "...\n"),
    *("desk", "effects", "effects/plate", "desk/link-1/1", "desk/in/1", "desk/out/1-2", "desk/link-9", "channel/1"),
    *("house.left", "house.mono", "40-1", "1-48", "1-99999", "west-box/in/0", "loft-box/downstream", "east-box"),
    *("extends: ", "devices: ", "consoles: ", "splits: ", "waivers: ", "input_blocks: ", "same_as: ", "plugged_into: "),
    "９" * 5,
    "9" * 500,
    "[" * 200,
    "x" * 300,
]  # fmt: skip


def flipped_byte(draw: st.DrawFn, raw: bytes) -> bytes:
    at = draw(st.integers(0, len(raw) - 1))
    return raw[:at] + bytes([raw[at] ^ draw(st.integers(1, 255))]) + raw[at + 1 :]


def deleted(draw: st.DrawFn, raw: bytes) -> bytes:
    at = draw(st.integers(0, len(raw) - 1))
    return raw[:at] + raw[at + draw(st.integers(1, 40)) :]


def broken_off(draw: st.DrawFn, raw: bytes) -> bytes:
    return raw[: draw(st.integers(0, len(raw) - 1))]


def inserted(draw: st.DrawFn, raw: bytes) -> bytes:
    at = draw(st.integers(0, len(raw)))
    return raw[:at] + draw(st.sampled_from(ODD)).encode("utf-8", "surrogatepass") + raw[at:]


def with_lines(draw: st.DrawFn, raw: bytes) -> bytes:
    """A line doubled, swapped with another, moved, taken out or indented otherwise."""
    lines = raw.splitlines(keepends=True)
    one, other = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    what = draw(st.sampled_from(["double", "swap", "move", "take out", "indent", "join"]))
    if what == "double":
        lines.insert(other, lines[one])
    elif what == "swap":
        lines[one], lines[other] = lines[other], lines[one]
    elif what == "move":
        lines.insert(other, lines.pop(one))
    elif what == "take out":
        del lines[one]
    elif what == "indent":
        lines[one] = b" " * draw(st.integers(0, 5)) + lines[one].lstrip()
    else:
        lines[one] = lines[one].rstrip(b"\r\n")
    return b"".join(lines)


def with_tokens(draw: st.DrawFn, raw: bytes) -> bytes:
    """A word swapped with another of the file, or put in place of it: what a tired hand types."""
    tokens = TOKEN.findall(raw.decode("utf-8", "replace"))
    words = [index for index, token in enumerate(tokens) if not token.isspace()]
    if not words:
        return raw
    one, other = (words[draw(st.integers(0, len(words) - 1))] for _ in range(2))
    what = draw(st.sampled_from(["swap", "copy", "known", "odd"]))
    if what == "swap":
        tokens[one], tokens[other] = tokens[other], tokens[one]
    elif what == "copy":
        tokens[one] = tokens[other]
    else:
        tokens[one] = draw(st.sampled_from(TOKENS if what == "known" else ODD))
    return "".join(tokens).encode("utf-8", "surrogatepass")


BREAKS = [flipped_byte, deleted, broken_off, inserted, with_lines, with_lines, with_tokens, with_tokens, with_tokens]


@st.composite
def broken(draw: st.DrawFn, text: str, most: int = 4) -> bytes:
    """A text with one to `most` things done to it."""
    raw = text.encode()
    for _ in range(draw(st.integers(1, most))):
        if raw:
            raw = draw(st.sampled_from(BREAKS))(draw, raw)
    return raw


PAIR = re.compile(r"(?P<key>[a-z_]+): +(?P<value>[^,{}\[\]\n]+)")
VALUES: dict[str, list[str]] = {}
for found in [*PAIR.finditer(WEEK), *PAIR.finditer(HOUSE)]:
    VALUES.setdefault(found["key"], []).append(found["value"])


@st.composite
def patched_wrong(draw: st.DrawFn) -> bytes:
    """The week with up to six values exchanged for others of their key, one of them or a row left out.

    Such a file is mostly read: it is the rules that have to cope with it.
    """
    text = WEEK
    for _ in range(draw(st.integers(1, 6))):
        pairs = list(PAIR.finditer(text))
        pair = draw(st.sampled_from(pairs))
        if draw(st.integers(1, 8)) == 1:
            lines = text.splitlines(keepends=True)
            del lines[draw(st.sampled_from([at for at, line in enumerate(lines) if line.startswith("  ")]))]
            text = "".join(lines)
        elif draw(st.integers(1, 8)) == 1:
            text = text[: pair.start()] + text[pair.end() :].lstrip(", ")
        else:
            value = draw(st.sampled_from(VALUES[pair["key"]]))
            text = text[: pair.start("value")] + value + text[pair.end("value") :]
    return text.encode()


# -- what must hold --------------------------------------------------------------------------------------------


def test_unbroken_it_is_clean(hall: Path, catalogue: Catalogue) -> None:
    """Else the rest would only test the first message."""
    checked = verdict(hall, catalogue, WEEK.encode())
    assert isinstance(checked, Checked)
    assert {finding.weight.value for finding in checked.findings} <= {"note"}


@examples(8)
@given(week=broken(WEEK))
def test_a_broken_week(hall: Path, catalogue: Catalogue, week: bytes) -> None:
    verdict(hall, catalogue, week)


@examples(4)
@given(week=patched_wrong())
def test_a_week_patched_wrong(hall: Path, catalogue: Catalogue, week: bytes) -> None:
    verdict(hall, catalogue, week)


@examples(3)
@given(week=broken(WEEK, 1), house=broken(HOUSE, 2))
def test_a_broken_week_over_a_broken_house(hall: Path, catalogue: Catalogue, week: bytes, house: bytes) -> None:
    verdict(hall, catalogue, week, house)


@examples(6)
@given(text=st.text(max_size=200) | st.lists(st.sampled_from([*TOKENS, *ODD]), max_size=60).map("".join))
def test_random_text(hall: Path, catalogue: Catalogue, text: str) -> None:
    verdict(hall, catalogue, text.encode("utf-8", "surrogatepass"))


@examples(2)
@given(text=st.lists(st.sampled_from([*TOKENS, *ODD]), max_size=20).map("".join))
def test_random_text_below_the_house(hall: Path, catalogue: Catalogue, text: str) -> None:
    verdict(hall, catalogue, b"extends: ../house.yaml\n" + text.encode("utf-8", "surrogatepass"))


@examples(4)
@given(raw=st.binary(max_size=200) | st.binary(max_size=60).map(lambda raw: b"\xff\xfe" + raw))
def test_random_bytes(hall: Path, catalogue: Catalogue, raw: bytes) -> None:
    verdict(hall, catalogue, raw)
