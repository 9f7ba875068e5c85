"""What the marks in a drawing stand for, written below it where no sheet tells it beside the drawing."""

from __future__ import annotations

import textwrap

from lint.page.plain import shown
from lint.picture.svg import ADVANCE, Drawing
from lint.sheet.marks import Marks

SIZE = 13
LINE = 18.0


def finished(drawing: Drawing, marks: Marks) -> str:
    """Return the SVG element of a drawing, with the findings that it marks below it if it stands alone."""
    letters = int((drawing.width - 60) / (SIZE * ADVANCE))
    y = drawing.height + 22
    for number in sorted(marks.shown) if marks.stands_alone else ():
        drawing.badge(14, y, marks.mark(number), number)
        for line in textwrap.wrap(shown(marks.findings[number - 1].message), letters):
            drawing.text((56, y + 4.5), line, SIZE)
            y += LINE
        y += 8
    return drawing.finished()
