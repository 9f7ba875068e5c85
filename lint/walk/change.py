"""What a change of the rig or the checklist does to a walk that is under way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lint.walk.basis import Basis, Digest
from lint.walk.items import CALL, SECOND, Plan


@dataclass(frozen=True, slots=True)
class Touched:
    """An item that is another now: its challenge before and after, and what it speaks of that runs another way."""

    was: str
    now: str
    ways: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """The challenges that came, went and changed, the calls to be said anew, and whether the files changed at all."""

    rig: bool
    template: bool
    touched: Sequence[Touched] = ()
    calls: Sequence[str] = ()
    came: Sequence[str] = ()
    went: Sequence[str] = ()


def asked_list(plan: Plan, digest: Digest) -> list[dict[str, Any]]:
    """Return what a walk asks, as its entries keep it: a later change is told by comparing."""
    return [
        {"item": item.key, "challenge": item.challenge, "digest": digest(item.asked), "ways": dict(item.ways)}
        for item in plan.items
    ]


def change_between(before: Mapping[str, Any], basis: Basis, digest: Digest) -> Change | None:
    """Return what has changed since an entry that holds `rig_digest`, `template_digest` and `items`, or None."""
    was = _once(before["items"])
    now = _once(asked_list(basis.plan, digest))
    touched = {key: _touched(was[key], row) for key, row in now.items() if _differs(was.get(key), row)}
    change = Change(
        before["rig_digest"] != basis.rig_digest,
        before["template_digest"] != basis.template_digest,
        [row for key, row in touched.items() if not key.startswith(CALL)],
        [row.now for key, row in touched.items() if key.startswith(CALL)],
        [row["challenge"] for key, row in now.items() if key not in was],
        [row["challenge"] for key, row in was.items() if key not in now],
    )
    found = (change.rig, change.template, change.touched, change.calls, change.came, change.went)
    return change if any(found) else None


def _touched(was: Mapping[str, Any], now: Mapping[str, Any]) -> Touched:
    return Touched(was["challenge"], now["challenge"], other_ways(was, now))


def other_ways(was: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what runs another way by what was asked then and what is asked now; older records do not tell the ways."""
    before = was.get("ways", {})
    return tuple(name for name, way in now["ways"].items() if before.get(name) != way) if before else ()


def _once(rows: Sequence[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    """Return what is asked by item: a second look asks the same as the first, and is told with it."""
    found = {row["item"]: row for row in rows}
    seconds = {f"{SECOND}/{key}" for key in found}
    return {key: row for key, row in found.items() if key not in seconds}


def _differs(was: Mapping[str, Any] | None, now: Mapping[str, Any]) -> bool:
    return was is not None and was["digest"] != now["digest"]
