"""Lines in and lines out: a terminal, a pipe or a dumb terminal alike, 80 columns, colour only as a second cue."""

from __future__ import annotations

import os
import re
import shutil
import sys
import textwrap
from io import StringIO, TextIOWrapper
from typing import TextIO

WIDEST = 80
NARROWEST = 40

# Word and mark say it; the colour only repeats it.
MARKS = {
    "go": "✓",
    "no-go": "✗",
    "hold": "‖",
    "not-applicable": "–",
    "open": "○",
}
_COLOURS = {
    "go": "32", "no-go": "31", "hold": "33", "not-applicable": "36", "open": "0",
    "DANGER": "1;31", "WARNING": "1;33", "CAUTION": "33", "NOTICE": "34", "strong": "1",
}  # fmt: skip
# Nothing that is typed may move the cursor, or change the reading direction, of whoever reads the record later.
_UNSHOWABLE = re.compile("[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]+")
MOST_LETTERS = 500


class StoppedError(Exception):
    """Raised where the input ends: the walk stops there, with every answer given so far on disk."""


def cleaned(text: str) -> str:
    """Return typed text as the record keeps it: one line, showable, of a sane length."""
    whole = text.encode("utf-8", "replace").decode("utf-8")
    return " ".join(_UNSHOWABLE.sub(" ", whole).split())[:MOST_LETTERS]


class Screen:
    """Where a walk is asked and shown."""

    def __init__(self, source: TextIO | None = None, target: TextIO | None = None) -> None:
        # Where there is no standard input at all, it has ended.
        self._source: TextIO = source or sys.stdin or StringIO()
        self._target: TextIO = target or sys.stdout
        for stream in (self._source, self._target):
            if isinstance(stream, TextIOWrapper):  # bytes that are no text are shown as such, and stop nothing
                stream.reconfigure(errors="replace")
        self._is_typed = self._source.isatty()
        plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
        self._has_colour = self._target.isatty() and not plain
        self.width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns))

    def paint(self, text: str, name: str) -> str:
        """Return text in the colour of a status or signal word, where there is colour."""
        return f"\x1b[{_COLOURS[name]}m{text}\x1b[0m" if self._has_colour else text

    def status(self, name: str) -> str:
        """Return a status as mark and word."""
        return self.paint(f"{MARKS[name]} {name.upper().replace('NOT-APPLICABLE', 'NOT APPLICABLE')}", name)

    def say(self, text: str = "", indent: str = "", hanging: str | None = None) -> None:
        """Write a paragraph, broken into lines with words and addresses kept whole."""
        lines = self.wrapped(text, indent, hanging)
        self.write(lines)

    def wrapped(self, text: str, indent: str = "", hanging: str | None = None) -> str:
        """Return a paragraph broken into lines."""
        return textwrap.fill(
            text,
            self.width,
            initial_indent=indent,
            subsequent_indent=indent if hanging is None else hanging,
            break_long_words=False,
            break_on_hyphens=False,
        )

    def write(self, text: str) -> None:
        """Write lines as they are."""
        self._target.write(text + "\n")
        self._target.flush()

    def rule(self) -> None:
        """Write a line across."""
        self.write("─" * self.width)

    def ask(self, prompt: str) -> str:
        """Ask for one line and return it, cleaned. Raises StoppedError at the end of the input."""
        try:
            line = self._read(prompt)
        except EOFError:
            self.write("")
            raise StoppedError from None
        if not self._is_typed:
            self.write("")  # nobody's Enter has ended the line of the prompt
        return cleaned(line)

    def _read(self, prompt: str) -> str:
        if self._source is sys.stdin and self._target is sys.stdout:
            return input(prompt)  # with line editing, where the terminal has it
        self._target.write(prompt)
        self._target.flush()
        line = self._source.readline()
        if not line:
            raise EOFError
        return line
