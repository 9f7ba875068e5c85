"""From a YAML file to a rule: what the schema can't say is checked here, with the place of every slip."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from lint.check.finding import Severity
from lint.check.rule import Bad, Rule
from lint.facts.fact import Kind
from lint.facts.kinds import KINDS
from lint.house.budget import bounded
from lint.house.count_rule import Bound, CountRule
from lint.house.fragment import fragment_text
from lint.house.message import unknown_fields
from lint.house.pair_rule import PairRule
from lint.house.predicate import SchemaRefusedError, compile_schema
from lint.house.row_rule import RowRule
from lint.read.document import Document, Step, Trail
from lint.read.load import HOUSE_FILE, load_map
from lint.read.nearest import did_you_mean
from lint.read.problem import MAX_MESSAGE, CannotReadError, Problem, shortened
from lint.read.schema import require_valid

SOURCE = "our own house rule"
_BARE_MESSAGE = re.compile(r"""message:\s+(?!["'|>]).*[{:]""")


def load_yaml_rule(path: Path, shown: str, text: str | None = None) -> Rule:
    """Read a rule file of a house, or its text where that has been read; `shown` is how messages name it.

    Raises CannotReadError with everything that is wrong with it.
    """
    document = _read(path, shown, text)
    builder = _Builder(document, path, shown)
    builder.require_one_form_of_rows()
    require_valid(document, "house-rule")
    return builder.rule()


def _read(path: Path, shown: str, text: str | None) -> Document:
    """Read the file; what can't be read as YAML is told in the words of a rule file."""
    try:
        return load_map(path, shown, text)
    except CannotReadError as error:
        raise CannotReadError([_of_a_rule(problem, path) for problem in error.problems]) from None


def _of_a_rule(problem: Problem, path: Path) -> Problem:
    """Name the commonest slip, a message in braces without quotes: to YAML a brace opens a map, a colon ends a key."""
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return problem
    line = lines[problem.line - 1] if 0 < problem.line <= len(lines) else ""
    if _BARE_MESSAGE.match(line):
        told = 'message: put the message in quotes, for it has a brace or a colon in it: message: "{id} is on {box}"'
    else:
        told = problem.message.replace("`rig_format: 1`", "`rule_format: 1`")
    return problem._replace(message=told)


class _Builder:
    def __init__(self, document: Document, path: Path, shown: str) -> None:
        self.document = document
        self.data: Mapping[str, Any] = document.data
        self.path = path
        self.shown = shown
        self.problems: list[Problem] = []

    def rule(self) -> Rule:
        """Return the rule, or raise with all that is wrong."""
        data = self.data
        if data["rule"] != self.path.stem:
            self._problem(("rule",), f"rule: found '{data['rule']}', but the file is {self.path.name}; name them alike")
        self._require_form()
        for trail, written in _schemas(data):
            self._require_usable(trail, written)
        self._stop_here()
        kind = KINDS[data.get("for_each") or data["pairs_of"]]
        form = self._form(kind)
        self._require_message(kind)
        self._stop_here()
        form.prepare()
        house = self.path.parent.parent
        return Rule(
            id=data["rule"],
            title=data["title"],
            severity=Severity(data.get("severity", "caution")),
            family=kind.family,
            why=data["because"],
            do=data["do"],
            source=data.get("source", SOURCE),
            good=tuple(fragment_text(fragment) for fragment in data.get("good", ())),
            bad=tuple(Bad(fragment_text(entry["rig"]), tuple(entry["gives"])) for entry in data.get("bad", ())),
            function=bounded(form.findings),
            file=self.shown,
            base=house / HOUSE_FILE if data.get("base") == "house" else None,
        )

    def _problem(self, trail: Trail, message: str, at_key: bool = False) -> None:
        self.problems.append(Problem(*self.document.locate(trail, at_key), shortened(message, MAX_MESSAGE)))

    def _stop_here(self) -> None:
        if self.problems:
            raise CannotReadError(sorted(self.problems))

    def require_one_form_of_rows(self) -> None:
        """Refuse rows and pairs in one rule, before the schema holds the conditions to both."""
        if "for_each" in self.data and "pairs_of" in self.data:
            what = "both `for_each` and `pairs_of` stand here; keep one"
            self._problem(("pairs_of",), f"{what} (the rows that it looks at: {', '.join(KINDS)})", True)
        self._stop_here()

    def _require_form(self) -> None:
        """Hold the file to one of its three forms."""
        says = set(self.data)
        counts = says & {"at_most", "at_least"}
        if not says & {"for_each", "pairs_of"}:
            self._problem((), f"`for_each` is missing (the rows that it looks at: {', '.join(KINDS)})", True)
        if "expect" in says and counts:
            (key, *_) = sorted(counts)
            self._problem((key,), f"`expect` and `{key}` both stand here; write a rule for each", at_key=True)
        elif not counts and "expect" not in says:
            self._problem((), "`expect` is missing (what must hold for each row; or `at_most` or `at_least`)")
        elif counts and "pairs_of" in says:
            self._problem(("pairs_of",), "pairs can't be counted; use `for_each`", at_key=True)

    def _require_usable(self, trail: Trail, written: Any) -> None:
        """Hold a JSON Schema of the author's to what can be used."""
        try:
            compile_schema(written)
        except SchemaRefusedError as error:
            self._problem((*trail, *error.trail), f"schema: {error}", at_key=True)

    def _form(self, kind: Kind) -> RowRule | PairRule | CountRule:
        data = self.data
        where, message = data.get("where"), data.get("message", "")
        if "pairs_of" in data:
            return PairRule(kind, where, data["expect"], message)
        if "expect" in data:
            return RowRule(kind, where, data["expect"], message)
        return CountRule(kind, where, self._bound(kind, "at_most"), self._bound(kind, "at_least"), message)

    def _bound(self, kind: Kind, key: str) -> Bound | None:
        if key not in self.data:
            return None
        number, _, per = str(self.data[key]).partition(" per ")
        if per and per not in kind.facts:
            self._problem((key,), f"{key}: {kind.name} have no fact '{per}'{did_you_mean(per, kind.facts, most=60)}")
        return Bound(int(float(number)), per)

    def _require_message(self, kind: Kind) -> None:
        """Hold the braces of the message to what there is to fill in."""
        known = set(kind.facts)
        if "pairs_of" in self.data:
            known = {f"{side}.{name}" for side in ("first", "second") for name in known}
        elif "expect" not in self.data:
            pers = {str(self.data[key]).partition(" per ")[2] for key in ("at_most", "at_least") if key in self.data}
            known = {"count", "ids", *(pers if len(pers) == 1 else ())} - {""}
        for wrong in unknown_fields(self.data.get("message", ""), sorted(known)):
            self._problem(("message",), f"message: {wrong}")


def _schemas(data: Mapping[str, Any]) -> Iterator[tuple[Trail, Any]]:
    """Yield every JSON Schema that the author wrote, with where it stands."""
    todo: list[tuple[Trail, Any]] = [((key,), data[key]) for key in ("where", "expect") if key in data]
    while todo:
        trail, here = todo.pop()
        members: list[tuple[Step, Any]] = list(enumerate(here)) if isinstance(here, list) else []
        members += here.items() if isinstance(here, dict) else ()
        for step, value in members:
            if step == "schema":
                yield (*trail, step), value
            else:
                todo.append(((*trail, step), value))
