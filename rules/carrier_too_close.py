"""Two carriers are closer to each other than the house's receivers can tell apart."""

from collections.abc import Iterator
from itertools import pairwise

from lint import Bad, Finding, ResolvedRig, rule
from lint.rules._wireless import REGULATOR, FreeCarriers, by_frequency, khz, named

_WHY = """\
A receiver lets through a band around its carrier. A second carrier inside that band breaks in when its performer comes
nearer to the antenna than the receiver's own: crackle, noise or the other voice, and never at the sound check."""


@rule(
    title="Two carriers are closer to each other than the house's receivers can tell apart",
    severity="caution",
    family="wireless",
    why=_WHY,
    do="Tune one of them away, transmitter and receiver, and check the whole set again.",
    source="common practice; the spacing is what the house states of its receivers (wireless/least_spacing_khz)",
    good=[
        "wireless: {least_spacing_khz: 350}\n"
        "sources:\n"
        "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
        "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 606.85}\n"
    ],
    bad=[
        Bad(
            "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}\n"
            "sources:\n"
            "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
            "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 606.7}\n",
            ("radio-1 (606.500 MHz) and radio-2 (606.700 MHz) are 200 kHz apart; the house's receivers need 350 kHz.",),
        )
    ],
    safety=REGULATOR,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a pair of neighbours; silent where the house states no spacing."""
    spacing_hz = rig.rig.wireless.least_spacing_hz if rig.rig.wireless else None
    if spacing_hz is None:
        return
    free = FreeCarriers(rig)
    for (low_hz, low), (high_hz, high) in pairwise(by_frequency(rig).items()):
        if high_hz - low_hz >= spacing_hz:
            continue
        yield Finding(
            f"{named(low)} and {named(high)} are {khz(high_hz - low_hz)} apart; the house's receivers need "
            f"{khz(spacing_hz)}.",
            tuple(rig.place(carrier.trail, carrier.name) for carrier in (*high, *low)),
            (free.tune(high[0]),),
            {"apart_hz": high_hz - low_hz, "least_spacing_hz": spacing_hz},
        )
