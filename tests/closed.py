"""The schemas of reports, closed: what is printed is held to the keys that they name.

As they are given out they are open, so that a program that keeps one takes the keys that a later rigwalk adds.
"""

from __future__ import annotations

from typing import Any

from lint.read.schema import schema


def closed(name: str) -> dict[str, Any]:
    """Return a schema that takes no other keys than it names."""
    whole: dict[str, Any] = _closed(schema(name))
    return whole


def _closed(part: Any) -> Any:
    if isinstance(part, list):
        return [_closed(each) for each in part]
    if not isinstance(part, dict):
        return part
    inside = {key: _closed(value) for key, value in part.items()}
    return {"additionalProperties": False, **inside} if isinstance(part.get("properties"), dict) else inside
