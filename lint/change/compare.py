"""The changes from one rig to another as data: complete, and nothing else.

Applied to the facts of the old rig, they give the facts of the new one; none of them can be left out.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterable
from typing import Any, NamedTuple

from lint.change.facts import Facts, Fields


class Change(NamedTuple):
    """One change: of a field of a row, or where `field` is None of the whole row (before None: it came)."""

    section: str
    row: str
    field: str | None
    before: Any
    after: Any

    def as_data(self) -> dict[str, Any]:
        """Return it as plain data."""
        return self._asdict()


def changes_between(old: Facts, new: Facts) -> list[Change]:
    """Return what must change in `old` to make it `new`, in the order of the old rig, then of the new."""
    changes: list[Change] = []
    for key in dict.fromkeys((*old, *new)):
        before, after = old.get(key), new.get(key)
        if before is None or after is None:
            changes.append(Change(*key, None, before, after))
        else:
            changes += _fields(key, before, after)
    return changes


def _fields(key: tuple[str, str], before: Fields, after: Fields) -> Iterable[Change]:
    for field in dict.fromkeys((*before, *after)):
        was, now = before.get(field), after.get(field)
        # By their text: to Python 1 and true are equal.
        if json.dumps(was, sort_keys=True) != json.dumps(now, sort_keys=True):
            yield Change(*key, field, was, now)


def apply(facts: Facts, changes: Iterable[Change]) -> Facts:
    """Return the facts with the changes made; the argument stays as it is."""
    made = copy.deepcopy(facts)
    for change in changes:
        key = (change.section, change.row)
        if change.field is not None:
            made[key][change.field] = copy.deepcopy(change.after)
        elif change.after is None:
            del made[key]
        else:
            made[key] = copy.deepcopy(change.after)
    return made
