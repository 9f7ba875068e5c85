"""The link cables of all that a change moves, laid at once: what one edit frees may reach where another needs it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from lint.plan.chainwork import ChainRow, chain_rows, rewired, unplugged
from lint.plan.distance import lacks
from lint.plan.reach import Loose, fetched, laid_at_once, loose_cables, new_cable_name
from lint.plan.rebuild import change_between, rebuilt
from lint.resolve.mixup import merged
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port
from lint.rig.model import Models


def laid_anew(rig: ResolvedRig, here: ResolvedRig, failing: Collection[str], models: Models) -> ResolvedRig:
    """Return a changed rig with the link cables of all changed chains laid at once, if that is better.

    Fewer are too short then, fewer tested spares are used, or fewer plugs move. `rig` is as it was before any edit, and
    of `failing` cables and their spares none is laid.
    """
    was, now = hanging(rig), hanging(here)
    changed = [link for link in here.chains if was.get(str(link)) != now.get(str(link))]
    rows = {link: chain_rows(here.chains[link]) for link in changed}
    links = {link: own for link, own in rows.items() if own and not any(row.cable in failing for row in own)}
    if not links:
        return here
    loose = _at_hand(rig, here, changed, failing)
    boxes = {link: [row.device for row in own] for link, own in links.items()}
    loose += [Loose(new_cable_name(rig, box), None, fetched_for=box) for own in boxes.values() for box in own]
    found = laid_at_once(rig, boxes, loose)
    then = rebuilt(here, _change(rig, here, links, found, loose), models)
    return min(here, then, key=lambda each: (len(lacks(rig, each)), _spares_used(rig, each), _plugs_moved(rig, each)))


def hanging(rig: ResolvedRig) -> dict[str, list[str]]:
    """Return the boxes that hang on each link, in their order."""
    return {str(link): [box.device for box in chain.boxes] for link, chain in rig.chains.items() if chain.boxes}


def _at_hand(rig: ResolvedRig, here: ResolvedRig, changed: Iterable[Port], failing: Collection[str]) -> list[Loose]:
    """Return the cables of the changed chains, those that only lie there, and the tested spares.

    One that hangs in a box by one plug, the other having come out of what failed, stays there.
    """
    held = {name for name, cable in here.rig.loose_cables.items() if cable.end is not None}
    chains = [rig.chains[link] for link in changed if link in rig.chains]
    names = [row.cable for chain in chains for row in chain_rows(chain)]
    there = loose_cables(rig, [name for name in names if name not in held])
    return [cable for cable in there if not {cable.name, cable.spare_of}.intersection(failing)]


def _change(
    rig: ResolvedRig,
    here: ResolvedRig,
    links: Mapping[Port, Sequence[ChainRow]],
    found: Mapping[Port, Sequence[ChainRow]],
    loose: Sequence[Loose],
) -> dict[str, Any]:
    """Return the change of `here` that lays cables as `found`, each as it was before but where its plugs go."""
    data: Mapping[str, Any] = here.rig.document.data.get("cables", {})
    old: Mapping[str, Any] = rig.rig.document.data.get("cables", {})
    used = [row.cable for own in found.values() for row in own]
    dropped = [row.cable for own in links.values() for row in own if row.cable not in used]
    cables = {name: row for name, row in data.items() if name in old or name not in dropped}
    cables |= {name: dict(old[name]) for name in used if name in old}
    for name in cables.keys() & old.keys():
        if "spare" in old[name]:
            cables[name] = {**cables[name], "spare": old[name]["spare"]}
    rows = [row for own in found.values() for row in own]
    return merged(
        (
            unplugged(here, [name for name in dropped if name in old]),
            {"cables": change_between(data, cables)},
            *(rewired(rig, link, own) for link, own in found.items()),
            fetched(rig, rows, loose),
        )
    )


def _spares_used(rig: ResolvedRig, here: ResolvedRig) -> int:
    """Count the tested spares that are in use since."""
    rows = rig.rig.document.data.get("cables", {})
    return sum("spare" in row and "spare" not in (here.says("cables", name) or row) for name, row in rows.items())


def _plugs_moved(rig: ResolvedRig, here: ResolvedRig) -> int:
    """Count the ends of link cables that are in another port than before."""
    was = {name: set(cable.ends) for name, cable in rig.rig.cables.items()}
    return sum(len(set(cable.ends) - was.get(name, set())) for name, cable in here.rig.cables.items())
