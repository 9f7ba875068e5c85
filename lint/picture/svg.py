"""The few shapes that our drawings are made of. Lengths are in units of the drawing; text is escaped here.

Drawings are black on white: what differs, differs by shape, line and words, so a copying machine loses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from lint.page.plain import shown

INK = "#000"
SOFT = "#3d3d3d"
PALE = "#e4e4e4"
FONT = "Noto Sans, DejaVu Sans, Segoe UI, Arial, sans-serif"
# Mean advance of a letter in these fonts, as a share of the font size; our estimate, on the wide side.
ADVANCE = 0.6


class Drawing:
    """An SVG under construction; `name` keeps the ids of several drawings on one page apart."""

    def __init__(self, name: str, width: float, title: str, words: str) -> None:
        self.name = name
        self.width = width
        self.height = 0.0
        self.title = title
        self.words = words
        self._parts: list[str] = []

    def grow(self, bottom: float) -> None:
        """Make room down to `bottom`."""
        self.height = max(self.height, bottom)

    def rect(self, box: tuple[float, float, float, float], style: str = "", title: str = "") -> None:
        """Draw a box (x, y, width, height): white with a black line, unless the style says otherwise."""
        x, y, width, height = box
        look = style or f'fill="#fff" stroke="{INK}" stroke-width="1.5"'
        inner = f"<title>{_text(title)}</title>" if title else ""
        self._parts.append(
            f'<rect x="{x:g}" y="{y:g}" width="{max(width, 0):g}" height="{max(height, 0):g}" {look}>{inner}</rect>'
        )
        self.grow(y + height)

    def line(self, points: Sequence[tuple[float, float]], width: float = 1.5, dashes: str = "", ink: str = INK) -> None:
        """Draw a line through points."""
        path = " ".join(f"{x:g},{y:g}" for x, y in points)
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        self._parts.append(
            f'<polyline points="{path}" fill="none" stroke="{ink}" stroke-width="{width:g}"'
            f'{dashed} stroke-linejoin="round"/>'
        )
        self.grow(max(y for _, y in points))

    def circle(self, x: float, y: float, radius: float, is_filled: bool, title: str = "") -> None:
        """Draw a dot, or a ring."""
        fill = INK if is_filled else "#fff"
        inner = f"<title>{_text(title)}</title>" if title else ""
        self._parts.append(
            f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}" fill="{fill}" stroke="{INK}" stroke-width="1.5">{inner}'
            "</circle>"
        )

    def text(  # noqa: PLR0913 - what a line of text may be
        self,
        at: tuple[float, float],
        text: str,
        size: float = 14,
        *,
        anchor: str = "start",
        bold: bool = False,
        ink: str = INK,
        room: float = 0,
        turned: float = 0,
    ) -> None:
        """Write a line of text with its baseline at `at`; with `room` it is cut to that width, whole in its title."""
        x, y = at
        whole = shown(text)
        cut = fitted(whole, room, size * (1.06 if bold else 1)) if room else whole
        inner = f"<title>{_text(whole)}</title>" if cut != whole else ""
        weight = ' font-weight="700"' if bold else ""
        turn = f' transform="rotate({turned:g} {x:g} {y:g})"' if turned else ""
        self._parts.append(
            f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}"{weight} fill="{ink}"{turn}>'
            f"{inner}{_text(cut)}</text>"
        )
        if not turned:
            self.grow(y + size * 0.4)

    def badge(self, x: float, y: float, mark: str, number: int) -> float:
        """Draw the mark and number of a finding with its left edge at x, centred on y; return its right edge.

        A no-go is white on black, a caution black on white with a double line: they differ in any light.
        """
        width = 26.0 + 8 * (len(str(number)) - 1)
        dark = mark == "✗"
        self.rect((x, y - 10, width, 20), f'rx="4" fill="{INK if dark else "#fff"}" stroke="{INK}" stroke-width="2"')
        if not dark:
            self.rect((x + 3, y - 7, width - 6, 14), f'rx="2" fill="none" stroke="{INK}" stroke-width="1"')
        self.text(
            (x + width / 2, y + 4.5), f"{mark}{number}", 12.5, anchor="middle", bold=True, ink="#fff" if dark else INK
        )
        return x + width

    def badges(self, x: float, y: float, found: Sequence[tuple[str, int]]) -> float:
        """Draw several badges side by side and return where the last ends."""
        for mark, number in found:
            x = self.badge(x, y, mark, number) + 4
        return x

    def finished(self, margin: float = 10) -> str:
        """Return the SVG element; it can stand in a page or in a file of its own."""
        title, words = f"{self.name}-title", f"{self.name}-words"
        height = self.height + margin
        return "\n".join(
            (
                f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} {height:g}" '
                f'width="{self.width:g}" height="{height:g}" role="img" '
                f'aria-labelledby="{title} {words}" font-family="{FONT}">',
                f'<title id="{title}">{_text(self.title)}</title>',
                f'<desc id="{words}">{_text(self.words)}</desc>',
                f'<rect width="{self.width:g}" height="{height:g}" fill="#fff"/>',
                *self._parts,
                "</svg>",
            )
        )


def fitted(text: str, room: float, size: float) -> str:
    """Return as much of a text as has room, with an ellipsis for the rest."""
    most = max(1, int(room / (size * ADVANCE)))
    return text if len(text) <= most else text[: most - 1] + "…"


def _text(text: str) -> str:
    return escape(shown(text))
