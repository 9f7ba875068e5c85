"""Last week's rig on a new date: the same text, comments and all, with another date in it."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

from lint.read.edit import edited, edited_file
from lint.read.load import base_of, load_document
from lint.read.parse import read_text
from lint.read.problem import CannotReadError, Problem


def on_date(old: Path, day: date, new: Path) -> str:
    """Return the text of a rig file for another day, to stand at `new`.

    Raises CannotReadError, also where the copy could not be read at `new`, and CannotEditError.
    """
    load_document(old)  # whatever it extends must be there
    text = edited_file(old, {"event": {"date": day.isoformat()}})
    if new.parent.resolve() == old.parent.resolve() or base_of(old) is None:
        return text
    wanted = _extends(old)
    path = Path(os.path.relpath(old.parent / wanted, new.parent)).as_posix()
    text = edited(text, {"extends": path}, name=str(old))
    try:
        load_document(new, text)
    except CannotReadError as error:
        beside = old.with_name(new.name)
        message = f"{old} could not be read here, so nothing was written; keep the copy in its house, such as {beside}"
        raise CannotReadError([*error.problems, Problem(str(new), 0, 0, message)]) from None
    return text


def _extends(path: Path) -> str:
    from lint.read.parse import parse  # noqa: PLC0415 - only where a rig is copied to another folder

    data, _ = parse(read_text(path, str(path)), str(path))
    return str(data["extends"])
