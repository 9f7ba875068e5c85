"""A plugged source reaches no channel, or its channels no mix."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Severity, rule
from lint.resolve.mixup import nested
from lint.rig.address import Slot, Socket
from lint.rig.rig import Channel, Source
from lint.rules._cabling import joined
from lint.rules._mixes import is_empty
from lint.rules._phantom import SAFETY
from lint.rules._words import SAVED_WHOLE, listed

_WHY = """\
Somebody carried the microphone to the stage and plugged it in, but no channel takes its slot or socket, or no mix
takes its channel: nobody would hear it. Where that is half of all that is plugged in, or more, the patch, a mix or the
end of the file is missing, and it is a no-go."""


@rule(
    title="A plugged source reaches no channel, or no mix",
    severity="no-go or caution",
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
        Bad(
            "mixes: {house: {takes: {channels: [1]}}}",
            (
                "2 of 3 sources that are plugged in are heard nowhere: no mix takes channel 2 (Choir), channel 3 "
                "(Piano).",
            ),
        ),
        Bad(
            "channels: {2: null, 3: null}",
            ("2 of 3 sources that are plugged in are heard nowhere: no channel is patched from choir, piano.",),
        ),
        Bad(
            "channels: null\nmixes: {singer-mon: {takes: {channels: {1: null, 1-8: {tap: pre-fader}}}}}",
            (
                "3 of 3 sources that are plugged in are heard nowhere: no channel (the rig has none) is patched from "
                "lead-vocal, choir, piano.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source that no channel hears, and one for all whose channels no mix takes; of most, one alone.

    What no console can hear is told with its box, and a channel that waits for a source with what it gets instead.
    """
    unpatched, silent = _unpatched(rig), _in_no_mix(rig)
    forgotten = [source for source, _ in unpatched if source.name not in rig.carriers_of]
    plugged = [source for source in rig.rig.sources.values() if not rig.plug_fault(source)]
    count = len(forgotten) + len(silent)
    if count and (count == len(plugged) or (count > 1 and 2 * count >= len(plugged))):
        yield _most(rig, forgotten, silent, len(plugged))
        unpatched = [row for row in unpatched if row[0] not in forgotten]
    elif silent:
        yield _silent(rig, silent)
    for source, point in unpatched:
        yield _no_channel(rig, source, point)


def _most(
    rig: ResolvedRig, forgotten: list[Source], silent: list[tuple[Source, list[Channel]]], plugged: int
) -> Finding:
    """Return the one finding of a rig that is silent for the most part; mixes without a channel follow from it."""
    why, sources = [], [*forgotten, *(source for source, _ in silent)]
    if forgotten:
        none = "" if rig.rig.channels else " (the rig has none)"
        why.append(f"no channel{none} is patched from {listed(source.name for source in forgotten)}")
    if silent:
        why.append(f"no mix takes {listed(rig.rig.channel_words(channel) for _, rows in silent for channel in rows)}")
    return Finding(
        f"{len(sources)} of {plugged} sources that are plugged in are heard nowhere: {'; '.join(why)}.",
        tuple(rig.place(source.trail, source.name, at_key=True) for source in sources),
        (Cure("patch a channel from each and say under mixes/ which mix takes it, or unplug it"), SAVED_WHOLE),
        {"sources": len(sources), "sources_plugged": plugged},
        explains=frozenset()
        if rig.rig.channels
        else frozenset(("mix-empty", mix.name) for mix in rig.rig.mixes.values()),
        members=tuple(source.name for source in sources),
    )


def _silent(rig: ResolvedRig, silent: list[tuple[Source, list[Channel]]]) -> Finding:
    channels = [channel for _, heard_on in silent for channel in heard_on]
    names = listed(source.name for source, _ in silent)
    words = joined(rig.rig.channel_words(channel) for channel in channels)
    return Finding(
        f"{names} {'is' if len(silent) == 1 else 'are'} heard in no mix: none takes {words}.",
        (
            *(rig.place(source.trail, source.name, at_key=True) for source, _ in silent),
            *(rig.place(channel.trail, channel.address, at_key=True) for channel in channels),
        ),
        (Cure(f"say under mixes/ which mix takes {words}"),),
        {"sources": len(silent)},
        severity=Severity.CAUTION,
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


def _unpatched(rig: ResolvedRig) -> list[tuple[Source, Slot | Socket]]:
    """Return the sources that no channel hears, each with what a channel would be patched from."""
    found = []
    for source in rig.rig.sources.values():
        if source.name in rig.channels_of or rig.plug_fault(source):
            continue
        socket = source.sockets[0]
        point = rig.slot_of.get(socket) or (socket if rig.rig.devices[socket.device].model.chain is None else None)
        if point is not None:
            found.append((source, point))
    return found


def _no_channel(rig: ResolvedRig, source: Source, point: Slot | Socket) -> Finding:
    socket = source.sockets[0]
    waiting = rig.carriers_of.get(source.name, ())
    if waiting:
        channel = waiting[0]
        where = str(rig.input_point(socket, channel.console) or point)
        change = nested((*channel.trail, "patched_from"), where)
        cure = Cure(f"patch channel {channel.number} from {where}", change)
    else:
        cure = Cure(f"patch a channel from {point}, or unplug {source.name}")
    return Finding(
        f"{source.name} ({socket}) reaches no channel: nothing is patched from {point}.",
        (rig.place((*source.trail, "plugged_into"), source.name),),
        (cure,),
        severity=Severity.CAUTION,
    )
