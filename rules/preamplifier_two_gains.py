"""Two channels take one preamplifier, and ask for different gains of it."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, Socket, rule
from lint.resolve.mixup import merged, nested
from lint.rules._cabling import joined
from lint.rules._levels import minus

_WHY = """\
A socket has one preamplifier: whichever gain is set last holds for both channels, and the other is too loud or too soft by
the difference. Further level for one of them alone is set after the preamplifier."""


@rule(
    title="Two channels take one preamplifier with different gains",
    severity="caution",
    family="level",
    why=_WHY,
    do="Write the one gain that the preamplifier is set to at both channels, and set the rest by trim or fader.",
    good=[
        "channels: {1: {gain_db: 30}, 4: {carries: lead-vocal, patched_from: desk/link-1/1, doubles: 1, gain_db: 30}}"
    ],
    bad=[
        Bad(
            "channels: {1: {gain_db: 30}, 4: {label: Vox FX, carries: lead-vocal, patched_from: desk/link-1/1, doubles: 1, gain_db: -5}}",
            (
                "west-box/in/1 has one preamplifier, but channel 1 (Lead vox) says 30 dB and channel 4 (Vox FX) says −5 dB of gain.",
            ),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a socket and console; where the patch is wrong, or doubled without saying so, that is told first."""
    takers: dict[tuple[str, Socket], list[Arrival]] = {}
    for arrival in rig.arrivals.values():
        if arrival.socket is not None and arrival.sources:
            takers.setdefault((arrival.channel.console, arrival.socket), []).append(arrival)
    for (_, socket), rows in takers.items():
        if len(rows) < 2:
            continue
        channels = [row.channel for row in rows]
        numbers = {channel.number for channel in channels}
        undeclared = [channel for channel in channels if channel.doubles not in numbers]
        gains = {channel.gain_db for channel in channels if channel.gain_db is not None}
        if len(gains) < 2 or len(undeclared) > 1 or any(channel.address in rig.mismatched for channel in channels):
            continue
        stated = [(channel, channel.gain_db) for channel in channels if channel.gain_db is not None]
        said = joined(f"{rig.rig.channel_words(channel)} says {minus(gain)} dB" for channel, gain in stated)
        first, gain_db = next((pair for pair in stated if pair[0] in undeclared), stated[0])
        change = merged(nested((*channel.trail, "gain_db"), gain_db) for channel, own in stated if own != gain_db)
        yield Finding(
            f"{socket} has one preamplifier, but {said} of gain.",
            tuple(rig.place((*channel.trail, "gain_db"), channel.address) for channel, _ in reversed(stated)),
            (Cure(f"write {minus(gain_db)} dB, as {rig.rig.channel_words(first)} has it, at each of them", change),),
            {"gains": len(gains)},
        )
