"""Cabling a chain anew: which cable goes to which box, as a change of the rig's data."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import Any, NamedTuple

from lint.resolve.chain import DOWNSTREAM, UPSTREAM, Chain
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port

OF_THE_WAY = ("way_m", "way_at_most")  # what the rig says of where a cable goes, and not of the cable


class ChainRow(NamedTuple):
    """A box of a chain and the link cable that leads to it, by their names."""

    device: str
    cable: str


def chain_rows(chain: Chain) -> list[ChainRow]:
    """Return the boxes of a chain from the console outwards, those behind a fault among them."""
    boxes = sorted((*chain.boxes, *chain.lost), key=lambda box: box.position)
    return [ChainRow(box.device, box.cable.name) for box in boxes]


def closed_up(rows: Sequence[ChainRow], gone: Collection[str]) -> dict[str, str]:
    """Return the cable of each box that stays when others go: the one that went to a box that is gone goes on."""
    wanted: dict[str, str] = {}
    waiting = ""
    for row in rows:
        if row.device in gone:
            waiting = waiting or row.cable
        else:
            wanted[row.device] = waiting or row.cable
            waiting = ""
    return wanted


def rewired(rig: ResolvedRig, link: Port, rows: Sequence[ChainRow]) -> dict[str, Any]:
    """Return the change that cables the boxes in this order; a cable that is right already is left as it is written."""
    changes = []
    feed = link
    for row in rows:
        entry = Port(row.device, UPSTREAM)
        cable = rig.rig.cables.get(row.cable)
        if cable is None:
            changes.append(nested(("cables", row.cable), {"from": str(feed), "to": str(entry)}))
        elif set(cable.ends) != {feed, entry}:
            said = rig.says("cables", row.cable)
            old = [key for key in OF_THE_WAY if key in said]
            changes += [nested((*cable.trail, key), None) for key in old]
            # The end that was nearer to the console stays so, whichever of the two the file names first.
            near_is_first = _is_near(rig, cable.ends[0])
            near, far = ("from", "to") if near_is_first else ("to", "from")
            changes += [nested(("cables", row.cable, near), str(feed)), nested(("cables", row.cable, far), str(entry))]
        feed = Port(row.device, DOWNSTREAM)
    return merged(changes)


def unplugged(rig: ResolvedRig, names: Iterable[str]) -> dict[str, Any]:
    """Return the change that takes link cables out and leaves them lying there; of which nothing is said, no trace."""
    changes = []
    for name in names:
        row = rig.says("cables", name)
        place = [key for key in ("from", "to", *OF_THE_WAY) if key in row]
        is_told = len(row) > len(place)
        changes.append(nested(("cables", name), dict.fromkeys(place) if is_told else None))
    return merged(changes)


def made_way(before: ResolvedRig, after: ResolvedRig) -> dict[str, Any]:
    """Return the change that takes cables that hang by one plug out of the ports that others are laid into since."""
    was, now = _ends(before), _ends(after)
    laid = {end for name, ends in now.items() for end in ends - was.get(name, frozenset())}
    hanging = (row for row in after.rig.loose_cables.values() if row.end in was.get(row.name, ()))
    return unplugged(after, [row.name for row in hanging if row.end in laid])


def _ends(rig: ResolvedRig) -> dict[str, frozenset[Port]]:
    """Return the ports that each link cable is in, by both plugs or by one."""
    whole = {name: frozenset(cable.ends) for name, cable in rig.rig.cables.items()}
    return whole | {name: frozenset((row.end,)) for name, row in rig.rig.loose_cables.items() if row.end is not None}


def unplugged_at(rig: ResolvedRig, is_there: Callable[[Port], bool]) -> dict[str, Any]:
    """Return the change that takes link cables out of ports, and leaves their other ends where they are."""
    return merged(
        nested((*cable.trail, key), None)
        for cable in rig.rig.cables.values()
        for key, end in zip(("from", "to"), cable.ends, strict=True)
        if is_there(end)
    )


def _is_near(rig: ResolvedRig, end: Port) -> bool:
    return end.name == DOWNSTREAM or rig.rig.devices[end.device].model.chain is None
