"""What the rules about amplifiers share: their outputs, and what hangs on each in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint import ResolvedRig
from lint.formula.loudspeaker import bare_power_w, tap_ohm, tap_power_w
from lint.rig.plant import Amplifier, AmplifierOutput, Loudspeakers
from lint.rig.rig import Place
from lint.rules._cabling import joined

# Common practice.
SAFETY = (
    "Switch the amplifier off before its lines are touched: a 70.7 V or 100 V line gives a shock, and an overloaded "
    "amplifier may overheat. On fixed lines, local codes and a licensed person decide."
)


class Output(NamedTuple):
    """A loudspeaker output with its amplifier."""

    amplifier: Amplifier
    row: AmplifierOutput

    @property
    def address(self) -> str:
        """The output's rig address: amplifier/output."""
        return f"{self.amplifier.name}/{self.row.name}"

    def ohm_of_one(self, kind: Loudspeakers) -> float | None:
        """Return the nominal ohms of one loudspeaker, by its tap where it has one; None where nothing tells."""
        printed_v = kind.tap_line_v or self.row.line_v
        if kind.tap_w is not None and printed_v is not None:
            return tap_ohm(printed_v, kind.tap_w)
        return kind.impedance_ohm

    def watts_of_one(self, kind: Loudspeakers) -> float | None:
        """Return what one loudspeaker takes from this constant-voltage line; None where nothing tells.

        Without a transformer it takes what its impedance takes.
        """
        if self.row.line_v is None:
            return None
        if kind.tap_w is not None:
            return tap_power_w(kind.tap_w, kind.tap_line_v or self.row.line_v, self.row.line_v)
        return None if kind.impedance_ohm is None else bare_power_w(kind.impedance_ohm, self.row.line_v)

    def words_of(self, kind: Loudspeakers) -> str:
        """Say how many of what: 2 of 8 ohm, 3 taps of 10 W (for 70.7 V)."""
        if kind.tap_w is not None:
            made_for = kind.tap_line_v is not None and kind.tap_line_v != self.row.line_v
            printed = f" (for {kind.tap_line_v:g} V)" if made_for else ""
            return f"{kind.number} tap{'' if kind.number == 1 else 's'} of {kind.tap_w:g} W{printed}"
        if kind.impedance_ohm is None:
            return f"{kind.number} of which nothing is stated"
        bare = " without a transformer" if self.row.line_v is not None else ""
        return f"{kind.number} of {kind.impedance_ohm:g} ohm{bare}"

    def place(self, rig: ResolvedRig) -> Place:
        """Return the place of its loudspeakers."""
        return rig.place((*self.row.trail, "loudspeakers"), self.address)


def outputs(rig: ResolvedRig) -> Iterator[Output]:
    """Yield every loudspeaker output, in the order of the files."""
    for amplifier in rig.rig.amplifiers.values():
        for row in amplifier.outputs:
            yield Output(amplifier, row)


def load_words(output: Output) -> str:
    """Say all that hangs on an output."""
    words: str = joined(output.words_of(kind) for kind in output.row.loudspeakers)
    return words
