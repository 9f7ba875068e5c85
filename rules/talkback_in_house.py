"""A channel that feeds talkback is in a house mix as well."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import merged
from lint.rules._cabling import joined
from lint.rules._heard import own_channels
from lint.rules._loops import without_channels

_WHY = """\
What the crew says to the stage comes out over the whole room, in the middle of a prayer or a song. It happens where the
house takes a whole range of channels and the talkback microphone is in it."""


@rule(
    title="A channel that feeds talkback is in a house mix as well",
    severity="caution",
    family="mixes",
    why=_WHY,
    do="Take the talkback's channel out of the house mix; where it is for announcements too, waive this with a reason.",
    good=[
        "sources: {talk-mic: {kind: dynamic-microphone, plugged_into: desk/in/1}}\n"
        "channels: {4: {label: Talk, carries: talk-mic, patched_from: desk/in/1}}\n"
        "mixes: {talk: {kind: talkback, takes: {channels: [4]}}, singer-mon: {takes: {mixes: [talk]}}, house: {takes: {channels: [1-3]}}}"
    ],
    bad=[
        Bad(
            "sources: {talk-mic: {kind: dynamic-microphone, plugged_into: desk/in/1}}\n"
            "channels: {4: {label: Talk, carries: talk-mic, patched_from: desk/in/1}}\n"
            "mixes: {talk: {kind: talkback, takes: {channels: [4]}}, singer-mon: {takes: {mixes: [talk]}}}",
            ("channel 4 (Talk) feeds the talkback talk, and house takes it as well.",),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a talkback mix."""
    mixes = rig.rig.mixes.values()
    houses = [(mix, own_channels(mix)) for mix in mixes if mix.kind == "house"]
    for talk in mixes:
        if talk.kind != "talkback":
            continue
        spoken = own_channels(talk)
        takers = [(house, spoken & taken) for house, taken in houses if house.console == talk.console]
        takers = [(house, shared) for house, shared in takers if shared]
        if not takers:
            continue
        numbers = sorted(set().union(*(shared for _, shared in takers)))
        channels = [rig.rig.channels[talk.console, number] for number in numbers]
        words = joined(rig.rig.channel_words(channel) for channel in channels)
        names = joined(house.name for house, _ in takers)
        feeds, take = "feeds" if len(channels) == 1 else "feed", "takes" if len(takers) == 1 else "take"
        changes = [without_channels(rig, house, shared) for house, shared in takers if shared <= house.sends.keys()]
        change = merged(changes) if len(changes) == len(takers) else None
        yield Finding(
            f"{words} {feeds} the talkback {talk.name}, and {names} {take} it as well.",
            (
                rig.place((*talk.trail, "takes"), talk.name),
                *(rig.place((*house.trail, "takes"), house.name) for house, _ in takers),
                *(rig.place(channel.trail, channel.address, at_key=True) for channel in channels),
            ),
            (Cure(f"take {words} out of what {names} {take}", change),),
            {"channels": len(channels)},
        )
