"""JSON Schema (Draft 2020-12) made into a plain Python function once, so that asking it costs next to nothing.

Work is bounded before anything is asked: patterns can't run away (`pattern.py`), a schema can't refer to itself or
grow by its references beyond a size, and it never reads another file. Where a keyword has no meaning over rows
(`patternProperties`, `unevaluated...`, `$dynamicRef`) or is not known, it is refused rather than passed over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any
from urllib.parse import unquote

from lint.house.keywords import PLAIN, Predicate, is_count
from lint.house.pattern import PatternError
from lint.read.document import Step, Trail
from lint.read.fits import every
from lint.read.nearest import did_you_mean

MAX_SIZE = 1_000  # parts, those that references repeat among them
MAX_DEPTH = 60

_REFUSED = frozenset(
    (
        "patternProperties",
        "unevaluatedItems",
        "unevaluatedProperties",
        "$dynamicRef",
        "$dynamicAnchor",
        "$anchor",
        "$id",
    )
)
_SAYS_NOTHING = frozenset(
    ("title", "description", "default", "examples", "$comment", "$schema", "deprecated", "readOnly", "writeOnly")
)
_WITH_OTHERS = frozenset(("$defs", "then", "else", "minContains", "maxContains", "format"))


class SchemaRefusedError(ValueError):
    """A schema that can't be used: where in it, and why."""

    def __init__(self, trail: Sequence[Step], message: str) -> None:
        self.trail: Trail = tuple(trail)
        super().__init__(message)


def compile_schema(schema: Any, most: int = MAX_SIZE) -> Predicate:
    """Return a function that says whether a value fits a schema of at most `most` parts.

    Raises SchemaRefusedError.
    """
    return _Compiler(schema, most).compile(schema, ())


