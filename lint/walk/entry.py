"""What the walk writes down, and what it needs of the log that keeps it; `lint.record` has the one on disk."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Protocol

from lint.rig.person import same_person

# The kinds of entry.
BEGUN = "begun"
RESUMED = "resumed"
CHANGED = "changed"
REOPENED = "reopened"
ANOTHER_DAY = "another day"  # why: what was answered may be otherwise by now
ANSWER = "answer"
SEEN = "seen"  # the words of a no-go that was written down before they were given
CURE = "cure"
IN_POLL = "poll"  # a cure's item, with the role behind it (`poll/stage`): of what that role said no-go to in the poll
NOTE = "note"
POLL = "poll"
THUNDER = "thunder"
ALL_CLEAR = "all-clear"  # a thunder hold released
KEPT = "kept"  # a phase under way goes on without being asked again, though somebody else goes on with it
SIGNED = "signed"
SIGNATURE = "signature"


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the log: its number, the walk it belongs to, and what it says.

    `previous` is the seal of the entry before, `seal` its own.
    """

    seq: int
    walk: int
    kind: str
    body: Mapping[str, Any]
    previous: str
    seal: str


def signs_off(body: Mapping[str, Any]) -> bool:
    """Whether a walk, by its first entry, is of a list whose go is the rig's: a close-down's is not."""
    return bool(body.get("signs_off", body["checklist"] != "close-down"))  # older records do not say


def overtaken(entries: Sequence[Entry]) -> Entry | None:
    """Return the first no-go after the last signature, in an answer or the poll, where that signature was a go.

    Such a go speaks of what is no more: it counts as none until the walk is signed anew.
    """
    signed = next((place for place, entry in reversed(list(enumerate(entries))) if entry.kind == SIGNED), None)
    if signed is None or entries[signed].body["verdict"] != "go":
        return None
    later = entries[signed + 1 :]
    return next((each for each in later if each.kind in (ANSWER, POLL) and each.body["answer"] == "no-go"), None)


def exceptions_of(body: Mapping[str, Any]) -> str:
    """Say in a line what a signature lacks: killer items not applicable or without a second look; empty: nothing.

    `body` is that of a sign-off; older records do not tell all of it.
    """
    absent, one = body.get("killers_not_applicable", ()), body.get("no_second_look", ())
    words = []
    if absent:
        alone = len(absent) - body.get("killers_seen_by_two", 0)
        items = "1 killer item" if len(absent) == 1 else f"{len(absent)} killer items"
        seen = f"{alone} said by one person alone" if alone else "said by two"
        words.append(f"{items} not applicable, {seen}")
    if one:
        words.append(f"{len(one)} without a second look")
    if few := looked_words(body):
        words.append(few)
    waived = [row for row in body.get("findings", ()) if row.get("waived") and row.get("severity") == "no-go"]
    if waived:
        words.append(f"{len(waived)} no-go waived")
    if accepted := body.get("accepted", ()):
        words.append(f"{len(accepted)} outside {'its' if len(accepted) == 1 else 'their'} limits accepted by the lead")
    return "; ".join(words)


def typed_by(person: str, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return what is to be written down, with the person at the terminal where it is somebody else's word."""
    return body if same_person(body.get("by", person), person) else {**body, "entered_by": person}


def entered(body: Mapping[str, Any], person: str) -> str:
    """Say who typed what `person` is said to have said, where that is somebody else; `, entered by A. Adams`."""
    typed = str(body.get("entered_by") or body["by"])
    return "" if same_person(typed, person) else f", entered by {typed}"


def looked_words(body: Mapping[str, Any]) -> str:
    """Say how few items were looked at where it is less than all, by the body of a sign-off (older ones don't tell)."""
    looked, items = body.get("looked_at"), body.get("items")
    if looked is None or looked == items:
        return ""
    only = "only " if 2 * looked < items else ""
    return f"{only}{looked} of {items} items were looked at"


def words_later(entries: Iterable[Entry]) -> dict[int, Mapping[str, Any]]:
    """Return what was seen and what it is about, by the number of the no-go that was written down before the words."""
    found: dict[int, Mapping[str, Any]] = {}
    latest: dict[str, int] = {}
    for entry in entries:
        if entry.kind == ANSWER:
            latest[entry.body["item"]] = entry.seq
        elif entry.kind == SEEN and entry.body["item"] in latest:
            found[latest[entry.body["item"]]] = {key: entry.body[key] for key in ("seen", "about")}
    return found


def second_due(entries: Iterable[Entry]) -> dict[str, int]:
    """Return the items whose second look is still due, with the number of the first answer: that is told to nobody.

    A no-go is no secret: whatever the second look says, it stands.
    """
    due: dict[str, int] = {}
    listed: set[str] = set()
    for entry in entries:
        body = entry.body
        if entry.kind in (BEGUN, CHANGED):
            listed = {row["item"] for row in body["items"]}
        elif entry.kind == ANSWER and body["item"].startswith("second/"):
            due.pop(body["item"].removeprefix("second/"), None)
        elif entry.kind == ANSWER and f"second/{body['item']}" in listed:
            due.pop(body["item"], None)
            if body["answer"] != "no-go" and not body.get("together_with"):
                due[body["item"]] = entry.seq
    return due


# Faster than a person can look and answer: reference/checklist-design.md 1.8, our choice.
QUICK_MS = 1000


def is_quick(entry: Entry) -> bool:
    """Whether an answer came faster than a person can look."""
    after_ms = entry.body.get("after_ms")
    return entry.kind == ANSWER and after_ms is not None and after_ms < QUICK_MS


def quick_words(quick: int, answers: int) -> str:
    """Say how many answers came too quickly; empty where none did."""
    if not quick:
        return ""
    return f"{quick} of {answers} answers came within a second of the question, faster than anybody can look"


class LogError(Exception):
    """Raised where the log can't be kept or read: one sentence that says why and what to do."""


class MovedOnError(Exception):
    """Raised where somebody else wrote to the log first; nothing was written."""


class Log(Protocol):
    """An append-only log: when `append` returns, the entry is on disk; where it raises, nothing of it is."""

    def append(self, walk: int | None, kind: str, body: Mapping[str, Any], after: int | None = None) -> Entry:
        """Write one entry; None begins a new walk. `after` is the last entry that the writer has seen.

        Raises LogError, and MovedOnError where the last entry is another than `after`.
        """

    def last(self) -> int:
        """Return the number of the last entry, of whatever walk; 0 where there is none."""

    def entries(self, walk: int | None = None, after: int = 0, kinds: Sequence[str] = ()) -> list[Entry]:
        """Return entries in order: of one walk or all, past a number, of some kinds or all."""


def times(moment: datetime) -> dict[str, str]:
    """Return a moment as the record keeps it: UTC, and local time with its offset (ISO 8601)."""
    local = moment.astimezone() if moment.tzinfo is None else moment
    utc = local.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    return {"utc": utc, "local": local.isoformat(timespec="seconds")}
