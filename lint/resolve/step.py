"""What a trace is made of: its steps, and what is said where there is nothing to trace."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lint.read.nearest import nearest
from lint.resolve.resolved import ResolvedRig


class UnknownSignalError(Exception):
    """There is nothing of that name in the rig; the text names the nearest."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a trace; `stops` says that the signal ends here though it should go on.

    `comes_to` says in one sentence what is wrong in the end, where the steps only say it piece by piece; `is_idle` that
    nothing uses a socket or slot, so that there is no signal to stop.
    """

    text: str
    below: tuple[Step, ...] = ()
    stops: bool = False
    comes_to: str = ""
    is_idle: bool = False

    def every(self) -> Iterator[Step]:
        """Yield this step and all below it."""
        yield self
        for step in self.below:
            yield from step.every()


def unknown(rig: ResolvedRig, what: str) -> str:
    """Say that nothing is called so, and what may be meant."""
    rows = rig.rig
    names = [*rows.sources, *rows.pairs, *rows.mixes, *rows.destinations, *(name for _, name in rows.effects)]
    names += [*rows.devices, *rows.amplifiers, *rows.cables, *rows.circuit_names]
    if what in rows.loose_cables:
        return f"the link cable {what} lies loose: it leads from no port to another, and nothing goes through it"
    near = nearest(what, names)
    hint = f"; did you mean '{near}'?" if near else ""
    kinds = "a source, pair, channel number, mix, destination, box, amplifier, link cable, circuit, socket or slot"
    return f"nothing here is called '{what}'{hint} ({kinds})"
