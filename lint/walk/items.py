"""The items of one walk: a template written out over the rows of one rig, with a pause after every handful."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from lint.check.engine import Checked
from lint.walk.guards import POWER_OFF, POWER_ON, Guards, Step, guards_of
from lint.walk.kinds import EVERY_KIND, rows_of
from lint.walk.mistakes import MOST_ITEMS_A_ROLE
from lint.walk.rig_fields import rig_fields
from lint.walk.rows import Fields
from lint.walk.subject import Subject
from lint.walk.template import ROLES, ItemTemplate, Measure, Phase, Safety, Template, fill
from lint.walk.ways import PARTS, Ways, digest, ways_of_part

# A phase is over when its completion call is spoken: that is the last thing asked in it, and the lead's to answer.
CALL = "completion-call"
SECOND = "second"
NOTHING = Subject()


@dataclass(frozen=True, slots=True)
class Item:
    """One question of the walk. `key` is the template's item id and the row's key; `phase` counts from 0.

    `second_of` is the key of the item whose state a second person looks at, unaware of the first answer. `ways` are the
    ways through the rig of what it speaks of (`lint/walk/ways.py`); of a completion call, what its phase asks.
    `step` is its place in the power order; what reaches an ear is powered only after every item that is `before_loud`.
    """

    key: str
    phase: int
    role: str
    challenge: str
    killer: bool = False
    safety: Safety | None = None
    measure: Measure | None = None
    is_call: bool = False
    second_person: bool = False
    second_of: str = ""
    subject: Subject = NOTHING
    ways: Ways = field(default_factory=dict)
    step: Step | None = None
    before_loud: bool = False

    @property
    def asked(self) -> dict[str, Any]:
        """What is asked, whole, with the ways of what it is about: an answer counts only while all that is the same."""
        measure = self.measure
        limits = None
        if measure is not None:
            least, most = (None if limit is None else str(limit) for limit in (measure.least, measure.most))
            limits = {"unit": measure.unit, "min": least, "max": most}
        safety = f"{self.safety.word}: {self.safety.text}" if self.safety else None
        return {"challenge": self.challenge, "safety": safety, "measure": limits, "ways": dict(self.ways)}


@dataclass(frozen=True, slots=True)
class Plan:
    """What one walk asks: the phases that have anything to ask, and their items in order."""

    phases: tuple[Phase, ...]
    items: tuple[Item, ...]
    by_key: Mapping[str, Item] = field(default_factory=dict)
    guards: Guards = field(default_factory=Guards)

    @property
    def roles(self) -> tuple[str, ...]:
        """The roles that have items, in the order that they are polled."""
        present = {item.role for item in self.items}
        return tuple(role for role in ROLES if role in present)


def expand(template: Template, checked: Checked) -> Plan:
    """Write a template out over a checked rig; a phase that has nothing to ask in this rig is left out.

    A phase with more for one role than a pause point bears is walked in parts, each with its own call.
    """
    whole = rig_fields(checked)
    parts_of_rig = {part: ways_of_part(checked.resolved, part) for part in PARTS}
    phases: list[Phase] = []
    items: list[Item] = []
    for phase in template.phases:
        made = [list(_items(written, checked, whole, parts_of_rig)) for written in phase.items]
        parts = [[item for rows in made for item in rows]] if phase.unbroken else _parts(made)
        for number, part in enumerate(filter(None, parts), start=1):
            named = _part(phase, number, len(parts))
            placed = [replace(item, phase=len(phases)) for item in part]
            items.extend((*_with_seconds(placed), _call(named, len(phases), placed)))
            phases.append(named)
    if items:  # the last call says that everybody is ready: it speaks of all that is asked
        items[-1] = _call(phases[-1], len(phases) - 1, [item for item in items if not item.is_call])
    return Plan(tuple(phases), tuple(items), {item.key: item for item in items}, guards_of(phases, items))


def _parts(made: Sequence[Sequence[Item]]) -> list[list[Item]]:
    """Cut what a phase asks into parts with at most nine items a role, between two items where that can be."""
    parts: list[list[Item]] = [[]]
    for rows in made:
        for piece in _even_pieces(rows):
            taken = sum(item.role == piece[0].role for item in parts[-1])
            if taken + len(piece) > MOST_ITEMS_A_ROLE:
                parts.append([])
            parts[-1].extend(piece)
    return parts


def _even_pieces(rows: Sequence[Item]) -> Iterator[Sequence[Item]]:
    """Cut the rows of one item into as few pieces of at most nine as can be, none much longer than another."""
    pieces = -(-len(rows) // MOST_ITEMS_A_ROLE)
    for number in range(pieces):
        yield rows[number * len(rows) // pieces : (number + 1) * len(rows) // pieces]


def _part(phase: Phase, number: int, of: int) -> Phase:
    if of == 1:
        return phase
    title = f"{phase.title}, part {number} of {of}"
    completion = phase.completion if number == of else f"{title}, complete"
    return replace(phase, id=f"{phase.id}/{number}", title=title, completion=completion)


def _call(phase: Phase, number: int, placed: Sequence[Item]) -> Item:
    """Return the completion call of a phase; it speaks of what was `placed`, and is said anew once that changed."""
    ways = {phase.title: digest([[item.key, item.asked] for item in placed])}
    return Item(f"{CALL}/{phase.id}", number, "lead", f"Say aloud: “{phase.completion}”", is_call=True, ways=ways)


def _with_seconds(placed: Sequence[Item]) -> Iterator[Item]:
    """Follow a run of killer items with their second looks, before anything that they guard is asked."""
    due: list[Item] = []
    for item in placed:
        if not item.killer:
            yield from due
            due = []
        yield item
        if item.second_person:
            due.append(_second(item))
    yield from due


def _second(item: Item) -> Item:
    return replace(item, key=f"{SECOND}/{item.key}", killer=False, second_person=False, second_of=item.key, step=None)


def _items(written: ItemTemplate, checked: Checked, whole: Fields, ways: Mapping[str, Ways]) -> Iterator[Item]:
    again = {words: way for part in written.again_after for words, way in ways[part].items()}
    if not written.for_each:
        if _holds(written.when, whole):
            yield _item(written, written.id, {"rig": whole}, NOTHING, again)
        return
    word = EVERY_KIND[written.for_each].word
    for row, subject in rows_of(written.for_each, checked):
        if _holds(written.when, row.fields):
            item = _item(written, f"{written.id}/{row.key}", {"rig": whole, word: row.fields}, subject, again)
            yield replace(item, step=_step(written.for_each, row.fields))


def _step(kind: str, fields: Fields) -> Step | None:
    return Step(kind, int(fields["number"]), bool(fields["is_loud"])) if kind in (POWER_ON, POWER_OFF) else None


def _holds(when: Mapping[str, Any], fields: Fields) -> bool:
    return all(
        fields[name] in wanted if isinstance(wanted, list) else fields[name] == wanted for name, wanted in when.items()
    )


def _item(written: ItemTemplate, key: str, values: Mapping[str, Fields], subject: Subject, again: Ways) -> Item:
    safety = written.safety and Safety(written.safety.word, fill(written.safety.text, values))
    challenge = fill(written.challenge, values)
    return Item(
        key,
        0,
        written.role,
        challenge,
        written.killer,
        safety,
        written.measure,
        second_person=written.second_person,
        subject=subject,
        ways={**subject.every_way, **again},
        before_loud=written.before_loud,
    )
