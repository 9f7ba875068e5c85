"""Text that can be printed anywhere: whoever wrote it, it moves no cursor, hides nothing and reads in one direction."""

from __future__ import annotations

import re

# Control characters, and what changes the reading direction, breaks lines or has no width.
_UNSHOWABLE = re.compile(
    "[\x00-\x1f\x7f-\x9f\xad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff]"
)
_WHITE = re.compile("[\t\n\r\x0b\x0c\x85\u2028\u2029]+")


def shown(text: str) -> str:
    """Return text on one line, with the replacement character for whatever can't be seen."""
    return _UNSHOWABLE.sub("\ufffd", _WHITE.sub(" ", text))
