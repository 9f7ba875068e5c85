"""An effects send is taken before the fader."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._cabling import joined
from lint.rules._loops import change_tap

_WHY = """\
Taken before the fader, an effect does not follow it: with the fader pulled down the voice is gone and its reverberation
stays."""


@rule(
    title="An effects send is taken before the fader",
    severity="note",
    family="mixes",
    why=_WHY,
    do="Take the send after the fader, unless the effect is to stay when the fader is down.",
    good=[
        "mixes: {verb-send: {kind: effects, takes: {channels: {1: {tap: post-fader}}}}}\n"
        "effects: {plate: {fed_by: verb-send}}\n"
        "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}"
    ],
    bad=[
        Bad(
            "mixes: {verb-send: {kind: effects, takes: {channels: {1: {tap: pre-fader}, 2: {}}}}}\n"
            "effects: {plate: {fed_by: verb-send}}\n"
            "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}",
            ("verb-send takes channel 1 (Lead vox) before the fader: the effect stays when the fader is down.",),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an effects mix."""
    for mix in rig.rig.mixes.values():
        before = [number for number, send in mix.sends.items() if send.tap == "pre-fader"]
        if mix.kind != "effects" or not before:
            continue
        names = joined(rig.rig.channel_words(rig.rig.channels[mix.console, number]) for number in before)
        change = change_tap(rig, mix, "pre-fader", "post-fader")
        yield Finding(
            f"{mix.name} takes {names} before the fader: the effect stays when the fader is down.",
            (rig.place((*mix.trail, "takes", "channels"), mix.name),),
            (Cure(f"take the sends to {mix.name} after the fader", change),),
            {"channels": len(before)},
        )
