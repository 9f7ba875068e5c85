"""How phantom power stands on a sheet, and what is to be done about it: never by what arrives there by mistake.

Where a channel receives another source than it is meant to carry, what arrives says nothing of how its switch must
stand once it is patched right: 48 V meant for one microphone would then reach another. So the patch comes first, and
what stands behind "then" names the source that it is for.

Nor by what kind of source it is alone: where another source on the same switch must not have it, or the other end of a
split gives it, it stays off, and why that is stands beside it (`lint.sheet.switching`).
"""

from __future__ import annotations

from collections.abc import Sequence

from lint.resolve.lingering import UNREACHED
from lint.resolve.phantom import BARRED, NEEDED, phantom_need
from lint.resolve.resolved import Arrival, ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source
from lint.sheet.marks import Marks
from lint.sheet.switching import OFF, ON, channel_names, how_to_stand, lasting, why_off
from lint.sheet.truth import Truth, arrival_truth, is_extra

NO_SWITCH = "–"
MAY_BE_ON = f"may be {ON}"
PHANTOM_LEGEND = (
    f"48 V: {ON} and {OFF} say how it stands now, {NO_SWITCH} that no channel switches it here, “{MAY_BE_ON}” that "
    "nobody knows: the socket is dead, or what it hangs on, or no console reaches it. Where the patch is wrong, that "
    "is put right first: what stands behind “then” is for what is meant, not for what arrives now. "
    f"Where what needs it has it {OFF}, the reason stands beside that: leave it so."
)


def phantom_at(
    rig: ResolvedRig, socket: Socket, sources: Sequence[Source], channels: Sequence[Channel], truth: Truth, marks: Marks
) -> str:
    """Say how phantom power stands at a socket, and what is plugged in there needs where that is something else."""
    why = rig.phantom.lingering.get(socket)
    if rig.is_dead(socket) or (why and why != UNREACHED):
        return _left_on(rig, socket, sources)
    stands = _by_patch(rig, socket, sources, channels, truth, marks)
    return ", ".join(filter(None, (_left_on(rig, socket, sources), stands))) if why else stands


def _by_patch(
    rig: ResolvedRig, socket: Socket, sources: Sequence[Source], channels: Sequence[Channel], truth: Truth, marks: Marks
) -> str:
    """Say how phantom power stands at a socket by the channels that switch it, and what is to be done first."""
    rightful = [channel for channel in channels if not is_extra(channel, [row.name for row in sources])]
    is_misheard = bool(truth.meant) and not truth.is_right
    if sources and (is_misheard or (channels and not rightful)):
        carriers = [row for source in sources for row in rig.carriers_of.get(source.name, ())]
        waiting = [row for row in carriers if row not in rightful]
        first = _first(rig, socket, truth, marks, waiting, not rig.is_reached(socket.device))
        if not (is_misheard and len(sources) == 1) or _are_dead(rig, waiting):
            return first
        # A plug may be moved as well as a patch: only with its name is it clear whose 48 V it is.
        return f"{first}, then {how_to_stand(rig, sources[0], carriers, [socket], sources[0].name)}"
    if not channels or not sources:
        return NO_SWITCH if sources or channels else ""
    return _stands(rig, socket, sources, rightful)


def channel_phantom(rig: ResolvedRig, arrival: Arrival, marks: Marks) -> str:
    """Say how phantom power stands at what a channel takes; what it takes in vain shows the channel's own switch."""
    truth, channel, socket = arrival_truth(rig, arrival), arrival.channel, arrival.socket
    if socket is not None and (arrival.stop == "socket-dead" or socket in rig.phantom.lingering):
        return _left_on(rig, socket, [rig.rig.sources[name] for name in rig.sources_in.get(socket, ())])
    if not truth.is_right:
        first = _first(rig, socket, truth, marks, [channel], arrival.stop == "box-lost")
        is_told = isinstance(channel.carries, str) and not _are_dead(rig, [channel])
        return f"{first}, then {_meant(rig, channel)}" if is_told else first
    if arrival.effects is not None or arrival.stop in ("unpatched", "socket-missing"):
        return NO_SWITCH
    if socket is None or not arrival.sources:
        return ON if channel.phantom == "on" else OFF
    if channel.carries is None:  # whatever it is for: how its switch must stand is not for a sheet to say
        return _now(rig, socket, [channel])
    return _stands(rig, socket, [rig.rig.sources[name] for name in arrival.sources], [channel])


def _left_on(rig: ResolvedRig, socket: Socket, sources: Sequence[Source]) -> str:
    """Say how it stands where nobody knows that it is off: a dead socket still has 48 V on its pins."""
    supply = rig.phantom.worked.get(rig.phantom.switch_at(socket)) if rig.has_socket(socket) else None
    is_on = supply is not None and supply.on
    now = ON if is_on else MAY_BE_ON if socket in rig.phantom.lingering else NO_SWITCH
    is_harmed = now != NO_SWITCH and any(phantom_need(source) == BARRED for source in sources)
    return f"{now}, must be {OFF}" if is_harmed else now


def _meant(rig: ResolvedRig, channel: Channel) -> str:
    """Say how the switch must stand once a channel takes its source, at a socket that it can be patched from."""
    source = rig.rig.sources[str(channel.carries)]
    sockets = [at for at in source.sockets if rig.input_point(at, channel.console) is not None]
    return how_to_stand(rig, source, [channel], sockets)


def _stands(rig: ResolvedRig, socket: Socket, sources: Sequence[Source], channels: Sequence[Channel]) -> str:
    needs = {phantom_need(source) for source in sources}
    can = rig.device(socket.device).model.inputs.phantom != "none"
    now = _now(rig, socket, channels) if can else "none here" if NEEDED in needs else NO_SWITCH
    if now.startswith(ON):
        return f"{now}, must be {OFF}" if BARRED in needs else now
    needy = [source for source in sources if phantom_need(source) == NEEDED]
    if not needy:
        return now
    why = why_off(rig, needy[0], channels, [socket])
    return f"{now}{why or f', needs {ON}'}"


def _now(rig: ResolvedRig, socket: Socket, channels: Sequence[Channel]) -> str:
    """Say how it stands, and by whose switch where that is not a switch of these channels."""
    switchers = rig.phantom.switched_on_by(socket)
    if not switchers:
        return OFF
    if not channels or any(channel in switchers for channel in channels):
        return ON
    return f"{ON} by channel {channel_names(rig, switchers)}"


def _are_dead(rig: ResolvedRig, waiting: Sequence[Channel]) -> bool:
    """Whether all who wait are on dead consoles: how their switches stand is said once these are mended."""
    return bool(waiting) and not lasting(rig, waiting)


def _first(
    rig: ResolvedRig, socket: Socket | None, truth: Truth, marks: Marks, waiting: Sequence[Channel], is_cut_off: bool
) -> str:
    """Say what comes before the switch: whose switch goes off at once, and what is mended first, with why."""
    present = [rig.rig.sources[name] for name in rig.sources_in.get(socket, ())] if socket else []
    switchers = rig.phantom.switched_on_by(socket) if socket else ()
    is_hot = bool(switchers) and any(phantom_need(source) == BARRED for source in present)
    parts = [f"switch {OFF} on channel {channel_names(rig, switchers)}"] if is_hot else []
    what = "dead console" if _are_dead(rig, waiting) else "chain first" if is_cut_off else "patch first"
    why = marks.why(truth)
    return ", ".join((*parts, what + (f" ({why})" if why else "")))
