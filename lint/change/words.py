"""Fields and their values as the crew says them."""

from __future__ import annotations

from typing import Any

from lint.change.compare import Change

_FIELDS = {
    "sockets": "the socket",
    "patched_from": "the patch",
    "carries": "what it is meant to carry",
    "gain_db": "the gain in dB",
    "kind": "the kind",
    "connection": "how it is connected",
    "powering": "how it is powered",
    "shielded": "shielded from plug to plug",
    "cable": "the colour or label of the cable",
    "label": "the label",
    "location": "the place",
    "expects": "what it is meant to carry",
    "fed_by": "what feeds it",
    "length_m": "the length in metres",
    "sample_rate_hz": "the sample rate in hertz",
    "leader": "the clock leader",
    "copied_from": "what it copies",
    "delay_ms": "the delay in milliseconds",
    "until": "the last day",
    "because": "the reason",
    "by": "who accepts it",
    "who": "who does it",
    "date": "the date",
    "doors": "when the doors open",
    "start": "when it starts",
}


def field_words(field: str) -> str:
    """Return a field in words."""
    return _FIELDS.get(field, f"“{field.replace('_', ' ')}”")


def value_words(value: Any) -> str:
    """Return a value in words, short enough for a line."""
    if value is None or value == "":
        return "not stated"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        said = [f"{key.replace('_', ' ')} {value_words(member)}" for key, member in value.items() if _is_said(member)]
        return "; ".join(said) or "nothing stated"
    if isinstance(value, list):
        return ", ".join(map(value_words, value)) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _is_said(value: Any) -> bool:
    return value is not None and value not in ("", [], {})


def became(change: Change) -> str:
    """Say a field of a row as it is now and as it was."""
    assert change.field is not None  # a whole row has no field
    return f"{field_words(change.field)} is {now_and_before(change)}"


def now_and_before(change: Change) -> str:
    """Say a value as it is now and as it was."""
    return f"{value_words(change.after)} (before: {value_words(change.before)})"
