"""What may stand in a name that is shown on screens and kept in records."""

from __future__ import annotations

import re

# Nothing in it may move the cursor, change the reading direction or hide a part of it, or be no character at all. Line
# feed and tab are text.
UNSHOWABLE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)


def unshowable(name: str) -> str:
    """Say what in a file's name or a word of the call can't be shown or kept as it is: a few words, or nothing."""
    found = UNSHOWABLE.search(name) or re.search("[\t\n]", name)
    if found is None:
        return ""
    if "\ud800" <= found.group() <= "\udfff":
        return "bytes that are no text in UTF-8"
    return f"U+{ord(found.group()):04X}, which could forge a screen"
