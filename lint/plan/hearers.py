"""Which consoles are to hear a plug, and how much it counts that one does not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from lint.plan.intent import ChannelKey
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Channel


def weighing(rig: ResolvedRig) -> Callable[[Iterable[Channel]], Mapping[str, int]]:
    """Return what it counts for each console of some channels that it goes without.

    That of the house counts for more than all others together.
    """
    house = _in_the_house(rig)
    more = len(rig.rig.consoles)

    def weights(channels: Iterable[Channel]) -> Mapping[str, int]:
        found: dict[str, int] = {}
        for row in channels:
            found[row.console] = max(found.get(row.console, 1), more if row.key in house else 1)
        return found

    return weights


def _in_the_house(rig: ResolvedRig) -> set[ChannelKey]:
    houses = (mix.name for mix in rig.rig.mixes.values() if mix.kind == "house")
    within = (rig.rig.mixes[name] for house in houses for name in rig.mixes_within(house))
    return {(mix.console, number) for mix in within for number in mix.sends}
