"""Phantom power is in use: it must be off while plugs move."""

from collections.abc import Iterator, Mapping

from lint import Bad, Cure, Finding, ResolvedRig, Socket, rule
from lint.resolve.lingering import STRANDED
from lint.rig.address import spans
from lint.rules._cabling import joined
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
    """Yield one finding a rig, with every socket that has it on, or may have."""
    live, doubtful = sockets_switched_on(rig), rig.phantom.lingering
    if not (live or doubtful) or not rig.rig.consoles:
        return
    console = rig.rig.consoles[0].name
    channels = [channel for supply in live for channel in supply.says_on]
    yield Finding(
        _message([socket for supply in live for socket in supply.sockets], doubtful),
        (
            rig.place(("devices", console), console, at_key=True),
            *(rig.place((*channel.trail, "phantom"), channel.address) for channel in channels),
        ),
        (Cure("plug everything first; then, muted, switch phantom power on, and let nobody touch those plugs"),),
        {"volts": VOLTS, "switches_on": len(live)},
    )


def _message(on: list[Socket], doubtful: Mapping[Socket, str]) -> str:
    count = len(on)
    words = f"is on at {count} socket{'s' if count > 1 else ''}: {_sockets(on)}" if on else ""
    if doubtful:
        by_why: dict[str, list[Socket]] = {}
        for at, why in doubtful.items():
            by_why.setdefault(why, []).append(at)
        maybe = joined(f"{_sockets(found)} ({why})" for why, found in by_why.items())
        words += f"{'; it ' if on else ''}may still be on at {maybe}"
    message = (
        f"phantom power {words}. Mute the channel and switch it off before anything is plugged or unplugged there."
    )
    if stranded := dict.fromkeys(at.device for at, why in doubtful.items() if why in STRANDED):
        has = "it has" if len(stranded) == 1 else "they have"
        message += f" No channel switches it off on {joined(stranded)} now: let no plug move there while {has} mains."
    return message


def _sockets(every: list[Socket]) -> str:
    numbers: dict[str, list[int]] = {}
    for socket in every:
        numbers.setdefault(f"{socket.device}/{socket.side}", []).append(socket.number)
    return "; ".join(f"{side}/{spans(sorted(found))}" for side, found in numbers.items())
