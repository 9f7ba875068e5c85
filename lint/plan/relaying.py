"""Which link cables are pulled and plugged between two cablings of a rig, step by step."""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

from lint.plan.distance import lacks
from lint.plan.reach import spare_name
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port


class _Relaid(NamedTuple):
    """A link cable that is plugged otherwise afterwards: its ends then and now, none where it is in nothing."""

    name: str
    was: tuple[Port, ...]
    ends: tuple[Port, ...]

    @property
    def pulled(self) -> tuple[Port, ...]:
        """The ports that it leaves."""
        return tuple(end for end in self.was if end not in self.ends)


def relaying(
    before: ResolvedRig,
    after: ResolvedRig,
    dead_cables: Collection[str] = (),
    dead: Collection[str] = (),
    bared: Collection[str] = (),
) -> tuple[str, ...]:
    """Say every link cable that is moved from one rig's cabling to another's, a port being empty before it is filled.

    Dead cables come out where others are plugged; nobody pulls a plug out of a `dead` device or port (by its name) for
    its own sake. Of boxes that are `bared`, others being put in their place, every plug is out already.
    """
    found = _relaid(before, after)
    rows = [row._replace(was=tuple(end for end in row.was if end.device not in bared)) for row in found]
    plugged = [row for row in rows if len(row.ends) == 2]
    short = {lack.cable.name for lack in lacks(before, after)}
    out = []
    for row, whole in zip(rows, found, strict=True):
        if not row.ends and row.was and (row.name not in dead_cables or plugged):
            out.append(f"take the {'dead ' if row.name in dead_cables else ''}link cable {row.name} out")
        elif len(row.ends) == 1:
            # One that goes elsewhere leaves no plug behind: the box would be in backwards once it is back.
            is_moved = row.ends[0] not in whole.was
            pulled = [end for end in row.pulled if is_moved or (str(end) not in dead and end.device not in dead)]
            out += [f"take the link cable {row.name} out of {end}" for end in pulled]
    steps = []
    for index, row in enumerate(plugged):
        later = [other for other in plugged[index + 1 :] if set(row.ends) & set(other.was)]
        in_the_way = [other.name for other in later]
        in_the_way += [row.name] if row.name in short and row.was else []
        out += [words for name in in_the_way if (words := f"take the link cable {name} out") not in out]
        plugging = f"plug {_called(before, row.name, row.name in short)} from {row.ends[0]} to {row.ends[1]}"
        is_out = not row.was or f"take the link cable {row.name} out" in out
        steps.append(plugging if is_out else f"{plugging} ({_moved(row)})")
    lone = [row for row in rows if len(row.ends) == 1 and row.ends[0] not in row.was]
    steps += [f"plug the link cable {row.name} into {row.ends[0]}" for row in lone]
    return (*out, *steps)


def plugged_again(before: ResolvedRig, after: ResolvedRig, box: str) -> tuple[str, ...]:
    """Say which link cables go into a box that stands in another's place as they were: all that are not laid anew."""
    moved = {row.name for row in _relaid(before, after)}
    names = (name for name in _names(before) if name not in moved)
    cables = [f"{name} {end.name}" for name in names for end in ends_in(before, name) if end.device == box]
    return (f"plug the link cables into the new {box} again: {', '.join(cables)}",) if cables else ()


def _moved(row: _Relaid) -> str:
    """Say which plug of a cable that hangs already goes where, and which stays."""
    stays = [end for end in row.ends if end in row.was]
    filled = " and ".join(str(end) for end in row.ends if end not in row.was)
    pulled = " and ".join(map(str, row.pulled))
    if not stays:
        return f"both plugs move, out of {pulled}{'' if len(row.pulled) > 1 else '; the other is out already'}"
    there = f"the plug in {stays[0]} stays"
    return f"out of {pulled} into {filled}; {there}" if pulled else f"its free plug into {filled}; {there}"


def _relaid(before: ResolvedRig, after: ResolvedRig) -> list[_Relaid]:
    names = dict.fromkeys((*_names(before), *_names(after)))
    rows = [_Relaid(name, ends_in(before, name), ends_in(after, name)) for name in names]
    return [row for row in rows if set(row.was) != set(row.ends)]


def _names(rig: ResolvedRig) -> tuple[str, ...]:
    return (*rig.rig.cables, *rig.rig.loose_cables)


def ends_in(rig: ResolvedRig, name: str) -> tuple[Port, ...]:
    """Return the ports that a link cable is plugged into: two, one, or none, also where there is no such cable."""
    cable, loose = rig.rig.cables.get(name), rig.rig.loose_cables.get(name)
    if cable is not None:
        return cable.ends
    return (loose.end,) if loose is not None and loose.end is not None else ()


def to_fetch(before: ResolvedRig, after: ResolvedRig) -> tuple[str, ...]:
    """Say which cables are to be at hand before anything is turned down: spares that come into use, what lies loose.

    Not one that hangs in a port by one plug: it is there.
    """
    known = before.rig.cables.keys() | before.rig.loose_cables.keys()
    owners = (_owner(before, name) for name in after.rig.cables if name not in known)
    spares = (f"fetch {_spare_of(before, owner)}" for owner in owners if owner is not None)
    loose = (row for name, row in before.rig.loose_cables.items() if name in after.rig.cables and row.end is None)
    return (*spares, *(f"fetch the link cable {row.name}, which lies loose" for row in loose))


def _called(before: ResolvedRig, name: str, is_fetched: bool) -> str:
    if is_fetched:
        return f"the link cable that you fetched for {name}"
    owner = _owner(before, name)
    return f"the link cable {name}" if owner is None else _spare_of(before, owner)


def _owner(before: ResolvedRig, spare: str) -> str | None:
    """Return the link cable whose spare is called so, once it is in use."""
    return next(
        (name for name, cable in before.rig.cables.items() if cable.spare and spare_name(before, name) == spare), None
    )


def _spare_of(before: ResolvedRig, owner: str) -> str:
    return f"the spare of the link cable {owner} ({before.rig.cables[owner].spare})"
