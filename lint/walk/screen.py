"""Lines in and lines out: a terminal, a pipe or a dumb terminal alike, 80 columns, colour only as a second cue.

In plain mode there are words alone, each paragraph on one line: what a screen reader reads out best.
"""

from __future__ import annotations

import os
import re
import shutil
import sys
import textwrap
from collections.abc import Iterable
from contextlib import suppress
from io import StringIO, TextIOWrapper
from typing import TextIO

WIDEST = 80
NARROWEST = 40
USUAL_HEIGHT = 24
LOWEST = 8

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
_GLUE = "\xa0"  # a space where no line is broken; shown as any other
_COLOUR = re.compile("\x1b\\[[0-9;]*m")
# For terminals that know ASCII alone: a dash in a range must not turn into a question mark.
_ASCII = str.maketrans({"–": "-", "—": "-", "“": '"', "”": '"', "…": "...", "→": "->", "≤": "<=", "’": "'"})


def _coloured(lines: list[str], painted: str) -> str:
    """Return lines that were broken without their colours with these put back, letter by letter."""
    plain, found = "\n".join(lines), []
    place = 0
    for piece in _COLOUR.split(painted):
        for letter in piece:
            if letter.isspace():
                continue
            while plain[place].isspace():
                found.append(plain[place])
                place += 1
            found.append(plain[place])
            place += 1
        found.append("\0")
    codes = iter([*_COLOUR.findall(painted), ""])
    return "".join(next(codes) if letter == "\0" else letter for letter in found)


class StoppedError(Exception):
    """Raised where the input ends: the walk stops there, with every answer given so far on disk."""


def cleaned(text: str) -> str:
    """Return typed text as the record keeps it: one line, showable, of a sane length."""
    whole = text.encode("utf-8", "replace").decode("utf-8")
    return " ".join(_UNSHOWABLE.sub(" ", whole).split())[:MOST_LETTERS]


def _can_show(target: TextIO) -> bool:
    try:
        "▶─✓–".encode(getattr(target, "encoding", None) or "utf-8")
    except UnicodeError:
        return False
    return True


def _words(indent: str) -> str:
    """Return what an indent says in words: a number or a label, and nothing of its marks."""
    return re.sub(r"[^\w\s:,()./-]", "", indent)


