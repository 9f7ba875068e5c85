"""A monitor mix takes channels after the house mixer's fader."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._cabling import joined
from lint.rules._loops import change_tap

_WHY = """\
Taken after the fader, a performer's monitor follows every move of the house mixer's hand: a fader pulled down in the
house falls silent on stage, and one pushed up may howl there."""


@rule(
    title="A monitor mix takes channels after the house mixer's fader",
    severity="caution",
    family="loops",
    why=_WHY,
    do="Take the send before the fader, or make sure that whoever listens there wants it so.",
    good=[
        "mixes: {singer-mon: {takes: {channels: {1: {tap: pre-fader}}}}}",
        "mixes: {verb-send: {kind: effects, takes: {channels: {1: {tap: post-fader}}}}}",
    ],
    bad=[
        Bad(
            "mixes: {singer-mon: {takes: {channels: {1: {tap: post-fader}, 2-3: {tap: post-fader}}}}}",
            (
                "singer-mon takes channel 1 (Lead vox), channel 2 (Choir) and channel 3 (Piano) after the fader: it "
                "follows the house mixer's hand.",
            ),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a monitor mix; a console that mixes no house has no house mixer's hand on its faders."""
    with_house = {mix.console for mix in rig.rig.mixes.values() if mix.kind == "house"}
    for mix in rig.rig.mixes.values():
        after = [number for number, send in mix.sends.items() if send.tap == "post-fader"]
        if mix.kind != "monitor" or mix.console not in with_house or not after:
            continue
        names = joined(rig.rig.channel_words(rig.rig.channels[mix.console, number]) for number in after)
        yield Finding(
            f"{mix.name} takes {names} after the fader: it follows the house mixer's hand.",
            (rig.place((*mix.trail, "takes", "channels"), mix.name),),
            (Cure(f"take the sends to {mix.name} before the fader", change_tap(rig, mix, "post-fader", "pre-fader")),),
            {"channels": len(after)},
        )
