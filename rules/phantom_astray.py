"""Phantom power reaches what must not have it, by a channel that is not its own."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.phantom import NEEDED, phantom_need
from lint.rig.rig import Channel, Source
from lint.rules._cabling import joined
from lint.rules._phantom import SAFETY, SOURCE, VOLTS, must_not, places, set_phantom

_WHY = """\
A patch that is wrong, boxes in another order or a switch that several sockets share bring phantom power to sockets where
nobody looks for it. A ribbon, an unbalanced source or a line output there may be harmed before anybody hears a thing."""


@rule(
    title="Phantom power reaches what must not have it, by another's channel",
    severity="no-go",
    family="phantom",
    why=_WHY,
    do="Mute that channel and switch its phantom power off first; only then put right the patch, the plugs or the cables.",
    source=SOURCE + "; that a ribbon may be harmed by a fault or a hot plug: common practice",
    good=[
        "sources: {fiddle: {kind: ribbon-microphone, plugged_into: west-box/in/4}}\n"
        "channels: {4: {label: Fiddle, carries: fiddle, patched_from: desk/link-1/4, phantom: off}}"
    ],
    bad=[
        Bad(
            "sources: {fiddle: {kind: ribbon-microphone, plugged_into: west-box/in/4}}\n"
            "pairs: {folk: {left: choir, right: fiddle}}\n"
            "channels: {2: {patched_from: desk/link-1/4},\n"
            "           4: {label: Fiddle, carries: fiddle, patched_from: desk/link-1/2, phantom: on}}",
            (
                "fiddle (west-box/in/4) is a ribbon microphone and must not have phantom power, but channel 2 (Choir) "
                "brings it there. Mute and switch it off first.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source; where its own channel has it on, phantom-on-ribbon and its like tell it."""
    own = {entry.source.name for entry in rig.phantom.fed if entry.source.name in rig.phantom.harmed and entry.live}
    for name, channels in rig.phantom.harmed.items():
        source = rig.rig.sources[name]
        if name in own:
            continue
        brings = "brings" if len(channels) == 1 else "bring"
        yield Finding(
            f"{name} ({_where(rig, source)}) {must_not(source)} and must not have phantom power, but "
            f"{joined(map(rig.rig.channel_words, channels))} {brings} it there{_shared(rig, source)}. Mute and switch it "
            "off first.",
            places(rig, source, channels),
            (_cure(rig, source, channels),),
            {"volts": VOLTS},
            is_first=True,
        )


def _where(rig: ResolvedRig, source: Source) -> str:
    words: str = joined(rig.phantom.delivered_at(source))
    return words


def _shared(rig: ResolvedRig, source: Source) -> str:
    """Say the switch that brings it where several sockets share that."""
    supplies = dict.fromkeys(rig.phantom.delivered_at(source).values())
    shared = [supply.words for supply in supplies if len(supply.sockets) > 1]
    return f": {joined(shared)} have one phantom switch" if shared else ""


def _cure(rig: ResolvedRig, source: Source, channels: tuple[Channel, ...]) -> Cure:
    """Switch it off; where a channel rightly has it on for another source, take the plug away instead."""
    fed = {channel for entry in rig.phantom.fed if phantom_need(entry.source) == NEEDED for channel in entry.channels}
    if not fed.isdisjoint(channels):
        return Cure(
            f"with phantom power off, move the plug of {source.name} to a socket with another switch, or unplug it"
        )
    off: Cure = set_phantom(rig, channels, "off")
    return off
