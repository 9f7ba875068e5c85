"""The tables of a page as CSV by RFC 4180: one table, with the group each row belongs to in front.

Tables of one kind of sheet that have other columns, such as inputs and outputs, stand in it one below the other: what
names their rows is the column `no`, and which of them a row is of stands in `table`.
"""

from __future__ import annotations

import csv
import io

from lint.page.page import Block, Labels, Line, Page, Table
from lint.page.plain import defused


class SeveralTablesError(Exception):
    """Raised for a page with sheets of several kinds: a CSV file holds one."""


class NoTableError(Exception):
    """Raised for a page without any table."""


def page_csv(page: Page) -> str:
    """Return the tables of a page with one kind of sheet as one CSV text.

    Raises SeveralTablesError, NoTableError.
    """
    if len({section.key for section in page.sections}) > 1:
        raise SeveralTablesError
    blocks = [block for section in page.sections for block in section.blocks]
    tables = [table for block in blocks for table in _tables(block)]
    if any(isinstance(block, Table) for block in blocks):  # then a line of values only repeats what is in them
        tables = [block for block in blocks if isinstance(block, Table)]
    if not tables:
        raise NoTableError
    has_groups = any(table.group for table in tables)
    is_mixed = len({table.columns for table in tables}) > 1
    heads = {table.columns: ("no", *table.columns[1:]) if is_mixed else table.columns for table in tables}
    columns = list(dict.fromkeys(column for head in heads.values() for column in head))
    out = io.StringIO()
    writer = csv.writer(out)  # the csv module's default is RFC 4180: commas, CRLF, quotes doubled, where needed
    front = (["of"] if has_groups else []) + (["table"] if is_mixed else [])
    writer.writerow(front + [column or "more" for column in columns])
    for table in tables:
        named = ([table.group] if has_groups else []) + ([table.title] if is_mixed else [])
        for row in table.rows:
            cells = dict(zip(heads[table.columns], row, strict=True))
            writer.writerow(defused(cell) for cell in (*named, *(cells.get(column, "") for column in columns)))
    return out.getvalue()


def _tables(block: Block) -> list[Table]:
    if isinstance(block, Table):
        return [block]
    if isinstance(block, Labels):
        return [Table(block.title, ("socket", "what", "more"), tuple(tuple(label) for label in block.labels))]
    return [Table(block.title, ("what", "stands at"), block.values)] if isinstance(block, Line) else []
