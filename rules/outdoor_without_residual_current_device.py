"""A circuit feeds the outdoors, and no residual-current device guards it."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import nested
from lint.rules._power import ENDING, SAFETY

_WHY = """\
On wet ground a small current through a body kills, far under what opens a breaker. Only a residual-current device
(a ground-fault interrupter, where it is called so) opens on it, and it does so only where it is fitted and works."""


@rule(
    title="A circuit feeds the outdoors without a residual-current device",
    severity="no-go",
    family="power",
    why=_WHY,
    do="Feed the outdoors from a circuit that a residual-current device guards, and press its test button first.",
    source="common practice; HSE INDG247 and GS50 ask for one at every socket that entertainers use",
    good=["power: {circuits: {lawn: {outdoor: true, residual_current_device: true}, stage: {}}}"],
    bad=[
        Bad(
            "power: {circuits: {lawn: {outdoor: true, residual_current_device: false}}}",
            (
                "the circuit lawn feeds the outdoors, and no residual-current device guards it. Local electrical codes "
                "and a licensed electrician decide.",
            ),
        ),
        Bad(
            "power: {circuits: {lawn: {outdoor: true, location: by the gate}}}",
            (
                "the circuit lawn (by the gate) feeds the outdoors, and nothing says that a residual-current device "
                "guards it. Local electrical codes and a licensed electrician decide.",
            ),
        ),
    ],
    waivable=False,
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an outdoor circuit that is not stated to have a residual-current device."""
    for circuit in rig.rig.circuits.values():
        if not circuit.outdoor or circuit.residual_current_device:
            continue
        where = f" ({circuit.location})" if circuit.location else ""
        unsaid = circuit.residual_current_device is None
        what = (
            "nothing says that a residual-current device guards it"
            if unsaid
            else "no residual-current device guards it"
        )
        key = "outdoor" if unsaid else "residual_current_device"
        text = (
            f"have a licensed electrician guard {circuit.name} by a residual-current device, or feed the outdoors from a "
            "circuit that has one; press its test button before use"
        )
        yield Finding(
            f"the circuit {circuit.name}{where} feeds the outdoors, and {what}.{ENDING}",
            (rig.place((*circuit.trail, key), circuit.name),),
            (Cure(text, nested((*circuit.trail, "residual_current_device"), True)),),
        )
