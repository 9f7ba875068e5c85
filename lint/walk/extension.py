"""A checklist that extends another: phases and items are met by their ids, changed, added, moved or taken out.

What an entry says is merged by RFC 7396, as everywhere; only lists of things with ids are merged by those ids.
"""

from __future__ import annotations

from typing import Any

from lint.read.document import Document, Marks, Trail
from lint.read.merge import extend
from lint.read.nearest import did_you_mean
from lint.read.problem import CannotReadError, Problem, found

Entry = tuple[dict[str, Any], Marks]


def extend_checklist(base: Document, own: Document) -> Document:
    """Return the checklist that `own` makes of `base`, every value with the place in the file that says it.

    Raises CannotReadError for an entry without an id, or one that takes out or follows what is not there.
    """
    problems: list[Problem] = []
    data = {key: value for key, value in own.data.items() if key not in ("extends", "phases")}
    marks = Marks(own.marks.file, own.marks.start, {key: own.marks.members[key] for key in data})
    merged = extend(base, data, marks)
    phases = _merged(_entries(base, ("phases",)), _entries(own, ("phases",)), own, ("phases",), problems)
    if problems:
        raise CannotReadError(sorted(problems))
    _put(merged.data, merged.marks, "phases", phases)
    return merged


def _entries(document: Document, trail: Trail) -> list[Entry]:
    """Return the members of the list of phases or items at `trail`; none where there is no list."""
    data: Any = document.data
    marks: Any = document.marks
    for step in trail:
        if step not in marks.members:
            return []
        data, marks = data[step], marks.members[step][1]
    if not isinstance(data, list):
        raise _refused(document, trail, f"{found(data)}, expected a list of entries with an id")
    for index, row in enumerate(data):
        if not isinstance(row, dict) or not isinstance(row.get("id"), str):
            raise _refused(document, (*trail, index), f"{found(row)}, expected an entry with an `id`")
    return [(row, marks.members[index][1]) for index, row in enumerate(data)]


def _refused(document: Document, trail: Trail, message: str) -> CannotReadError:
    return CannotReadError([Problem(*document.locate(trail), message)])


def _merged(
    base: list[Entry], own: list[Entry], document: Document, trail: Trail, problems: list[Problem]
) -> list[Entry]:
    rows = list(base)
    for index, (row, marks) in enumerate(own):
        here = (*trail, index)
        ids = [each["id"] for each, _ in rows]
        place = ids.index(row["id"]) if row["id"] in ids else None
        if row.get("remove") is True:
            if place is None:
                message = f"nothing here is called '{row['id']}'{did_you_mean(row['id'], ids, most=20)}"
                problems.append(Problem(*document.locate((*here, "id")), message))
            else:
                del rows[place]
            continue
        made = _one(rows[place] if place is not None else None, (row, marks), document, here, problems)
        after = row.get("after")
        if after is not None and (after not in ids or after == row["id"]):
            message = f"after: nothing else here is called '{after}'{did_you_mean(str(after), ids, most=20)}"
            problems.append(Problem(*document.locate((*here, "after")), message))
        elif after is not None:
            if place is not None:
                del rows[place]
            rows.insert([each["id"] for each, _ in rows].index(after) + 1, made)
        elif place is not None:
            rows[place] = made
        else:
            rows.append(made)
    return rows


def _one(base: Entry | None, own: Entry, document: Document, trail: Trail, problems: list[Problem]) -> Entry:
    """Merge one phase or item; the items of a phase are merged by id in their turn."""
    row, marks = own
    plain = {key: value for key, value in row.items() if key not in ("after", "items")}
    below = Marks(marks.file, marks.start, {key: marks.members[key] for key in plain})
    start = Document({}, Marks(marks.file, marks.start, {}), (), ()) if base is None else Document(*base, (), ())
    merged = extend(start, plain, below)
    if "items" in row or "items" in start.data:
        before = _entries(start, ("items",))
        items = _merged(before, _entries(document, (*trail, "items")), document, (*trail, "items"), problems)
        _put(merged.data, merged.marks, "items", items)
    return merged.data, merged.marks


def _put(data: dict[str, Any], marks: Marks, key: str, rows: list[Entry]) -> None:
    data[key] = [row for row, _ in rows]
    listed = Marks(marks.file, marks.start, {index: (below.start, below) for index, (_, below) in enumerate(rows)})
    marks.members[key] = (rows[0][1].start if rows else marks.start, listed)
