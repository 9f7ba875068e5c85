"""The items of one walk: a template written out over the rows of one rig."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from lint.check.engine import Checked
from lint.walk.rows import ROW_KINDS, Fields, Row, rig_fields, rows_of
from lint.walk.template import ROLES, ItemTemplate, Measure, Phase, Safety, Template, fill

# A phase is over when its completion call is spoken: that is the last thing asked in it, and the lead's to answer.
CALL = "completion-call"


@dataclass(frozen=True, slots=True)
class Item:
    """One question of the walk. `key` is the template's item id and the row's key; `phase` counts from 0."""

    key: str
    phase: int
    role: str
    challenge: str
    killer: bool = False
    safety: Safety | None = None
    measure: Measure | None = None
    is_call: bool = False

    @property
    def asked(self) -> dict[str, Any]:
        """What is asked, whole: an answer counts only while this is the same as when it was given."""
        measure = self.measure
        limits = None
        if measure is not None:
            least, most = (None if limit is None else str(limit) for limit in (measure.least, measure.most))
            limits = {"unit": measure.unit, "min": least, "max": most}
        safety = f"{self.safety.word}: {self.safety.text}" if self.safety else None
        return {"challenge": self.challenge, "safety": safety, "measure": limits}


@dataclass(frozen=True, slots=True)
class Plan:
    """What one walk asks: the phases that have anything to ask, and their items in order."""

    phases: tuple[Phase, ...]
    items: tuple[Item, ...]
    by_key: Mapping[str, Item] = field(default_factory=dict)

    @property
    def roles(self) -> tuple[str, ...]:
        """The roles that have items, in the order that they are polled."""
        present = {item.role for item in self.items}
        return tuple(role for role in ROLES if role in present)


def expand(template: Template, checked: Checked) -> Plan:
    """Write a template out over a checked rig; a phase that has nothing to ask in this rig is left out."""
    whole = rig_fields(checked)
    phases: list[Phase] = []
    items: list[Item] = []
    for phase in template.phases:
        number = len(phases)
        made = [item for written in phase.items for item in _items(written, number, checked, whole)]
        if made:
            phases.append(phase)
            call = Item(f"{CALL}/{phase.id}", number, "lead", f"Say aloud: “{phase.completion}”", is_call=True)
            items.extend((*made, call))
    return Plan(tuple(phases), tuple(items), {item.key: item for item in items})


def _items(written: ItemTemplate, phase: int, checked: Checked, whole: Fields) -> Iterator[Item]:
    if not written.for_each:
        if _holds(written.when, whole):
            yield _item(written, written.id, phase, {"rig": whole})
        return
    word = ROW_KINDS[written.for_each].word
    for row in _rows(written, checked):
        yield _item(written, f"{written.id}/{row.key}", phase, {"rig": whole, word: row.fields})


def _rows(written: ItemTemplate, checked: Checked) -> Iterator[Row]:
    for row in rows_of(written.for_each, checked):
        if _holds(written.when, row.fields):
            yield row


def _holds(when: Mapping[str, Any], fields: Fields) -> bool:
    return all(
        fields[name] in wanted if isinstance(wanted, list) else fields[name] == wanted for name, wanted in when.items()
    )


def _item(written: ItemTemplate, key: str, phase: int, values: Mapping[str, Fields]) -> Item:
    safety = written.safety and Safety(written.safety.word, fill(written.safety.text, values))
    challenge = fill(written.challenge, values)
    return Item(key, phase, written.role, challenge, written.killer, safety, written.measure)
