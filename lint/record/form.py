"""What each kind of record says, at the least.

A seal shows that nothing was altered after it was set; anybody who knows how can set one over anything. What is read
back is therefore held to a form as well, before anything is made of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from lint.read.showable import UNSHOWABLE
from lint.walk import entry as kinds

Form = Callable[[Any], bool]


def is_record(walk: Any, kind: Any, body: Any) -> bool:
    """Whether an entry says all that is read of one of its kind, in a text that can be shown; more may stand in it."""
    if not (type(walk) is int and isinstance(kind, str) and _is_showable(kind)):
        return False
    return _EVERY(body) and _FORMS.get(kind, _EVERY)(body) and _is_showable(body)


def _is_showable(value: Any) -> bool:
    if isinstance(value, str):
        return not UNSHOWABLE.search(value)
    if isinstance(value, dict):
        return all(_is_showable(key) and _is_showable(member) for key, member in value.items())
    return all(map(_is_showable, value)) if isinstance(value, list) else True


def _text(value: Any) -> bool:
    return isinstance(value, str)


def _whole(value: Any) -> bool:
    return type(value) is int


def _flag(value: Any) -> bool:
    return isinstance(value, bool)


def _moment(value: Any) -> bool:
    """A time with its offset, as ISO 8601 has it."""
    try:
        return isinstance(value, str) and len(value) >= 20 and datetime.fromisoformat(value).tzinfo is not None
    except ValueError:
        return False


def _maybe(form: Form) -> Form:
    return lambda value: value is None or form(value)


def _one_of(*texts: str) -> Form:
    return lambda value: isinstance(value, str) and value in texts


def _each(form: Form) -> Form:
    return lambda value: isinstance(value, list) and all(map(form, value))


def _texts_by_name(value: Any) -> bool:
    return isinstance(value, dict) and all(map(_text, value.values()))


def _map(needed: Mapping[str, Form], more: Mapping[str, Form] | None = None) -> Form:
    """A map with every key of `needed`; those of `more` may be missing, as they are in older records."""
    optional = more or {}

    def is_so(value: Any) -> bool:
        return (
            isinstance(value, dict)
            and all(key in value and form(value[key]) for key, form in needed.items())
            and all(form(value[key]) for key, form in optional.items() if key in value)
        )

    return is_so


def _texts(*keys: str) -> dict[str, Form]:
    return dict.fromkeys(keys, _text)


_LIST = _each(_text)
_VERDICT = _one_of("go", "no-go")
_EVERY = _map({"by": _text, "utc": _moment, "local": _moment}, {"entered_by": _maybe(_text)})
_LISTED = _map(_texts("item", "challenge", "digest"), {"ways": _texts_by_name})
_BEGUN = _map(
    {**_texts("rig", "event", "checklist", "rig_digest", "template_digest"), "items": _each(_LISTED)},
    {
        **_texts("house", "rig_as_walked", "models_as_walked"),
        "event_date": _maybe(_text),
        "signs_off": _flag,
        "left_out": _LIST,
    },
)
_SIGNED_ANSWER = _map(
    {**_texts("item", "challenge", "answer", "by"), "reason": _maybe(_text)},
    dict.fromkeys(("second_of", "together_with"), _maybe(_text)),
)
_MEASURE = _map({"unit": _text, "min": _maybe(_text), "max": _maybe(_text)})
_ASKED = _map({"challenge": _text, "measure": _maybe(_MEASURE)}, {"safety": _maybe(_text), "ways": _texts_by_name})
_ITEMS = _map({"items": _LIST})
_WAIVED = _maybe(_map({"by": _text}, {"words": _text}))
_FORMS: Mapping[str, Form] = {
    kinds.BEGUN: _BEGUN,
    kinds.CHANGED: _BEGUN,
    kinds.REOPENED: _ITEMS,
    kinds.KEPT: _ITEMS,
    kinds.ANSWER: _map(
        {
            **_texts("item", "role"),
            "answer": _one_of("go", "no-go", "hold", "not-applicable"),
            "asked": _ASKED,
            **dict.fromkeys(("value", "seen", "reason"), _maybe(_text)),
        },
        {"after_ms": _maybe(_whole), "about": _LIST, "together_with": _text},
    ),
    kinds.SEEN: _map({**_texts("item", "seen"), "about": _LIST}),
    kinds.CURE: _map(_texts("item", "cure")),
    kinds.NOTE: _map({"item": _maybe(_text), "note": _text}),
    kinds.POLL: _map(_texts("role", "answer", "said", "person")),
    kinds.THUNDER: _map({"heard_utc": _moment, "heard_local": _moment, "releases": _text}),
    kinds.SIGNED: _map(
        {
            **_texts("rig", "checklist", "lead", "rig_digest"),
            "verdict": _VERDICT,
            "reasons": _LIST,
            "findings": _each(_map({"message": _text, "waived": _WAIVED})),
            "answers": _each(_SIGNED_ANSWER),
            "poll": _each(_map({})),
        },
        {
            **dict.fromkeys(("thunder", "left_out", "no_second_look", "accepted"), _LIST),
            **dict.fromkeys(("killers_not_applicable", "killers_not_looked_at"), _LIST),
            **_texts("rig_as_signed", "models_as_signed"),
            **dict.fromkeys(("not_checked", "rules_off"), _LIST),
            **dict.fromkeys(("killers_seen_by_two", "quick_answers"), _whole),
            "signed_with": _maybe(_text),
        },
    ),
    kinds.SIGNATURE: _map(_texts("algorithm", "of_seal", "public_key", "signature")),
    "hunt": _map(
        _texts("rig", "about", "symptom", "cause", "part", "found", "cure"),
        {"answers": _each(_each(_text)), "put_back": _text, "to_mend": _text},
    ),
    "put-back": _map({**_texts("rig", "about", "put_back"), "of": _whole}),
    "received": _map(
        {**_texts("rig", "given_by"), "read_back": _each(_map(_texts("point", "said")))}, _texts("rig_digest")
    ),
}
