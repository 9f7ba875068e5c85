"""Somebody who can write the record's file: alters it and makes every seal anew, so that the chain holds."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

from lint.record.seal import NO_SEAL, canonical, seal_of

# A record: its walk, its kind and what it says.
Row = tuple[int, str, dict[str, Any]]


def forge(path: Path, alter: Callable[[list[Row]], list[Row]]) -> None:
    """Put the records that `alter` makes of those there in their place, each sealed over the one before."""
    connection = sqlite3.connect(path)
    for trigger in ("only_appended", "never_altered", "never_dropped"):
        connection.execute(f"DROP TRIGGER {trigger}")
    found = connection.execute("SELECT walk, kind, body FROM entries ORDER BY seq").fetchall()
    rows = alter([(walk, kind, json.loads(body)) for walk, kind, body in found])
    connection.execute("DELETE FROM entries")
    previous = NO_SEAL
    for seq, (walk, kind, body) in enumerate(rows, start=1):
        seal = seal_of({"seq": seq, "walk": walk, "kind": kind, "body": body, "previous": previous})
        text = canonical(body).decode("utf-8")
        connection.execute("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?)", (seq, walk, kind, text, previous, seal))
        previous = seal
    connection.commit()
    connection.close()


def altered(kind: str, **values: Any) -> Callable[[list[Row]], list[Row]]:
    """Return an alteration: the last record of a kind says something else; a value of `...` is taken out."""

    def alter(rows: list[Row]) -> list[Row]:
        place = max(index for index, row in enumerate(rows) if row[1] == kind)
        walk, _, body = rows[place]
        said = {key: value for key, value in {**body, **values}.items() if value is not ...}
        return [*rows[:place], (walk, kind, said), *rows[place + 1 :]]

    return alter


def without(kind: str) -> Callable[[list[Row]], list[Row]]:
    """Return an alteration: no record of a kind is left."""
    return lambda rows: [row for row in rows if row[1] != kind]
