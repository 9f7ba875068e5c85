"""A carrier is outside the ranges that the house may use."""

from collections.abc import Iterator

from lint import Bad, Finding, ResolvedRig, rule
from lint.rules._wireless import REGULATOR, FreeCarriers, mhz, named

_WHY = """\
The house has written down the ranges it may use: by its licence, by what its antennas and receivers take, or by what is
quiet there. A visiting set outside them may be deaf here, disturb others, or not be allowed on the air at all."""


@rule(
    title="A carrier is outside the ranges that the house may use",
    severity="caution",
    family="wireless",
    why=_WHY,
    do="Tune it into one of the house's ranges, or ask whoever looks after the house's licence before switching it on.",
    source="the house's own ranges (wireless/ranges_mhz); the local regulator decides what is legal",
    good=[
        "wireless: {ranges_mhz: [[606, 614], [823, 832]]}\n"
        "sources: {radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 614}}"
    ],
    bad=[
        Bad(
            "wireless: {ranges_mhz: [[606, 614], [823, 832]]}\n"
            "sources: {radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 702.4}}",
            (
                "radio-1 (702.400 MHz) is outside what the house may use: 606.000 MHz to 614.000 MHz, "
                "823.000 MHz to 832.000 MHz.",
            ),
        )
    ],
    safety=REGULATOR,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a carrier; silent where the house states no ranges."""
    ranges_hz = rig.rig.wireless.ranges_hz if rig.rig.wireless else ()
    if not ranges_hz:
        return
    words = ", ".join(f"{mhz(low)} to {mhz(high)}" for low, high in ranges_hz)
    free = FreeCarriers(rig)
    for carrier in rig.rig.carriers:
        if not any(low <= carrier.frequency_hz <= high for low, high in ranges_hz):
            yield Finding(
                f"{named([carrier])} is outside what the house may use: {words}.",
                (rig.place(carrier.trail, carrier.name), rig.place(("wireless", "ranges_mhz"), "wireless")),
                (free.tune(carrier),),
                {"carrier_hz": carrier.frequency_hz},
            )
