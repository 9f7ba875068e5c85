"""The cuts and insertions that a change makes in a YAML text."""

from __future__ import annotations

import json
import re
from bisect import bisect_left
from typing import Any, NamedTuple, cast

from lint.read.spans import Entry, Span, lay_out
from lint.read.yaml_text import block_entry, block_value, flow, flow_entry, list_items

_BREAK = re.compile("\r\n|\r|\n")
_BLOCK_HEADER = re.compile("[|>][0-9+-]*")


class Put(NamedTuple):
    """Write this value, in place of the old one if there is one."""

    value: Any


class Removed(NamedTuple):
    """Take the key out."""


# What to do with a key: write it, take it out, or change its map key by key.
Change = Put | Removed | dict[str, Any]


class CannotSpliceError(Exception):
    """Raised where two cuts would meet: the text is written in a way that is not foreseen."""


def spliced(text: str, data: dict[str, Any], change: dict[str, Change]) -> str:
    """Return `text`, which holds the map `data`, changed; bytes that the change does not concern stay as they are."""
    return _Splicer(text).spliced(data, change)


class _Splicer:
    def __init__(self, text: str) -> None:
        self._mark = "\ufeff" if text.startswith("\ufeff") else ""
        self._text = text.removeprefix(self._mark)
        first_break = _BREAK.search(text)
        self._break = first_break.group() if first_break else "\n"
        self._edits: list[tuple[int, int, str]] = []

    def spliced(self, data: dict[str, Any], change: dict[str, Change]) -> str:
        layout = lay_out(self._text)
        self._comments = layout.comments
        root = layout.root
        column = 0 if root.in_brackets else self._column(root)
        if not root.in_brackets and not _after(data, change):
            self._empty_block(root, column)
            self._edits.append((root.start, root.start, "{}" + self._break))
        else:
            self._map(root, data, change, column)
        return self._mark + self._applied()

    def _applied(self) -> str:
        parts: list[str] = []
        cursor = 0
        for start, end, new in sorted(self._edits, key=lambda edit: edit[:2]):
            if start < cursor:
                raise CannotSpliceError
            parts += [self._text[cursor:start], new]
            cursor = end
        return "".join([*parts, self._text[cursor:]])

    def _map(self, span: Span, data: dict[str, Any], change: dict[str, Change], column: int) -> None:
        """Change the map at `span` key by key; `column` is the indentation of its keys, 0 in brackets."""
        removed = {key for key in span.entries if isinstance(change.get(key), Removed)}
        added: dict[str, Any] = {}
        for key, what in change.items():
            if isinstance(what, Removed):
                continue
            if key not in span.entries:
                added[key] = _after({}, what) if isinstance(what, dict) else what.value
            else:
                self._value(span, key, data[key], what, column)
        if span.in_brackets:
            self._flow_members(span, removed, added)
            return
        for key in removed:
            entry = span.entries[key]
            self._cut_lines(self._line_start(entry.start), self._next_line(entry.value.end), column)
        if added:
            lines = [line for key, value in added.items() for line in block_entry(key, value, column)]
            self._insert_lines(self._next_line(span.end), lines)

    def _value(self, parent: Span, key: str, old: Any, what: Put | dict[str, Any], column: int) -> None:
        entry = parent.entries[key]
        value = entry.value
        if isinstance(what, dict) and value.form == "map":
            if value.in_brackets:
                self._map(value, old, what, 0)
            elif _after(old, what):
                self._map(value, old, what, self._column(value))
            else:
                self._empty_block(value, column)
                self._edits.append((self._behind_colon(entry), self._behind_colon(entry), " {}"))
            return
        new = _after(old, what) if isinstance(what, dict) else what.value
        if json.dumps(new) == json.dumps(old):  # unlike ==, this tells true from 1
            return
        if parent.in_brackets:
            self._replace_in_brackets(entry, new)
        elif value.form == "block-scalar" or (value.form in ("map", "list") and not value.in_brackets):
            self._replace_block(entry, new, column)
        else:
            self._replace_inline(entry, new, column)

    def _replace_in_brackets(self, entry: Entry, new: Any) -> None:
        value = entry.value
        lost = "".join(f" {comment}{self._break}" for comment in self._comments_in(value.start, value.end))
        colon = "" if ":" in self._text[entry.key_end : value.start] else ":"
        space = "" if not colon and self._text[value.start - 1].isspace() else " "
        behind = "" if self._text[value.end : value.end + 1] in (",", "}", " ", "", "\n", "\r") else " "
        self._edits.append((value.start, value.end, f"{colon}{space}{flow(new)}{lost}{behind}"))

    def _replace_inline(self, entry: Entry, new: Any, column: int) -> None:
        value = entry.value
        inline, below = block_value(new, column, entry.key_end - entry.start + 2)
        lost = [" " * column + comment for comment in self._comments_in(value.start, value.end)]
        self._insert_lines(self._line_start(entry.start), lost)
        start = value.start
        if not inline:
            start = len(self._text[:start].rstrip(" "))
        space = " " if inline and not self._text[start - 1].isspace() else ""
        self._edits.append((start, value.end, space + inline))
        self._insert_lines(self._next_line(value.end), below)

    def _replace_block(self, entry: Entry, new: Any, column: int) -> None:
        value = entry.value
        cut_from = at = self._behind_colon(entry)
        body = self._line_start(value.start)
        if value.form == "block-scalar":
            header = _BLOCK_HEADER.match(self._text, value.start)
            assert header is not None  # a block scalar starts with its header
            cut_from, body = header.end(), self._next_line(header.end())
        end = self._next_line(value.end)
        kept_at = column
        if value.form == "list" and isinstance(new, list) and new:
            kept_at = self._column(value)
            inline, below = "", list_items(new, kept_at)
        else:
            inline, below = block_value(new, column, entry.key_end - entry.start + 2)
        self._edits.append((at, cut_from, f" {inline}" if inline else ""))
        self._cut_lines(body, max(body, end), kept_at)
        self._insert_lines(max(body, end), below)

    def _empty_block(self, span: Span, column: int) -> None:
        self._cut_lines(self._line_start(span.start), self._next_line(span.end), column)

    def _flow_members(self, span: Span, removed: set[str], added: dict[str, Any]) -> None:
        """Take members out of a map in brackets, each with one of its commas, and put new ones behind the last."""
        keys = list(span.entries)
        kept = [key for key in keys if key not in removed]
        text = ", ".join(flow_entry(key, value) for key, value in added.items())
        if not kept:
            inside = self._text.index("{", span.start) + 1
            self._edits.append((inside, inside, text))
            if keys:
                self._cut_in_brackets(inside, span.end - 1)
            return
        last = span.entries[kept[-1]]
        if added:
            self._edits.append((last.value.end, last.value.end, f", {text}"))
        for index, key in enumerate(keys):
            if key in removed and index < keys.index(kept[-1]):
                self._cut_in_brackets(span.entries[key].start, span.entries[keys[index + 1]].start)
        if keys[-1] in removed:
            self._cut_in_brackets(last.value.end, span.entries[keys[-1]].value.end)

    def _cut_in_brackets(self, start: int, end: int) -> None:
        kept = "".join(f" {comment}{self._break}" for comment in self._comments_in(start, end))
        self._edits.append((start, end, kept))

    def _cut_lines(self, start: int, end: int, column: int) -> None:
        """Cut whole lines; the comments on them stay, each on a line of its own."""
        kept = [f"{' ' * column}{comment}{self._break}" for comment in self._comments_in(start, end)]
        self._edits.append((start, end, "".join(kept)))

    def _insert_lines(self, at: int, lines: list[str]) -> None:
        if not lines:
            return
        new = "".join(line + self._break for line in lines)
        if at and self._text[at - 1] not in "\r\n":
            new = self._break + new.removesuffix(self._break)
        self._edits.append((at, at, new))

    def _comments_in(self, start: int, end: int) -> list[str]:
        first = bisect_left(self._comments, (start, start))
        found: list[str] = []
        for begins, ends in self._comments[first:]:
            if begins >= end:
                break
            found.append(self._text[begins:ends])
        return found

    def _behind_colon(self, entry: Entry) -> int:
        return self._text.index(":", entry.key_end) + 1

    def _column(self, span: Span) -> int:
        return span.start - self._line_start(span.start)

    def _line_start(self, index: int) -> int:
        return max(self._text.rfind("\n", 0, index), self._text.rfind("\r", 0, index)) + 1

    def _next_line(self, index: int) -> int:
        found = _BREAK.search(self._text, index)
        return found.end() if found else len(self._text)


def _after(data: Any, change: dict[str, Any]) -> dict[str, Any]:
    """Return the map that a change makes of `data`."""
    merged: dict[str, Any] = dict(data) if isinstance(data, dict) else {}
    for key, what in change.items():
        if isinstance(what, Removed):
            merged.pop(key, None)
        elif isinstance(what, Put):
            merged[key] = what.value
        else:
            merged[key] = _after(merged.get(key), cast("dict[str, Any]", what))
    return merged
