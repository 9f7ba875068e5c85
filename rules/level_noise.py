"""An input is so low that its noise will be heard."""

from collections.abc import Iterator

from lint import Bad, Finding, Limit, ResolvedRig, rule
from lint.formula.limit import falls_short
from lint.rules._levels import PROGRAMME_DBFS, SOURCE, below, facts, places, predicted_levels, set_gain

_WHY = """\
What comes in far too low has to be lifted again by faders and mixes, and the noise of the input comes up with it. Often
it is a gain that was never set, or a pad left in from last time."""


@rule(
    title="The loudest level expected is far below full scale",
    severity="note",
    family="level",
    why=_WHY,
    do="Take the input gain up, or take the pad out.",
    source=SOURCE + ". How low is too low is common practice",
    good=["sources: {piano: {level_dbu: -30}}\nchannels: {3: {gain_db: 20}}"],
    bad=[
        Bad(
            "sources: {piano: {level_dbu: -30}}\nchannels: {3: {gain_db: 0}}",
            (
                "channel 3 (Piano) is low: piano comes with −30.0 dBu at its loudest and 0 dB of gain, which is 54.0 dB "
                "below full scale.",
            ),
        )
    ],
    limits={
        "least_dbfs": Limit(
            -40, "dB", "under which level, re digital full scale, the loudest expected is too low", -80, -12
        )
    },
)
def check(rig: ResolvedRig, least_dbfs: float) -> Iterator[Finding]:
    """Yield one finding a channel; silent where the source's level, the gain or the model's full scale is not stated."""
    for level in predicted_levels(rig):
        if falls_short(level.dbfs, least_dbfs):
            yield Finding(
                f"{rig.rig.channel_words(level.channel)} is low: {level.source.name} comes with {level.words}, which is "
                f"{below(level)}.",
                places(rig, level),
                (set_gain(rig, level, PROGRAMME_DBFS),),
                {**facts(level), "least_dbfs": least_dbfs},
            )
