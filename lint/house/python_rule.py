"""A Python rule of a house: run only when its very content is trusted, and only in a child process."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import astuple
from pathlib import Path
from types import ModuleType
from typing import Any

from lint.check.finding import Finding, Severity
from lint.check.guard import finding_data, finding_of, guarded
from lint.check.rule import Bad, Limit, Rule
from lint.read.parse import MOST_MIB, read_bytes

_TEXTS = ("title", "family", "why", "do", "source", "safety")


def read_source(path: Path, shown: str) -> bytes:
    """Return the bytes of a rule file: those that are looked at are those that are run.

    Raises CannotReadError.
    """
    return read_bytes(path, shown, MOST_MIB, "a rule")


def load_python_rule(path: Path, shown: str, source: bytes) -> Rule:
    """Return the rule that a trusted source makes.

    Raises RuleFailedError with the line where it fails.
    """
    name = path.stem
    outcome = guarded(lambda: iter([_rule_data(_rule_in(_run(name, shown, source)))]), shown)
    outcome.require_well()
    data = outcome.said[0]

    def function(resolved: Any, **limits: float) -> Iterator[Finding]:
        def work() -> Iterator[Any]:
            rule = _rule_in(_run(name, shown, source))
            return map(finding_data, rule.function(resolved, **limits))

        done = guarded(work, shown)
        yield from map(finding_of, done.said)
        done.require_well(data["line"])

    return _rule_of(data, function, shown)


def _run(name: str, file: str, source: bytes) -> ModuleType:
    module = ModuleType(f"house.{name}")
    module.__file__ = file
    sys.modules[module.__name__] = module
    exec(compile(source, file, "exec"), module.__dict__)
    return module


def _rule_in(module: ModuleType) -> Rule:
    """Return the one rule that a module makes."""
    found = {id(value): value for value in vars(module).values() if isinstance(value, Rule)}
    if len(found) != 1:
        what = (
            "no function is decorated with @rule" if not found else f"{len(found)} functions are decorated with @rule"
        )
        raise ValueError(f"{what}; expected one rule a file")
    return next(iter(found.values()))


def _rule_data(rule: Rule) -> dict[str, Any]:
    for key in _TEXTS:
        if not isinstance(getattr(rule, key), str):
            raise TypeError(f"rule {rule.id}: `{key}` is {getattr(rule, key)!r}, expected text")
    return {
        "line": getattr(getattr(rule.function, "__code__", None), "co_firstlineno", 0),
        **{key: getattr(rule, key) for key in ("id", *_TEXTS)},
        "severity": rule.severity.value,
        "varies": [severity.value for severity in rule.varies],
        "good": list(rule.good),
        "bad": [[bad.rig, list(bad.gives), list(bad.also)] for bad in rule.bad],
        "limits": {name: list(astuple(limit)) for name, limit in rule.limits.items()},
        "waivable": rule.waivable,
    }


def _rule_of(data: dict[str, Any], function: Any, file: str) -> Rule:
    return Rule(
        id=data["id"],
        severity=Severity(data["severity"]),
        varies=tuple(map(Severity, data["varies"])),
        good=tuple(data["good"]),
        bad=tuple(Bad(rig, tuple(gives), tuple(also)) for rig, gives, also in data["bad"]),
        limits={name: Limit(*limit) for name, limit in data["limits"].items()},
        waivable=bool(data["waivable"]),
        function=function,
        file=file,
        **{key: data[key] for key in _TEXTS},
    )
