"""A device is set to another sample rate than the rig."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import Device
from lint.rules._cabling import joined, kilohertz
from lint.rules._islands import SAFETY, islands, rate_of

_WHY = """\
All devices that exchange digital audio must run at one sample rate. One that is set to another won't lock, or plays
everything too fast or too slow."""


@rule(
    title="A device is set to another sample rate than the rig",
    severity="no-go",
    family="clock",
    why=_WHY,
    do="Set the device to the rig's rate.",
    source="AES11; common practice",
    good=["devices: {west-box: {sample_rate_hz: 48000}}"],
    bad=[
        Bad(
            "devices: {east-box: {sample_rate_hz: 44100}}",
            (
                "east-box is set to 44.1 kHz, but the rig runs at 48 kHz, and east-box exchanges digital audio with "
                "desk and west-box.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a device that differs; an island that runs at one rate of its own is let be."""
    wanted = rig.rig.sample_rate_hz
    for island in islands(rig):
        if len({rate_of(rig, device) for device in island}) == 1:
            continue
        for device in island:
            if rate_of(rig, device) == wanted:
                continue
            own = rate_of(rig, device)
            others = joined(other.name for other in island if other is not device)
            yield Finding(
                f"{device.name} is set to {kilohertz(own)}, but the rig runs at {kilohertz(wanted)}, and "
                f"{device.name} exchanges digital audio with {others}.",
                (rig.place((*device.trail, "sample_rate_hz"), device.name),),
                tuple(_cures(rig, island, device)),
                {"sample_rate_hz": own, "rig_rate_hz": wanted},
                explains=frozenset({("clock-rate-unsupported", device.name)}),
            )


def _cures(rig: ResolvedRig, island: list[Device], device: Device) -> Iterator[Cure]:
    wanted, own = rig.rig.sample_rate_hz, rate_of(rig, device)
    if wanted in device.model.sample_rates_hz:
        text = f"set {device.name} to {kilohertz(wanted)}"
        yield Cure(text, {"devices": {device.name: {"sample_rate_hz": wanted}}})
    if all(own in other.model.sample_rates_hz for other in island):
        differ = {o.name: {"sample_rate_hz": own} for o in island if o.sample_rate_hz not in (None, own)}
        change = {"clock": {"sample_rate_hz": own}, **({"devices": differ} if differ else {})}
        yield Cure(f"run the whole rig at {kilohertz(own)}, where all of these devices can", change)
