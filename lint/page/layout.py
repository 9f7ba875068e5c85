"""How text is laid out on a terminal, a pipe or paper: at most 100 columns, colour only as a second cue."""

from __future__ import annotations

import os
import shutil
import textwrap

import typer

WIDEST = 100
NARROWEST = 40
LABEL = 6  # columns for the longest label, such as "source"

# Word and mark say it; the colour only repeats it.
MARKS = {"no-go": "✗", "caution": "!", "note": "·"}
COLOURS = {"no-go": "red", "caution": "yellow", "note": "cyan", "go": "green", "go-with-cautions": "yellow"}


def width() -> int:
    """Return the columns to write in."""
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size((80, 24)).columns))


def paint(text: str, colour: str, bold: bool = False) -> str:
    """Return text in a colour, unless the user or the terminal asks for none; off a terminal `typer.echo` strips it."""
    is_plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    return text if is_plain else typer.style(text, fg=COLOURS.get(colour, colour), bold=bold)


def wrapped(text: str, indent: str = "", hanging: str | None = None) -> str:
    """Return text broken into lines, words and addresses kept whole."""
    return textwrap.fill(
        " ".join(text.split()),
        width(),
        initial_indent=indent,
        subsequent_indent=indent if hanging is None else hanging,
        break_long_words=False,
        break_on_hyphens=False,
    )


def labelled(label: str, text: str, indent: str = "    ") -> str:
    """Return text with a short label before its first line."""
    return wrapped(text, f"{indent}{label:<{LABEL}} ", " " * (len(indent) + LABEL + 1))


def counted(number: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun."""
    return f"{number} {one if number == 1 else many or one + 's'}"
