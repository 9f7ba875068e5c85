"""What the YAML parser stumbles over, in plain words: it speaks of mappings and scalars, and often a line too late."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from lint.read.problem import shortened
from lint.read.showable import UNSHOWABLE

_ENTRY = re.compile(r"\s*(?:- +)?[^\s#:{\[][^:]*:\s+\S")
_LONGEST_KEY = 1024  # of YAML, in characters


class Stumble(NamedTuple):
    """Where the parser stopped and what it says: lines and columns count from 0, `opened` is where its thing began."""

    problem: str
    row: int
    column: int
    opened: tuple[int, int] | None


class Slip(NamedTuple):
    """What is wrong, at a line and column counted from 0."""

    row: int
    column: int
    message: str


def plain_slip(stumble: Stumble, lines: Sequence[str]) -> Slip | None:  # noqa: PLR0911 - one return a reason
    """Return what somebody most likely did, or None where the parser's own words are the best that there is."""
    row, column = stumble.row, stumble.column
    sign = lines[row][column : column + 1] if row < len(lines) else ""
    if stumble.problem.startswith("mapping values are not allowed"):
        return _colon(row, column, lines)
    if stumble.problem == "expected <document start>":
        return _line_before(row, lines)
    if "could not find expected ':'" in stumble.problem and stumble.opened:
        return _no_colon(stumble.opened[0], lines)
    if "cannot start any token" in stumble.problem:
        return Slip(row, column, f"no text begins with {sign}; put it into quotes")
    if "expected ',' or" in stumble.problem and stumble.opened:
        return _bracket(stumble, sign, lines)
    if stumble.problem.endswith("expected key"):
        return _entry(row, column, sign, lines)
    return None


def _colon(row: int, column: int, lines: Sequence[str]) -> Slip | None:
    """Return the slip behind a colon that has no place: a second one in its line, or the line before has none."""
    if _ENTRY.match(lines[row][:column]):
        return Slip(
            row, column, 'a second colon stands in this line; text with “: ” in it needs quotes, such as "a: b"'
        )
    return _line_before(row, lines) if column <= _LONGEST_KEY else None


def _line_before(row: int, lines: Sequence[str]) -> Slip | None:
    """Return the slip of the last line with text before a row, where that has no name with a colon."""
    before = next((at for at in range(row - 1, -1, -1) if lines[at].partition("#")[0].strip()), None)
    if before is None or re.search(r":(\s|$)", lines[before]) or lines[before].startswith(("...", "---")):
        return None
    if ":" in lines[before]:
        return Slip(before, lines[before].index(":"), "a space is missing behind this colon")
    return _no_colon(before, lines)


def _no_colon(row: int, lines: Sequence[str]) -> Slip:
    text = lines[row].strip()
    column = len(lines[row]) - len(lines[row].lstrip())
    told = "" if UNSHOWABLE.search(text) else f": found '{shortened(text, 60)}'"
    return Slip(row, column, f"a colon is missing after the name{told}, expected such as 'name: value'")


def _bracket(stumble: Stumble, sign: str, lines: Sequence[str]) -> Slip | None:
    """Return the slip within brackets: text with a colon, or a closing bracket that is missing."""
    if stumble.opened is None:
        return None
    row, column = stumble.opened
    opening = lines[row][column : column + 1]
    closing = {"{": "}", "[": "]"}.get(opening)
    if closing is None:
        return None
    if sign == ":" and row == stumble.row:
        return Slip(
            stumble.row,
            stumble.column,
            'a comma is missing before, or text with “: ” in it needs quotes, such as "a: b"',
        )
    if row == stumble.row and sign:
        return Slip(stumble.row, stumble.column, f"a comma or the closing {closing} is missing before this")
    return Slip(row, column, f"the {opening} that opens here is never closed: {closing} is missing, or a comma")


def _entry(row: int, column: int, sign: str, lines: Sequence[str]) -> Slip:
    """Return the slip where a name with a colon should stand."""
    if sign and sign in "}]":
        return Slip(row, column, f"this {sign} closes nothing; take it out, or put in the bracket that opens")
    if lines[row][:column].strip():
        return Slip(
            row, column, "this stands behind a value that is complete; take it out, or put all of it into quotes"
        )
    return Slip(row, column, "this stands under nothing; begin the line exactly below the others of its list or map")
