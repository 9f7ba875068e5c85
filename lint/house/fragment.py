"""A piece of a rig file as text again: an example of a rule, as people read it and as the tests run it."""

from __future__ import annotations

import json
import re
from typing import Any

from lint.read.scalar import resolve_plain

# What may stand without quotes anywhere in a line, also within braces.
_PLAIN = re.compile(r"[\w./+-]+( [\w./+-]+)*")
LONGEST = 110


def fragment_text(data: Any) -> str:
    """Return data as YAML: a line a row, and rows that fit in braces."""
    return "\n".join(_lines(data, ""))


def _lines(data: Any, indent: str) -> list[str]:
    if not isinstance(data, dict) or not data:
        return [indent + _flow(data)]
    lines = []
    for key, value in data.items():
        line = f"{indent}{_key(key)}: {_flow(value)}"
        if isinstance(value, dict) and value and (not indent or len(line) > LONGEST):
            lines += [f"{indent}{_key(key)}:", *_lines(value, indent + "  ")]
        else:
            lines.append(line)
    return lines


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(key)}: {_flow(entry)}" for key, entry in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    return _scalar(value) if isinstance(value, str) else json.dumps(value)


def _key(text: str) -> str:
    """Write a key, which is text whatever it looks like: `1` and `15-16` stand without quotes."""
    return text if _PLAIN.fullmatch(text) and not text.startswith("-") else json.dumps(text, ensure_ascii=False)


def _scalar(text: str) -> str:
    """Write a text without quotes where it is read as the same text then."""
    if _PLAIN.fullmatch(text) and not text.startswith(("-", ".")) and _is_text(text):
        return text
    return json.dumps(text, ensure_ascii=False)


def _is_text(text: str) -> bool:
    try:
        return resolve_plain(text) == text
    except ValueError:
        return False
