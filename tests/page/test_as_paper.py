"""The margins of printed pages: what a sheet is of, and nothing that a name could break out of."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from lint.page.as_html import page_html
from lint.page.as_paper import paper_style
from lint.page.page import Page, Section


def unquoted(style: str) -> list[str]:
    """Return the strings of a style sheet as CSS reads them (CSS Syntax Module Level 3, 4.3.7)."""
    return [
        re.sub(r"\\([0-9a-f]{6})", lambda found: chr(int(found[1], 16)), text)
        for text in re.findall(r'content: "([^"]*)"; ', style)
    ]


def test_every_page_says_event_sheet_file_and_number() -> None:
    page = Page(
        "Sunday, 2026-12-06", "", (Section("a", "Übersicht", ()), Section("b", "west-box", ())), (), "rigs/x.yaml"
    )
    style = paper_style(page)
    assert unquoted(style) == ["Sunday, 2026-12-06", "rigs/x.yaml", "Übersicht", "west-box"]
    assert 'content: "page " counter(page) " of " counter(pages)' in style
    assert "#sheet-2 { page: sheet-2; }" in style
    assert "#sheet-1 { page" not in style  # it shares its page with the head of the document
    assert style in page_html(page)


@given(st.text(max_size=40))
def test_no_name_breaks_out_of_the_style_sheet(name: str) -> None:
    usual = paper_style(Page("a", "", (Section("a", "a", ()),), (), "a"))
    style = paper_style(Page(name, "", (Section("a", name, ()),), (), name))
    strings = re.compile(r'content: "[A-Za-z0-9 ,.:_\\-]*"; ')
    assert strings.sub("", style) == strings.sub("", usual)
