"""A table that some spreadsheet wrote: bytes to rows, with the line each begins on.

There is no telling from outside what wrote it, so the encoding and the delimiter are found by trying; both are told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from lint.read.parse import read_bytes
from lint.read.problem import cannot_read
from lint.start.quotes import split_rows

MOST_MIB = 1
DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
# How many rows are looked at to find the delimiter, in how many letters.
SAMPLE, SAMPLE_LETTERS = 40, 50_000


class TableRow(NamedTuple):
    """One row: the line of the file that it begins on, counted from 1, and its cells, white space around them gone.

    `doubts` are quotes in it that are never closed.
    """

    line: int
    cells: tuple[str, ...]
    doubts: tuple[str, ...] = ()


class Table(NamedTuple):
    """The rows that are not empty, and how they were read: `encoding` as Python calls it, `delimiter` itself."""

    rows: tuple[TableRow, ...]
    encoding: str
    delimiter: str


def read_table(path: Path) -> Table:
    """Read a file of rows. Raises CannotReadError for what is no such file, or no text."""
    shown = str(path)
    raw = read_bytes(path, shown, MOST_MIB, "an input list")
    if raw[:4] == b"PK\x03\x04" or raw[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        raise cannot_read(shown, "is a spreadsheet's own file; save the list as CSV and read that")
    text, encoding = _decoded(raw, shown)
    text, wanted = _without_hint(text)
    delimiter = wanted or _delimiter(text)
    rows = tuple(_rows(text, delimiter, 1 if wanted else 0))
    if not rows:
        raise cannot_read(shown, "holds no row")
    return Table(rows, encoding, delimiter)


def _decoded(raw: bytes, shown: str) -> tuple[str, str]:
    for mark, encoding in _MARKS:
        if raw.startswith(mark):
            return _decode(raw, encoding, shown), encoding
    if raw.count(b"\0") * 4 > len(raw):  # UTF-16 without its mark has one in every letter of plain text
        return _decode(raw, "utf-16-be" if raw[:1] == b"\0" else "utf-16-le", shown), "utf-16"
    try:
        return raw.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return _decode(raw, "cp1252", shown), "cp1252"


def _decode(raw: bytes, encoding: str, shown: str) -> str:
    try:
        return raw.decode(encoding)
    except UnicodeDecodeError:
        raise cannot_read(shown, "is no text that can be read; save the list as CSV, in UTF-8") from None


def _without_hint(text: str) -> tuple[str, str]:
    """Take off a first line `sep=;`, which some spreadsheets write, and return what it says."""
    first, _, rest = text.partition("\n")
    hint = first.strip().strip('"')
    if hint.casefold().startswith("sep=") and len(hint) == 5 and hint[4] in DELIMITERS:
        return rest, hint[4]
    if first.strip("\r\n") == "sep=\t":
        return rest, "\t"
    return text, ""


def _delimiter(text: str) -> str:
    """Return the delimiter under which the rows have most cells, and most often the same number of them."""

    def score(delimiter: str) -> tuple[int, int]:
        rows = islice(_rows(text.lstrip()[:SAMPLE_LETTERS], delimiter, 0), SAMPLE)
        widths = Counter(len(row.cells) for row in rows if len(row.cells) > 1)
        if not widths:
            return (0, 0)
        width, times = max(widths.items(), key=lambda entry: (entry[1], entry[0]))
        return (times, width)

    return max(DELIMITERS, key=score)


def _rows(text: str, delimiter: str, above: int) -> Iterator[TableRow]:
    """Yield the rows that hold anything; `above` is how many lines of the file stand above the text."""
    for line, cells, doubts in split_rows("\n" * above + text, delimiter):
        plain = tuple(" ".join(cell.split()) for cell in cells)
        if any(plain):
            yield TableRow(line, plain, doubts)
