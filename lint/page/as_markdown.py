"""A page as Markdown (CommonMark, with the table extension that readers of it share)."""

from __future__ import annotations

import re

from lint.page.page import FOLLOWS, Block, Labels, Line, Page, Picture, Table, Words
from lint.page.plain import shown

# Whatever could begin markup or raw HTML; a backslash before it makes it a sign like any other.
_MARKUP = re.compile(r"([\\`*_{}\[\]<>#|~!&])")
_AT_START = re.compile(r"^(\s*)([-+=]|\d+[.)](?=\s|$))")


def page_markdown(page: Page) -> str:
    """Return the page as Markdown."""
    parts = [f"# {escaped(page.title)}"]
    parts += [escaped(page.subtitle)] if page.subtitle else []
    for section in page.sections:
        parts.append(f"## {escaped(section.title)}")
        parts += [part for block in section.blocks for part in _block(block)]
    parts += [escaped(line) for line in page.foot]
    return "\n\n".join(parts) + "\n"


def escaped(text: str) -> str:
    """Return text that Markdown shows as it is."""
    return _AT_START.sub(_guard, _MARKUP.sub(r"\\\1", shown(text)))


def _guard(found: re.Match[str]) -> str:
    sign = found[2]
    return found[1] + (sign[:-1] + "\\" + sign[-1])


def _block(block: Block) -> list[str]:
    title = [f"### {escaped(block.title)}"] if block.title else []
    if isinstance(block, Picture):
        return [*title, escaped(block.words)]
    if isinstance(block, Labels):
        return [*title, _table(("socket", "what", ""), tuple(tuple(label) for label in block.labels))]
    if isinstance(block, Line):
        values = " · ".join(f"{escaped(name)} **{escaped(value)}**".strip() for name, value in block.values)
        return [*title, *filter(None, (values, escaped(block.note)))]
    if isinstance(block, Words):
        lines = "\n".join(f"{'  ' if line.startswith(FOLLOWS) else ''}- {escaped(line)}" for line in block.lines)
        return [*title, lines or escaped(block.empty)]
    return [*title, *([_table(block.columns, block.rows)] if block.rows else []), *_note(block)]


def _note(table: Table) -> list[str]:
    return [escaped(table.note)] if table.note else []


def _table(columns: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> str:
    """Return a table without the columns in which nothing stands."""
    used = [index for index in range(len(columns)) if any(row[index] for row in rows)]
    lines = ["| " + " | ".join(escaped(row[index]) for index in used) + " |" for row in (columns, *rows)]
    return "\n".join([lines[0], "|" + "---|" * len(used), *lines[1:]])
