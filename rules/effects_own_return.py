"""An effects return is sent to the mix that feeds its own effects unit."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._cabling import joined
from lint.rules._loops import loops, own_returns, without_channels

_WHY = """\
The effects unit hears itself: a reverberation never ends, an echo grows with every repeat, until it howls. It happens when
a send is turned up on every channel in a row, the return among them."""


@rule(
    title="An effects return is sent to the mix that feeds its own effects unit",
    severity="no-go",
    family="loops",
    why=_WHY,
    do="Take the return channel out of the effects send; leave it in the house mix and where else it should be heard.",
    good=[
        "mixes: {verb-send: {kind: effects, takes: {channels: [1-3]}}, singer-mon: {takes: {channels: {4: {tap: pre-fader}}}}}\n"
        "effects: {plate: {fed_by: verb-send}}\n"
        "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}"
    ],
    bad=[
        Bad(
            "mixes: {verb-send: {kind: effects, takes: {channels: [1-5]}}}\n"
            "effects: {plate: {fed_by: verb-send}}\n"
            "channels:\n"
            "  4: {label: Plate L, carries: effects/plate.left,  patched_from: effects/plate.left}\n"
            "  5: {label: Plate R, carries: effects/plate.right, patched_from: effects/plate.right}\n",
            (
                "channel 4 (Plate L) and channel 5 (Plate R), the return of the effects unit plate, are sent to "
                "verb-send, which feeds it.",
            ),
        ),
        Bad(
            "mixes: {verb-send: {kind: effects, takes: {channels: {1: {level_db: -10}, 3-4: {level_db: -6}}}}}\n"
            "effects: {plate: {fed_by: verb-send}}\n"
            "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}",
            ("channel 4 (Plate), the return of the effects unit plate, is sent to verb-send, which feeds it.",),
        ),
    ],
    safety="Keep the return muted until its send is taken out: it can howl at full level the moment it is opened.",
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an effects unit; the loop that this closes is told with it."""
    own = own_returns(rig)
    told = frozenset(("signal-loop", loop.about) for loop in loops(rig) if loop.own_returns) if own else frozenset()
    # The send that the unit should be fed by goes nowhere then.
    sends = frozenset(("mix-unheard", mix.name) for mix in rig.rig.mixes.values() if mix.kind == "effects")
    for unit, mix, channels in own:
        names = joined(rig.rig.channel_words(channel) for channel in channels)
        change = without_channels(rig, mix, (channel.number for channel in channels))
        yield Finding(
            f"{names}, the return of the effects unit {unit.name}, {'is' if len(channels) == 1 else 'are'} sent to "
            f"{mix.name}, which feeds it.",
            (
                rig.place((*mix.trail, "takes", "channels"), mix.name),
                *(rig.place(channel.trail, channel.address) for channel in channels),
            ),
            (Cure(f"take {names} out of what {mix.name} takes", change),),
            {"channels": len(channels)},
            explains=told | sends,
        )
