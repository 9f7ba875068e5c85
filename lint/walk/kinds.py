"""Every kind of rows that an item may be asked for, and what each row is about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from lint.check.engine import Checked
from lint.walk.dark_rows import said_dark
from lint.walk.groups import GROUP_KINDS, GroupRow
from lint.walk.rows import ROW_KINDS, Row, RowKind
from lint.walk.subject import Subject, subject_of

EVERY_KIND: Mapping[str, RowKind] = {**ROW_KINDS, **GROUP_KINDS}


def rows_of(kind: str, checked: Checked) -> list[tuple[Row, Subject]]:
    """Return the rows of one kind in the order that they are walked, each with what it is about."""
    rig, rows = checked.resolved, EVERY_KIND[kind].make(checked)
    return [(replace(row, fields=said_dark(rig, row.fields)), _subject(kind, row, checked)) for row in rows]


def _subject(kind: str, row: Row, checked: Checked) -> Subject:
    if isinstance(row, GroupRow):
        return Subject(parts=row.parts)
    return subject_of(kind, row.fields, checked.resolved)