class _Compiler:
    def __init__(self, root: Any, most: int) -> None:
        self.root = root
        self.most = most
        self.size = 0
        self.named: dict[str, tuple[Predicate, int]] = {}
        self.open: list[str] = []

    def compile(self, schema: Any, trail: Trail) -> Predicate:
        """Return the function of one schema: all its keywords must hold."""
        self.size += 1
        if self.size > self.most or len(trail) > MAX_DEPTH:
            raise SchemaRefusedError(trail, "this schema is too large")
        if isinstance(schema, bool):
            return (lambda _: True) if schema else (lambda _: False)
        if not isinstance(schema, dict):
            raise SchemaRefusedError(trail, "expected a schema: a map of keywords, true or false")
        parts = [
            part
            for key, wanted in schema.items()
            if (part := self._keyword(key, wanted, schema, (*trail, key))) is not None
        ]
        return every(parts)

    def _keyword(self, key: str, wanted: Any, schema: Mapping[str, Any], trail: Trail) -> Predicate | None:
        if key in _SAYS_NOTHING or key in _WITH_OTHERS or (key == "$id" and len(trail) == 1):
            return None
        if key in PLAIN:
            right, make = PLAIN[key]
            if not right(wanted):
                raise SchemaRefusedError(trail, f"this is not what `{key}` takes in JSON Schema")
            try:
                return make(wanted)
            except PatternError as error:
                raise SchemaRefusedError(trail, str(error)) from None
        method = _NESTED.get(key)
        if method is None:
            why = "can't be used in a house rule" if key in _REFUSED else "is not a keyword of JSON Schema"
            known = "" if key in _REFUSED else did_you_mean(key, [*PLAIN, *_NESTED, *_WITH_OTHERS], most=0)
            raise SchemaRefusedError(trail, f"`{key}` {why}{known}")
        return method(self, wanted, schema, trail)

    def several(self, wanted: Any, trail: Trail) -> list[Predicate]:
        """Return the functions of a list of schemas."""
        if not isinstance(wanted, list) or not wanted:
            raise SchemaRefusedError(trail, "expected a list of schemas")
        return [self.compile(schema, (*trail, index)) for index, schema in enumerate(wanted)]

    def by_key(self, wanted: Any, trail: Trail) -> dict[str, Predicate]:
        """Return the functions of a map of schemas."""
        if not isinstance(wanted, dict):
            raise SchemaRefusedError(trail, "expected a map of schemas")
        return {key: self.compile(schema, (*trail, key)) for key, schema in wanted.items()}

    def reference(self, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
        """A reference within the same schema, compiled once; what it stands for counts each time towards the size."""
        if not isinstance(wanted, str) or not wanted.startswith("#/"):
            raise SchemaRefusedError(trail, "expected a reference within this schema, such as #/$defs/box")
        if wanted in self.open:
            raise SchemaRefusedError(trail, f"{wanted} refers to itself, which can't be used in a house rule")
        if wanted not in self.named:
            before = self.size
            self.open.append(wanted)
            try:
                target = at_pointer(self.root, wanted)
            except (LookupError, TypeError):
                raise SchemaRefusedError(trail, f"there is nothing at {wanted} in this schema") from None
            made = self.compile(target, (*trail, wanted))
            self.open.pop()
            self.named[wanted] = (made, self.size - before)
        else:
            self.size += self.named[wanted][1]
            if self.size > self.most:
                raise SchemaRefusedError(trail, "this schema is too large")
        return self.named[wanted][0]


def at_pointer(root: Any, pointer: str) -> Any:
    """Return what stands at a JSON Pointer (RFC 6901) written as a fragment, such as #/$defs/box.

    Raises LookupError.
    """
    here = root
    for step in unquote(pointer)[2:].split("/"):
        name = step.replace("~1", "/").replace("~0", "~")
        here = here[int(name)] if isinstance(here, list) and name.isdecimal() else here[name]
    return here


# -- keywords that hold schemas --------------------------------------------------------------------------------

_Nested = Callable[[_Compiler, Any, Mapping[str, Any], Trail], Predicate]


def _not(compiler: _Compiler, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
    inner = compiler.compile(wanted, trail)
    return lambda value: not inner(value)


def _all_of(compiler: _Compiler, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
    return every(compiler.several(wanted, trail))


def _any_of(compiler: _Compiler, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
    parts = compiler.several(wanted, trail)
    return lambda value: any(part(value) for part in parts)


def _one_of(compiler: _Compiler, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
    parts = compiler.several(wanted, trail)
    return lambda value: sum(part(value) for part in parts) == 1


def _if(compiler: _Compiler, wanted: Any, schema: Mapping[str, Any], trail: Trail) -> Predicate:
    condition = compiler.compile(wanted, trail)
    then = compiler.compile(schema.get("then", True), (*trail[:-1], "then"))
    otherwise = compiler.compile(schema.get("else", True), (*trail[:-1], "else"))
    return lambda value: then(value) if condition(value) else otherwise(value)


def _properties(compiler: _Compiler, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
    parts = tuple(compiler.by_key(wanted, trail).items())
    if len(parts) == 1:
        ((only, part),) = parts
        return lambda value: not isinstance(value, dict) or only not in value or part(value[only])

    def hold(value: Any) -> bool:
        if isinstance(value, dict):
            for key, part in parts:
                if key in value and not part(value[key]):
                    return False
        return True

    return hold


def _additional(compiler: _Compiler, wanted: Any, schema: Mapping[str, Any], trail: Trail) -> Predicate:
    part = compiler.compile(wanted, trail)
    known = schema.get("properties", {})
    return lambda value: not isinstance(value, dict) or all(part(value[key]) for key in value if key not in known)


def _names(compiler: _Compiler, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
    part = compiler.compile(wanted, trail)
    return lambda value: not isinstance(value, dict) or all(part(key) for key in value)


def _dependent_schemas(compiler: _Compiler, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
    parts = compiler.by_key(wanted, trail)
    return lambda value: not isinstance(value, dict) or all(part(value) for key, part in parts.items() if key in value)


def _items(compiler: _Compiler, wanted: Any, schema: Mapping[str, Any], trail: Trail) -> Predicate:
    part = compiler.compile(wanted, trail)
    first = len(schema.get("prefixItems", ()))
    return lambda value: not isinstance(value, list) or all(part(entry) for entry in value[first:])


def _prefix(compiler: _Compiler, wanted: Any, _schema: Mapping[str, Any], trail: Trail) -> Predicate:
    parts = compiler.several(wanted, trail)
    return lambda value: (
        not isinstance(value, list) or all(part(entry) for part, entry in zip(parts, value, strict=False))
    )


def _contains(compiler: _Compiler, wanted: Any, schema: Mapping[str, Any], trail: Trail) -> Predicate:
    part = compiler.compile(wanted, trail)
    least, most = schema.get("minContains", 1), schema.get("maxContains")
    for key in ("minContains", "maxContains"):
        if key in schema and not is_count(schema[key]):
            raise SchemaRefusedError((*trail[:-1], key), f"this is not what `{key}` takes in JSON Schema")
    if least == 1 and most is None:
        return lambda value: not isinstance(value, list) or any(part(entry) for entry in value)

    def hold(value: Any) -> bool:
        if not isinstance(value, list):
            return True
        number = sum(bool(part(entry)) for entry in value)
        return bool(least <= number and (most is None or number <= most))

    return hold


_NESTED: dict[str, _Nested] = {
    "$ref": _Compiler.reference,
    "not": _not,
    "allOf": _all_of,
    "anyOf": _any_of,
    "oneOf": _one_of,
    "if": _if,
    "properties": _properties,
    "additionalProperties": _additional,
    "propertyNames": _names,
    "dependentSchemas": _dependent_schemas,
    "items": _items,
    "prefixItems": _prefix,
    "contains": _contains,
}
