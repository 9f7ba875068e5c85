"""A document held against its JSON Schema, with every mistake told in plain words at its place in the file."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from importlib import import_module
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lint.read.document import Document, locate
from lint.read.fits import Fits
from lint.read.nearest import did_you_mean
from lint.read.problem import MAX_MESSAGE, CannotReadError, Problem, found, shortened

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator

MAX_PROBLEMS = 200
_LOOP = (
    "record",
    "'record' suits a mix that only a hearing loop gets; one that hears the house needs no mix of its own, and expects "
    "house.mono",
)
_BROADCAST = ("stream", "did you mean 'stream'?")
# Words for the kind of a mix that name what hangs on it: (the kind that suits it, what to say).
_MEANT = {
    **dict.fromkeys(("hearing-loop", "hearing-assistance", "induction-loop", "loop", "assistive-listening"), _LOOP),
    **dict.fromkeys(("broadcast", "livestream", "live-stream", "video", "online"), _BROADCAST),
    **dict.fromkeys(("wedge", "ears", "in-ears", "in-ear", "foldback"), ("monitor", "did you mean 'monitor'?")),
    **dict.fromkeys(("main", "mains", "pa", "foh", "front", "subs", "sub"), ("house", "did you mean 'house'?")),
}
_TYPE_WORDS = {
    "object": "a map",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}

_SUFFIX = ".schema.json"
# What people write has a page for people too.
PAGES = {"rig": "README.md", "house-rule": "house-rules.md"}


def schema_names() -> tuple[str, ...]:
    """Return the names of the bundled schemas: of the files that people write, and of the reports in JSON."""
    found = (file.name for file in _folder().iterdir())
    return tuple(sorted(name.removesuffix(_SUFFIX) for name in found if name.endswith(_SUFFIX)))


def schema_text(name: str) -> str:
    """Return the text of a bundled schema by its name (see `schema_names`)."""
    return (_folder() / f"{name}{_SUFFIX}").read_text(encoding="utf-8")


def page_text(name: str) -> str | None:
    """Return the page for people on what a schema describes, in Markdown, or None where there is none."""
    return (_folder() / PAGES[name]).read_text(encoding="utf-8") if name in PAGES else None


def _folder() -> Path:
    return Path(str(import_module("lint.schemas").__file__)).parent


@cache
def schema(name: str) -> dict[str, Any]:
    """Return a bundled schema as data."""
    loaded: dict[str, Any] = json.loads(schema_text(name))
    return loaded


@cache
def _fits(name: str) -> Fits:
    return Fits(schema(name))


@cache
def _validator(name: str) -> Draft202012Validator:
    from jsonschema import Draft202012Validator, validators  # noqa: PLC0415 - only mistakes wait for it

    whole = schema(name)
    ours: Any = validators.extend(Draft202012Validator, {"pattern": _pattern})  # type: ignore[no-untyped-call]
    validator: Draft202012Validator = ours(_inlined(whole, whole.get("$defs", {})))
    return validator


def _pattern(_validator: Any, pattern: str, instance: Any, _schema: Any) -> Iterator[Exception]:
    """Hold a text against a pattern as JSON Schema means it: `$` is the very end, and not before a last line break."""
    from jsonschema import ValidationError  # noqa: PLC0415

    whole = pattern[:-1] + r"\Z" if pattern.endswith("$") else pattern
    if isinstance(instance, str) and not re.search(whole, instance):
        yield ValidationError(f"does not match {pattern}")


def _inlined(part: Any, definitions: dict[str, Any], made: dict[str, Any] | None = None) -> Any:
    """Return a schema with every reference replaced by what it names: looking them up takes half of the time.

    Our schemas refer to their own `$defs` alone, and never in a ring. What is named often is `made` once.
    """
    made = {} if made is None else made
    if isinstance(part, list):
        return [_inlined(entry, definitions, made) for entry in part]
    if not isinstance(part, dict):
        return part
    own = {key: _inlined(value, definitions, made) for key, value in part.items() if key not in ("$ref", "$defs")}
    if "$ref" not in part:
        return own
    name = part["$ref"].removeprefix("#/$defs/")
    if name not in made:
        made[name] = _inlined(definitions[name], definitions, made)
    return {**made[name], **own}


def require_valid(document: Document, name: str) -> None:
    """Hold a document against a bundled schema.

    Raises CannotReadError with every problem, in the order of the file.
    """
    if _fits(name)(document.data):
        return
    _require_no_newer_format(document, name)
    errors = _one_a_cause(islice(_validator(name).iter_errors(document.data), MAX_PROBLEMS))
    problems = [problem for error in errors for problem in _problems(error, document)]
    if problems:
        raise CannotReadError(sorted(set(problems)))


def _require_no_newer_format(document: Document, name: str) -> None:
    """Tell a file of a later format as that alone: what else seems wrong in it may be right there."""
    for key, about in schema(name)["properties"].items():
        if not key.endswith("_format") or not isinstance(document.data, dict):
            continue
        stated, known = document.data.get(key), about["const"]
        if type(stated) is int and stated > known:
            why = "the file was written for a later rigwalk; bring this one up to date"
            raise CannotReadError([_at(document, [key], f"{key}: found {stated}, expected {known}: {why}")])


def _one_a_cause(errors: Iterable[Any]) -> list[Any]:
    """Leave out what another error at the same place accounts for.

    Of several wrong types at one place the one with a title, else the outermost, says most; a key that is missing
    because it is misspelt is told where it stands.
    """
    every = list(errors)
    types: dict[tuple[Any, ...], Any] = {}
    unknown: dict[tuple[Any, ...], list[str]] = {}
    for error in every:
        trail = tuple(error.absolute_path)
        if error.validator == "type":
            types[trail] = min(types.get(trail, error), error, key=_says_most)
        elif error.validator == "additionalProperties":
            unknown.setdefault(trail, []).extend(_unknown_keys(error))
    return [
        error
        for error in every
        if (error.validator != "type" or error is types[tuple(error.absolute_path)])
        and not (error.validator == "required" and _is_misspelt(error, unknown.get(tuple(error.absolute_path), ())))
    ]


def _says_most(error: Any) -> tuple[bool, int]:
    return not _names_form(error), len(error.absolute_schema_path)


def _names_form(error: Any) -> bool:
    """Whether the title of a schema says what a value should look like; with patterns it is about a map's keys."""
    about_keys = "patternProperties" in error.schema
    return "title" in error.schema and not about_keys and not isinstance(error.instance, dict | list)


