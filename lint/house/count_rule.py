"""A rule over numbers: there are so many rows for which `where` holds, in all or for each value of a fact."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from lint.check.finding import Finding
from lint.facts.fact import Kind, Row, in_words
from lint.facts.kinds import rows_of
from lint.house.budget import Clock
from lint.house.keywords import Predicate
from lint.house.message import fill
from lint.house.predicate import compile_schema
from lint.house.shorthand import row_schema
from lint.read.document import Trail
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Place

# Where the rig file speaks of a kind, where that is not the section of its own name.
_SECTIONS: Mapping[str, Trail] = {
    "circuits": ("power", "circuits"),
    "levels": ("sound_levels",),
    "paths": ("destinations",),
}


class Bound(NamedTuple):
    """A number of rows, in all or for each value of the fact `per`."""

    number: int
    per: str


@dataclass(frozen=True)
class CountRule:
    """There are so many rows for which `where` holds, in all or for each value of a fact that any row has."""

    kind: Kind
    where: Any
    at_most: Bound | None
    at_least: Bound | None
    message: str

    @cached_property
    def _is_meant(self) -> Predicate:
        return compile_schema(row_schema(self.where)) if self.where is not None else lambda _: True

    def prepare(self) -> None:
        """Compile what is asked; raises SchemaRefusedError."""
        _ = self._is_meant

    def findings(self, resolved: ResolvedRig) -> Iterator[Finding]:
        """Yield a finding for each group with too many or too few."""
        rows = rows_of(self.kind.name, resolved)
        clock = Clock()
        bounds: Iterable[tuple[str, Bound | None, Callable[[int, int], bool]]] = (
            ("at most", self.at_most, int.__gt__),
            ("at least", self.at_least, int.__lt__),
        )
        for words, bound, is_wrong in bounds:
            if bound is None:
                continue
            for value, members in self._groups(rows, bound.per, clock).items():
                if is_wrong(len(members), bound.number):
                    yield self._finding(resolved, bound, f"{words} {bound.number}", value, members)

    def _groups(self, rows: list[Row], per: str, clock: Clock) -> dict[Any, list[Row]]:
        """Return the rows that count, by the value of a fact; a value that no counted row has is there with none."""
        groups: dict[Any, list[Row]] = {} if per else {"": []}
        for row in rows:
            clock.look()
            values = [""] if not per else row.facts[per] if isinstance(row.facts[per], list) else [row.facts[per]]
            counts = self._is_meant(row.facts)
            for value in values:
                if value is not None:
                    members = groups.setdefault(value, [])
                    if counts:
                        members.append(row)
        return groups

    def _finding(self, resolved: ResolvedRig, bound: Bound, expected: str, value: Any, members: list[Row]) -> Finding:
        ids = [row.id for row in members]
        about = in_words(value) if bound.per else self.kind.name
        if self.message:
            message = fill(
                self.message, {"count": len(members), "ids": ids, **({bound.per: value} if bound.per else {})}
            )
        else:
            listed = f" ({', '.join(ids)})" if ids else ""
            where = f"{bound.per} {about}: " if bound.per else ""
            named = self.kind.word if len(members) == 1 else self.kind.name
            message = f"{where}{len(members)} {named}{listed}, expected {expected}"
        rig = resolved.rig
        head = ("devices", value) if value in rig.devices else _SECTIONS.get(self.kind.name, (self.kind.name,))
        places: list[Place] = [rig.place(head, about, at_key=True)]
        places += [rig.place(row.trail, row.address, at_key=True) for row in members]
        return Finding(message, tuple(places), facts={"count": len(members)})
