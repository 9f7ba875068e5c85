"""A mix leaves nowhere."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule

_WHY = """\
A mix that is sent nowhere is work without a listener: a leftover from another week, or an output that was forgotten."""


@rule(
    title="A mix leaves nowhere",
    severity="note",
    family="mixes",
    why=_WHY,
    do="Send it to an output, let another mix or an effects unit take it, or take it out.",
    good=["mixes: {choir-sub: {kind: monitor, takes: {channels: [2]}}, singer-mon: {takes: {mixes: [choir-sub]}}}"],
    bad=[
        Bad(
            "mixes: {drum-mon: {kind: monitor, takes: {channels: [1]}}}",
            ("drum-mon is sent to no output and taken by nothing.",),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a mix without a listener; an unheard house mix has a rule of its own, and cue is for the crew."""
    awaited = {wanted.name for _, _, wanted in rig.outputs() if wanted is not None}  # told where it is missing
    fed = {feed.signal.name for feed in rig.rig.feeds.values()} | {
        unit.fed_by.name for unit in rig.rig.effects.values()
    }
    for mix in rig.rig.mixes.values():
        if mix.name not in fed | awaited and mix.name not in rig.taken_by and mix.kind not in ("house", "cue"):
            place = rig.place(mix.trail, mix.name, at_key=True)
            message = f"{mix.name} is sent to no output and taken by nothing."
            yield Finding(message, (place,), (Cure(f"send {mix.name} to an output, or take it out"),))
