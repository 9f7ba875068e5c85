"""A rule's own examples, run: what they were meant to give, and what the rule really says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lint.check.catalogue import Catalogue
from lint.check.engine import check_rig
from lint.check.example import BASE, FILE
from lint.check.own import RULE_FAILED
from lint.check.rule import Rule
from lint.read.document import Document
from lint.read.load import load_document
from lint.read.merge import extend
from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.read.schema import require_valid
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models


@dataclass(frozen=True)
class Outcome:
    """What an example was meant to give and what it gave, message by message; `problem` where it could not be run."""

    expected: tuple[str, ...]
    given: tuple[str, ...]
    problem: str = ""

    @property
    def is_right(self) -> bool:
        """Whether the rule says exactly what it was meant to."""
        return not self.problem and self.expected == self.given


@dataclass(frozen=True)
class Example:
    """One example of a rule: `good 1`, `bad 2`; the fragment of a rig file, and the messages it must give."""

    rule: Rule
    name: str
    fragment: str
    expected: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.rule.id}, {self.name}"

    def run(self) -> Outcome:
        """Merge the fragment into its base and check that by this rule alone."""
        hint = ""
        try:
            document = self._document()
            hint = self._hint()  # what is wrong from here on is a name, and no longer a key
            rig = build_rig(document, FILE, Models(self.rule.base.parent if self.rule.base else None))
            checked = check_rig(resolve_rig(rig), Catalogue({self.rule.id: self.rule}, ()))
        except CannotReadError as error:
            return Outcome(self.expected, (), "\n".join([*map(str, error.problems), *filter(None, [hint])]))
        failed = [finding.message for finding in checked.findings if finding.rule == RULE_FAILED]
        given = tuple(finding.message for finding in checked.findings if finding.rule == self.rule.id)
        # Findings are told by what they are about; in which order a rule lists them is no part of its meaning.
        in_order = tuple(sorted(given, key=lambda text: self.expected.index(text) if text in self.expected else 1_000))
        return Outcome(self.expected, in_order, "\n".join(failed))

    def prove(self) -> None:
        """Run it; raises AssertionError with what was expected and what was given."""
        outcome = self.run()
        if not outcome.is_right:
            expected, given = (
                "\n".join(f"  {line}" for line in lines) or "  nothing" for lines in (outcome.expected, outcome.given)
            )
            told = f"\n{outcome.problem}" if outcome.problem else ""
            raise AssertionError(f"{self}:{told}\nexpected:\n{expected}\ngiven:\n{given}")

    def _hint(self) -> str:
        """Say where names come from, in a house's YAML rule whose examples know only the small example rig."""
        if self.rule.base or not self.rule.file or self.rule.file.endswith(".py"):
            return ""
        return (
            "This example is merged into the small example rig, which knows nothing of your house: where it names what "
            "your house.yaml has, write `base: house` into the rule."
        )

    def _document(self) -> Document:
        base = load_document(self.rule.base) if self.rule.base else Document(*parse(BASE, FILE), (FILE,), ())
        if self.rule.base:  # what the house has switched off or waived must not hide what the rule says
            for key in ("rules", "waivers"):
                base.data.pop(key, None)
        shown = f"{self.rule.file or self.rule.id} ({self.name})"
        patch, marks = parse(self.fragment, shown) if self.fragment.strip() else ({}, base.marks)
        document = extend(base, patch, marks)
        require_valid(document, "rig")
        return document


def examples(rule: Rule) -> Iterator[Example]:
    """Yield every example of a rule."""
    for number, fragment in enumerate(rule.good, start=1):
        yield Example(rule, f"good {number}", fragment, ())
    for number, bad in enumerate(rule.bad, start=1):
        yield Example(rule, f"bad {number}", bad.rig, bad.gives)
