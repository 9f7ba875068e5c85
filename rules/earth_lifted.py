"""A protective earth is lifted."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.circuits import everything
from lint.resolve.mixup import nested
from lint.rules._power import ENDING, SAFETY

_WHY = """\
The protective earth is what opens the breaker when a live wire touches the case. Lifted, the case stays live, and so
does every case, microphone and string that sound cables join to it: that has killed performers. Hum is no reason: it is
cured in the sound cabling, where no protective earth is touched."""

_HUM = (
    "cure hum in the sound cabling: an isolating transformer or a DI with a signal lift in the line, another cable way, "
    "or linked gear fed from one place"
)


@rule(
    title="A protective earth is lifted",
    severity="no-go",
    family="power",
    why=_WHY,
    do="Connect it. Keep the thing out of use until that is done; then cure the hum in the sound cabling.",
    source=(
        "HSE INDG247 (electrical equipment for entertainers): protective earths must not be removed to cure hum, a "
        "common cause of shocks to entertainers, some fatal"
    ),
    good=["devices: {desk: {earth: connected}, west-box: {earth: double-insulated}}"],
    bad=[
        Bad(
            "devices: {desk: {earth: lifted}}",
            (
                "the protective earth of desk is lifted: a fault makes its case live, and all that sound cables join to "
                "it. Local electrical codes and a licensed electrician decide.",
            ),
        ),
        Bad(
            "amplifiers: {foyer: {earth: lifted, outputs: {}}}\npower: {circuits: {stage: {loads: {keyboard: {watts: 60, earth: lifted}}}}}",
            (
                "the protective earth of foyer is lifted: a fault makes its case live, and all that sound cables join to "
                "it. Local electrical codes and a licensed electrician decide.",
                "the protective earth of stage/keyboard is lifted: a fault makes its case live, and all that sound "
                "cables join to it. Local electrical codes and a licensed electrician decide.",
            ),
        ),
    ],
    waivable=False,
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a lifted protective earth; the one cure is to connect it."""
    for hung in everything(rig):
        if hung.load.earth == "lifted":
            trail = (*hung.load.trail, "earth")
            text = (
                f"touch neither {hung.address} nor what sound cables join to it; have its circuit switched off by whoever "
                f"is responsible for the mains, and only then its protective earth connected; {_HUM}"
            )
            yield Finding(
                f"the protective earth of {hung.address} is lifted: a fault makes its case live, and all that sound "
                f"cables join to it.{ENDING}",
                (rig.place(trail, hung.address),),
                (Cure(text, nested(trail, "connected")),),
            )
