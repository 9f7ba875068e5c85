"""Where phantom power may still be on, and nobody can tell by a channel: behind what is dead, dark or not reached.

The rig has it on there, were all of that alive; nobody knows that it went off with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from lint.resolve.dark import dark_in, is_stranded, were_all_lit
from lint.rig.address import Socket

if TYPE_CHECKING:
    from lint.resolve.resolved import ResolvedRig

DEAD, SHARED, CONSOLE = "dead", "on the switch of a dead socket", "on a dead console"
BEHIND_DEAD, BEHIND_DARK = "behind a dead console", "behind what has no mains"
UNREACHED = "no console reaches it"
STRANDED = frozenset((CONSOLE, BEHIND_DEAD, BEHIND_DARK, UNREACHED))


def lingering(rig: ResolvedRig) -> dict[Socket, str]:
    """Return the input sockets where phantom power may still be on, each with why that is not known.

    What has no mains itself has no phantom power either.
    """
    dark = dark_in(rig)
    found = {at: UNREACHED for at in _unreached(rig) if at.device not in dark}
    if rig.rig.dead or dark:
        lit = were_all_lit(rig).phantom.worked.values()
        on = {at for supply in rig.phantom.worked.values() if supply.on for at in supply.sockets}
        every = (at for supply in lit if supply.on for at in supply.sockets if at not in on)
        found |= {at: _why(rig, at) for at in every if at.device not in dark}
    order = {name: index for index, name in enumerate(rig.rig.devices)}
    return dict(sorted(found.items(), key=lambda row: (order[row[0].device], row[0].number)))


def _why(rig: ResolvedRig, socket: Socket) -> str:
    if is_stranded(rig, socket.device):
        return BEHIND_DEAD if socket.device in rig.cabling.behind_dead else BEHIND_DARK
    if socket.device in rig.dead:
        return CONSOLE
    return DEAD if rig.is_dead(socket) else SHARED


def _unreached(rig: ResolvedRig) -> Iterator[Socket]:
    """Yield the sockets of boxes that no console reaches where a channel has it on that is to carry what is there.

    It had it there, whatever it gets now: a box that is cut off keeps what was on.
    """
    phantom = rig.phantom
    for at, names in rig.sources_in.items():
        if rig.is_reached(at.device) or at.device in rig.cabling.behind_dead or not phantom.is_able(at):
            continue
        meant = ((name, row) for name in names for row in rig.carriers_of.get(name, ()) if row.phantom == "on")
        if any(name not in rig.arrivals[row.key].sources for name, row in meant):
            yield from phantom.sockets_on(phantom.switch_at(at))
