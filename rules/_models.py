"""What the rules share about boxes that are another model than is written."""

from __future__ import annotations

from collections.abc import Iterable

from lint import Cure, ResolvedRig
from lint.resolve.mixup import nested
from lint.resolve.other_model import OtherModel


def another_model(other: OtherModel) -> Cure:
    """Return the cure that writes another model: look at the box before believing it."""
    text = f"look at {other.device}: if it is a {other.model}, write that model, and all of its chain is right"
    return Cure(text, nested(("devices", other.device, "model"), other.model))


def explained_by_model(rig: ResolvedRig, others: Iterable[OtherModel]) -> frozenset[tuple[str, str]]:
    """Return the findings, as (rule, address), that another model would put right: they have the same cause."""
    explains: set[tuple[str, str]] = set()
    for other in others:
        explains |= {("bank-unknown", other.device), ("bank-beyond-link", other.device)}
        explains |= {("chain-swapped", box.device) for chain in rig.chains.values() for box in chain.boxes}
        for row in rig.mismatches:
            channel = row.channel
            if channel.address in other.rig.mismatched:
                continue
            explains |= {(name, channel.address) for name in ("patch-carries-other", "patch-carries-nothing")}
            explains.add(("patch-block-wrong", f"{channel.console}/input_blocks/{channel.by_block}"))
            explains.add(("source-unheard", str(channel.carries)))
            explains |= {("source-unheard", name) for name in row.sources}
    return frozenset(explains)
