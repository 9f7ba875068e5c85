"""Sheets are set as large as their page allows, small ones share one, and long runs of free sockets are told in one."""

from __future__ import annotations

from lint.page.as_html import page_html
from lint.page.as_paper import paper_style
from lint.page.fit import LEAST_DRAWING, TALLEST, runs_told, styles
from lint.page.page import Page, Picture, Section, Table, Words

COLUMNS = ("input", "plug in", "see")


def table(rows: int, cell: str = "vocal", see: str = "") -> Table:
    return Table("Inputs", COLUMNS, tuple((str(number), cell, see) for number in range(1, rows + 1)))


def page(*sections: Section) -> Page:
    return Page("Sunday", "", (Section("overview", "Overview", ()), *sections), ("foot",), "a.yaml")


def scale(section: Section) -> float:
    style = styles(page(section))[1]
    return float(style.partition("--scale:")[2].partition(";")[0] or 1)


def test_few_rows_are_set_large_and_many_small_until_they_need_a_second_page() -> None:
    sizes = [scale(Section("boxes", "a", (table(rows),))) for rows in (4, 30, 38, 80)]
    assert sizes[0] > 1.2
    assert sizes[0] > sizes[1] > sizes[2]
    assert sizes[2] < 1
    assert sizes[3] == 1  # it takes two pages anyway


def test_a_drawing_gives_way_to_the_words_below_it_but_keeps_most_of_itself() -> None:
    svg = '<svg viewBox="0 0 900 1500"></svg>'
    words = ("word " * 40,)
    little = styles(page(Section("stage", "a", (Picture("", svg, ""), Words("f", words * 3, is_small=True)))))[1]
    tall = float(little.partition("--tall:")[2].removesuffix("mm"))
    assert LEAST_DRAWING * TALLEST <= tall < TALLEST
    much = styles(page(Section("stage", "a", (Picture("", svg, ""), Words("f", words * 60, is_small=True)))))[1]
    assert much == ""


def test_sheets_that_join_share_a_kind_of_page_and_its_title() -> None:
    made = page(Section("local", "At the console", (table(2),)), Section("outputs", "Sends", (table(2),), joins=True))
    style = paper_style(made)
    assert "#sheet-2 { page: sheet-2; }" in style
    assert "#sheet-3 { page: sheet-2; }" in style
    assert "@page sheet-3" not in style
    assert 'content: "At the console, Sends"' in style
    assert styles(made)[1:] == ["", ""]


def test_long_runs_of_free_sockets_are_one_row_and_short_ones_stay() -> None:
    rows = [("1", "vocal"), ("2", ""), ("3", ""), ("4", "bass"), *((str(number), "") for number in range(5, 9))]
    assert runs_told(rows) == [("1", "vocal"), ("2", ""), ("3", ""), ("4", "bass"), ("5–8", "free")]


def test_the_mark_of_a_row_stands_beside_its_number_for_a_narrow_screen() -> None:
    html = page_html(page(Section("boxes", "a", (table(1, see="✗6"),))))
    assert '<th scope="row">1<span class="near" aria-hidden="true">✗6</span></th>' in html
