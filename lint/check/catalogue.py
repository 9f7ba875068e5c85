"""The rule catalogue: every rule of every installed package, our own among them, through one pluggy hook.

Nothing is imported before a rule is asked for, and a package that fails to load is told as that package's failure.
"""

from __future__ import annotations

import importlib
import importlib.util
import sys
from collections.abc import Iterable, Iterator
from contextlib import redirect_stdout
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

import pluggy

from lint.check.own import OWN_RULES
from lint.check.rule import Rule, RuleFailedError

GROUP = "rigwalk.rules"
OWN = "lint.rules"
hookspec = pluggy.HookspecMarker("rigwalk")
hookimpl = pluggy.HookimplMarker("rigwalk")


class RuleHooks:
    """The hooks that a package of rules offers."""

    @hookspec
    def rigwalk_rules(self) -> Iterable[Rule]:  # type: ignore[empty-body]
        """Return the package's rules."""


class LoadFailure(NamedTuple):
    """A package of rules, or a file of a house, that could not be loaded: its entry point or rule id, and why.

    `file` is a house's file, with line and column counted from 1, or 0 for the file as a whole; `do` is what to do
    about it, where that is not what is done about any rule that fails.
    """

    name: str
    reason: str
    file: str = ""
    line: int = 0
    column: int = 0
    do: str = ""


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The rules by id, in a fixed order, and the packages that failed to load."""

    rules: dict[str, Rule]
    failures: tuple[LoadFailure, ...]

    @property
    def documented(self) -> dict[str, Rule]:
        """Return all that a finding can name: the rules, and what the check itself says."""
        return {**self.rules, **OWN_RULES}


def is_ours(rule: Rule) -> bool:
    """Whether a rule comes with rigwalk, and not from a package or a house."""
    return str(getattr(rule.function, "__module__", "")).startswith(f"{OWN}.")


def entry_points() -> Iterator[tuple[str, str]]:
    """Yield (name, value) of every entry point in our group, once a distribution.

    Reads the files themselves: `importlib.metadata` takes ten times as long for the same lines.
    """
    seen: set[tuple[str, str]] = set()
    for folder in sys.path:
        for path in sorted(Path(folder or ".").glob("*.dist-info/entry_points.txt")):
            try:
                text = path.read_text(encoding="utf-8")
            except (OSError, UnicodeDecodeError):
                continue  # another package's broken metadata is not ours to report
            for entry in _entries(text) if GROUP in text else ():
                if entry not in seen:
                    seen.add(entry)
                    yield entry


def _entries(text: str) -> Iterator[tuple[str, str]]:
    """Yield (name, value) of each line of our group in a file of entry points: INI, with nothing but sections in it."""
    group = ""
    for line in map(str.strip, text.splitlines()):
        if line.startswith("[") and line.endswith("]"):
            group = line[1:-1].strip()
        elif group == GROUP and line and line[0] not in "#;":
            name, equals, value = line.partition("=")
            if equals and name.strip() and value.strip():
                yield name.strip(), value.strip()


def load_catalogue() -> Catalogue:
    """Load the rules of every installed package, one at a time, so that a broken one harms no other."""
    manager = pluggy.PluginManager("rigwalk")
    manager.add_hookspecs(RuleHooks)
    rules: dict[str, Rule] = {}
    failures: list[LoadFailure] = []
    # Our own come first, so that nobody's rule takes the place of one of them.
    for name, value in sorted(entry_points(), key=lambda entry: entry[1] != OWN):
        try:
            found = _rules_of(manager, name, value) if value == OWN else _rules_of_others(manager, name, value)
        except RuleFailedError as error:
            failures.append(LoadFailure(name, f"{error} ({Path(error.file).name}:{error.line})"))
            continue
        except (Exception, SystemExit) as error:
            failures.append(LoadFailure(name, f"{type(error).__name__}: {error}"))
            continue
        taken = [entry.id for entry in found if entry.id in OWN_RULES or rules.setdefault(entry.id, entry) is not entry]
        failures.extend(LoadFailure(name, f"the rule id '{taken_id}' is taken already") for taken_id in taken)
    return Catalogue(rules, tuple(failures))


def _rules_of_others(manager: pluggy.PluginManager, name: str, value: str) -> list[Rule]:
    """Load somebody else's rules, first in a child process: what never ends there is not begun here.

    What it prints goes to standard error: on the other there may be a report for programs. Raises RuleFailedError, and
    whatever the package raises.
    """
    from lint.check.guard import guarded, guarded_function  # noqa: PLC0415 - most houses have no packages of rules

    def attempt() -> Iterable[str]:
        return [rule.id for rule in _rules_of(manager, name, value)]

    guarded(attempt, _file_of(value)).require_well()
    with redirect_stdout(sys.stderr):
        found = _rules_of(manager, name, value)
    return [replace(rule, function=guarded_function(rule.function)) for rule in found]


def _file_of(value: str) -> str:
    """Return the file of a module by its name, without running it; empty where that can't be said."""
    try:
        found = importlib.util.find_spec(value.partition(":")[0].strip().partition(".")[0])
    except (ImportError, ValueError):
        return ""
    return (found.origin or "") if found else ""


def _rules_of(manager: pluggy.PluginManager, name: str, value: str) -> list[Rule]:
    module_name, _, attribute = value.partition(":")
    plugin: object = importlib.import_module(module_name.strip())
    for step in filter(None, attribute.strip().split(".")):
        plugin = getattr(plugin, step)
    manager.register(plugin, name)
    hook = manager.subset_hook_caller(
        "rigwalk_rules", [other for other in manager.get_plugins() if other is not plugin]
    )
    given = hook()
    if not given:  # pluggy passes by a hook that is not marked, has another name, or returns nothing
        raise TypeError("gave no rules; expected a function rigwalk_rules, marked with @hookimpl, that returns a list")
    found = [entry for rules in given for entry in rules]
    for entry in found:
        if not isinstance(entry, Rule):
            raise TypeError(f"gave {entry!r}, expected a rule made with @rule")
    return found
