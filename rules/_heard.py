"""What the rules on mixes share: which channels are heard in a mix as they are, and by which of the mixes it takes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lint import ResolvedRig
from lint.resolve.mixup import merged, nested
from lint.rig.rig import Mix

# What somebody hears apart from performers and crew.
MAIN_KINDS = ("house", "record", "stream")


def own_channels(mix: Mix) -> set[int]:
    """Return the numbers of the channels that a mix takes itself, by their sends or their direct outputs."""
    direct = (int(signal.name.rpartition("/")[2]) for signal in mix.takes if signal.kind == "channel")
    return {*mix.sends, *direct}


def channels_within(rig: ResolvedRig, name: str) -> set[int]:
    """Return the numbers of the channels that are heard in a mix, taken by itself or by a mix that it takes.

    What goes through an effects unit and comes back is another signal.
    """
    return {number for inner in rig.mixes_within(name) for number in own_channels(rig.rig.mixes[inner])}


def main_mixes(rig: ResolvedRig) -> list[Mix]:
    """Return the mixes for the house, recordings and streams."""
    return [mix for mix in rig.rig.mixes.values() if mix.kind in MAIN_KINDS]


def with_channels(rig: ResolvedRig, mix: Mix, numbers: Iterable[int]) -> dict[str, Any]:
    """Return the change that puts channels into what a mix takes, whichever way the file writes them."""
    trail = (*mix.trail, "takes", "channels")
    written = rig.says(*trail)
    if isinstance(written, dict):
        return merged(nested((*trail, str(number)), {}) for number in numbers)
    return nested(trail, [*(written or ()), *numbers])
