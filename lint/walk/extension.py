"""A checklist that extends another: phases and items are met by their ids, changed, added, moved or taken out.

What an entry says is merged by RFC 7396, as everywhere; only lists of things with ids are merged by those ids.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from lint.read.document import Document, Marks, Trail
from lint.read.merge import extend
from lint.read.nearest import did_you_mean
from lint.read.problem import CannotReadError, Problem, found, shortened
from lint.read.showable import unshowable

Entry = tuple[dict[str, Any], Marks]
_NEW_PHASE = ("title", "mode", "completion", "items")
_NEW_ITEM = ("role", "challenge")
# From the weakest on, by the meanings of ANSI Z535.6.
SIGNAL_WORDS = ("NOTICE", "CAUTION", "WARNING", "DANGER")
LONGEST_ID = 60
_WORD = re.compile(r"[^\W\d_]{3}")
# What is looked into before the whole is held against the schema, and what it must be for that; null takes it out.
_LOOKED_INTO = {
    "safety": (dict, "a map"),
    "when": (dict, "a map"),
    "repeats": (list, "a list"),
    "left_out": (list, "a list"),
}


class Extended(Document):
    """A checklist that `own` made of `base`."""

    __slots__ = ("base", "own")

    def __init__(self, merged: Document, base: Document, own: Document) -> None:
        super().__init__(merged.data, merged.marks, merged.files, merged.idle_removals, merged.replaced)
        self.base, self.own = base, own


@dataclass
class _Notes:
    """What comes up on the way: mistakes, what was taken out and where, and what of safety is left out and why."""

    problems: list[Problem] = field(default_factory=list)
    removed: dict[str, Trail] = field(default_factory=dict)
    left_out: list[str] = field(default_factory=list)


def extend_checklist(base: Document, own: Document) -> Extended:
    """Return the checklist that `own` makes of `base`, every value with the place in the file that says it.

    Raises CannotReadError for an entry without an id, or one that takes out or follows what is not there.
    """
    notes = _Notes()
    _require_form(own.data, own, ())
    data = {key: value for key, value in own.data.items() if key not in ("extends", "phases")}
    marks = Marks(own.marks.file, own.marks.start, {key: own.marks.members[key] for key in data})
    merged = extend(base, data, marks)
    phases = _merged(_entries(base, ("phases",)), _entries(own, ("phases",)), own, ("phases",), notes)
    notes.problems += _repeats_of_removed(phases, notes, own)
    if notes.problems:
        raise CannotReadError(sorted(notes.problems))
    _put(merged.data, merged.marks, "phases", phases)
    if notes.left_out:
        merged.data["left_out"] = [*merged.data.get("left_out", ()), *notes.left_out]
        merged.marks.members["left_out"] = (own.marks.start, Marks(own.marks.file, own.marks.start, {}))
    return Extended(merged, base, own)


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
        if unshowable(row["id"]) or len(row["id"]) > LONGEST_ID:
            raise _refused(document, (*trail, index, "id"), f"id: {found(row['id'])}, expected an id")
        _require_form(row, document, (*trail, index))
    return [(row, marks.members[index][1]) for index, row in enumerate(data)]


def _require_form(row: dict[str, Any], document: Document, trail: Trail) -> None:
    for key, (form, words) in _LOOKED_INTO.items():
        if row.get(key) is not None and not isinstance(row[key], form):
            raise _refused(document, (*trail, key), f"{key}: {found(row[key])}, expected {words}")


def _refused(document: Document, trail: Trail, message: str) -> CannotReadError:
    return CannotReadError([Problem(*document.locate(trail), message)])


def _merged(base: list[Entry], own: list[Entry], document: Document, trail: Trail, notes: _Notes) -> list[Entry]:
    rows = list(base)
    extended = {row["id"]: row for row, _ in base}
    for index, (row, marks) in enumerate(own):
        here = (*trail, index)
        ids = [each["id"] for each, _ in rows]
        place = ids.index(row["id"]) if row["id"] in ids else None
        if "remove" in row and row["remove"] is not True:
            message = f"remove: {found(row['remove'])}, expected true"
            notes.problems.append(Problem(*document.locate((*here, "remove")), message))
            continue
        _note_safety(extended.get(row["id"], {}) if place is not None else {}, row, document, here, notes)
        if row.get("remove") is True:
            if place is None:
                message = f"nothing here is called '{row['id']}'{did_you_mean(row['id'], ids, most=20)}"
                notes.problems.append(Problem(*document.locate((*here, "id")), message))
            else:
                gone = rows.pop(place)[0]
                notes.removed |= dict.fromkeys(_ids_in(gone), (*here, "remove"))
            continue
        needed = [key for key in (_NEW_PHASE if trail == ("phases",) else _NEW_ITEM) if key not in row]
        if place is None and needed:
            near = did_you_mean(row["id"], ids, most=20)
            message = f"nothing here is called '{row['id']}'{near}; a new entry states {', '.join(needed)} as well"
            notes.problems.append(Problem(*document.locate((*here, "id")), message))
            continue
        made = _one(rows[place] if place is not None else None, (row, marks), document, here, notes)
        after = row.get("after")
        if after is not None and (after not in ids or after == row["id"]):
            name = shortened(str(after), LONGEST_ID)
            message = f"after: nothing else here is called '{name}'{did_you_mean(name, ids, most=20)}"
            notes.problems.append(Problem(*document.locate((*here, "after")), message))
        elif after is not None:
            if place is not None:
                del rows[place]
            rows.insert([each["id"] for each, _ in rows].index(after) + 1, made)
        elif place is not None:
            rows[place] = made
        else:
            rows.append(made)
    return rows


def _ids_in(row: dict[str, Any]) -> list[str]:
    return [row["id"], *(item["id"] for item in row.get("items", ()))]


def _note_safety(was: dict[str, Any], row: dict[str, Any], document: Document, here: Trail, notes: _Notes) -> None:
    """Have a reason stated where a caution or a killer item is left out: the walk and its record will show it."""
    items = was.get("items", [was])
    lost: list[str] = []
    if row.get("remove") is True:
        lost = [each["id"] for each in items if each.get("safety") or each.get("killer") or each.get("before_loud")]
    else:
        lost += [f"the caution of {was['id']}"] if was.get("safety") and row.get("safety", "") is None else []
        for key, words in (("killer", "nothing starts without"), ("second_person", "a second look at")):
            if was.get("killer") and key in row and not row[key] and was.get(key, True):
                lost.append(f"that {was['id']} is what {words}" if key == "killer" else f"{words} {was['id']}")
        if was.get("before_loud") and not row.get("before_loud", True):
            lost.append(f"that loudspeakers go on only after {was['id']}")
        lost += _weaker(was, row)
    because = row.get("because")
    if lost and not (isinstance(because, str) and _WORD.search(because)):
        message = f"this leaves out {', '.join(lost)}; say why, which the walk and its record will show: because: WHY"
        notes.problems.append(Problem(*document.locate((*here, "id")), message))
    notes.left_out += [f"{each} — {' '.join(str(because).split())}" for each in lost]


def _weaker(was: dict[str, Any], row: dict[str, Any]) -> Iterator[str]:
    """Yield where an item of safety is asked of less than it was, or its caution has a weaker word."""
    safety, now = was.get("safety"), row.get("safety")
    if not safety and not was.get("killer"):
        return
    when, asked = was.get("when", {}), row.get("when")
    narrowed = isinstance(asked, dict) and any(
        value is not None and when.get(key) != value for key, value in asked.items()
    )
    if narrowed or row.get("for_each", was.get("for_each")) != was.get("for_each"):
        yield f"some of what {was['id']} is asked of"
    word = now.get("word") if isinstance(now, dict) else None
    if safety and word in SIGNAL_WORDS and SIGNAL_WORDS.index(word) < SIGNAL_WORDS.index(safety["word"]):
        yield f"the {safety['word']} of {was['id']}, here a {word}"


def _repeats_of_removed(phases: list[Entry], notes: _Notes, document: Document) -> list[Problem]:
    """Return where something was taken out that an item of the last pause repeats."""
    items = [item for row, _ in phases for item in row.get("items", ())]
    there = {item["id"] for item in items}
    return [
        Problem(
            *document.locate(notes.removed[name]),
            f"'{item['id']}' repeats '{name}'; take that out as well, or say what it repeats",
        )
        for item in items
        for name in item.get("repeats", ())
        if isinstance(name, str) and name in notes.removed and name not in there
    ]


def _one(base: Entry | None, own: Entry, document: Document, trail: Trail, notes: _Notes) -> Entry:
    """Merge one phase or item; the items of a phase are merged by id in their turn."""
    row, marks = own
    plain = {key: value for key, value in row.items() if key not in ("after", "items", "because")}
    below = Marks(marks.file, marks.start, {key: marks.members[key] for key in plain})
    start = Document({}, Marks(marks.file, marks.start, {}), (), ()) if base is None else Document(*base, (), ())
    merged = extend(start, plain, below)
    if "items" in row or "items" in start.data:
        before = _entries(start, ("items",))
        items = _merged(before, _entries(document, (*trail, "items")), document, (*trail, "items"), notes)
        _put(merged.data, merged.marks, "items", items)
    return merged.data, merged.marks


def _put(data: dict[str, Any], marks: Marks, key: str, rows: list[Entry]) -> None:
    data[key] = [row for row, _ in rows]
    listed = Marks(marks.file, marks.start, {index: (below.start, below) for index, (_, below) in enumerate(rows)})
    marks.members[key] = (rows[0][1].start if rows else marks.start, listed)
