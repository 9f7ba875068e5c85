"""The rig as it would be with its link cables plugged otherwise: a cure by cable is tried here before it is offered."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import islice
from typing import NamedTuple

from lint.resolve.resolved import ResolvedRig, is_right, resolve_rig, same_signal
from lint.rig.address import Port
from lint.rig.rig import Cable

# Of so many ways the best is taken; in a rig with more ports the rest is hardly what anybody meant.
MOST_TRIED = 40
# Each try resolves the whole rig: of a very large one fewer are made, so that nobody waits for them.
MOST_ROWS = 10_000


def recabled(rig: ResolvedRig, ends: Mapping[str, tuple[Port, Port]]) -> ResolvedRig:
    """Return the rig with the named cables between other ports; a name that is not there yet is a new cable."""
    cables = dict(rig.rig.cables)
    for name, ports in ends.items():
        known = cables.get(name)
        cables[name] = known._replace(ends=ports) if known else Cable(name, ports, None, None, None, None, None, None)
    return resolve_rig(replace(rig.rig, cables=cables))


class Wrong(NamedTuple):
    """A channel (its console and number) or a destination (its socket and name) that does not get what it should."""

    kind: str
    owner: str
    what: int | str


def wrong(rig: ResolvedRig) -> frozenset[Wrong]:
    """Return what does not get what it should, whatever the reason."""
    deaf = (Wrong("channel", *key) for key, row in rig.arrivals.items() if not is_right(row))
    mute = (
        Wrong("destination", str(departure.socket), destination.name)
        for destination, departure, wanted in rig.outputs()
        if wanted is not None and not same_signal(departure.signal, wanted)
    )
    return frozenset((*deaf, *mute))


def best_cabling(
    rig: ResolvedRig, ways: Iterable[Mapping[str, tuple[Port, Port]]]
) -> tuple[Mapping[str, tuple[Port, Port]], ResolvedRig] | None:
    """Return the first of the ways that leaves the least wrong, with the rig as it then is; None where none helps."""
    before = wrong(rig)
    best: tuple[int, Mapping[str, tuple[Port, Port]], ResolvedRig] | None = None
    rows = len(rig.rig.channels) + len(rig.rig.destinations)
    most = min(MOST_TRIED, 2 + MOST_ROWS // (rows + 1))
    for way in islice(ways, most):
        then = recabled(rig, way)
        left = wrong(then)
        if left <= before and (best is None or len(left) < best[0]):
            best = (len(left), way, then)
        if not left:
            break
    return best[1:] if best and best[0] < len(before) else None
