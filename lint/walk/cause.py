"""Which line of a house's checklist made a mistake of what it extends.

A bundled list is right by itself: what is wrong in one of its lines is so through what the house's list changes, adds
or takes out, and there it has to be put right.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lint.read.document import Document, Trail
from lint.read.problem import CannotReadError, Problem
from lint.read.schema import require_valid
from lint.walk.extension import Extended
from lint.walk.mistakes import mistakes_in


def problems_in(document: Document) -> list[Problem]:
    """Return what is wrong with a checklist, each at the line that made it so."""
    try:
        require_valid(document, "checklist")
    except CannotReadError as error:
        found = list(error.problems)
    else:
        found = list(mistakes_in(document))
    return sorted(_at_cause(document, found)) if isinstance(document, Extended) else sorted(found)


def _at_cause(document: Extended, found: list[Problem]) -> Iterator[Problem]:
    own = document.own.marks.file
    others = [problem for problem in found if problem.file != own]
    inherited = problems_in(document.base) if others else []
    yield from (problem for problem in found if problem.file == own)
    for problem in others:
        known = [each for each in inherited if each.message.endswith(problem.message)]
        if known:  # it is wrong without this list already
            yield known[0]
            continue
        file = Path(problem.file)
        kind = "the list" if file.parent == Path(own).parent else "the bundled list"
        words = f"with this, {kind} {file.stem}, which it extends, is wrong in its line {problem.line}"
        yield Problem(*document.own.locate(_cause(document, problem)), f"{words}: {problem.message}")


def _cause(document: Extended, problem: Problem) -> Trail:
    """Return where the own list speaks of what a problem is about: its item, one that it names, its phase."""
    phase, item = _place(document, problem)
    rows = list(_own_rows(document.own))
    named = [row for row, _, _ in rows if f"'{row}'" in problem.message]
    repeaters = [each["id"] for each in _items(document.base) if item and item in each.get("repeats", ())]
    for wanted in (item, *repeaters, *named):
        for row, _, trail in rows:
            if wanted and row == wanted:
                return (*trail, "id")
    inside = [trail for _, of, trail in rows if of == phase and phase]
    return (*inside[-1], "id") if inside else ("extends",)


def _place(document: Document, problem: Problem) -> tuple[str, str]:
    """Return the phase and the item that a problem stands in, by their ids; empty where it stands in none."""
    places: dict[tuple[str, int, int], tuple[str, str]] = {}
    for index, phase in enumerate(document.data["phases"]):
        for number, item in enumerate(phase.get("items", ())):
            for trail in _trails(item, ("phases", index, "items", number)):
                places.setdefault(document.locate(trail), (phase["id"], item["id"]))
                places.setdefault(document.locate(trail, at_key=True), (phase["id"], item["id"]))
        for key in phase:
            places.setdefault(document.locate(("phases", index, key)), (phase["id"], ""))
            places.setdefault(document.locate(("phases", index, key), at_key=True), (phase["id"], ""))
    return places.get((problem.file, problem.line, problem.column), ("", ""))


def _trails(data: Any, trail: Trail) -> Iterator[Trail]:
    yield trail
    if isinstance(data, dict | list):
        for key, value in data.items() if isinstance(data, dict) else enumerate(data):
            yield from _trails(value, (*trail, key))


def _own_rows(own: Document) -> Iterator[tuple[str, str, Trail]]:
    """Yield what the own list says of items and phases, each with the phase that it is in and its place."""
    for index, phase in enumerate(own.data.get("phases", ())):
        yield phase["id"], phase["id"], ("phases", index)
        for number, item in enumerate(phase.get("items", ()) if phase.get("remove") is not True else ()):
            yield item["id"], phase["id"], ("phases", index, "items", number)


def _items(document: Document) -> Iterator[dict[str, Any]]:
    yield from (item for phase in document.data.get("phases", ()) for item in phase.get("items", ()))
