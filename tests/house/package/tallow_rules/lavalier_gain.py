"""Lavaliers howl when their gain is high."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Limit, ResolvedRig, rule

_FRAGMENT = """\
sources:
  lead-vocal: {{kind: lavalier-microphone}}
channels:
  1: {{gain_db: {gain_db}}}
"""


@rule(
    title="No lavalier is turned up so far that it howls",
    severity="caution",
    family="level",
    why="A lavalier sits far from the mouth and hears the loudspeakers as well as the voice.",
    do="Turn the gain down and move the microphone nearer to the mouth.",
    limits={"most_db": Limit(50, "dB", "the highest gain")},
    good=[_FRAGMENT.format(gain_db=50)],
    bad=[Bad(_FRAGMENT.format(gain_db=52), ("channel 1 (Lead vox): lead-vocal is a lavalier with 52 dB of gain.",))],
)
def check(rig: ResolvedRig, most_db: float) -> Iterator[Finding]:
    """Yield one finding a channel."""
    for arrival in rig.arrivals.values():
        channel = arrival.channel
        for name in arrival.sources:
            if (
                rig.rig.sources[name].kind == "lavalier-microphone"
                and channel.gain_db is not None
                and channel.gain_db > most_db
            ):
                yield Finding(
                    f"{rig.rig.channel_words(channel)}: {name} is a lavalier with {channel.gain_db:g} dB of gain.",
                    (rig.place((*channel.trail, "gain_db"), channel.address),),
                    (Cure(f"turn it down to {most_db:g} dB"),),
                    {"gain_db": channel.gain_db},
                )
