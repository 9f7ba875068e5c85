"""What a change of the rig or the checklist does to a walk that is under way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lint.walk.basis import Basis, Digest
from lint.walk.items import SECOND, Plan


@dataclass(frozen=True, slots=True)
class Change:
    """The challenges that came, went and changed (from what, to what), and whether the files changed at all."""

    rig: bool
    template: bool
    touched: Sequence[tuple[str, str]] = ()
    came: Sequence[str] = ()
    went: Sequence[str] = ()


def asked_list(plan: Plan, digest: Digest) -> list[dict[str, Any]]:
    """Return what a walk asks, as its entries keep it: a later change is told by comparing."""
    return [{"item": item.key, "challenge": item.challenge, "digest": digest(item.asked)} for item in plan.items]


def change_between(before: Mapping[str, Any], basis: Basis, digest: Digest) -> Change | None:
    """Return what has changed since an entry that holds `rig_digest`, `template_digest` and `items`, or None."""
    was = _once(before["items"])
    now = _once(asked_list(basis.plan, digest))
    change = Change(
        before["rig_digest"] != basis.rig_digest,
        before["template_digest"] != basis.template_digest,
        [(was[key]["challenge"], row["challenge"]) for key, row in now.items() if _differs(was.get(key), row)],
        [row["challenge"] for key, row in now.items() if key not in was],
        [row["challenge"] for key, row in was.items() if key not in now],
    )
    return change if any((change.rig, change.template, change.touched, change.came, change.went)) else None


def _once(rows: Sequence[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    """Return what is asked by item: a second look asks the same as the first, and is told with it."""
    found = {row["item"]: row for row in rows}
    seconds = {f"{SECOND}/{key}" for key in found}
    return {key: row for key, row in found.items() if key not in seconds}


def _differs(was: Mapping[str, Any] | None, now: Mapping[str, Any]) -> bool:
    return was is not None and was["digest"] != now["digest"]
