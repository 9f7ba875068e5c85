"""The return of an effects unit is heard nowhere, or only one side of it."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, Return, rule
from lint.rig.rig import Effects
from lint.rules._cabling import joined
from lint.rules._heard import own_channels

_WHY = """\
The unit is fed, and what it makes comes back on no channel, or on one without its other side: the send is turned up and up,
and nothing happens, or a reverberation hangs in one loudspeaker."""


@rule(
    title="The return of an effects unit is heard nowhere, or only one side of it",
    severity="caution",
    family="mixes",
    why=_WHY,
    do="Patch a channel from each side of its return and let a mix take both, or take the unit out.",
    good=[
        "mixes: {verb-send: {kind: effects, takes: {channels: [1-3]}}}\n"
        "effects: {plate: {fed_by: verb-send}}\n"
        "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}"
    ],
    bad=[
        Bad(
            "mixes: {verb-send: {kind: effects, takes: {channels: [1-3]}}}\neffects: {plate: {fed_by: verb-send}}",
            ("verb-send feeds the effects unit plate, but no channel takes its return.",),
        ),
        Bad(
            "mixes: {verb-send: {kind: effects, takes: {channels: [1-3]}}}\n"
            "effects: {plate: {fed_by: verb-send}}\n"
            "channels: {4: {label: Plate L, carries: effects/plate.left, patched_from: effects/plate.left}}",
            ("verb-send feeds the effects unit plate, but only its left side comes back, on channel 4 (Plate L).",),
        ),
        Bad(
            "mixes: {verb-send: {kind: effects, takes: {channels: [1-3]}}, house: {takes: {channels: [1-3]}}}\n"
            "effects: {plate: {fed_by: verb-send}}\n"
            "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}",
            ("verb-send feeds the effects unit plate, but no mix takes its return, channel 4 (Plate).",),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a unit; a channel that should take its return and takes another thing is told by itself."""
    if not rig.rig.effects:
        return
    returns: dict[tuple[str, str], list[Arrival]] = {}
    for arrival in rig.arrivals.values():
        if arrival.effects is not None:
            returns.setdefault((arrival.effects.console, arrival.effects.effects), []).append(arrival)
    missed = {
        (row.channel.carries.console, row.channel.carries.effects)
        for row in rig.mismatches
        if isinstance(row.channel.carries, Return)
    }
    heard = {(mix.console, number) for mix in rig.rig.mixes.values() for number in own_channels(mix)}
    for key, unit in rig.rig.effects.items():
        if key not in missed:
            yield from _unit(rig, unit, returns.get(key, []), heard)


def _unit(rig: ResolvedRig, unit: Effects, rows: list[Arrival], heard: set[tuple[str, int]]) -> Iterator[Finding]:
    sides = {row.effects.side for row in rows if row.effects}
    words = joined(rig.rig.channel_words(row.channel) for row in rows)
    if not rows:
        what = "no channel takes its return"
        cure = Cure(f"patch a channel from effects/{unit.name}, or take the unit out")
    elif sides in ({"left"}, {"right"}):
        side = sides.pop()
        other = "right" if side == "left" else "left"
        what = f"only its {side} side comes back, on {words}"
        cure = Cure(f"patch a channel from effects/{unit.name}.{other} as well, or from effects/{unit.name} for both")
    elif not any((row.channel.console, row.channel.number) in heard for row in rows):
        what = f"no mix takes its return, {words}"
        cure = Cure(f"say under mixes/ which mix takes {words}")
    else:
        return
    yield Finding(
        f"{unit.fed_by} feeds the effects unit {unit.name}, but {what}.",
        (
            rig.place(unit.trail, f"effects/{unit.name}", at_key=True),
            *(rig.place(row.channel.trail, row.channel.address, at_key=True) for row in rows),
        ),
        (cure,),
        {"returns": len(rows)},
    )
