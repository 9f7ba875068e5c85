"""A rig that is about to be written: what a scaffold says, before it is text."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

# Phantom power may harm them: their channels say that it is off.
BARRED_KINDS = frozenset(("ribbon-microphone",))


@dataclass
class Plan:
    """The sections of a new file, row by row, in the order in which they are written; `notes` by (section, row).

    `extends` is the path of the house file, as written; empty where the file stands alone. `remarks` stand above all.
    """

    extends: str = ""
    event: dict[str, Any] = field(default_factory=dict)
    sections: dict[str, dict[str, Any]] = field(default_factory=dict)
    notes: dict[tuple[str, str], str] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)

    def add(self, section: str, row: str, values: Any, note: str = "") -> None:
        """Add a row to a section."""
        self.sections.setdefault(section, {})[row] = values
        if note:
            self.notes[section, row] = note


def named(text: str, taken: Iterable[str], otherwise: str = "source") -> str:
    """Return a name for a rig file from free text: lower-case letters, digits and hyphens, not taken yet."""
    plain = unicodedata.normalize("NFC", text.casefold())
    words = re.sub(r"(?:[^\w]|[_\x80-\xbf])+", "-", plain).strip("-")
    name = words if words and words[0].isalpha() else f"{otherwise}-{words}".strip("-")
    name = name[:56].strip("-")
    known = set(taken)
    if name not in known:
        return name
    return next(f"{name}-{number}" for number in range(2, len(known) + 3) if f"{name}-{number}" not in known)
