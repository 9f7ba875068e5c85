"""How long a phase took: people keep to a list for a minute and a half, and cut short what takes longer.

60 to 90 s: reference/checklist-design.md 1.3, a rule of thumb and no measured limit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from lint.walk.entry import ANSWER, BEGUN, RESUMED, Entry
from lint.walk.items import CALL

MOST_TIME = timedelta(seconds=90)


def is_call(entry: Entry) -> bool:
    """Whether an entry is a phase's completion call."""
    return entry.kind == ANSWER and entry.body["item"].startswith(CALL)


def time_to_call(entries: Sequence[Entry]) -> timedelta | None:
    """Return the time from the call before, or the beginning, to the last entry; None where the walk was stopped."""
    for entry in reversed(entries[:-1]):
        if entry.kind == RESUMED:
            return None
        if entry.kind == BEGUN or is_call(entry):
            return time_between(entry.body, entries[-1].body)
    return None


def time_between(one: Mapping[str, Any], other: Mapping[str, Any]) -> timedelta:
    """Return the time between two entries, by their bodies."""
    return datetime.fromisoformat(other["utc"]) - datetime.fromisoformat(one["utc"])


def clocked(time: timedelta) -> str:
    """Return a time as minutes and seconds."""
    minutes, seconds = divmod(round(time.total_seconds()), 60)
    return f"{minutes}:{seconds:02}"
