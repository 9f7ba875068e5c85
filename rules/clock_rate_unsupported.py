"""A device can't run at the sample rate."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import Device
from lint.rules._cabling import joined, kilohertz
from lint.rules._capacity import explained_by_rate
from lint.rules._islands import SAFETY, islands, rate_of, rates_of_all

_WHY = """\
A device that does not know the rig's sample rate won't lock: the link stays dark, and everything on it is silent."""


@rule(
    title="A device can't run at the sample rate",
    severity="no-go",
    family="clock",
    why=_WHY,
    do="Run the whole rig at a rate that every device knows.",
    source="the model's own statement; AES5 names the usual rates",
    good=["clock: {sample_rate_hz: 44100}"],
    bad=[
        Bad(
            "clock: {sample_rate_hz: 32000}",
            (
                "desk, west-box and east-box can't run at 32 kHz. All devices that exchange digital audio with them "
                "know 44.1, 48, 88.2 and 96 kHz.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a rate, with every device that is to run at it and does not know it."""
    joined_up = {device.name for island in islands(rig) for device in island}
    alone = [[device] for device in rig.rig.consoles if device.name not in joined_up]
    unable: dict[int, list[Device]] = {}
    together: dict[int, list[Device]] = {}  # what exchanges digital audio with them, by the rate that is too much
    for island in (*islands(rig), *alone):
        for device in island:
            rate = rate_of(rig, device)
            if rate not in device.model.sample_rates_hz:
                unable.setdefault(rate, []).append(device)
                known = together.setdefault(rate, [])
                known += [other for other in island if other not in known]
    for rate, devices in unable.items():
        yield _finding(rig, rate, devices, together[rate])


def _finding(rig: ResolvedRig, rate: int, devices: list[Device], island: list[Device]) -> Finding:
    common = rates_of_all(island)
    message = f"{joined(device.name for device in devices)} can't run at {kilohertz(rate)}."
    rates = joined(f"{entry / 1000:g}" for entry in common)
    whom = "it" if len(devices) == 1 else "them"
    if len(island) == 1:
        message += f" {island[0].name} knows {rates} kHz."
    elif common:
        message += f" All devices that exchange digital audio with {whom} know {rates} kHz."
    else:
        message += f" No rate is known to all devices that exchange digital audio with {whom}."
    return Finding(
        message,
        tuple(rig.place((*device.trail, "sample_rate_hz"), device.name) for device in devices),
        (_cure(island, common, rate),),
        {"sample_rate_hz": rate},
        explains=frozenset(key for chain in rig.chains.values() for key in explained_by_rate(rig, chain)),
    )


def _cure(island: list[Device], common: list[int], rate: int) -> Cure:
    """Offer the common rate that is nearest the wished one; ways of its own that devices state give way to it."""
    if not common:
        return Cure("use another box or console: these have no sample rate in common")
    best = min(common, key=lambda entry: (abs(entry - rate), entry))
    own = {device.name: {"sample_rate_hz": None} for device in island if device.sample_rate_hz}
    change = {"clock": {"sample_rate_hz": best}, **({"devices": own} if own else {})}
    return Cure(f"run the whole rig at {kilohertz(best)}", change)
