"""A page for a terminal, a pipe or a message."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Sequence

from lint.page.layout import wrapped
from lint.page.page import FOLLOWS, Block, Labels, Line, Page, Picture, Table, Words
from lint.page.plain import shown

GAP = "  "
LEAST = 6  # columns that a cell keeps however narrow the screen is


def page_text(page: Page, width: int) -> str:
    """Return the page in at most `width` columns, where its words allow."""
    parts = ["\n".join(filter(None, (shown(page.title), shown(page.subtitle))))]
    for section in page.sections:
        head = shown(section.title).upper()
        parts.append(f"{head}\n{'=' * cells(head)}")
        parts += [text for block in section.blocks if (text := _block(block, width))]
    parts += [wrapped(shown(line)) for line in page.foot]
    return "\n\n".join(filter(None, parts)) + "\n"


def _block(block: Block, width: int) -> str:
    title = shown(block.title)
    if isinstance(block, Picture):
        return "\n".join(filter(None, (title, wrapped(shown(block.words)))))
    if isinstance(block, Labels):
        return _grid(Table(title, ("socket", "what", ""), tuple(tuple(label) for label in block.labels)), width)
    if isinstance(block, Line):
        values = [
            wrapped(f"{shown(name)}: {shown(value)}".removeprefix(": "), "", "  ") for name, value in block.values
        ]
        return "\n".join(filter(None, (title, *values, wrapped(shown(block.note)))))
    if isinstance(block, Words):
        lines = [_sentence(shown(line)) for line in block.lines] or [shown(block.empty)]
        return "\n".join(filter(None, (title, *lines)))
    return _grid(block, width)


def _sentence(line: str) -> str:
    return wrapped(line, "  ", "    ") if line.startswith(FOLLOWS) else wrapped(line, "- ", "  ")


def _grid(table: Table, width: int) -> str:
    rows = [tuple(shown(cell) for cell in row) for row in table.rows]
    used = [index for index in range(len(table.columns)) if any(row[index] for row in rows)]
    head = tuple(shown(table.columns[index]) for index in used)
    rows = [tuple(row[index] for index in used) for row in rows]
    widths = _widths([head, *rows], width)
    lines = [shown(table.title)] if table.title else []
    if rows:
        lines += [*_row(head, widths), GAP.join("-" * size for size in widths)]
        lines += [line for row in rows for line in _row(row, widths)]
    if table.note:
        lines.append(wrapped(shown(table.note)))
    return "\n".join(lines)


def _widths(rows: Sequence[tuple[str, ...]], width: int) -> list[int]:
    """Return the width of each column: what its longest cell needs, the widest ones narrowed until all fit.

    Lines are broken between words first, and only then within them.
    """
    columns = list(zip(*rows, strict=True))
    widths = [max(map(cells, column)) for column in columns]
    words = [max((cells(word) for cell in column for word in cell.split()), default=0) for column in columns]
    room = width - len(GAP) * (len(widths) - 1)
    for least in (words, [LEAST] * len(widths)):
        while sum(widths) > room and (slack := [size > low for size, low in zip(widths, least, strict=True)]).count(
            True
        ):
            widest = max(size for size, is_free in zip(widths, slack, strict=True) if is_free)
            widths[next(i for i, size in enumerate(widths) if size == widest and slack[i])] -= 1
    return widths


def _row(row: tuple[str, ...], widths: list[int]) -> list[str]:
    columns = [_broken(cell, size) for cell, size in zip(row, widths, strict=True)]
    lines = []
    for index in range(max(map(len, columns))):
        parts = [column[index] if index < len(column) else "" for column in columns]
        padded = [part + " " * (size - cells(part)) for part, size in zip(parts, widths, strict=True)]
        lines.append(GAP.join(padded).rstrip())
    return lines


def _broken(cell: str, size: int) -> list[str]:
    """Return the lines of a cell; a word that is too long is broken after a hyphen, dot or stroke where it has one."""
    pieces: list[str] = []
    for word in cell.split():
        while len(word) > size:
            cut = max(word.rfind(sign, 0, size) for sign in "-./") + 1 or size
            pieces.append(word[:cut])
            word = word[cut:]  # noqa: PLW2901 - what is left of it
        pieces.append(word)
    return textwrap.wrap(" ".join(pieces), size, break_on_hyphens=False) or [""]


def cells(text: str) -> int:
    """Return how many columns of a terminal a text takes: wide letters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )
