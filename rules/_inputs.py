"""What the rules on input selectors share: which other findings have the same cause."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint import ResolvedRig


def unheard_of(rig: ResolvedRig, devices: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Yield the findings about boxes whose inputs land on the wrong slots, and about channels that miss what is on them."""
    for device in devices:
        for sockets in rig.clashing_inputs.values():
            if device in {socket.device for socket in sockets}:
                yield from (("bank-clash", socket.device) for socket in sockets)
        for row in rig.listeners(device):
            if row.channel.address in rig.mismatched:
                yield from ((name, row.channel.address) for name in ("patch-carries-other", "patch-carries-nothing"))
                yield "source-unheard", str(row.channel.carries)
