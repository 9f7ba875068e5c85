"""What the rules share about links that run out of slots: at a lower sample rate a link carries more of them."""

from __future__ import annotations

from collections.abc import Iterator

from lint import ResolvedRig, Slot
from lint.resolve.chain import Chain


def needed_slots(rig: ResolvedRig, chain: Chain) -> int:
    """Return the last slot that anything on a link uses, in either direction."""
    used = [slots[-1] for box in chain.boxes for slots in (box.input_slots, box.output_slots) if slots]
    return max([*used, *_fed(rig, chain)], default=0)


def rates_that_fit(rig: ResolvedRig, chain: Chain) -> list[int]:
    """Return the lower sample rates in hertz, highest first, at which all devices of a chain run and all has a slot."""
    models = [rig.device(name).model for name in (chain.link.device, *(box.device for box in chain.boxes))]
    kinds = [models[0].links[chain.link.name], *(model.chain for model in models[1:] if model.chain)]
    rates = set.intersection(*(set(model.sample_rates_hz) for model in models))
    needs = needed_slots(rig, chain)
    lower = (rate for rate in rates if rate < rig.rig.sample_rate_hz)
    return sorted((rate for rate in lower if min(kind.slots_at(rate) for kind in kinds) >= needs), reverse=True)


def explained_by_rate(rig: ResolvedRig, chain: Chain) -> Iterator[tuple[str, str]]:
    """Yield the findings about a full link, as (rule, address), that a lower sample rate would put right together."""
    if not rates_that_fit(rig, chain):
        return
    for box in chain.boxes:
        yield from ((rule, box.device) for rule in ("chain-slots-exceeded", "bank-beyond-link"))
    yield from (("socket-missing", str(Slot(chain.link, number))) for number in _fed(rig, chain))


def _fed(rig: ResolvedRig, chain: Chain) -> list[int]:
    return [where.number for where in rig.rig.feeds if isinstance(where, Slot) and where.port == chain.link]
