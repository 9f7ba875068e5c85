"""What stands in the margin of every printed page, so that a sheet found on the floor says what it is of.

Above: the event with its date, and the sheet; below: the rig file and the page number. CSS Paged Media Module Level 3
(margin boxes, named pages); a browser that knows neither prints the sheets without.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import takewhile

from lint.page.page import Page
from lint.page.plain import shown

LONGEST = 60
_PLAIN = re.compile(r"[A-Za-z0-9 ,.:_-]")


def paper_style(page: Page) -> str:
    """Return the style sheet of the margins: one kind of page for all sheets that share one."""
    lines = [
        "@page {",
        f"  @top-left {{ content: {_quoted(page.title)}; {_LOOK} font-weight: 700; }}",
        f"  @bottom-left {{ content: {_quoted(page.source)}; {_LOOK} }}",
        f'  @bottom-right {{ content: "page " counter(page) " of " counter(pages); {_LOOK} }}',
        "}",
        *_sheets(page),
    ]
    return "\n".join(lines) + "\n"


_LOOK = "font-size: 8.5pt; font-family: Noto Sans, DejaVu Sans, Segoe UI, Arial, sans-serif;"


def _sheets(page: Page) -> Iterator[str]:
    head = 1
    for index, section in enumerate(page.sections, start=1):
        if section.joins and index > 1:
            yield f"#sheet-{index} {{ page: {f'sheet-{head}' if head > 1 else 'auto'}; }}"
            continue
        # The first sheet shares its page with the head of the document: a name of its own would begin another page.
        head = index
        name = f"@page sheet-{index}" if index > 1 else "@page"
        yield f"{name} {{ @top-right {{ content: {_quoted(_titles(page, index))}; {_LOOK} }} }}"
        if index > 1:
            yield f"#sheet-{index} {{ page: sheet-{index}; }}"
    if head > 1:
        yield f"footer {{ page: sheet-{head}; }}"


def _titles(page: Page, first: int) -> str:
    """Return the titles of a sheet and of those that share its pages."""
    joined = takewhile(lambda section: section.joins, page.sections[first:])
    return ", ".join(section.title for section in (page.sections[first - 1], *joined))


def _quoted(text: str) -> str:
    """Return text as a CSS string in which nothing but letters, digits and a few signs stands as it is."""
    plain = shown(text)
    cut = plain if len(plain) <= LONGEST else plain[: LONGEST - 1] + "…"
    return '"' + "".join(one if _PLAIN.fullmatch(one) else f"\\{ord(one):06x}" for one in cut) + '"'
