"""From where to where each value of a YAML text reaches, and where its comments stand: what an edit must go round.

`document.py` records where values start, which is all that a message needs; only an edit asks where they end.
Everything here counts characters of the text from 0, ends exclusive. A text is parsed by `parse` first, so
that it is known to be one document of plain YAML, not too deep.
"""

from __future__ import annotations

import re
from typing import Any, NamedTuple

import yaml

from lint.read.parse import PARSER

_COMMENT = re.compile("#[^\r\n]*")
_HEADER = re.compile("[^\r\n]*")


class Span(NamedTuple):
    """One value: `form` is scalar, block-scalar, alias, map or list.

    A block collection starts at its first member and ends with its last; a collection in brackets includes them.
    """

    form: str
    in_brackets: bool
    start: int
    end: int
    entries: dict[str, Entry]


class Entry(NamedTuple):
    """One key of a map and its value."""

    start: int
    key_end: int
    value: Span


class Layout(NamedTuple):
    """The root value of a text and all its comments, in order."""

    root: Span
    comments: list[tuple[int, int]]


def lay_out(text: str) -> Layout:
    """Return the spans of a text that `parse` has read without a complaint."""
    return _Walker(text).walk()


class _Walker:
    def __init__(self, text: str) -> None:
        self._text = text
        self._parser = PARSER(text)
        self._scalars: list[tuple[int, int]] = []

    def walk(self) -> Layout:
        self._next()  # the stream's start
        self._next()  # the document's
        root = self._span(self._next())
        comments: list[tuple[int, int]] = []
        cursor = 0
        for start, end in [*self._scalars, (len(self._text), len(self._text))]:
            # Between two scalars stand only indicators, anchors and white space: whatever begins with # is a comment.
            comments += [found.span() for found in _COMMENT.finditer(self._text, cursor, start)]
            cursor = end
        return Layout(root, comments)

    def _next(self) -> Any:
        return self._parser.get_event()

    def _span(self, event: Any) -> Span:
        start, end = _reach(event)
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event)
        if isinstance(event, yaml.AliasEvent):
            return Span("alias", False, start, end, {})
        entries: dict[str, Entry] = {}
        values: list[Span] = []
        is_map = isinstance(event, yaml.MappingStartEvent)
        in_brackets = bool(event.flow_style)
        while True:
            member: Any = self._next()
            if isinstance(member, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
                break
            if is_map:
                key = self._scalar(member)
                value = self._span(self._next())
                entries[member.value] = Entry(key.start, key.end, value)
            else:
                value = self._span(member)
            values.append(value)
        end = _reach(member)[1]
        if values and not in_brackets:
            start = next(iter(entries.values())).start if is_map else start
            end = values[-1].end
        return Span("map" if is_map else "list", in_brackets, start, end, entries)

    def _scalar(self, event: Any) -> Span:
        start, end = _reach(event)
        if event.style not in ("|", ">"):
            self._scalars.append((start, end))
            return Span("scalar", False, start, end, {})
        header = _HEADER.match(self._text, start)
        assert header is not None  # it matches the empty text too
        self._scalars.append((header.end(), max(header.end(), end)))
        end = start + len(self._text[start:end].rstrip())
        return Span("block-scalar", False, start, end, {})


def _reach(event: Any) -> tuple[int, int]:
    return event.start_mark.index, event.end_mark.index
