"""How phantom power stands on a sheet, and what is to be done about it: never by what arrives there by mistake.

Where a channel receives another source than it is meant to carry, what arrives says nothing of how its switch must
stand once it is patched right: 48 V meant for one microphone would then reach another. So the patch comes first, and
what stands behind "then" names the source that it is for.
"""

from __future__ import annotations

from collections.abc import Sequence

from lint.resolve.phantom import BARRED, NEEDED, phantom_need
from lint.resolve.resolved import Arrival, ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source
from lint.sheet.marks import Marks
from lint.sheet.truth import Truth, arrival_truth, is_extra

ON, OFF, NO_SWITCH = "ON", "off", "–"
PHANTOM_LEGEND = (
    f"48 V: {ON} and {OFF} say how it stands now, {NO_SWITCH} that no channel switches it here. Where the patch is "
    "wrong, that is put right first: what stands behind “then” is for what is meant, not for what arrives now."
)


def phantom_at(
    rig: ResolvedRig, socket: Socket, sources: Sequence[Source], channels: Sequence[Channel], truth: Truth, marks: Marks
) -> str:
    """Say how phantom power stands at a socket, and what is plugged in there needs where that is something else."""
    if rig.is_dead(socket):
        return NO_SWITCH
    rightful = [channel for channel in channels if not is_extra(channel, [row.name for row in sources])]
    is_misheard = bool(truth.meant) and not truth.is_right
    if sources and (is_misheard or (channels and not rightful)):
        # A plug may be moved as well as a patch: only with its name is it clear whose 48 V it is.
        first, state = _first(rig, socket, sources, truth, marks, not rig.is_reached(socket.device))
        return f"{first}, then {state} for {sources[0].name}" if is_misheard and state else first
    if not channels or not sources:
        return NO_SWITCH if sources or channels else ""
    return _stands(rig, socket, sources, rightful)


def channel_phantom(rig: ResolvedRig, arrival: Arrival, marks: Marks) -> str:
    """Say how phantom power stands at what a channel takes; what it takes in vain shows the channel's own switch."""
    truth, channel, socket = arrival_truth(rig, arrival), arrival.channel, arrival.socket
    if arrival.stop == "socket-dead":
        return NO_SWITCH
    if not truth.is_right:
        meant = [rig.rig.sources[channel.carries]] if isinstance(channel.carries, str) else []
        return ", then ".join(filter(None, _first(rig, socket, meant, truth, marks, arrival.stop == "box-lost")))
    if arrival.effects is not None or arrival.stop in ("unpatched", "socket-missing"):
        return NO_SWITCH
    if socket is None or not arrival.sources:
        return ON if channel.phantom == "on" else OFF
    if channel.carries is None:  # whatever it is for: how its switch must stand is not for a sheet to say
        return _now(rig, socket, [channel])
    return _stands(rig, socket, [rig.rig.sources[name] for name in arrival.sources], [channel])


def _stands(rig: ResolvedRig, socket: Socket, sources: Sequence[Source], channels: Sequence[Channel]) -> str:
    needs = {phantom_need(source) for source in sources}
    if rig.device(socket.device).model.inputs.phantom == "none":
        return f"none here, needs {ON}" if NEEDED in needs else NO_SWITCH
    now = _now(rig, socket, channels)
    if now.startswith(ON):
        return f"{now}, must be {OFF}" if BARRED in needs else now
    if NEEDED not in needs:
        return now
    # Behind a split one feed is enough, and a second would work against it.
    elsewhere = [c for source in sources for c in rig.phantom.powering(source) if c.address not in rig.phantom.wrong]
    return f"{now}, {ON} by channel {' and '.join(_names(rig, elsewhere))}" if elsewhere else f"{now}, needs {ON}"


def _now(rig: ResolvedRig, socket: Socket, channels: Sequence[Channel]) -> str:
    """Say how it stands, and by whose switch where that is not a switch of these channels."""
    switchers = rig.phantom.switched_on_by(socket)
    if not switchers:
        return OFF
    if not channels or any(channel in switchers for channel in channels):
        return ON
    return f"{ON} by channel {' and '.join(_names(rig, switchers))}"


def _first(
    rig: ResolvedRig,
    socket: Socket | None,
    meant: Sequence[Source],
    truth: Truth,
    marks: Marks,
    is_cut_off: bool,
) -> tuple[str, str]:
    """Say that the patch is put right first, with whose switch before it, and how the switch must stand after it."""
    present = [rig.rig.sources[name] for name in rig.sources_in.get(socket, ())] if socket else []
    switchers = rig.phantom.switched_on_by(socket) if socket else ()
    is_hot = bool(switchers) and any(phantom_need(source) == BARRED for source in present)
    names = " and ".join(_names(rig, switchers))
    why = marks.why(truth)
    parts = [f"switch {OFF} on channel {names}"] if is_hot else []
    parts.append(("chain first" if is_cut_off else "patch first") + (f" ({why})" if why else ""))
    state = (ON if phantom_need(meant[0]) == NEEDED else OFF) if len(meant) == 1 else ""
    return ", ".join(parts), state


def _names(rig: ResolvedRig, channels: Sequence[Channel]) -> list[str]:
    desks = len({channel.console for channel in rig.rig.channels.values()}) > 1
    return [f"{row.number}{f' ({row.console})' if desks else ''}" for row in channels]
