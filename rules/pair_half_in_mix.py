"""One half of a stereo pair is in a stereo mix without the other."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import Channel, Mix, Pair
from lint.rules._heard import channels_within, own_channels, with_channels

_WHY = """\
Half of a piano comes out of one loudspeaker alone, and the other half is missed by everybody who sits on that side. It
happens where a range of channels ends one too early."""


@rule(
    title="One half of a stereo pair is in a stereo mix without the other",
    severity="caution",
    family="mixes",
    why=_WHY,
    do="Let the mix take both halves, or neither; where one half is enough, waive this with a reason.",
    good=["pairs: {keys: {left: lead-vocal, right: choir}}"],
    bad=[
        Bad(
            "pairs: {keys: {left: lead-vocal, right: choir}}\n"
            "mixes: {house: {takes: {channels: [1, 3]}}, singer-mon: {takes: {channels: {2: {}}}}}",
            ("house takes only one half of the pair keys: channel 1 (Lead vox), and not channel 2 (Choir).",),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a pair and mix that takes half of it; a half that no mix at all takes is told by itself."""
    if not rig.rig.pairs:
        return
    within = {name: channels_within(rig, name) for name in rig.rig.mixes}
    heard = {(mix.console, number) for mix in rig.rig.mixes.values() for number in own_channels(mix)}
    stereo: dict[str, list[Mix]] = {}
    for mix in rig.rig.mixes.values():
        if mix.width == "stereo" and mix.kind not in ("cue", "talkback"):
            stereo.setdefault(mix.console, []).append(mix)
    own = {mix.name: own_channels(mix) for mixes in stereo.values() for mix in mixes}
    for pair in rig.rig.pairs.values():
        left, right = (_channels(rig, source) for source in (pair.left, pair.right))
        for half, missing in ((left, right), (right, left)):
            if heard.isdisjoint((channel.console, channel.number) for channel in missing):
                continue
            for console in dict.fromkeys(channel.console for channel in half):
                lost = [channel for channel in missing if channel.console == console]
                for mix in stereo.get(console, ()) if lost else ():
                    taken = [c for c in half if c.console == console and c.number in own[mix.name]]
                    if taken and within[mix.name].isdisjoint(channel.number for channel in lost):
                        yield _finding(rig, pair, mix, taken[0], lost[0])


def _channels(rig: ResolvedRig, source: str) -> list[Channel]:
    """Return the channels that are meant to carry a source, or else that it arrives on."""
    return rig.carriers_of.get(source) or rig.channels_of.get(source, [])


def _finding(rig: ResolvedRig, pair: Pair, mix: Mix, taken: Channel, lost: Channel) -> Finding:
    words = rig.rig.channel_words(lost)
    return Finding(
        f"{mix.name} takes only one half of the pair {pair.name}: {rig.rig.channel_words(taken)}, and not {words}.",
        (
            rig.place(pair.trail, pair.name, at_key=True),
            rig.place((*mix.trail, "takes"), mix.name),
            rig.place(lost.trail, lost.address, at_key=True),
        ),
        (Cure(f"let {mix.name} take {words} as well", with_channels(rig, mix, [lost.number])),),
    )
