"""With more hands: where a rescue leaves a source unheard, what works moves too, if that saves more.

A rescue moves only what is lost. A source that lives may hold the one socket that would do for a lost one: on the
phantom switch that is on, or it keeps that switch off. The search for the fewest changes moves everything, so it finds
such swaps. What it finds counts by the rig that it makes, resolved again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from lint.plan.cures import LEAST_PRIORITY, Mending
from lint.plan.inputs import InputSide
from lint.plan.intent import unmet_channels
from lint.plan.rescue import Rescue
from lint.plan.spares import Rescuer
from lint.resolve.resolved import ResolvedRig


def wider(rescuer: Rescuer, rescue: Rescue) -> Rescue | None:
    """Return the rescue in which what works moves too; None where it saves nobody more and nobody who matters more.

    Nor is there one where what works would be silent for it: what may be pulled is said by the rescue (`room`).
    """
    mending = rescuer.mending
    missing = _missing(mending, rescue.cure.result)
    if not missing:
        return None
    inputs = InputSide(mending.before, mending.rig, mending.intent, mending.dead).by_fewest()
    more = rescuer.told({plug: inputs.moves[plug] for plug in rescue.lost if plug in inputs.moves}, inputs)
    still = _missing(mending, more.cure.result)
    silenced = {name for name, count in still.items() if count > missing[name]} - {plug.source for plug in rescue.lost}
    is_better = _by_priority(mending, still) < _by_priority(mending, missing)
    if silenced or not is_better or mending.wrong_in(more.cure.result) >= mending.wrong_in(rescue.cure.result):
        return None
    return replace(more, gained=tuple(name for name, count in missing.items() if still[name] < count))


def _missing(mending: Mending, rig: ResolvedRig) -> Counter[str]:
    """Count the channels at which each source is missing; one without phantom power is at all of them."""
    wanted = [wanted for _, wanted in unmet_channels(mending.intent, rig, mending.dead)]
    counts = Counter(name for name in wanted if isinstance(name, str) and name in rig.rig.sources)
    for name in mending.silenced_in(rig):
        counts[name] += sum(row.console not in mending.dead for row in rig.channels_of.get(name, ()))
    return counts


def _by_priority(mending: Mending, missing: Mapping[str, int]) -> tuple[int, ...]:
    """Count them by priority, the highest first."""
    counts: Counter[int] = Counter()
    for name, count in missing.items():
        counts[mending.rig.rig.sources[name].priority] += count
    return tuple(counts[priority] for priority in range(1, LEAST_PRIORITY + 1))
