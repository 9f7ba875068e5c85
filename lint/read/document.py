"""Plain data with the place of every value in the file that says it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any, Protocol

from lint.read.problem import Problem

Step = str | int
Trail = tuple[Step, ...]


class Mark(Protocol):
    """Where the parser was: line and column count from 0."""

    line: int
    column: int


class Marks:
    """The positions of one collection: where it starts, and for each member its key's mark and its value's."""

    __slots__ = ("file", "members", "start")

    def __init__(self, file: str, start: Mark, members: dict[Step, tuple[Mark, Mark | Marks]]) -> None:
        self.file = file
        self.start = start
        self.members = members


class Document:
    """Data as read and merged, with the place of every value in the file that says it.

    `replaced` has the rows, by outermost key, that went when a file's list took the place of the one that it extends.
    """

    __slots__ = ("data", "files", "idle_removals", "marks", "replaced")

    def __init__(
        self,
        data: dict[str, Any],
        marks: Marks,
        files: tuple[str, ...],
        idle: tuple[Problem, ...],
        replaced: Mapping[str, Sequence[Any]] = MappingProxyType({}),
    ) -> None:
        self.data = data
        self.marks = marks
        self.files = files
        self.idle_removals = idle
        self.replaced = replaced

    def locate(self, trail: Sequence[Step], at_key: bool = False) -> tuple[str, int, int]:
        """Return (file, line, column) of the value at `trail`, or of its nearest ancestor that was written."""
        return locate(self.marks, trail, at_key)


def locate(marks: Marks, trail: Sequence[Step], at_key: bool = False) -> tuple[str, int, int]:
    """Return (file, line, column), counted from 1, of the value (or its key) at `trail` below `marks`.

    A trail that leads to something unwritten ends at the key of the last thing on it that was written.
    """
    file, mark = marks.file, marks.start
    here: Mark | Marks = marks
    for index, step in enumerate(trail):
        entry = here.members.get(step) if isinstance(here, Marks) else None
        if entry is None:
            break
        key, here = entry
        last = index == len(trail) - 1
        value = here.start if isinstance(here, Marks) else here
        mark = value if last and not at_key and not isinstance(here, Marks) else key
        file = marks_file(entry, file)
    return file, mark.line + 1, mark.column + 1


def marks_file(entry: tuple[Mark, Mark | Marks], parent: str) -> str:
    """Return the file that a member was written in: its own where it is known, else its parent's."""
    value = entry[1]
    if isinstance(value, Marks):
        return value.file
    key = entry[0]
    return key.file if isinstance(key, _FileMark) else parent


class _FileMark:
    """A key's mark that also knows its file: made only where two files meet in one mapping."""

    __slots__ = ("column", "file", "line")

    def __init__(self, mark: Mark, file: str) -> None:
        self.line, self.column = mark.line, mark.column
        self.file = file


def in_file(entry: tuple[Mark, Mark | Marks], file: str) -> tuple[Mark, Mark | Marks]:
    """Return the member with its file noted at the key, so that it can stand in another file's mapping."""
    return entry if isinstance(entry[0], _FileMark) else (_FileMark(entry[0], file), entry[1])
