"""A console that dies or goes dark gets no link cable: what hung behind a box that leaves its chain stays without one."""

from __future__ import annotations

import pytest
from test_both_ends import planned, rig_of

from lint.resolve.dark import dark_in
from lint.resolve.lingering import BEHIND_DEAD
from lint.resolve.resolved import ResolvedRig

LOSSES = [
    (name, lost, box.device, chain.link.device)
    for name in ("base", "few", "two_chains", "boxed")
    for chain in rig_of(name).chains.values()
    for box in chain.boxes
    for lost in (chain.link.device, rig_of(name).rig.devices[chain.link.device].circuit)
    if lost is not None and len(rig_of(name).rig.consoles) > 1
]


def cabled(rig: ResolvedRig) -> set[tuple[str, str]]:
    return {(name, str(end)) for name, cable in rig.rig.cables.items() for end in cable.ends}


@pytest.mark.parametrize(("name", "lost", "box", "console"), LOSSES)
def test_nothing_is_cabled_to_it(name: str, lost: str, box: str, console: str) -> None:
    before = rig_of(name)
    other = next(link for link in before.chains if link.device != console)
    links = {str(link) for link in before.chains if link.device == console}
    for words in (f"lose {lost} and move {box} {other}", f"move {box} {other} and lose {lost}"):
        new = cabled(planned(words, name).after) - cabled(before)
        assert links.isdisjoint(end for _, end in new), words


@pytest.mark.parametrize(("name", "lost", "box", "console"), LOSSES)
def test_phantom_power_may_still_be_on_where_it_was(name: str, lost: str, box: str, console: str) -> None:
    """A dead console's patch says nothing of slots that other boxes have taken since."""
    before = rig_of(name)
    other = next(link for link in before.chains if link.device != console)
    after = planned(f"lose {lost} and move {box} {other}", name).after
    dark = dark_in(after)
    adrift = {at for row in before.rig.sources.values() for at in row.sockets if before.phantom.is_live(at)}
    adrift = {at for at in adrift if at.device not in dark and not after.is_reached(at.device)}
    assert adrift <= after.phantom.lingering.keys()
    behind = {at for at, why in after.phantom.lingering.items() if why == BEHIND_DEAD}
    assert all(before.phantom.is_live(at) for at in behind)
