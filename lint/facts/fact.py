"""What a fact, a row and a kind of rows are."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from lint.read.document import Trail
from lint.rig.address import spans

if TYPE_CHECKING:
    from lint.facts.signals import Signals

# Plain JSON: a row can be held against a JSON Schema, printed and kept. None is what the rig does not say.
Value = str | int | float | bool | None | list[str] | list[int] | list[float]

TEXT, NUMBER, FLAG, TEXTS, NUMBERS = "text", "a number", "true or false", "a list of texts", "a list of numbers"


class Fact(NamedTuple):
    """One fact of a row: its name, its type, what it means, and how it is had of the rig.

    `key` is the key of the rig file that says it, where a finding about it points; `choices` is the definition and key
    in the rig schema whose values are all that it can be, such as `source/kind`.
    """

    name: str
    type: str
    meaning: str
    of: Callable[[Signals, Any], Value]
    key: str = ""
    choices: str = ""

    @property
    def is_list(self) -> bool:
        """Whether its value is a list."""
        return self.type in (TEXTS, NUMBERS)


class Thing(NamedTuple):
    """What one row is about: its name, where the rig file says it, its rig address, and the thing itself."""

    id: str
    trail: Trail
    address: str
    thing: Any


class Row(NamedTuple):
    """One row: what it is about, and its facts by name."""

    id: str
    trail: Trail
    address: str
    facts: dict[str, Any]


class Kind(NamedTuple):
    """A kind of rows: what one of them is called, the family that findings about it are told in, and its facts."""

    name: str
    word: str
    family: str
    facts: Mapping[str, Fact]
    things: Callable[[Signals], Iterator[Thing]]

    def rows(self, signals: Signals) -> list[Row]:
        """Return the rows of this kind, in the order of the rig file."""
        return [
            Row(
                one.id, one.trail, one.address, {fact.name: fact.of(signals, one.thing) for fact in self.facts.values()}
            )
            for one in self.things(signals)
        ]


def by_name(*facts: Fact) -> dict[str, Fact]:
    """Return facts by name."""
    return {fact.name: fact for fact in facts}


def in_words(value: Any) -> str:
    """Say a value as a message does: a list with commas (whole numbers as ranges), what is not said as 'nothing'."""
    if isinstance(value, list):
        if value and all(type(entry) is int for entry in value):
            return spans(sorted(value))
        return ", ".join(in_words(entry) for entry in value) or "none"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:g}"
    return "nothing" if value is None or value == "" else str(value)


def distinct(values: Sequence[Any]) -> list[Any]:
    """Return values once each, in the order in which they come, without what is not said."""
    return [value for value in dict.fromkeys(values) if value not in (None, "")]
