"""What a record must hold to be read: whoever seals a chain anew may leave anything out, and nothing trips over it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from lint.walk.entry import (
    ANSWER,
    BEGUN,
    CHANGED,
    CURE,
    KEPT,
    NOTE,
    POLL,
    REOPENED,
    SEEN,
    SIGNATURE,
    SIGNED,
    THUNDER,
)

_WHO = {"by": str, "utc": str, "local": str}
_MAYBE = (str, type(None))
# By kind of record, what every one of them has held since the first rigwalk, with its types; what came later is read
# with care wherever it is read.
_HELD: Mapping[str, Mapping[str, Any]] = {
    BEGUN: {"rig": str, "event": str, "event_date": _MAYBE, "checklist": str, "rig_digest": str, "items": list},
    CHANGED: {"rig_digest": str, "items": list},
    REOPENED: {"items": list},
    ANSWER: {
        "item": str,
        "role": str,
        "asked": dict,
        "answer": str,
        "value": _MAYBE,
        "seen": _MAYBE,
        "reason": _MAYBE,
        "after_ms": (int, type(None)),
    },
    SEEN: {"item": str, "seen": _MAYBE},
    CURE: {"item": str, "cure": str},
    NOTE: {"item": _MAYBE, "note": str},
    POLL: {"role": str, "answer": str, "said": str, "person": str},
    THUNDER: {"heard_utc": str, "heard_local": str, "releases": str},
    KEPT: {"items": list},
    SIGNED: {
        "lead": str,
        "verdict": str,
        "reasons": list,
        "rig": str,
        "rig_digest": str,
        "findings": list,
        "answers": list,
        "poll": list,
    },
    SIGNATURE: {"algorithm": str, "of_seal": str, "public_key": str, "signature": str},
    "hunt": dict.fromkeys(("rig", "about", "symptom", "cause", "part", "found", "cure"), str),
    "received": {"given_by": str, "rig": str, "read_back": list},
}


def lacking(kind: str, body: Any) -> str:
    """Return the name of what a record of that kind should hold and does not, or holds as something else; or empty."""
    if not isinstance(body, dict):
        return "everything"
    held = {**_WHO, **_HELD.get(kind, {})}
    for name, wanted in held.items():
        if not isinstance(body.get(name, ...), wanted):
            return name
    if kind == ANSWER and not (isinstance(body["asked"].get("challenge"), str) and "measure" in body["asked"]):
        return "asked"
    return next((name for name in ("utc", "local") if not _is_moment(body[name])), "")


def _is_moment(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False
