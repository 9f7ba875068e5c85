"""Phantom power is in use: it must be off while plugs move."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.address import spans
from lint.rules._phantom import SAFETY, SOURCE, VOLTS, sockets_switched_on

_WHY = """\
A plug does not make all its contacts at once. While it goes in or out, one leg has 48 V and the other none: a bang
in loudspeakers and ears, and the end of some microphones."""


@rule(
    title="Phantom power is in use: it must be off while plugs move",
    # Nearly every rig uses phantom power: a caution that stands every week would teach the crew to pass over cautions.
    severity="note",
    family="phantom",
    why=_WHY,
    do="Mute the channel and switch phantom power off before plugging or unplugging, here and at every change on stage.",
    source=SOURCE + "; the hot plug: common practice",
    good=["sources: {choir: null, piano: null}\nchannels: {2: null, 3: null}"],
    bad=[
        Bad(
            "",
            (
                "phantom power is on at 2 sockets: west-box/in/2; east-box/in/1. Mute the channel and switch it off "
                "before anything is plugged or unplugged there.",
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
    numbers: dict[str, list[int]] = {}
    for supply in live:
        for socket in supply.sockets:
            numbers.setdefault(f"{socket.device}/{socket.side}", []).append(socket.number)
    sockets = "; ".join(f"{side}/{spans(sorted(found))}" for side, found in numbers.items())
    count = sum(map(len, numbers.values()))
    yield Finding(
        f"phantom power is on at {count} socket{'s' if count > 1 else ''}: {sockets}. Mute the channel and switch it off "
        "before anything is plugged or unplugged there.",
        (
            rig.place(("devices", console), console, at_key=True),
            *(rig.place((*channel.trail, "phantom"), channel.address) for channel in channels),
        ),
        (Cure("plug everything first; then, muted, switch phantom power on, and let nobody touch those plugs"),),
        {"volts": VOLTS, "switches_on": len(live)},
    )
