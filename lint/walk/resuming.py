"""What is asked again when a walk goes on: the phase whose place was lost, and what another day may have changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from lint.rig.person import person_key
from lint.walk.answer import GO, NOT_APPLICABLE, OPEN
from lint.walk.items import CALL, SECOND, Item
from lint.walk.state import State, visible
from lint.walk.template import Template

# Who was away for longer has lost the place: reference/checklist-design.md 1.4, our choice.
AWAY_AFTER = timedelta(minutes=10)
# An answer of another date counts as of the same day for that long: an evening's walk goes on after midnight.
SAME_DAY = timedelta(hours=6)
_POWER = ("power_on", "power_off")


def place_lost(state: State, role: str | None, by: str, away: timedelta) -> list[Item]:
    """Return what is answered of the phase under way, where the place in it may be lost."""
    item = state.next_item(role)
    if item is None:
        return []
    rows = [each for each in visible(state.plan, role) if each.phase == item.phase]
    answered = [each for each in rows if state.status(each) != OPEN and each.key in state.answers]
    people = {person_key(state.answers[each.key].by) for each in answered}
    return answered if answered and (person_key(by) not in people or away > AWAY_AFTER) else []


def of_another_day(template: Template, state: State, now: datetime) -> list[Item]:
    """Return what was settled on another day and may be otherwise by now, with the calls of its phases.

    A walk may begin at the rehearsal on the evening before. What the list marks as drifting or repeats, what nothing
    starts without and what is switched on, with its cautions, is looked at on the day itself; the rest, such as plugs
    and lines, is kept. What is held or a no-go is asked again in any case.
    """
    changing = {name for phase in template.data["phases"] for name in _changing(phase["items"])}
    old = [
        item
        for item in state.with_status(GO, NOT_APPLICABLE)
        if not item.is_call and _id(item) in changing and _is_old(state, item, now)
    ]
    phases = {item.phase for item in old}
    calls = [item for item in state.with_status(GO) if item.is_call and item.phase in phases]
    return [*old, *calls]


def _changing(rows: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Yield the items of a phase whose state is another day's; where power goes on, all that bears a caution is."""
    is_power = any(row.get("for_each") in _POWER for row in rows)
    marks = ("killer", "drifts", "repeats", *(["safety"] if is_power else []))
    for row in rows:
        if row.get("for_each") in _POWER or any(row.get(mark) for mark in marks):
            yield row["id"]


def _id(item: Item) -> str:
    return item.key.removeprefix(f"{SECOND}/").removeprefix(f"{CALL}/").partition("/")[0]


def _is_old(state: State, item: Item, now: datetime) -> bool:
    answer = state.answers[item.key]
    age = abs(now - datetime.fromisoformat(answer.utc))  # of a clock that went back nobody knows the day either
    return answer.local[:10] != now.date().isoformat() and age >= SAME_DAY
