"""What waits for what: nothing starts without its killer items, in their own phase and in the later ones that need it.

A killer item about a part of the rig (a box, a source) holds back in later phases what is about that part too. One that
nothing later shares a part with, such as the mains, holds back the whole of every later phase that needs its phase.

The steps of the power order wait for each other by number, whatever they are marked; those that reach an ear wait for
what is marked to come before them as well, such as plugs: a plug that goes in under an open amplifier is a bang. What
is heard from loudspeakers, the whole of the phases that need theirs, waits until they were switched on, or it was said
why not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from lint.walk.template import Phase

if TYPE_CHECKING:
    from lint.walk.items import Item

POWER_ON, POWER_OFF = "power_on", "power_off"


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the order in which power goes on or off: which of the two, its number, whether it reaches an ear."""

    order: str
    number: int
    is_loud: bool


@dataclass(frozen=True, slots=True)
class Guards:
    """The items that must be settled first: of the whole of a phase (by its number), and of single items (by key).

    `inside` are a phase's own: they hold back all but each other. `before` are of earlier phases. `loud` are the steps
    of earlier phases that reach an ear: as long as they are to be done nothing is heard.
    """

    inside: Mapping[int, Sequence[Item]] = field(default_factory=dict)
    before: Mapping[int, Sequence[Item]] = field(default_factory=dict)
    single: Mapping[str, Sequence[Item]] = field(default_factory=dict)
    loud: Mapping[int, Sequence[Item]] = field(default_factory=dict)


def guards_of(phases: Sequence[Phase], items: Sequence[Item]) -> Guards:
    """Work out what waits for what in a plan."""
    needed = _needed(phases)
    killers = {item.key for item in items if item.killer}
    inside: dict[int, list[Item]] = {}
    by_address: dict[str, list[Item]] = {}
    for item in items:
        if item.key in killers or item.second_of in killers:
            inside.setdefault(item.phase, []).append(item)
        for address in _addresses(item):
            by_address.setdefault(address, []).append(item)
    before: dict[int, list[Item]] = {}
    single: dict[str, list[Item]] = {}
    for phase, guards in inside.items():
        later = {number for number in range(phase + 1, len(phases)) if phase in needed[number]}
        for guard in guards:
            part = guard.subject.about[:1]
            sharing = [item for item in by_address.get(part[0], ()) if item.phase in later] if part else []
            for item in sharing:
                single.setdefault(item.key, []).append(guard)
            for number in () if sharing else later:
                before.setdefault(number, []).append(guard)
    for key, earlier in _before_steps(items):
        single[key] = [*earlier, *single.get(key, ())]
    return Guards(inside, before, single, _loud(items, needed))


def _loud(items: Sequence[Item], needed: Sequence[set[int]]) -> dict[int, list[Item]]:
    steps = [item for item in items if item.step is not None and item.step.is_loud and item.step.order == POWER_ON]
    rows = {number: [step for step in steps if step.phase in earlier] for number, earlier in enumerate(needed)}
    return {number: found for number, found in rows.items() if found}


def _before_steps(items: Sequence[Item]) -> Iterator[tuple[str, list[Item]]]:
    """Yield each step of a power order with what must be settled before it."""
    steps = sorted(((item.step, item) for item in items if item.step is not None), key=lambda row: row[0].number)
    for step, item in steps:
        earlier = [other for each, other in steps if each.order == step.order and each.number < step.number]
        first = [each for each in items if each.before_loud] if step.is_loud and step.order == POWER_ON else []
        yield item.key, [*earlier, *first]


def _needed(phases: Sequence[Phase]) -> list[set[int]]:
    """Return, for each phase, the earlier ones that it needs: those it names and what these need, or else all."""
    numbers: dict[str, list[int]] = {}
    needed: list[set[int]] = []
    for number, phase in enumerate(phases):
        own = phase.id.partition("/")[0]
        if phase.needs is None:
            direct: Iterable[int] = range(number)
        else:  # the earlier parts of a phase are needed by the later ones
            direct = [each for name in (*phase.needs, own) for each in numbers.get(name, ())]
        needed.append({each for one in direct for each in (one, *needed[one])})
        numbers.setdefault(own, []).append(number)
    return needed


def _addresses(item: Item) -> set[str]:
    parts = item.subject.parts.values()
    return {*item.subject.about, *(address for part in parts for address in part.about)}
