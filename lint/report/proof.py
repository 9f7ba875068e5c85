"""What `rules try` shows: every example, and where it went wrong, expected and given side by side."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import zip_longest

from lint.check.rule import Rule
from lint.house.proof import Example, Outcome
from lint.page.layout import width, wrapped


def rule_heading(rule: Rule) -> str:
    """Return a rule's name and where it stands."""
    return f"{rule.id} ({rule.file})" if rule.file else rule.id


def outcome_text(example: Example, outcome: Outcome) -> str:
    """Return one example's outcome: a line where it is right, else what was expected and what was given."""
    if outcome.is_right:
        said = f"says what it should ({len(outcome.given)})" if outcome.given else "finds nothing, as it should"
        return f"  ✓ {example.name}: {said}"
    lines = [f"  ✗ {example.name}: " + ("can't be run" if outcome.problem else "not what it should say")]
    if outcome.problem:
        lines += [wrapped(line, "      ") for line in outcome.problem.splitlines()]
        return "\n".join(lines)
    return "\n".join([*lines, *side_by_side(outcome.expected, outcome.given)])


def side_by_side(expected: Sequence[str], given: Sequence[str]) -> list[str]:
    """Return two columns; messages that are the same stand in one row, without a mark."""
    column = (width() - 9) // 2
    lines = [f"      {'expected':{column}}   given"]
    for left, right in _aligned(expected, given):
        mark = "|" if left == right else "≠"
        pairs = zip_longest(*(textwrap.wrap(text or "(nothing)", column) for text in (left, right)), fillvalue="")
        lines += [f"      {one:{column}} {mark} {other}".rstrip() for one, other in pairs]
    return lines


def _aligned(expected: Sequence[str], given: Sequence[str]) -> list[tuple[str | None, str | None]]:
    both = [text for text in expected if text in given]
    rows: list[tuple[str | None, str | None]] = [(text, text) for text in both]
    only_expected = [text for text in expected if text not in both]
    only_given = [text for text in given if text not in both]
    return [*rows, *zip_longest(only_expected, only_given)]
