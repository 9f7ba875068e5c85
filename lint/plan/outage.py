"""What dies: a box, a link cable or port, a mains circuit, a console or a card of inputs; what is cabled past it."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, starmap
from typing import Any

from lint.plan.chainwork import ChainRow, chain_rows, closed_up, made_way, rewired, unplugged
from lint.plan.distance import Lack, Stage, lacks, ways_noted
from lint.plan.edit import PLANNED_DEAD, CannotDoError, Edit, Editor
from lint.plan.ends import HOUSE, ends_of
from lint.plan.listening import listening_again
from lint.plan.reach import Loose, fetched, laid, loose_cables, reaching
from lint.plan.rebuild import rebuilt
from lint.plan.relaying import relaying, to_fetch
from lint.read.nearest import did_you_mean
from lint.resolve.chain import DOWNSTREAM, UPSTREAM
from lint.resolve.dark import is_dark
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port, number_range
from lint.rig.model import Models

_CARD = re.compile(r"([^/]+)/in(?:/([1-9][0-9]{0,4}(?:-[1-9][0-9]{0,4})?))?")


@dataclass(frozen=True)
class Outage:
    """A loss: in words, the rig with the chain closed up past dead boxes, and what is dead in it.

    Which sockets are dead `after` knows. `cabling` are the link cables to move, in words; `spare` says where a tested
    spare of a dead cable is, if any; `is_mains` that a circuit is dark. Only cables at hand are used; where a longer
    one would reach more, `longer` is the loss with it, and there `lacks` has the link cables that do not reach where
    they must go. `fetched` says which spares are to be at hand first; `card` names the dead sockets that are asked for,
    if such are.
    """

    words: str
    after: ResolvedRig
    dead: frozenset[str] = frozenset()
    cabling: tuple[str, ...] = ()
    spare: str = ""
    is_mains: bool = False
    lacks: tuple[Lack, ...] = ()
    longer: Outage | None = None
    card: str = ""
    fetched: tuple[str, ...] = ()


def outage_of(rig: ResolvedRig, what: str, models: Models) -> Outage:
    """Return what is lost with `what`. Raises CannotDoError where there is no such thing."""
    editor = Editor(rig, models)
    dark = [editor.lose_circuit(name) for name in rig.rig.circuits if is_dark(rig.rig, name) and name != what]
    card = _CARD.fullmatch(what)
    if card is not None:
        return _card(rig, card[1], card[2], models, dark)
    _require_numbers(rig, what)
    edit = _with(editor.lose(what), dark)
    boxes = [name for name in edit.dead if name in rig.boxes or name in rig.lost_boxes]
    words = edit.words
    other = _other_port(rig, what)
    if other is not None:
        after = rebuilt(rig, merged((*(dict(each.patch) for each in dark), _replugged(rig, what, other))), models)
        cable = next((c.name for c in rig.rig.cables.values() if what in map(str, c.ends)), "")
        step = f"plug the link cable {cable} from {what} into {other}, which is free".replace("  ", " ")
        return Outage(words, after, edit.dead | rig.dead_consoles, cabling=(step,), spare=edit.spare)
    return _cabled_past(rig, edit, boxes, models)


def _cabled_past(rig: ResolvedRig, edit: Edit, boxes: list[str], models: Models, card: str = "") -> Outage:
    """Cable past what is lost by what is at hand, and where a longer cable would reach more by that as well."""
    best = replace(_past(rig, edit, boxes, models, may_fetch=True), card=card)
    if not best.lacks:
        return best
    return replace(_past(rig, edit, boxes, models, may_fetch=False), longer=best, card=card)


def _with(edit: Edit, dark: Sequence[Edit]) -> Edit:
    """Return a loss together with the circuits that the file says are dark: what hangs there is lost already."""
    if not dark:
        return edit
    every = (*dark, edit)
    words = "; by the file ".join((edit.words, *(each.words for each in dark)))
    dead = frozenset().union(*(each.dead for each in every))
    return replace(edit, words=words, patch=merged(dict(each.patch) for each in every), dead=dead)


def _require_numbers(rig: ResolvedRig, what: str) -> None:
    """Raise CannotDoError where input sockets of a device are meant, and not by their numbers."""
    name, is_input, _ = what.partition("/in/")
    device = rig.rig.devices.get(name)
    if is_input and device is not None:
        count = device.model.inputs.count
        there = f"has {name}/in/{f'1–{count}' if count > 1 else count}" if count else "has no inputs"
        raise CannotDoError(f"{what} is not there: {name} ({device.model.name}) {there}")


def _other_port(rig: ResolvedRig, what: str) -> Port | None:
    """Return a free link port of the same console that carries as much, where `what` is a link port; else None."""
    dead = next((link for link in rig.chains if str(link) == what), None)
    if dead is None:
        return None
    cabled = {end for cable in rig.rig.cables.values() for end in cable.ends}
    kinds = rig.device(dead.device).model.links
    rate = rig.device(dead.device).sample_rate_hz or rig.rig.sample_rate_hz
    same = [link for link in rig.chains if link.device == dead.device and link not in cabled]
    return next((link for link in same if kinds[link.name].slots_at(rate) >= kinds[dead.name].slots_at(rate)), None)


def _replugged(rig: ResolvedRig, what: str, other: Port) -> dict[str, Any]:
    """Return the change that plugs what is cabled to a port into another; who listens to it listens there."""
    ends = (
        nested((*cable.trail, end), str(other))
        for cable in rig.rig.cables.values()
        for end, port in zip(("from", "to"), cable.ends, strict=True)
        if str(port) == what
    )
    splits = (nested((*row.trail, "from"), str(other)) for row in rig.rig.splits.values() if str(row.owner) == what)
    return merged((*ends, *splits))


def _card(rig: ResolvedRig, name: str, numbers: str | None, models: Models, dark: Sequence[Edit]) -> Outage:
    device = rig.rig.devices.get(name)
    if device is None:
        raise CannotDoError(f"no device is called '{name}'{did_you_mean(name, rig.rig.devices)}")
    count = device.model.inputs.count
    try:
        dead = number_range(numbers) if numbers else range(1, count + 1)
    except ValueError as error:
        raise CannotDoError(str(error)) from None
    if not dead or dead[-1] > count:
        raise CannotDoError(f"{name} ({device.model.name}) has {count} inputs; {name}/in/{numbers or 1} is not there")
    span = f"/{numbers}" if numbers else ""
    every = f"{name}/in"  # as the file may say it
    text = f"{every}/{numbers or (count if count == 1 else f'1-{count}')}"
    if not numbers and every in rig.rig.dead:
        text = every
    socket = {} if text in rig.rig.dead else nested(("dead", text), PLANNED_DEAD)
    whole = (
        f"the input socket {name}/in{span} is dead" if len(dead) == 1 else f"the input sockets {name}/in{span} are dead"
    )
    edit = _with(Edit(whole, socket), dark)
    boxes = [name for name in edit.dead if name in rig.boxes or name in rig.lost_boxes]
    return _cabled_past(rig, edit, boxes, models, text)


def _past(rig: ResolvedRig, edit: Edit, boxes: list[str], models: Models, may_fetch: bool) -> Outage:
    """Cable past the dead boxes or round a dead cable, so that what hangs behind them is reached again.

    `may_fetch` takes a link cable for long enough where none is, so that every box is reached.
    """
    words = edit.words
    changes: list[dict[str, Any]] = [dict(edit.patch)]
    freed: list[Loose] = []  # by the chains before: those that follow may use it
    for link, chain in rig.chains.items():
        rows = chain_rows(chain) if link.device not in edit.dead else []  # a dead console's chain is not closed up
        if any(row.device in boxes for row in rows):
            found, why = _without_boxes(rig, link, rows, (*boxes, *filter(None, (edit.lost,))), may_fetch, freed)
        elif any(row.cable == edit.lost for row in rows):
            found, why = _without_cable(rig, link, rows, edit.lost)
        else:
            continue
        words += why
        changes += _recabled(rig, link, rows, found, edit.lost)
        used = {row.cable for row in found}
        idle = (rig.rig.cables[row.cable] for row in rows if row.cable not in (*used, edit.lost))
        freed = [row for row in freed if row.name not in used]
        freed += [Loose(row.name, row.length_m, is_idle=True) for row in idle if row.length_m is not None]
    consoles = edit.dead.intersection(console.name for console in rig.rig.consoles)
    dead = edit.dead | rig.dead_consoles
    here = rebuilt(rig, merged(changes), models)
    here = listening_again(rig, here, models, (edit.lost, *edit.dead), may_fetch)
    if len(changes) == 1 and consoles:
        return Outage(words, here, dead, spare=edit.spare, is_mains=edit.is_mains)
    noted = merged((ways_noted(rig, here), made_way(rig, here)))
    here = rebuilt(here, noted, models) if noted else here
    short = lacks(rig, here)
    cabling = relaying(rig, here, (edit.lost,), (*edit.dead, edit.lost))
    fetching = to_fetch(rig, here)
    return Outage(words, here, dead, cabling, edit.spare, edit.is_mains, short, fetched=fetching)


def _without_boxes(
    rig: ResolvedRig,
    link: Port,
    rows: list[ChainRow],
    dead: Collection[str],
    may_fetch: bool,
    freed: Sequence[Loose] = (),
) -> tuple[list[ChainRow], str]:
    """Return how the boxes of a link that are left are cabled, and in words where that is another way than the old.

    Of what is `dead` a link cable may be one; `freed` are those that other chains are done with.
    """
    left = [row.device for row in rows if row.device not in dead]
    cables = loose_cables(rig, [row.cable for row in rows if row.cable not in dead])
    cables = [cable for cable in (*cables, *freed) if cable.spare_of not in dead]
    wanted = {box: name for box, name in closed_up(rows, dead).items() if name not in dead}
    plain = laid(rig, link, left, [Loose(name, rig.rig.cables[name].length_m) for name in wanted.values()], wanted)
    found = reaching(rig, link, left, cables, wanted)
    assert found is not None  # a chain has a cable a box, and of boxes and cables that are dead one is a box
    if (found.is_short and not may_fetch) or (found.spares and not found.is_short):
        best = _most_reached(rig, link, left, cables, wanted)
        lost = " and ".join(name for name in left if name not in [row.device for row in best])
        if found.is_short:
            ways = zip(
                (link.device, *(row.device for row in found.rows)), (row.device for row in found.rows), strict=False
            )
            # Where the rig does not say where both stand, a way may be shorter than the cables that lie there.
            reach = "is known to reach" if any(starmap(Stage(rig).is_at_most, ways)) else "reaches"
            return best, f"; no link cable at hand {reach} {lost}"
        return best, f"; {lost}: nothing hangs there, so no spare cable is used for it" if lost else ""
    if found.is_short or (plain is not None and not plain.is_short):
        return found.rows, ""
    return found.rows, "; the link cables that are left reach in this way, and not in the old one"


def _most_reached(
    rig: ResolvedRig,
    link: Port,
    boxes: Sequence[str],
    cables: Sequence[Loose],
    wanted: Mapping[str, str] | None = None,
    known: Sequence[ChainRow] = (),
) -> list[ChainRow]:
    """Return as many boxes of a link as cables reach, those that matter most; `known` are some that are reached.

    For a box that nothing hangs on no tested spare is used up.
    """

    def worth(reached: Collection[str], spares: int) -> tuple[tuple[int, ...], int, int]:
        left = [name for name in boxes if name not in reached]
        return _weight(rig, left), spares, len(left)

    best, kept = list(known), worth([row.device for row in known], 0)
    for count in range(len(boxes), len(known), -1):
        for some in combinations(boxes, count):
            found = reaching(rig, link, some, cables, wanted) if worth(some, 0) < kept else None
            if found is not None and not found.is_short and worth(some, found.spares) < kept:
                best, kept = found.rows, worth(some, found.spares)
    return best


def _without_cable(rig: ResolvedRig, link: Port, rows: list[ChainRow], dead: str) -> tuple[list[ChainRow], str]:
    """Return the boxes of a link that can be reached without one of its cables: those that matter most."""
    cables = loose_cables(rig, [row.cable for row in rows if row.cable != dead], dead)
    boxes = [row.device for row in rows]
    before = rows[: [row.cable for row in rows].index(dead)]
    best = _most_reached(rig, link, boxes, cables, known=before)
    reached = [row.device for row in best]
    if reached == [row.device for row in before]:
        return best, ""
    left = [name for name in boxes if name not in reached]
    return best, f"; with other cables {'all but ' + ', '.join(left) if left else 'every box'} can be reached"


def _weight(rig: ResolvedRig, boxes: Collection[str]) -> tuple[int, ...]:
    """Return how much hangs on boxes: loudspeakers of the house first, then sources by priority, then other outputs."""
    ends = [end for end in ends_of(rig).values() if any(socket.device in boxes for socket in end.sockets)]
    sources = [row.priority for row in rig.rig.sources.values() if any(s.device in boxes for s in row.sockets)]
    house = sum(end.hears == HOUSE for end in ends)
    return (house, *(sources.count(priority) for priority in range(1, 10)), len(ends) - house)


def _recabled(
    rig: ResolvedRig, link: Port, rows: list[ChainRow], found: list[ChainRow], dead: str
) -> list[dict[str, Any]]:
    """Return the changes that cable a link so; what is in the way is taken out."""
    used = {row.cable for row in found}
    feeds = [link, *(Port(row.device, DOWNSTREAM) for row in found[:-1])] if found else []
    ports = {*feeds, *(Port(row.device, UPSTREAM) for row in found)}
    spares = fetched(rig, found, loose_cables(rig, [], dead))
    unused = [row.cable for row in rows if row.cable not in used and row.cable != dead]
    taken = unplugged(rig, [name for name in unused if ports.intersection(rig.rig.cables[name].ends)])
    # The outage itself may have taken a cable out that is used again elsewhere.
    again = [
        nested(("cables", row.cable), dict(rig.says("cables", row.cable)))
        for row in found
        if row.cable in rig.rig.cables
    ]
    return [*again, rewired(rig, link, found), spares, taken]
