"""Pages written in the form that was asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lint.page.page import Page


def written(page: Page, output: str) -> str:
    """Return a page as `html`, `markdown` or `text`."""
    if output == "html":
        from lint.page.as_html import page_html

        return page_html(page)
    if output == "markdown":
        from lint.page.as_markdown import page_markdown

        return page_markdown(page)
    from lint.page.as_text import page_text
    from lint.page.layout import width

    return page_text(page, width())
