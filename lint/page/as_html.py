"""A page as one HTML file that needs nothing else: no script, no font, no picture and no style from elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape
from pathlib import Path

from lint.page.as_paper import paper_style
from lint.page.fit import FREE, SHORT_HEAD, runs_told, shares, styles, used_columns
from lint.page.page import CARE, FOLLOWS, Block, Labels, Line, Page, Picture, Section, Table, Words
from lint.page.plain import shown

# What a line is read for: the word of care, and the cure behind it.
_LABEL = re.compile(r"(^| )(CARE(?: \d+)?:|Cure:|Put right:)(?= )")
BOLD = r"\1<strong>\2</strong>"
STYLE = Path(__file__).parent / "page.css"
# Values longer than this are set smaller on the big line.
LONG = 9
# A table of at most this many rows is kept on one sheet of paper.
SHORT = 24
# So many columns fit on the screen of a telephone.
FEW = 3
# The column that says which findings are about a row.
SEE = "see"
MARKS = ("✗", "!", "✓", "·", "≠")


def page_html(page: Page) -> str:
    """Return the page as HTML; whatever a file says stands in it as text, never as markup."""
    title = _text(page.title)
    lines = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        # Even if something slipped through, a browser would neither run nor load it.
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">",
        f"<title>{title}</title>",
        f"<style>\n{STYLE.read_text(encoding='utf-8')}{paper_style(page)}</style>",
        "</head>",
        "<body>",
        f"<header><h1>{title}</h1>",
        f'<p class="subtitle">{_text(page.subtitle)}</p>' if page.subtitle else "",
        *_contents(page),
        "</header>",
        "<main>",
        *(line for index, look in enumerate(styles(page)) for line in _section(page.sections[index], index, look)),
        "</main>",
        *_foot(page),
        "</body>",
        "</html>",
    ]
    return "\n".join(filter(None, lines)) + "\n"


def _text(text: str) -> str:
    return escape(shown(text))


def _contents(page: Page) -> Iterator[str]:
    if len(page.sections) > 1:
        yield '<nav aria-label="Sheets"><ul>'
        for index, section in enumerate(page.sections):
            yield f'<li><a href="#sheet-{index + 1}">{_text(section.title)}</a></li>'
        yield "</ul></nav>"


def _foot(page: Page) -> list[str]:
    return ["<footer>", *(f"<p>{_text(line)}</p>" for line in page.foot), "</footer>"] if page.foot else []


def _section(section: Section, index: int, look: str) -> Iterator[str]:
    name = f"sheet-{index + 1}"
    named = ("" if index else "first", "columns" if section.in_columns else "", "joins" if section.joins else "")
    kinds = " ".join(filter(None, named))
    first = f' class="{kinds}"' if kinds else ""
    style = f' style="{look}"' if look else ""
    yield f'<section id="{name}" aria-labelledby="{name}-title"{first}{style}>'
    yield f'<h2 id="{name}-title">{_text(section.title)}</h2>'
    for block in section.blocks:
        yield from _block(block)
    yield "</section>"


def _block(block: Block) -> Iterator[str]:
    if isinstance(block, Picture):
        # The drawing itself says in its description what it shows, to whoever does not see it.
        yield f"<figure>{block.svg}<figcaption>{_text(block.reading or block.words)}</figcaption></figure>"
        return
    is_short = isinstance(block, Table) and len(block.rows) <= SHORT
    is_small = isinstance(block, Words) and block.is_small
    kind = "together" if is_short else "across" if isinstance(block, Line) else "small" if is_small else ""
    yield f'<div class="{kind}">' if kind else "<div>"
    if block.title:
        yield f"<h3>{_text(block.title)}</h3>"
    if isinstance(block, Table):
        yield from _table(block)
    elif isinstance(block, Words):
        yield from _words(block)
    elif isinstance(block, Line):
        yield from _line(block)
    else:
        yield from _labels(block)
    yield "</div>"


def _table(table: Table) -> Iterator[str]:
    if table.rows:
        used = used_columns(table)
        columns = [(table.columns[index], [row[index] for row in table.rows]) for index in used]
        percent, is_tight = shares(columns, table.tick)
        tick = '<th scope="col" class="short">Done</th>' if table.tick else ""
        # A narrow screen scrolls a table sideways rather than break its words.
        opening = '<div class="wide">' if len(columns) > FEW else "<div>"
        yield f"{opening}<table{' class=tight' if is_tight else ''}><colgroup>"
        yield "".join(f'<col style="width:{share:.1f}%">' for share in percent)
        heads = "".join(
            f'<th scope="col"{" class=short" if len(head) <= SHORT_HEAD else ""}>{_text(head) or "Also"}</th>'
            for head, _ in columns
        )
        yield f"</colgroup><thead><tr>{tick}{heads}</tr></thead><tbody>"
        for row in runs_told(table.rows):
            see = row[-1] if table.columns[-1] == SEE else ""
            yield _row([row[index] for index in used], table.tick, see)
        yield "</tbody></table></div>"
    if table.note:
        yield f'<p class="note">{_text(table.note)}</p>'


def _row(row: list[str], tick: bool, see: str) -> str:
    is_free = not any(cell for cell in row[1:] if cell != FREE)
    box = f"<td{' class=tick' if not is_free else ''}></td>" if tick else ""
    cells = "".join(f"<td{' class=status' if cell.startswith(MARKS) else ''}>{_text(cell)}</td>" for cell in row[1:])
    # On a narrow screen the last column is out of sight: the mark stands beside the first as well.
    near = f'<span class="near" aria-hidden="true">{_text(see)}</span>' if see else ""
    return f'<tr{" class=free" if is_free else ""}>{box}<th scope="row">{_text(row[0])}{near}</th>{cells}</tr>'


def _words(words: Words) -> Iterator[str]:
    if not words.lines:
        yield f"<p>{_text(words.empty)}</p>"
        return
    marked = " marked" if all(line.startswith(MARKS) for line in words.lines) else ""
    yield f'<ul class="words{marked}">'
    for line in words.lines:
        kind = " class=follows" if line.startswith(FOLLOWS) else " class=care" if line.startswith(CARE) else ""
        yield f"<li{kind}>{_LABEL.sub(BOLD, _text(line))}</li>"
    yield "</ul>"


def _line(line: Line) -> Iterator[str]:
    is_long = any(len(value) > LONG for _, value in line.values)
    yield f'<dl class="line{" long" if is_long else ""}">'
    for name, value in line.values:
        yield f"<div><dt>{_text(name)}</dt><dd>{_text(value)}</dd></div>"
    yield "</dl>"
    if line.note:
        yield f'<p class="note">{_text(line.note)}</p>'


def _labels(labels: Labels) -> Iterator[str]:
    yield '<ol class="labels">'
    for label in labels.labels:
        foot = f'<span class="foot">{_text(label.foot)}</span>' if label.foot else ""
        yield (
            f'<li><span class="head">{_text(label.head)}</span><span class="name">{_text(label.name)}</span>{foot}</li>'
        )
    yield "</ol>"