class Screen:
    """Where a walk is asked and shown."""

    def __init__(self, source: TextIO | None = None, target: TextIO | None = None, plain: bool = False) -> None:
        # Where there is no standard input at all, it has ended.
        self._source: TextIO = source or sys.stdin or StringIO()
        self._target: TextIO = target or sys.stdout
        for stream in (self._source, self._target):
            if isinstance(stream, TextIOWrapper):  # bytes that are no text are shown as such, and stop nothing
                stream.reconfigure(errors="replace")
        self._is_typed = self._source.isatty()
        no_colour = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
        self._is_ascii = not _can_show(self._target)
        self.is_plain = plain or self._is_ascii
        self._has_colour = self._target.isatty() and not no_colour and not self.is_plain
        size = shutil.get_terminal_size((WIDEST, USUAL_HEIGHT))
        self.width = max(NARROWEST, min(WIDEST, size.columns))
        self.height = max(LOWEST, size.lines)

    def paint(self, text: str, name: str) -> str:
        """Return text in the colour of a status or signal word, where there is colour."""
        return f"\x1b[{_COLOURS[name]}m{text}\x1b[0m" if self._has_colour else text

    def status(self, name: str) -> str:
        """Return a status as mark and word."""
        return self.paint(self.marked(MARKS[name], name.upper().replace("NOT-APPLICABLE", "NOT APPLICABLE")), name)

    def marked(self, mark: str, text: str) -> str:
        """Return a text behind a mark, which plain mode leaves out."""
        return text if self.is_plain else f"{mark} {text}"

    def listed(self, *parts: str) -> str:
        """Return the parts that say anything in one line, set apart; a line is broken between two of them."""
        glued = (part.replace(" ", _GLUE) if len(part) <= NARROWEST else part for part in filter(None, parts))
        return f"{_GLUE}· ".join(glued)

    def say(self, text: str = "", indent: str = "", hanging: str | None = None) -> None:
        """Write a paragraph, broken into lines with words and addresses kept whole."""
        lines = self.wrapped(text, indent, hanging)
        self.write(lines)

    def wrapped(self, text: str, indent: str = "", hanging: str | None = None) -> str:
        """Return a paragraph broken into lines; in plain mode it is one, without what only the eye needs.

        A terminal would break that one in the middle of a word: there, plain mode too breaks it between words.
        """
        if self.is_plain:
            whole = " ".join(f"{_words(indent)}{text}".split())
            return self._between_words(whole) if self._target.isatty() else whole
        # Colours take no room: the lines are broken without them.
        colours = _COLOUR.findall(indent + text)
        wide = textwrap.TextWrapper(
            self.width,
            initial_indent=_COLOUR.sub("", indent),
            subsequent_indent=indent if hanging is None else hanging,
            break_long_words=False,
            break_on_hyphens=False,
        )
        if not colours:
            return wide.fill(text)
        return _coloured(wide.wrap(_COLOUR.sub("", text)), indent + text)

    def _between_words(self, text: str) -> str:
        return textwrap.fill(text, self.width, break_long_words=False, break_on_hyphens=False)

    def write(self, text: str) -> None:
        """Write lines as they are."""
        self._target.write(self._shown(text) + "\n")
        self._target.flush()

    def _shown(self, text: str) -> str:
        """Return a text as this terminal shows it; what sets choices apart for the eye is a comma in plain mode."""
        text = text.replace(_GLUE, " ")
        text = text.replace(" · ", ", ") if self.is_plain else text
        return text.translate(_ASCII) if self._is_ascii else text

    def keys(self, line: str) -> None:
        """Write a line of keys, two spaces between them, broken between two keys where it is too long."""
        lines = [""]
        for key in line.split("  "):
            longer = f"{lines[-1]}  {key}" if lines[-1] else key
            if len(longer) <= self.width:
                lines[-1] = longer
            else:
                lines.append(key)
        self.write("\n".join(lines))

    def rule(self) -> None:
        """Write a line across, where it is of use."""
        if not self.is_plain:
            self.write("─" * self.width)

    def clear(self) -> None:
        """Push what stands on a terminal out of sight, for eyes that are not to see it; not in plain mode."""
        if self._target.isatty() and not self.is_plain:
            self.write("\n" * (self.height - 1))

    def pages(self, paragraphs: Iterable[tuple[str, str]], room: int) -> None:
        """Write paragraphs, each behind its label; at a terminal a screenful at a time that leaves `room` lines free.

        Raises StoppedError.
        """
        left = self.height - room
        for label, text in paragraphs:
            lines = self.wrapped(text, label, "    ")
            needs = lines.count("\n") + 1
            if self._is_typed and not self.is_plain and needs > left:
                if self.ask("Enter: more · b: back to the item "):
                    return
                left = self.height - room
            left -= needs
            self.write(lines)

    def ask(self, prompt: str) -> str:
        """Ask for one line and return it, cleaned. Raises StoppedError at the end of the input."""
        if (not self.is_plain or self._target.isatty()) and len(prompt) > self.width:
            *above, last = self.wrapped(prompt).split("\n")
            self.write("\n".join(above))
            prompt = f"{last} "
        try:
            line = self._read(self._shown(prompt))
        except EOFError:
            self.write("")
            raise StoppedError from None
        if not self._is_typed:
            self.write("")  # nobody's Enter has ended the line of the prompt
        return cleaned(line)

    def forget_typed(self) -> None:
        """Throw away what was typed ahead at a terminal: it was meant for another question."""
        if self._is_typed:
            with suppress(ImportError, OSError, ValueError):  # no such thing on every system
                import termios  # noqa: PLC0415

                termios.tcflush(self._source, termios.TCIFLUSH)

    def _read(self, prompt: str) -> str:
        if self._source is sys.stdin and self._target is sys.stdout:
            return input(prompt)  # with line editing, where the terminal has it
        self._target.write(prompt)
        self._target.flush()
        line = self._source.readline()
        if not line:
            raise EOFError
        return line
