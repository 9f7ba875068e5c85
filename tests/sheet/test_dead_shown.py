"""A dead socket stands on every sheet, so that nobody plugs in there: the box's, the console's and the labels."""

from __future__ import annotations

from lint.check.catalogue import load_catalogue
from lint.check.example import check_example
from lint.page.page import Block, Labels, Table
from lint.sheet.book import sheet_book

WEEK = "dead: {west-box/in/2: crackles, west-box/in/5: no signal}\n"


def blocks(key: str, week: str = WEEK) -> list[Block]:
    page = sheet_book(check_example(week, load_catalogue()))
    return [block for section in page.sections if section.key == key for block in section.blocks]


def test_the_box_s_sheet_names_it_with_what_is_plugged_in_there_or_not() -> None:
    (table,) = [b for b in blocks("boxes") if isinstance(b, Table) and b.group == "west-box" and b.title == "Inputs"]
    cells = {row[0]: dict(zip(table.columns, row, strict=True)) for row in table.rows}
    used, free = cells["2"], cells["5"]
    assert (used["plug in"], used["channel"], used["48 V"]) == ("DEAD (crackles); choir", "none (dead)", "may be ON")
    assert (used["meant for"], used["see"]) == ("≠ 2", "✗1")
    assert (free["plug in"], free["channel"], free["see"]) == ("DEAD (no signal)", "none (dead)", "")


def test_the_console_s_sheet_says_that_nothing_comes_of_it() -> None:
    text = str([b for b in blocks("console") if isinstance(b, Table)])
    assert "nothing (dead socket)" in text


def test_there_is_a_label_for_it_though_nothing_is_plugged_in() -> None:
    (labels,) = [b for b in blocks("labels") if isinstance(b, Labels)]
    found = {label.head: (label.name, label.foot) for label in labels.labels}
    assert found["west-box/in/5"] == ("DEAD", "no signal")
    assert found["west-box/in/2"] == ("DEAD", "crackles; choir must move, ≠ meant for 2 — see ✗1")


def test_what_a_dead_console_sends_is_nothing() -> None:
    text = str(
        [b for key in ("boxes", "console") for b in blocks(key, "dead: {desk: no picture}\n") if isinstance(b, Table)]
    )
    assert "nothing (dead console)" in text
    assert "house.left'" not in text.replace("≠ house.left", "")
