"""Two transmitters are on one carrier."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._cabling import joined
from lint.rules._wireless import REGULATOR, FreeCarriers, by_frequency, mhz

_WHY = """\
A receiver follows the stronger of two transmitters on its carrier, and crackles or falls silent while they fight: two
voices come and go in each other's channel. It needs no range or spacing to be stated to be wrong."""


@rule(
    title="Two transmitters are on one carrier",
    severity="no-go",
    family="wireless",
    why=_WHY,
    do="Give each transmitter a carrier of its own; where two rows are one transmitter, state its carrier at one of them.",
    good=[
        "sources:\n"
        "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
        "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 607.1}\n"
    ],
    bad=[
        Bad(
            "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}\n"
            "sources:\n"
            "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
            "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 606.5}\n",
            ("radio-1 and radio-2 are on one carrier, 606.500 MHz: only one of them can be heard at a time.",),
        )
    ],
    safety=REGULATOR,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a carrier that several rows are on."""
    free = FreeCarriers(rig)
    for frequency_hz, carriers in by_frequency(rig).items():
        if len(carriers) < 2:
            continue
        names = joined(carrier.name for carrier in carriers)
        if len(carriers) == 2:
            cure = free.tune(carriers[1])
        else:
            cure = Cure(f"leave one of {names} on {mhz(frequency_hz)} and tune the others to carriers of their own")
        yield Finding(
            f"{names} are on one carrier, {mhz(frequency_hz)}: only one of them can be heard at a time.",
            tuple(rig.place(carrier.trail, carrier.name) for carrier in carriers),
            (cure,),
            {"carrier_hz": frequency_hz, "transmitters": len(carriers)},
            members=tuple(carrier.name for carrier in carriers),
        )
