"""The cable by which a console listens at the end of another's chain: it is laid to the new end where that changes."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

from lint.plan.chainwork import OF_THE_WAY, ChainRow, unplugged
from lint.plan.distance import lacks
from lint.plan.reach import fetched, loose_cables
from lint.plan.rebuild import rebuilt
from lint.resolve.chain import DOWNSTREAM
from lint.resolve.dark import gone_by_file, unlit
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port
from lint.rig.model import Models


def listening_again(
    before: ResolvedRig, after: ResolvedRig, models: Models, failing: Collection[str], may_fetch: bool = True
) -> ResolvedRig:
    """Return a rig with its listeners at the ends of the chains that they listened to, by what is long enough.

    The cable that did it before comes first, then the shortest that lies loose, then a tested spare. `failing` names
    cables, devices and circuits that are lost; where nothing reaches, `may_fetch` says that one may be fetched.
    """
    failing = frozenset(filter(None, failing))
    gone = gone_by_file(after).union(failing)
    for listener, owner in before.cabling.listens_to.items():
        own = next(cable.name for cable in before.rig.cables.values() if listener in cable.ends)
        known = after.rig.cables.get(own)
        if not gone.isdisjoint((listener.device, owner.device)):
            continue
        # Another may be laid into the port where it is: without it the chain goes on there.
        alone = rebuilt(after, unplugged(after, [own]), models) if known is not None else after
        chain = alone.chains.get(owner)
        if chain is None or not chain.boxes:
            after = _declared_anew(after, listener, owner, models)
            continue
        end = Port(chain.boxes[-1].device, DOWNSTREAM)
        if end.device in unlit(after) or (known is not None and set(known.ends) == {end, listener}):
            continue
        ways = [rebuilt(after, patch, models) for patch in _ways(after, own, listener, end, failing)]
        best = min(ways, key=lambda rig: len(lacks(before, rig)), default=after)
        if may_fetch or len(lacks(before, best)) <= len(lacks(before, after)):
            after = best
    return after


def _declared_anew(rig: ResolvedRig, listener: Port, owner: Port, models: Models) -> ResolvedRig:
    """Return a rig in which a console listens to the port that the whole chain went to, where it hangs at its end."""
    far = [cable.other(listener).device for cable in rig.rig.cables.values() if listener in cable.ends]
    links = [rig.boxes[name].link for name in far if name in rig.boxes and rig.boxes[name].link.device == owner.device]
    rows = [row for row in rig.rig.splits.values() if (row.listener, row.owner) == (listener, owner)]
    patches = [nested((*row.trail, "from"), str(link)) for row in rows for link in links[:1]]
    return rebuilt(rig, merged(patches), models) if patches else rig


def _ways(rig: ResolvedRig, own: str, listener: Port, end: Port, failing: Collection[str]) -> Iterator[dict[str, Any]]:
    """Yield the changes that lay a cable from the end of a chain to its listener, the best cable first."""
    there = {*rig.rig.cables, *rig.rig.loose_cables}
    if own in there and own not in failing:
        yield _laid(rig, own, listener, end)
    out = unplugged(rig, [own] if own in there else [])
    loose = [
        row for row in loose_cables(rig, []) if row.name != own and not {row.name, row.spare_of}.intersection(failing)
    ]
    for row in sorted(loose, key=lambda row: (bool(row.spare_of), row.length_m or 0.0)):
        spare = fetched(rig, [ChainRow(listener.device, row.name)], loose)
        yield merged((out, spare, _laid(rig, row.name, listener, end)))


def _laid(rig: ResolvedRig, name: str, listener: Port, end: Port) -> dict[str, Any]:
    """Return the change that plugs a cable into both; a plug that is in its place already stays as it is written."""
    said = rig.says("cables", name) or {}
    to = ("to", "from") if said.get("from") == str(listener) else ("from", "to")
    ends = {to[0]: str(end), to[1]: str(listener)}
    changed = {key: port for key, port in ends.items() if said.get(key) != port}
    return nested(("cables", name), {**changed, **{key: None for key in OF_THE_WAY if key in said}})
