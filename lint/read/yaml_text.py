"""Values written as YAML, in the style of the files people keep: short maps and lists on a line, the rest below.

Whatever is written reads back as the same value by the YAML 1.2 core rules of `scalar.py`; a text that would not is
quoted.
"""

from __future__ import annotations

import re
from typing import Any

from lint.read.scalar import resolve_plain

WIDTH = 120
# Plain text that means the same inside and outside brackets: no comma, bracket, quote or hash, no colon before a space.
_PLAIN = re.compile(r"[^\W_](?:[\w ./()+'&;%–-]|:(?=[\w/]))*")


def block_entry(key: str, value: Any, column: int) -> list[str]:
    """Return the lines of a key and its value as an entry of a block map that is indented by `column` spaces."""
    inline, below = block_value(value, column, len(plain_or_quoted_key(key)) + 2)
    head = f"{' ' * column}{plain_or_quoted_key(key)}:"
    return [f"{head} {inline}" if inline else head, *below]


def block_value(value: Any, column: int, used: int = 0) -> tuple[str, list[str]]:
    """Return what stands behind the colon of a key at `column` (with `used` characters), and the lines below it."""
    inline = flow(value)
    if not isinstance(value, (dict, list)) or not value:
        return inline, []
    members = list(value.values()) if isinstance(value, dict) else value
    is_nested = any(isinstance(member, dict) and member for member in members)
    if not is_nested and column + used + len(inline) <= WIDTH:
        return inline, []
    if isinstance(value, list):
        return "", list_items(value, column + 2)
    return "", [line for key, member in value.items() for line in block_entry(key, member, column + 2)]


def list_items(items: list[Any], column: int) -> list[str]:
    """Return one line for each item of a list."""
    return [f"{' ' * column}- {flow(item)}" for item in items]


def flow(value: Any) -> str:
    """Return a value on one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(flow_entry(key, member) for key, member in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(flow, value)) + "]"
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    return _text(value) if isinstance(value, str) else repr(value)


def flow_entry(key: str, value: Any) -> str:
    """Return a key and its value on one line."""
    return f"{plain_or_quoted_key(key)}: {flow(value)}"


def plain_or_quoted_key(key: str) -> str:
    """Return a key as it is written; keys stay text whatever they look like, so `1` needs no quotes."""
    return key if _is_plain(key) else quoted(key)


def _text(text: str) -> str:
    is_own_value = len(text) <= WIDTH and _is_plain(text) and resolve_plain(text) == text
    return text if is_own_value else quoted(text)


def _is_plain(text: str) -> bool:
    return _PLAIN.fullmatch(text) is not None and not text.endswith((" ", ":")) and text.isprintable()


def quoted(text: str) -> str:
    """Return a text between double quotes, with YAML's escapes for what can't be seen."""
    return '"' + "".join(map(_escaped, text)) + '"'


def _escaped(letter: str) -> str:
    if letter in '"\\':
        return "\\" + letter
    if letter.isprintable():
        return letter
    code = ord(letter)
    if letter in "\n\t":
        return "\\n" if letter == "\n" else "\\t"
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
