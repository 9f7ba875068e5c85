"""A rule over pairs: every two rows of a kind for which `where` holds are expected to be so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from lint.check.finding import Finding
from lint.facts.fact import Kind, Row, in_words
from lint.facts.kinds import rows_of
from lint.house.budget import MAX_PAIRS, Clock, TooLongError
from lint.house.keywords import Predicate
from lint.house.message import fill
from lint.house.predicate import compile_schema
from lint.house.row_rule import Expected
from lint.house.shorthand import named, pair_schema, row_schema
from lint.resolve.resolved import ResolvedRig


@dataclass(frozen=True)
class PairRule:
    """Every two rows of a kind for which `where` holds are expected to be so; in which order does not matter."""

    kind: Kind
    where: Any
    expect: Any
    message: str

    @cached_property
    def _ways(self) -> list[_Way]:
        wheres = self.where if isinstance(self.where, list) else [self.where or {}]
        return [_Way.of(where) for where in wheres]

    @cached_property
    def _is_right(self) -> Predicate:
        return compile_schema(pair_schema(self.expect))

    def prepare(self) -> None:
        """Compile what is asked; raises SchemaRefusedError."""
        _ = self._ways, self._is_right

    def findings(self, resolved: ResolvedRig) -> Iterator[Finding]:
        """Yield a finding for each pair that is not as expected."""
        rows = rows_of(self.kind.name, resolved)
        met: set[tuple[str, str]] = set()
        clock = Clock()
        for way in self._ways:
            for first, second in way.pairs(rows):
                clock.look()
                if (first.id, second.id) in met or (second.id, first.id) in met:
                    continue
                pair = self._pair(first, second)
                if way.is_meant(pair):
                    met.add((first.id, second.id))
                    if not self._is_right(pair):
                        yield self._finding(resolved, first, second, pair)

    def _pair(self, first: Row, second: Row) -> dict[str, Any]:
        stated = [name for name, value in first.facts.items() if value is not None and second.facts[name] is not None]
        alike = [name for name in stated if first.facts[name] == second.facts[name]]
        unlike = [name for name in stated if first.facts[name] != second.facts[name]]
        return {"first": first.facts, "second": second.facts, "alike": alike, "unlike": unlike}

    def _finding(self, resolved: ResolvedRig, first: Row, second: Row, pair: Mapping[str, Any]) -> Finding:
        expects = self.expect if isinstance(self.expect, list) else [self.expect]
        ways = [list(dict.fromkeys(self._wrong(expect, pair))) for expect in expects]
        wrong = ways[0]
        if self.message:
            values = {f"{side}.{name}": value for side in ("first", "second") for name, value in pair[side].items()}
            message = fill(self.message, values)
        else:
            told = "; or ".join(filter(None, (_told(way, first, second) for way in ways)))
            message = f"{first.id} and {second.id}: {told or 'not as the rule expects'}"
        keys = [self.kind.facts[name].key for name, _ in wrong if self.kind.facts[name].key]
        places = []
        for row, address in ((first, f"{first.address} and {second.address}"), (second, second.address)):
            trail = (*row.trail, keys[0]) if keys else row.trail
            places.append(resolved.rig.place(trail, address, at_key=not keys))
        return Finding(message, tuple(places))

    def _wrong(self, expect: Mapping[str, Any], pair: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
        for key, words in (("alike", "the same"), ("unlike", "different ones")):
            for name in named(expect.get(key, [])):
                if name not in pair[key]:
                    yield name, words
        for side in ("first", "second"):
            if side in expect:
                yield from Expected(expect[side]).wrong(pair[side]).items()


def _told(wrong: list[tuple[str, str]], first: Row, second: Row) -> str:
    return "; ".join(
        f"{name} is {in_words(first.facts[name])} and {in_words(second.facts[name])}, expected {words}"
        for name, words in wrong
    )


class _Way(NamedTuple):
    """One `where` of a pair rule: which rows may be the first and the second, and by what they are joined."""

    is_first: Predicate
    is_second: Predicate
    joined_by: tuple[str, ...]
    is_meant: Predicate

    @classmethod
    def of(cls, where: Mapping[str, Any]) -> _Way:
        def side(name: str) -> Predicate:
            return compile_schema(row_schema(where[name])) if name in where else lambda _: True

        meant = compile_schema(pair_schema(where)) if where else lambda _: True
        return cls(side("first"), side("second"), tuple(named(where.get("alike", []))), meant)

    def pairs(self, rows: list[Row]) -> Iterator[tuple[Row, Row]]:
        """Yield the pairs that may be meant: those alike in what `where` wants alike are found without a search."""
        seconds: dict[str, list[Row]] = {}
        for row in rows:
            if self.is_second(row.facts):
                seconds.setdefault(self._key(row), []).append(row)
        made = 0
        for first in rows:
            if not self.is_first(first.facts):
                continue
            others = seconds.get(self._key(first), ())
            made += len(others)
            if made > MAX_PAIRS:
                raise TooLongError(
                    f"it looks at more than {MAX_PAIRS:,} pairs; narrow it with `where`, such as `alike`"
                )
            for second in others:
                if second is not first:
                    yield first, second

    def _key(self, row: Row) -> str:
        return repr([row.facts[name] for name in self.joined_by])
