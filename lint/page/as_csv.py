"""The tables of a page as CSV by RFC 4180: one table, with the group each row belongs to in front."""

from __future__ import annotations

import csv
import io
import re

from lint.page.page import Block, Labels, Line, Page, Table
from lint.page.plain import shown

# A spreadsheet reads a cell that begins so as a formula; a quote before it makes it text again. Numbers are no danger.
_FORMULA = re.compile(r"^\s*[=+\-@\uff1d\uff0b\uff0d\uff20]")
_NUMBER = re.compile(r"[-+]?[0-9]+(?:\.[0-9]+)?")


class SeveralTablesError(Exception):
    """Raised for a page with tables of several kinds: a CSV file holds one."""


def page_csv(page: Page) -> str:
    """Return the tables of a page, which all have the same columns, as one CSV text. Raises SeveralTablesError."""
    tables = [table for section in page.sections for block in section.blocks for table in _tables(block)]
    heads = {table.columns for table in tables}
    if len(heads) > 1:
        raise SeveralTablesError
    if not tables:
        return ""
    has_groups = any(table.group for table in tables)
    out = io.StringIO()
    writer = csv.writer(out)  # the csv module's default is RFC 4180: commas, CRLF, quotes doubled, where needed
    writer.writerow((["of"] if has_groups else []) + [column or "more" for column in tables[0].columns])
    for table in tables:
        for row in table.rows:
            writer.writerow(defused(cell) for cell in ((table.group, *row) if has_groups else row))
    return out.getvalue()


def defused(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula."""
    text = shown(cell)
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def _tables(block: Block) -> list[Table]:
    if isinstance(block, Table):
        return [block]
    if isinstance(block, Labels):
        return [Table(block.title, ("socket", "what", "more"), tuple(tuple(label) for label in block.labels))]
    return [Table(block.title, ("what", "stands at"), block.values)] if isinstance(block, Line) else []
