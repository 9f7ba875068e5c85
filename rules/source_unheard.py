"""A plugged source reaches no channel, or its channels no mix."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import nested
from lint.rig.rig import Channel, Source
from lint.rules._cabling import joined
from lint.rules._mixes import is_empty
from lint.rules._phantom import SAFETY
from lint.rules._words import listed

_WHY = """\
Somebody carried the microphone to the stage and plugged it in, but no channel takes its slot or socket, or no mix
takes its channel: nobody would hear it."""


@rule(
    title="A plugged source reaches no channel, or no mix",
    severity="caution",
    family="patch",
    why=_WHY,
    do="Patch a channel from it and send that to a mix, or take it off the stage and out of the rig file.",
    good=[
        "sources: {spare: {kind: dynamic-microphone, plugged_into: west-box/in/9}}\nchannels: {9: {carries: spare, patched_from: desk/link-1/9}}"
    ],
    bad=[
        Bad(
            "sources: {spare: {kind: dynamic-microphone, plugged_into: west-box/in/9}}",
            ("spare (west-box/in/9) reaches no channel: nothing is patched from desk/link-1/9.",),
        ),
        Bad(
            "mixes: {house: {takes: {channels: [1-2]}}}",
            ("piano is heard in no mix: none takes channel 3 (Piano).",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source that no channel hears, and one for all whose channels no mix takes.

    What no console can hear is told with its box.
    """
    if not rig.rig.channels:
        return
    yield from _unpatched(rig)
    silent = _in_no_mix(rig)
    if silent:
        channels = [channel for _, heard_on in silent for channel in heard_on]
        names = listed(source.name for source, _ in silent)
        words = joined(rig.rig.channel_words(channel) for channel in channels)
        yield Finding(
            f"{names} {'is' if len(silent) == 1 else 'are'} heard in no mix: none takes {words}.",
            (
                *(rig.place(source.trail, source.name, at_key=True) for source, _ in silent),
                *(rig.place(channel.trail, channel.address, at_key=True) for channel in channels),
            ),
            (Cure(f"say under mixes/ which mix takes {words}"),),
            {"sources": len(silent)},
            members=tuple(source.name for source, _ in silent),
        )


def _in_no_mix(rig: ResolvedRig) -> list[tuple[Source, list[Channel]]]:
    """Return the sources with channels of which none gets any further; a rig without mixes says nothing of them.

    Where a mix takes nothing at all, that is told instead.
    """
    mixes = rig.rig.mixes.values()
    deaf = {mix.console for mix in mixes if is_empty(mix)}
    taken = {f"{mix.console}/{number}" for mix in mixes for number in mix.sends}
    signals = [signal for mix in mixes for signal in mix.takes]
    signals += [feed.signal for feed in rig.rig.feeds.values()]
    signals += [unit.fed_by for unit in rig.rig.effects.values()]
    taken |= {signal.name for signal in signals if signal.kind == "channel"}
    with_mixes = {mix.console for mix in mixes}
    return [
        (rig.rig.sources[name], channels)
        for name, channels in rig.channels_of.items()
        if all(
            f"{channel.console}/{channel.number}" not in taken
            and channel.console in with_mixes
            and channel.console not in deaf
            for channel in channels
        )
    ]


def _unpatched(rig: ResolvedRig) -> Iterator[Finding]:
    for source in rig.rig.sources.values():
        if source.name in rig.channels_of or rig.plug_fault(source):
            continue
        socket = source.sockets[0]
        point = rig.slot_of.get(socket) or (socket if rig.rig.devices[socket.device].model.chain is None else None)
        if point is None:
            continue
        waiting = rig.carriers_of.get(source.name, ())
        if waiting:
            channel = waiting[0]
            where = str(rig.input_point(socket, channel.console) or point)
            change = nested((*channel.trail, "patched_from"), where)
            cure = Cure(f"patch channel {channel.number} from {where}", change)
        else:
            cure = Cure(f"patch a channel from {point}, or unplug {source.name}")
        yield Finding(
            f"{source.name} ({socket}) reaches no channel: nothing is patched from {point}.",
            (rig.place((*source.trail, "plugged_into"), source.name),),
            (cure,),
        )
