"""Text that can be printed anywhere: whoever wrote it, it moves no cursor, hides nothing and reads in one direction."""

from __future__ import annotations

import re

# Control characters, and what changes the reading direction, breaks lines, has no width or can't be seen at all.
_UNSHOWABLE = re.compile(
    "[\x00-\x1f\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f"
    "\u2800\u3164\ufeff\uffa0\ufff0-\ufffb\ufffe\uffff\ud800-\udfff\U000e0000-\U000e0fff]"
)
_WHITE = re.compile("[\t\n\r\x0b\x0c\x85\u2028\u2029]+")
# A spreadsheet reads a cell that begins so as a formula (OWASP, CSV injection; the wide signs are taken for the narrow
# ones by some). Numbers are no danger.
_FORMULA = re.compile(r"\s*[=+\-@\uff1d\uff0b\uff0d\uff20]")
_NUMBER = re.compile(r"[-+]?[0-9]+(?:[.,][0-9]+)?")


def shown(text: str) -> str:
    """Return text on one line, with the replacement character for whatever can't be seen."""
    return _UNSHOWABLE.sub("\ufffd", _WHITE.sub(" ", text))


def defused(cell: str) -> str:
    """Return a cell on one line that no spreadsheet takes for a formula."""
    return guarded(shown(cell))


def guarded(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula, else as it is: an apostrophe makes it text."""
    return f"'{cell}" if _FORMULA.match(cell) and not _NUMBER.fullmatch(cell) else cell
