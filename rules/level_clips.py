"""An input will clip."""

from collections.abc import Iterator

from lint import Bad, Finding, ResolvedRig, rule
from lint.formula.limit import exceeds
from lint.rules._levels import PROGRAMME_DBFS, SOURCE, below, facts, places, predicted_levels, set_gain

_WHY = """\
Over full scale there are no more numbers: the tops are cut off, on every mix and in the recording, and no fader after it
brings them back. Short peaks stand several decibels above the level that is stated of a source."""


@rule(
    title="The loudest level expected is over digital full scale",
    severity="no-go",
    family="level",
    why=_WHY,
    do="Take the input gain down, or put a pad in front of the socket; then set the faders again.",
    source=SOURCE,
    good=["sources: {piano: {level_dbu: 4}}\nchannels: {3: {gain_db: 6}}"],
    bad=[
        Bad(
            "sources: {piano: {level_dbu: 4}}\nchannels: {3: {gain_db: 30}}",
            (
                "channel 3 (Piano) will clip: piano comes with +4.0 dBu at its loudest and 30 dB of gain, which is 10.0 dB "
                "over full scale.",
            ),
        ),
        Bad(
            "sources: {choir: {sensitivity_mv_pa: 20, expected_spl_db: 110}}\nchannels: {2: {gain_db: 41}}",
            (
                "channel 2 (Choir) will clip: choir comes with −15.8 dBu at its loudest and 41 dB of gain, which is 1.2 dB "
                "over full scale.",
            ),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a channel; silent where the source's level, the gain or the model's full scale is not stated."""
    for level in predicted_levels(rig):
        if exceeds(level.dbfs, 0):
            yield Finding(
                f"{rig.rig.channel_words(level.channel)} will clip: {level.source.name} comes with {level.words}, "
                f"which is {below(level)}.",
                places(rig, level),
                (set_gain(rig, level, PROGRAMME_DBFS),),
                facts(level),
            )