def _wanted_types(error: Any) -> list[str]:
    wanted = error.validator_value
    return [wanted] if isinstance(wanted, str) else list(wanted)


def _is_misspelt(error: Any, unknown: Iterable[str]) -> bool:
    return any(did_you_mean(key, [_missing(error)], most=0) for key in unknown)


def _problems(error: Any, document: Document) -> Iterator[Problem]:
    trail = list(error.absolute_path)
    tell = _TELLERS.get(str(error.validator))
    if tell is None:
        yield _at(document, trail, f"{_where(trail)}{found(error.instance)}: {error.message[:200]}")
        return
    for below, message in tell(error):
        yield _at(document, [*trail, *below], _where(trail) + message, at_key=bool(below))


def _at(document: Document, trail: list[Any], message: str, at_key: bool = False) -> Problem:
    return Problem(*locate(document.marks, trail, at_key), shortened(message, MAX_MESSAGE))


def _where(trail: Iterable[Any]) -> str:
    """Say where in the document, as a path of keys; list members count from 1."""
    path = "/".join(f"[{step + 1}]" if isinstance(step, int) else str(step) for step in trail)
    return f"{path}: " if path else ""


def _either(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " or " + words[-1]


Told = Iterator[tuple[list[Any], str]]


def _unknown_key(error: Any) -> Told:
    """A key that the schema does not know: nearest known one, or how a name must look."""
    owner: dict[str, Any] = error.schema
    known = owner.get("properties", {})
    missing = set(owner.get("required", ())) - set(error.instance)
    for key in _unknown_keys(error):
        if "patternProperties" in owner:
            title = owner.get("title", "another key")
            yield [key], f"'{shortened(key, 60)}' can't stand here; expected {title}{_lower_hint(key, title)}"
        else:
            near = did_you_mean(key, missing, most=0) or did_you_mean(key, known, most=12)
            if key == "<<":  # YAML's own merge, which the newer YAML has given up
                near = ": nothing is merged by YAML here; `extends:` builds a file on another"
            yield [key], f"`{shortened(key, 60)}` is not known here{near}"


def _unknown_keys(error: Any) -> list[str]:
    known = error.schema.get("properties", {})
    patterns = [re.compile(pattern) for pattern in error.schema.get("patternProperties", {})]
    return [key for key in error.instance if key not in known and not any(entry.search(key) for entry in patterns)]


def _lower_hint(name: str, title: str) -> str:
    """Suggest the id that a freely written name would have, where an id is what is expected."""
    words = re.findall(r"[^\W_]+", name.casefold()[:60])
    is_id = title.startswith("a name in lower-case letters") and bool(words) and not words[0][0].isdigit()
    return f"; perhaps '{'-'.join(words)}'" if is_id else ""


def _missing_key(error: Any) -> Told:
    key = _missing(error)
    about: str = error.schema.get("properties", {}).get(key, {}).get("description", "")
    yield [], f"`{key}` is missing" + (f" ({re.sub(r'(?<=[^ .])[.]$', '', about)})" if about else "")


def _missing(error: Any) -> str:
    name = re.match(r"'(.*)' is a required property", error.message)
    return name.group(1) if name else "?"


def _wrong_type(error: Any) -> Told:
    wanted, instance = _wanted_types(error), error.instance
    expected = (
        error.schema["title"] if _names_form(error) else _either([_TYPE_WORDS.get(kind, kind) for kind in wanted])
    )
    yield [], f"{found(instance)}, expected {expected}{_quotes_hint(wanted, instance, error.schema.get('pattern', ''))}"


def _quotes_hint(wanted: list[str], instance: Any, pattern: str) -> str:
    """Say where a pair of quotes is missing or too many."""
    is_number = isinstance(instance, int | float)
    if wanted == ["string"] and is_number and re.search(pattern, str(instance)):
        return "; put it in quotes"
    if (
        wanted in (["number"], ["integer"])
        and isinstance(instance, str)
        and re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", instance)
    ):
        return "; write it without quotes"
    return ""


def _not_listed(error: Any) -> Told:
    choices = ["null" if choice is None else str(choice) for choice in error.validator_value]
    instance = error.instance
    switch = {True: "on", False: "off"}[instance] if isinstance(instance, bool) else None
    near = did_you_mean(instance, choices, most=0) if isinstance(instance, str) else ""
    if switch in choices:
        near = f"; did you mean '{switch}'?"
    if isinstance(instance, str) and (meant := _MEANT.get(instance.casefold())) and meant[0] in choices:
        near = f"; {meant[1]}"
    yield [], f"{found(instance)}, expected {_either(choices)}{near}"


def _wrong_form(error: Any) -> Told:
    title = error.schema.get("title", "another form")
    yield [], f"{found(error.instance)}, expected {title}{_lower_hint(error.instance, title)}"


def _out_of_bounds(words: str) -> Callable[[Any], Told]:
    def tell(error: Any) -> Told:
        wanted = error.validator_value
        yield [], f"{found(error.instance)}, expected {words.format(wanted if wanted is not True else 'true')}"

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
