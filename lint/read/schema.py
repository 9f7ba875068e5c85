"""A document held against its JSON Schema, with every mistake told in plain words at its place in the file."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from lint.read.document import Document, locate
from lint.read.nearest import did_you_mean
from lint.read.problem import CannotReadError, Problem

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator

MAX_PROBLEMS = 200
_TYPE_WORDS = {
    "object": "a map",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}


def schema_text(name: str) -> str:
    """Return the text of a bundled schema: `rig`, `model`, `checklist`, `check-report`."""
    return (files("lint.schemas") / f"{name}.schema.json").read_text(encoding="utf-8")


@cache
def schema(name: str) -> dict[str, Any]:
    """Return a bundled schema as data."""
    loaded: dict[str, Any] = json.loads(schema_text(name))
    return loaded


@cache
def _validator(name: str) -> Draft202012Validator:
    from jsonschema import Draft202012Validator  # noqa: PLC0415 - a third of the start-up time

    whole = schema(name)
    return Draft202012Validator(_inlined(whole, whole.get("$defs", {})))


def _inlined(part: Any, definitions: dict[str, Any]) -> Any:
    """Return a schema with every reference replaced by what it names: looking them up takes half of the time.

    Our schemas refer to their own `$defs` alone, and never in a ring.
    """
    if isinstance(part, list):
        return [_inlined(entry, definitions) for entry in part]
    if not isinstance(part, dict):
        return part
    own = {key: _inlined(value, definitions) for key, value in part.items() if key not in ("$ref", "$defs")}
    if "$ref" not in part:
        return own
    named = definitions[part["$ref"].removeprefix("#/$defs/")]
    return {**_inlined(named, definitions), **own}


def require_valid(document: Document, name: str) -> None:
    """Hold a document against a bundled schema.

    Raises CannotReadError with every problem, in the order of the file.
    """
    problems: list[Problem] = []
    for error in _validator(name).iter_errors(document.data):
        problems.extend(_problems(error, document))
        if len(problems) >= MAX_PROBLEMS:
            break
    if problems:
        by_place: dict[tuple[str, int, int, str], Problem] = {}
        for problem in problems:
            by_place.setdefault((problem.file, problem.line, problem.column, problem.message), problem)
        raise CannotReadError(sorted(by_place.values()))


def _problems(error: Any, document: Document) -> Iterator[Problem]:
    trail = list(error.absolute_path)
    tell = _TELLERS.get(str(error.validator))
    if tell is None:
        yield _at(document, trail, f"{_where(trail)}{_found(error.instance)}: {error.message[:200]}")
        return
    for below, message in tell(error):
        yield _at(document, [*trail, *below], _where(trail) + message, at_key=bool(below))


def _at(document: Document, trail: list[Any], message: str, at_key: bool = False) -> Problem:
    return Problem(*locate(document.marks, trail, at_key), message)


def _where(trail: Iterable[Any]) -> str:
    """Say where in the document, as a path of keys; list members count from 1."""
    path = "/".join(f"[{step + 1}]" if isinstance(step, int) else str(step) for step in trail)
    return f"{path}: " if path else ""


def _found(value: Any) -> str:
    """Say what was found, shortly and in the words of the file."""
    if isinstance(value, dict):
        return "found a map" if value else "found an empty map"
    if isinstance(value, list):
        return "found a list" if value else "found an empty list"
    if value is None:
        return "found nothing"
    text = json.dumps(value, ensure_ascii=False) if not isinstance(value, str) else f"'{value}'"
    return f"found {text if len(text) <= 80 else text[:76] + '...'}"


def _either(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " or " + words[-1]


Told = Iterator[tuple[list[Any], str]]


def _unknown_key(error: Any) -> Told:
    """A key that the schema does not know: nearest known one, or how a name must look."""
    owner: dict[str, Any] = error.schema
    known = owner.get("properties", {})
    patterns = [re.compile(pattern) for pattern in owner.get("patternProperties", {})]
    missing = set(owner.get("required", ())) - set(error.instance)
    for key in error.instance:
        if key in known or any(pattern.search(key) for pattern in patterns):
            continue
        if patterns:
            yield [key], f"'{key}' can't stand here; expected {owner.get('title', 'another key')}{_lower_hint(key)}"
        else:
            near = did_you_mean(key, missing, most=0) or did_you_mean(key, known, most=12)
            yield [key], f"`{key}` is not known here{near}"


def _lower_hint(key: str) -> str:
    """Suggest the id that a freely written name would have."""
    words = re.findall(r"[^\W_]+", key.casefold())
    return f"; perhaps '{'-'.join(words)}'" if words and not words[0][0].isdigit() else ""


def _missing_key(error: Any) -> Told:
    """A required key: silent where a misspelt one in the same map already tells of it."""
    known = error.schema.get("properties", {}) if isinstance(error.schema, dict) else {}
    name = re.match(r"'(.*)' is a required property", error.message)
    key = name.group(1) if name else "?"
    for present in error.instance:
        if known and present not in known and did_you_mean(present, [key], most=0):
            return
    about = known.get(key, {}).get("description", "")
    yield [], f"`{key}` is missing" + (f" ({about.rstrip('.')})" if about else "")


def _wrong_type(error: Any) -> Told:
    wanted = error.validator_value
    words = [_TYPE_WORDS.get(kind, kind) for kind in ([wanted] if isinstance(wanted, str) else wanted)]
    title = error.schema.get("title") if isinstance(error.schema, dict) else None
    expected = title if title and not isinstance(error.instance, dict | list) else _either(words)
    hint = "; put it in quotes" if wanted == "string" and isinstance(error.instance, int | float) else ""
    yield [], f"{_found(error.instance)}, expected {expected}{hint}"


def _not_listed(error: Any) -> Told:
    choices = [str(choice) for choice in error.validator_value]
    found = error.instance
    switch = {True: "on", False: "off"}.get(found) if isinstance(found, bool) else None
    near = did_you_mean(switch or str(found), choices, most=0) if isinstance(found, str | bool) else ""
    yield [], f"{_found(found)}, expected {_either(choices)}{near}"


def _wrong_form(error: Any) -> Told:
    title = error.schema.get("title", "another form")
    hint = ""
    if "such as west-box" in title and isinstance(error.instance, str):
        hint = _lower_hint(error.instance)
    yield [], f"{_found(error.instance)}, expected {title}{hint}"


def _out_of_bounds(words: str) -> Callable[[Any], Told]:
    def tell(error: Any) -> Told:
        yield [], f"{_found(error.instance)}, expected {words.format(error.validator_value)}"

    return tell


_TELLERS: dict[str, Callable[[Any], Told]] = {
    "additionalProperties": _unknown_key,
    "required": _missing_key,
    "type": _wrong_type,
    "enum": _not_listed,
    "pattern": _wrong_form,
    "const": _out_of_bounds("{}"),
    "minimum": _out_of_bounds("at least {}"),
    "maximum": _out_of_bounds("at most {}"),
    "exclusiveMinimum": _out_of_bounds("more than {}"),
    "minLength": _out_of_bounds("some text"),
    "maxLength": _out_of_bounds("at most {} letters"),
    "minItems": _out_of_bounds("at least {} of them"),
    "maxItems": _out_of_bounds("at most {} of them"),
    "minProperties": _out_of_bounds("at least {} entries"),
    "uniqueItems": _out_of_bounds("no member twice"),
}
