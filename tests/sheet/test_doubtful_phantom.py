"""The 48 V column says where nobody knows that phantom power is off: at dead sockets, and behind a dead console."""

from __future__ import annotations

import pytest

from lint.check.catalogue import load_catalogue
from lint.check.example import check_example
from lint.page.page import Table
from lint.sheet.book import sheet_book


def phantom(week: str, section: str, group: str, key: str) -> str:
    page = sheet_book(check_example(week, load_catalogue()))
    tables = [b for s in page.sections if s.key == section for b in s.blocks if isinstance(b, Table)]
    rows = [
        dict(zip(table.columns, row, strict=True)) for table in tables if table.group == group for row in table.rows
    ]
    return next(row["48 V"] for row in rows if key in row.values())


RIBBON = "sources: {choir: {kind: ribbon-microphone}}\n"


@pytest.mark.parametrize(
    ("week", "cell"),
    [
        ("dead: {west-box/in/2: crackles}", "may be ON"),
        (RIBBON + "dead: {west-box/in/2: crackles}", "may be ON, must be off"),
        ("channels: {2: {phantom: off}}\ndead: {west-box/in/2: crackles}", "–"),
        ("dead: {desk: no picture}", "may be ON"),
        ("cables: {trunk: null, crossing: {from: desk/link-1}}", "may be ON, chain first (✗1), then ON for choir"),
    ],
)
def test_a_box_s_socket(week: str, cell: str) -> None:
    assert phantom(week, "boxes", "west-box", "2") == cell


def test_the_console_s_sheet_says_the_same_of_a_dead_socket() -> None:
    page = sheet_book(check_example("dead: {west-box/in/2: crackles}", load_catalogue()))
    tables = [b for s in page.sections if s.key == "console" for b in s.blocks if isinstance(b, Table)]
    cells = [row[table.columns.index("48 V")] for table in tables if "48 V" in table.columns for row in table.rows]
    assert "may be ON" in cells
