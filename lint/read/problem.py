"""What is said when a file can't be read, and the exception that carries it up."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, NamedTuple


class Problem(NamedTuple):
    """One thing that keeps a file from being read: where (line and column count from 1) and what, in a sentence.

    Line 0 means the file as a whole: it is missing, too large, or not text.
    """

    file: str
    line: int
    column: int
    message: str

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return f"{where}: {self.message}"


class CannotReadError(Exception):
    """Raised with every problem found in one go, in the order of the file."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(dict.fromkeys(problems))
        super().__init__("\n".join(map(str, self.problems)))

    def __reduce__(self) -> tuple[type[CannotReadError], tuple[tuple[Problem, ...]]]:
        return type(self), (self.problems,)


# No name in a file makes a message longer than a few lines of a screen.
MAX_MESSAGE = 800


def found(value: Any) -> str:
    """Say what was found, shortly and in the words of the file."""
    if isinstance(value, dict):
        return "found a map" if value else "found an empty map"
    if isinstance(value, list):
        return "found a list" if value else "found an empty list"
    if value is None:
        return "found nothing"
    if isinstance(value, str):
        return f"found '{shortened(value)}'"
    return f"found {shortened(json.dumps(value))}"


def shortened(text: str, most: int = 78) -> str:
    """Return a text as one line that a message has room for."""
    line = text[: most + 1].replace("\n", "\\n").replace("\t", "\\t")
    return line if len(line) <= most else line[: most - 3] + "..."


def cannot_read(file: str, message: str, line: int = 0, column: int = 0) -> CannotReadError:
    """Return the exception for a single problem."""
    return CannotReadError([Problem(file, line, column, message)])
