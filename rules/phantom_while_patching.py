"""Phantom power is in use: it must be off while plugs move."""

from collections.abc import Iterator

from lint.rules._cabling import joined
from lint.rules._phantom import SAFETY, SOURCE, VOLTS, sockets_switched_on

from lint import Bad, Cure, Finding, ResolvedRig, rule

_WHY = """\
A plug does not make all its contacts at once. While it goes in or out, one leg has 48 V and the other none: a bang
in loudspeakers and ears, and the end of some microphones."""


@rule(
    title="Phantom power is in use: it must be off while plugs move",
    severity="caution",
    family="phantom",
    why=_WHY,
    do="Mute the channel and switch phantom power off before plugging or unplugging, here and at every change on stage.",
    source=SOURCE + "; the hot plug: common practice",
    good=["sources: {choir: null, piano: null}\nchannels: {2: null, 3: null}"],
    bad=[
        Bad(
            "",
            (
                "phantom power is on at west-box/in/2 and east-box/in/1: mute the channel and switch it off before "
                "anything is plugged or unplugged there.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a rig, with every socket that has it on."""
    live = sockets_switched_on(rig)
    if not live or not rig.rig.consoles:
        return
    console = rig.rig.consoles[0].name
    channels = [channel for supply in live for channel in supply.says_on]
    yield Finding(
        f"phantom power is on at {joined(supply.words for supply in live)}: mute the channel and switch it off before "
        "anything is plugged or unplugged there.",
        (
            rig.place(("devices", console), console, at_key=True),
            *(rig.place((*channel.trail, "phantom"), channel.address) for channel in channels),
        ),
        (Cure("plug everything first; then, muted, switch phantom power on, and let nobody touch those plugs"),),
        {"volts": VOLTS, "switches_on": len(live)},
    )
