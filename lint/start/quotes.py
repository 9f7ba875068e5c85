"""Rows of cells by RFC 4180, and what becomes of a quote that is never closed: it is a plain sign, and no row is lost.

A cell in quotes may hold line breaks. A quote too many would therefore swallow the rows below it, up to the next quote
or the end of the file; it is found by what it would swallow.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

MOST = 4000  # signs of a cell in quotes; a quote that is not closed by then never is
LOOKED_AT = 50_000  # signs of a text, to learn what its rows look like
_QUOTED = re.compile(rf' *"((?:[^"]|""){{0,{MOST}}}+)" *')


class Split(NamedTuple):
    """One row: the line that it begins on, from 1, its cells as they stand, and what is wrong with its quotes."""

    line: int
    cells: tuple[str, ...]
    doubts: tuple[str, ...]


def split_rows(text: str, delimiter: str) -> Iterator[Split]:
    """Yield the rows of a text, empty ones as well."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    rows = _LooksLikeRow(text, delimiter)
    bare = re.compile(rf"[^{re.escape(delimiter)}\n]*")
    at, line = 0, 1
    while at < len(text):
        begins, cells, doubts = line, [], []
        while True:
            quoted = _QUOTED.match(text, at)
            why = _why_not(text, at, quoted, rows) if text[at : at + 40].lstrip(" ").startswith('"') else None
            if quoted and why is None:
                cells.append(quoted[1].replace('""', '"'))
                at, line = quoted.end(), line + quoted[1].count("\n")
            else:
                plain = bare.match(text, at)
                assert plain is not None  # it takes an empty cell as well
                cells.append(_unquoted(plain[0]) if why else plain[0])
                doubts += [f"a quote opened on line {line} {why}; it is read as a plain sign"] if why else []
                at = plain.end()
            if text[at : at + 1] != delimiter:
                break
            at += 1
        yield Split(begins, tuple(cells), tuple(doubts))
        at, line = at + 1, line + 1


def _why_not(text: str, at: int, quoted: re.Match[str] | None, rows: _LooksLikeRow) -> str | None:
    """Say why the quote at a place opens no cell, or return None where it does."""
    if quoted is None:
        return "is never closed"
    lines = quoted[1].count("\n")
    where = f"{lines} {'line' if lines == 1 else 'lines'} further down" if lines else "in the middle of its cell"
    if text[quoted.end() : quoted.end() + 1] not in ("", "\n", rows.delimiter):
        return f"is never closed: the next quote stands {where}"
    if lines and rows.swallowed(text, at, quoted.end()):
        return f"is never closed: the next quote stands {where}, below whole rows"
    return None


def _unquoted(cell: str) -> str:
    text = cell.strip().removeprefix('"')
    return (text.removesuffix('"') if not text.endswith('""') else text).replace('""', '"')


class _LooksLikeRow:
    """Knows the rows of a text when quotes are plain signs: as many cells as most, numbers where most have them."""

    def __init__(self, text: str, delimiter: str) -> None:
        self.delimiter = delimiter
        rows = [line.split(delimiter) for line in text[:LOOKED_AT].split("\n")]
        widths = Counter(len(row) for row in rows if len(row) > 1)
        self.width = max(widths, key=lambda width: (widths[width], width)) if widths else 0
        alike = [row for row in rows if len(row) == self.width]
        columns = [[_plain(row[index]) for row in alike] for index in range(self.width)]
        self.numbers = [
            index
            for index, cells in enumerate(columns)
            if sum(cell.isdigit() for cell in cells) * 2 > sum(map(bool, cells))
        ]

    def __call__(self, line: str) -> bool:
        cells = [_plain(cell) for cell in line.split(self.delimiter)]
        if not self.width or len(cells) != self.width:
            return False
        if not self.numbers:  # prose has a space behind its commas
            return f"{self.delimiter} " not in line
        said = [cells[index] for index in self.numbers if cells[index]]
        return bool(said) and all(map(str.isdigit, said))

    def swallowed(self, text: str, at: int, end: int) -> bool:
        """Whether a cell in quotes, of several lines, holds what are rows of their own."""
        starts = text.rfind("\n", 0, at) + 1
        stops = text.find("\n", end)
        first, *between, last = text[starts : stops if stops >= 0 else len(text)].split("\n")
        inside = text[at:end].split("\n")
        if any(map(self, between)):
            return True
        return all(self.delimiter in part for part in (inside[0], inside[-1])) and self(first) and self(last)


def _plain(cell: str) -> str:
    return cell.strip(' "')
