"""One page in its four forms: the same cells in each, whatever stands in them."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from lint.page.as_csv import SeveralTablesError, page_csv
from lint.page.as_html import page_html
from lint.page.as_markdown import escaped, page_markdown
from lint.page.as_text import cells, page_text
from lint.page.layout import paint
from lint.page.page import FOLLOWS, Label, Labels, Line, Page, Picture, Section, Table, Words
from lint.page.plain import shown

TABLE = Table(
    "Inputs",
    ("input", "plug in", "see"),
    (("1", "kick", ""), ("2", "", ""), ("3", "a|b", "✗ 2")),
    "A note.",
    "west-box",
    tick=True,
)
PAGE = Page(
    "Sunday",
    "rigs/sunday.yaml",
    (
        Section("boxes", "west-box", (Line("Selectors", (("west-box", "1–8"),)), TABLE)),
        Section("words", "Words", (Words("Changes", ("first", FOLLOWS + "second")), Words("None", (), "Nothing."))),
        Section("labels", "Labels", (Labels("", (Label("west-box/in/1", "Kick", "channel 1"),)), Picture("", "<svg/>", "A drawing."))),
    ),
    ("Small print.",),
)  # fmt: skip
SAID = (
    "Sunday",
    "west-box",
    "1–8",
    "kick",
    "✗ 2",
    "A note.",
    "first",
    "second",
    "Nothing.",
    "Kick",
    "A drawing.",
    "Small print.",
)


@pytest.mark.parametrize("form", [page_html, page_markdown, lambda page: page_text(page, 80)])
def test_everything_on_the_page_is_in_every_form(form) -> None:
    text = form(PAGE)
    assert [words for words in SAID if words not in text] == []


def test_text_keeps_to_the_width_and_under_its_columns() -> None:
    long = Table("", ("input", "plug in"), tuple((str(number), "a long name of a source " * 3) for number in range(9)))
    text = page_text(Page("", "", (Section("a", "A", (long,)),)), 60)
    assert max(map(cells, text.splitlines())) <= 60
    assert text.split().count("source") == 27


def test_letters_that_are_wide_or_stand_on_others_are_counted_as_a_terminal_does() -> None:
    assert [cells(text) for text in ("abc", "日本", "e\u0301", "✗")] == [3, 4, 1, 1]


def test_a_csv_file_holds_one_table_with_what_its_rows_are_of() -> None:
    other = TABLE._replace(group="east-box", rows=(("1", "violin", ""),))
    page = PAGE._replace(sections=(Section("boxes", "", (TABLE, other)),))
    assert page_csv(page).splitlines() == [
        "of,input,plug in,see",
        "west-box,1,kick,",
        "west-box,2,,",
        "west-box,3,a|b,✗ 2",
        "east-box,1,violin,",
    ]
    with pytest.raises(SeveralTablesError):
        page_csv(PAGE)


def test_only_the_asked_section_is_left() -> None:
    assert [section.title for section in PAGE.only("labels").sections] == ["Labels"]
    assert PAGE.only("none").sections == ()


def test_consequences_stand_further_in() -> None:
    assert "\n- first\n  → second\n" in page_text(PAGE, 80)
    assert "- first\n  - → second" in page_markdown(PAGE)
    assert "<li class=follows>→ second</li>" in page_html(PAGE)


@given(st.text(max_size=40))
def test_nothing_that_is_shown_moves_a_cursor_or_hides(text: str) -> None:
    plain = shown(text)
    assert not re.search("[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\ud800-\udfff]", plain)
    assert shown(plain) == plain
    assert len(page_html(Page(text, "", ())).split("<h1>")) == 2


@given(st.text(alphabet="ab`*_{}[]()<>#+-.!|~&\\ 1\n", max_size=20))
def test_markdown_shows_text_as_it_is(text: str) -> None:
    # CommonMark 0.31, section 2.4: any ASCII punctuation may be escaped, and is then a sign like any other.
    markdown = MarkdownIt("commonmark").enable("table")
    line = shown(text).strip()
    html = markdown.render(escaped(line))
    inside = re.fullmatch(r"(?:<p>(.*)</p>\n)?", html, re.DOTALL)
    assert inside is not None, html
    found = (inside[1] or "").replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", '"').replace("&amp;", "&")
    assert found == line


def test_colour_is_for_whoever_wants_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert paint("NO-GO", "no-go").startswith("\x1b[31m")
    monkeypatch.setenv("TERM", "dumb")
    assert paint("NO-GO", "no-go") == "NO-GO"
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("NO_COLOR", "1")
    assert paint("NO-GO", "no-go") == "NO-GO"
