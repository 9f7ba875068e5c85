"""A rule over rows: every row for which `where` holds is expected to be so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from lint.check.finding import Finding
from lint.facts.fact import Kind, Row, in_words
from lint.facts.kinds import rows_of
from lint.house.budget import Clock
from lint.house.keywords import Predicate
from lint.house.message import fill
from lint.house.predicate import compile_schema
from lint.house.shorthand import condition_schema, condition_words, row_schema
from lint.resolve.resolved import ResolvedRig


@dataclass(frozen=True)
class RowRule:
    """Every row of a kind for which `where` holds is expected to be so."""

    kind: Kind
    where: Any
    expect: Any
    message: str

    @cached_property
    def _is_meant(self) -> Predicate:
        return compile_schema(row_schema(self.where)) if self.where is not None else lambda _: True

    @cached_property
    def _is_right(self) -> Predicate:
        return compile_schema(row_schema(self.expect))

    @cached_property
    def _expected(self) -> list[Expected]:
        return [Expected(way) for way in (self.expect if isinstance(self.expect, list) else [self.expect])]

    def prepare(self) -> None:
        """Compile what is asked; raises SchemaRefusedError."""
        _ = self._is_meant, self._is_right

    def findings(self, resolved: ResolvedRig) -> Iterator[Finding]:
        """Yield a finding for each row that is not as expected."""
        is_meant, is_right, clock = self._is_meant, self._is_right, Clock()
        for row in rows_of(self.kind.name, resolved):
            clock.look()
            if is_meant(row.facts) and not is_right(row.facts):
                yield self._finding(resolved, row)

    def _finding(self, resolved: ResolvedRig, row: Row) -> Finding:
        ways = [way.wrong(row.facts) for way in self._expected]
        wrong = ways[0]
        if self.message:
            message = fill(self.message, row.facts)
        else:
            told = "; or ".join(filter(None, (_told(way, row.facts) for way in ways)))
            message = f"{self.kind.word} {row.id}: {told or 'not as the rule expects'}"
        keys = [self.kind.facts[name].key for name in wrong if self.kind.facts[name].key]
        trail = (*row.trail, keys[0]) if keys else row.trail
        return Finding(
            message,
            (resolved.rig.place(trail, row.address, at_key=not keys),),
            facts={name: _plain(row.facts[name]) for name in wrong},
        )


class Expected:
    """What is expected of a row in one way, fact by fact, to say which of them is not so."""

    def __init__(self, expect: Mapping[str, Any]) -> None:
        self._facts = [
            (name, condition_words(wanted), compile_schema(condition_schema(wanted)))
            for name, wanted in expect.items()
            if name != "schema"
        ]

    def wrong(self, facts: Mapping[str, Any]) -> dict[str, str]:
        """Return the facts that are not as expected, each with what was, in words."""
        return {name: words for name, words, is_right in self._facts if not is_right(facts[name])}


def _told(wrong: Mapping[str, str], facts: Mapping[str, Any]) -> str:
    return "; ".join(f"{name} is {in_words(facts[name])}, expected {words}" for name, words in wrong.items())


def _plain(value: Any) -> str | int | float:
    return value if isinstance(value, int | float) and not isinstance(value, bool) else in_words(value)
