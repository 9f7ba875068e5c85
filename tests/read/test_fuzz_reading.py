"""Whatever a file holds: it is read, or refused with a place and one line of words. Never another exception.

2,000 examples a test in the suite; 50,000 with `pytest tests/read/test_fuzz_reading.py --hypothesis-profile=long`.
"""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from rigs import BASE, BUNDLED, FILE, examples

from lint.read.document import Document
from lint.read.load import load_document
from lint.read.parse import parse
from lint.read.problem import MAX_MESSAGE, CannotReadError
from lint.read.schema import require_valid
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

HOUSE = (files("lint") / "demo" / "house.yaml").read_text(encoding="utf-8")
# What YAML reads in its own way, and what a rig file gives a meaning to.
PIECES = [
    *"[]{}:,#&*!|>'\"%@`-?~ \t\n\r\x00\x07\x85\u2028\u202e\u200b\ufeff/.\\é𝄞0123456789",
    *("null", "true", "no", "[1, 2]", "{}", "{a: b}", "1.0", "1e3", "0x1F", ".nan", "-1", "99999", '""', '"x\\ny"'),
    *("*a", "&a ", "<<: ", "!!int ", "- ", "? ", "...\n", "---\n", "9-1", "1-8", "x" * 300, "9" * 500, "0x" + "f" * 5000),
    *("desk", "desk/link-1", "desk/in/1", "desk/out/1-2", "desk/link-1/1-8", "west-box/in/1", "west-box/upstream"),
    *("effects", "effects/plate", "house.left", "house.mono", "channel/1", "same_as", "stereo", "link", "analogue"),
]  # fmt: skip
WORD = re.compile(r"[\w./-]+")


def read(text: str) -> None:
    """Read a text as far as it goes: to the signal graph, or to what is wrong with it."""
    data, marks = parse(text, FILE)
    if isinstance(data, dict):
        document = Document(data, marks, (FILE,), ())
        require_valid(document, "rig")
        rig = resolve_rig(build_rig(document, FILE, BUNDLED))
        assert len(rig.arrivals) == len(rig.rig.channels)
        assert len(rig.departures) == len(rig.rig.destinations)
        rig.graph.loops()


def require_told(text: str) -> None:
    """Hold what is refused to a place within the text and to words that can't break out of their line."""
    try:
        read(text)
    except CannotReadError as error:
        lines = re.split("\r\n|\r|\n", text)
        assert error.problems
        for problem in error.problems:
            assert 1 <= problem.line <= len(lines)
            assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1
            assert not re.search("[\x00-\x1f\x7f-\x9f\u2028-\u202e]", problem.message)
            assert len(problem.message) <= MAX_MESSAGE


@st.composite
def changed(draw: st.DrawFn, text: str) -> str:
    """The text with a few slips: pieces put in, taken out and exchanged, lines moved and doubled, the end cut off."""
    for _ in range(draw(st.sampled_from([1, 1, 1, 2, 4]))):
        at = draw(st.integers(0, len(text)))
        slip = draw(
            st.sampled_from(["put in", "put over", "take out", "swap lines", "double a line", "exchange a word", "cut"])
        )
        if slip in ("put in", "put over"):
            text = text[:at] + draw(st.sampled_from(PIECES)) + text[at + (slip == "put over") :]
        elif slip == "take out":
            text = text[:at] + text[at + draw(st.integers(1, 40)) :]
        elif slip == "exchange a word":
            text = exchanged(text, at, draw)
        elif slip == "cut":
            text = text[:at]
        else:
            lines = text.split("\n")
            first, second = draw(st.integers(0, len(lines) - 1)), draw(st.integers(0, len(lines) - 1))
            if slip == "swap lines":
                lines[first], lines[second] = lines[second], lines[first]
            else:
                lines.insert(first, lines[second])
            text = "\n".join(lines)
    return text


def exchanged(text: str, at: int, draw: st.DrawFn) -> str:
    """The text with the word after a point exchanged for a piece, or for another word of the text."""
    found = WORD.search(text, at)
    if found is None:
        return text
    others = WORD.findall(text)
    new = draw(st.sampled_from(PIECES) | st.sampled_from(others))
    return text[: found.start()] + new + text[found.end() :]


@examples(20)
@given(changed(BASE))
def test_slips_in_a_rig(text: str) -> None:
    require_told(text)


@examples(5)
@given(changed(HOUSE))
def test_slips_in_a_house(text: str) -> None:
    require_told(text)


@examples(20)
@given(st.text() | st.lists(st.sampled_from(PIECES)).map("".join))
@example("? effects")
@example("? effects\n? mixes\nrig_format: 1\n")
def test_any_text(text: str) -> None:
    require_told(text)


@examples(5)
@given(st.data())
def test_any_bytes(data: st.DataObject) -> None:
    """A file of any bytes, or a rig's with some of its bits turned."""
    raw = bytearray(data.draw(st.binary() | st.sampled_from([BASE.encode(), HOUSE.encode("utf-16")])))
    for _ in range(data.draw(st.integers(0, 3)) if raw else 0):
        raw[data.draw(st.integers(0, len(raw) - 1))] ^= 1 << data.draw(st.integers(0, 7))
    path = SCRATCH / "rig.yaml"
    path.write_bytes(raw)
    try:
        document = load_document(path)
        require_valid(document, "rig")
        build_rig(document, str(path), Models(None))
    except CannotReadError as error:
        assert all(problem.line >= 1 and problem.column >= 1 for problem in error.problems)


SCRATCH = Path()


@pytest.fixture(autouse=True, scope="module")
def _scratch(tmp_path_factory: pytest.TempPathFactory) -> None:
    global SCRATCH  # noqa: PLW0603 - one file that every example of a test writes anew
    SCRATCH = tmp_path_factory.mktemp("fuzz")


def test_the_slips_leave_some_rigs_that_are_read() -> None:
    """Else the tests above would only ever see the first check fail."""
    outcomes = {"read": 0, "refused": 0}

    @examples(12)
    @given(changed(BASE))
    def count(text: str) -> None:
        try:
            read(text)
        except CannotReadError:
            outcomes["refused"] += 1
        else:
            outcomes["read"] += 1

    count()
    assert min(outcomes.values()) >= 10
