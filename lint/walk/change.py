"""What a change of the rig or the checklist does to a walk that is under way."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lint.walk.basis import Digest
from lint.walk.entry import ANSWER, BEGUN, CHANGED, REOPENED, Entry
from lint.walk.items import CALL, SECOND, Plan

MOST_WAYS = 3


@dataclass(frozen=True, slots=True)
class Touched:
    """An item that is another now: its challenge before and after, and what it speaks of that runs another way.

    `again`: it was answered, and is asked again. `still`: it was answered, and is open again since an earlier change.
    """

    was: str
    now: str
    ways: Sequence[str] = ()
    again: bool = False
    still: bool = False

    @property
    def words(self) -> str:
        """Say what is another, and whether it is asked again."""
        other = f"another way ({few(self.ways)})" if self.ways else "another note or limit"
        words = f"was “{self.was}”, is now “{self.now}”" if self.was != self.now else f"{other}: “{self.now}”"
        return f"asked again: {words}" if self.again else f"still to be asked again: {words}" if self.still else words


@dataclass(frozen=True, slots=True)
class Change:
    """The challenges that came, went and changed, the calls to be said anew, and whether the files changed at all.

    `calls` are those that had been said; `back` are those of `came` that were answered before they went; `told` says in
    the words of the trade what changed in the rig.
    """

    rig: bool
    template: bool
    touched: Sequence[Touched] = ()
    calls: Sequence[str] = ()
    came: Sequence[str] = ()
    went: Sequence[str] = ()
    told: Sequence[str] = ()
    back: Sequence[str] = ()

    @property
    def head(self) -> str:
        """Say which of the files changed."""
        what = " and the ".join(name for name, is_so in (("rig", self.rig), ("checklist", self.template)) if is_so)
        return f"the {what}" if what else "what is asked"

    @property
    def rows(self) -> list[tuple[str, str]]:
        """Say each thing that is another, behind its mark; first what is asked again.

        What nobody had answered yet is only counted where the change itself is told.
        """
        again = [row for row in self.touched if row.again]
        still = [row for row in self.touched if row.still]
        later = [row for row in self.touched if not row.again and not row.still]
        count = len(self.calls)
        calls = f"{count} completion calls are said anew" if count > 1 else "1 completion call is said anew"
        return [
            *(("~", row.words) for row in again),
            *(("~", row.words) for row in (*still, *later) if not self.told),
            *(
                [("~", f"{len(still)} that an earlier change opened: still to be asked again")]
                if still and self.told
                else []
            ),
            *([("~", f"{len(later)} that nobody had answered yet")] if later and self.told else []),
            *(("+", f"{'back, asked again' if each in self.back else 'new'}: {each}") for each in self.came),
            *(("-", f"gone: {challenge}") for challenge in self.went),
            *([("~", calls)] if count else []),
        ]

    @property
    def is_asked_again(self) -> bool:
        """Whether anything that was answered is asked again."""
        return bool(self.calls or self.back) or any(row.again or row.still for row in self.touched)


def asked_list(plan: Plan, digest: Digest) -> list[dict[str, Any]]:
    """Return what a walk asks, as its entries keep it: a later change is told by comparing."""
    return [
        {"item": item.key, "challenge": item.challenge, "digest": digest(item.asked), "ways": dict(item.ways)}
        for item in plan.items
    ]


def answered(entries: Iterable[Entry]) -> tuple[set[str], set[str]]:
    """Return the items that are answered after a walk's entries, whatever the answer, and those to be asked again."""
    found: set[str] = set()
    ever: set[str] = set()
    listed: dict[str, str] = {}
    for entry in entries:
        body = entry.body
        if entry.kind == ANSWER:
            found.add(body["item"])
            ever.add(body["item"])
        elif entry.kind == REOPENED:
            found.difference_update(body["items"])
        elif entry.kind in (BEGUN, CHANGED):
            before, listed = listed, {row["item"]: row["digest"] for row in body["items"]}
            found -= {key for key, digest in listed.items() if before.get(key) != digest}
    return found, ever - found


def change_between(
    before: Mapping[str, Any], after: Mapping[str, Any], answered: tuple[Container[str], Container[str]]
) -> Change | None:
    """Return what has changed between two entries that hold `rig_digest`, `template_digest` and `items`, or None.

    `answered` are the items that had been answered till then, and those that were to be asked again. What the rig's
    change is told as stands in `after`.
    """
    now_answered, once_answered = answered
    was, now = _once(before["items"]), _once(after["items"])
    touched = {key: _touched(was[key], row, answered) for key, row in now.items() if _differs(was.get(key), row)}
    change = Change(
        before["rig_digest"] != after["rig_digest"],
        before["template_digest"] != after["template_digest"],
        [row for key, row in touched.items() if not key.startswith(CALL)],
        [row.now for key, row in touched.items() if key.startswith(CALL) and row.again],
        [row["challenge"] for key, row in now.items() if key not in was],
        [row["challenge"] for key, row in was.items() if key not in now],
        after.get("told", ()),
        [
            row["challenge"]
            for key, row in now.items()
            if key not in was and (key in now_answered or key in once_answered)
        ],
    )
    found = (change.rig, change.template, touched, change.came, change.went)
    return change if any(found) else None


def _touched(
    was: Mapping[str, Any], now: Mapping[str, Any], answered: tuple[Container[str], Container[str]]
) -> Touched:
    is_answered, was_answered = (now["item"] in items for items in answered)
    return Touched(was["challenge"], now["challenge"], other_ways(was, now), is_answered, was_answered)


def few(names: Sequence[str]) -> str:
    """Return the first of some names, and how many more there are."""
    more = f" and {len(names) - MOST_WAYS} more" if len(names) > MOST_WAYS else ""
    return ", ".join(names[:MOST_WAYS]) + more


def other_ways(was: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what runs another way by what was asked then and what is asked now; older records do not tell the ways."""
    before = was.get("ways", {})
    return tuple(name for name, way in now.get("ways", {}).items() if before.get(name) != way) if before else ()


def _once(rows: Sequence[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    """Return what is asked by item: a second look asks the same as the first, and is told with it."""
    found = {row["item"]: row for row in rows}
    seconds = {f"{SECOND}/{key}" for key in found}
    return {key: row for key, row in found.items() if key not in seconds}


def _differs(was: Mapping[str, Any] | None, now: Mapping[str, Any]) -> bool:
    return was is not None and was["digest"] != now["digest"]
