"""The rules of a house: every file in its `rules/` folder, one at a time, so that a broken one harms no other."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from lint.check.catalogue import Catalogue, LoadFailure
from lint.check.rule import Rule, RuleFailedError
from lint.read.load import house_folder
from lint.read.parse import read_text
from lint.read.problem import CannotReadError, cannot_read
from lint.read.showable import unshowable

FOLDER = "rules"
_SUFFIXES = (".yaml", ".yml", ".py")
_TRUST = (
    "Read it, or have it read by one who can, and if it does only what you want, trust it as the message says; or "
    "switch it off under `rules:` with the reason, and look after by hand what it checks."
)


class NotTrustedError(Exception):
    """A Python rule whose content this user has not said to trust."""

    def __init__(self, path: Path, digest: str) -> None:
        self.path, self.digest = path, digest
        super().__init__(f"{path} is a program, and nobody has said yet that it may run here")


def with_house(catalogue: Catalogue, rig: Path, trust: Collection[str] = ()) -> Catalogue:
    """Return a catalogue with the rules of the house that a rig file belongs to.

    `trust` are digests of Python rules that may run beside those that the user trusts.
    """
    house = house_of(rig)
    return with_rules(catalogue, house, trust) if house is not None else catalogue


def house_of(rig: Path) -> Path | None:
    """Return the folder of the house that a rig file belongs to, named as the rig is: a relative path stays one."""
    house = house_folder(rig)
    if house is None:
        return None
    inside = os.path.relpath(house, os.path.abspath(rig.parent))  # noqa: PTH100
    return Path(os.path.normpath(rig.parent / inside))


def with_rules(catalogue: Catalogue, house: Path, trust: Collection[str] = ()) -> Catalogue:
    """Return a catalogue with the rules of a house's folder."""
    paths = rule_files(house)
    if not paths:
        return catalogue
    rules = dict(catalogue.rules)
    failures = list(catalogue.failures)
    paths = [path for path in paths if not _has(catalogue, path)]
    taken = taken_names(catalogue, paths)
    for path in paths:
        if path in taken:
            failures.append(
                LoadFailure(rule_name(path), f"its name is taken already, by {taken[path]}", str(path), 1, 1)
            )
            continue
        try:
            rule = load_rule(path, trust)
        except CannotReadError as error:
            failures += [
                LoadFailure(rule_name(path), problem.message, problem.file, problem.line, problem.column)
                for problem in error.problems
            ]
        except RuleFailedError as error:
            failures.append(LoadFailure(rule_name(path), str(error), error.file, error.line, 1 if error.line else 0))
        except NotTrustedError as error:
            failures.append(LoadFailure(rule_name(path), f"{error}; {_how_to_trust(error)}", str(path), do=_TRUST))
        except Exception as error:  # a defect of ours in reading one file must not keep the others from being run
            failures.append(LoadFailure(rule_name(path), f"{type(error).__name__}: {error}", str(path), 1, 1))
        else:
            rules[rule.id] = rule
    return replace(catalogue, rules=rules, failures=tuple(failures))


def _has(catalogue: Catalogue, path: Path) -> bool:
    """Whether a catalogue has the rule of this very file already."""
    rule = catalogue.rules.get(rule_name(path))
    return rule is not None and rule.file == str(path)


def taken_names(catalogue: Catalogue, paths: Iterable[Path]) -> dict[Path, str]:
    """Return the files of a house whose name is taken already, and by what: of several files the first has it."""
    documented = catalogue.documented
    first: dict[str, Path] = {}
    taken: dict[Path, str] = {}
    for path in paths:
        name = rule_name(path)
        if name in documented:
            taken[path] = "a rule that comes with rigwalk or a package"
        elif (one := first.setdefault(name, path)) is not path:
            taken[path] = str(one)
    return taken


def _how_to_trust(error: NotTrustedError) -> str:
    return (
        f"read it, and then: rigwalk rules trust {error.path} "
        f"(a program that checks without you takes --trust {error.digest})"
    )


def rule_files(house: Path) -> list[Path]:
    """Return the rule files of a house, in the order of their names.

    What begins with _ or . is none, nor is what lies in a folder below. A link that leads nowhere is one: that it can't
    be read must be told. Raises CannotReadError for a folder that can't be read, and for a name that could forge a
    screen.
    """
    folder = house / FOLDER
    try:
        with os.scandir(folder) as entries:  # which knows what is a folder without asking for each
            names = [entry.name for entry in entries if entry.name.lower().endswith(_SUFFIXES) and not entry.is_dir()]
    except OSError as error:
        if isinstance(error, FileNotFoundError) and not folder.is_symlink():
            return []
        why = (error.strerror or str(error)).lower()
        raise cannot_read(str(folder), f"the house's rules can't be read: {why}") from None
    for name in names:
        if what := unshowable(name):
            raise cannot_read(str(folder), f"the name of a file in it holds {what}; rename it")
    return [folder / name for name in sorted(names) if not name.startswith(("_", "."))]


def untrusted(house: Path, trust: Collection[str] = ()) -> Iterator[NotTrustedError]:
    """Yield the Python rules of a house that may not run yet."""
    from lint.house.python_rule import read_source

    for path in rule_files(house):
        if path.suffix.lower() == ".py":
            try:
                _require_trusted(path, read_source(path, str(path)), trust)
            except NotTrustedError as error:
                yield error
            except CannotReadError:
                continue  # told when it is loaded


def load_rule(path: Path, trust: Collection[str] = ()) -> Rule:
    """Load one rule file, YAML or Python.

    Raises CannotReadError, RuleFailedError or NotTrustedError.
    """
    if path.suffix.lower() != ".py":
        return _loaded(path, read_text(path, str(path)))
    from lint.house.python_rule import load_python_rule, read_source

    source = read_source(path, str(path))
    _require_trusted(path, source, trust)
    return load_python_rule(path, str(path), source)


@lru_cache(maxsize=10_000)
def _loaded(path: Path, text: str) -> Rule:
    """A YAML rule that several rigs of a house share is made once, as long as its file says the same."""
    from lint.house.yaml_rule import load_yaml_rule

    return load_yaml_rule(path, str(path), text)


def _require_trusted(path: Path, source: bytes, trust: Collection[str]) -> None:
    from lint.house.trust import digest_of, trusted

    digest = digest_of(source)
    if digest not in trust and digest not in trusted():
        raise NotTrustedError(path, digest)


def rule_name(path: Path) -> str:
    """Return the name of the rule in a file: a_b.py and a-b.yaml are the same."""
    return path.stem.replace("_", "-")
