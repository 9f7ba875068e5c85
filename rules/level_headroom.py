"""An input has little room left above its loudest level."""

from collections.abc import Iterator

from lint import Bad, Finding, Limit, ResolvedRig, rule
from lint.formula.limit import exceeds
from lint.rules._levels import SOURCE, below, facts, places, predicted_levels, set_gain

_WHY = """\
Nobody plays the event exactly as the sound check, and short peaks stand above what a level meter or a data sheet gives.
EBU R 68 puts the alignment level 18 dB below full scale and lets programme go 9 dB above it. A rig states the loudest
level that is expected of a source, not its alignment, so it is held against the 9 dB that remain then; a house that
states nominal levels instead sets this limit to 18."""


@rule(
    title="The loudest level expected leaves little room below full scale",
    severity="caution",
    family="level",
    why=_WHY,
    do="Take the input gain down to where the loudest level stands that far below full scale.",
    source=SOURCE,
    good=["sources: {piano: {level_dbu: 4}}\nchannels: {3: {gain_db: 11}}"],
    bad=[
        Bad(
            "sources: {piano: {level_dbu: 4}}\nchannels: {3: {gain_db: 15}}",
            (
                "channel 3 (Piano) has little room left: piano comes with +4.0 dBu at its loudest and 15 dB of gain, "
                "which is 5.0 dB below full scale; 9 dB should remain.",
            ),
        )
    ],
    limits={
        "headroom_db": Limit(9, "dB", "the least that remains between the loudest level expected and full scale", 0, 30)
    },
)
def check(rig: ResolvedRig, headroom_db: float) -> Iterator[Finding]:
    """Yield one finding a channel; what is over full scale is told by level-clips."""
    for level in predicted_levels(rig):
        if exceeds(level.dbfs, -headroom_db) and not exceeds(level.dbfs, 0):
            yield Finding(
                f"{rig.rig.channel_words(level.channel)} has little room left: {level.source.name} comes with "
                f"{level.words}, which is {below(level)}; {headroom_db:g} dB should remain.",
                places(rig, level),
                (set_gain(rig, level, -headroom_db),),
                {**facts(level), "headroom_db": headroom_db},
            )
