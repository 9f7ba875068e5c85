"""How a phantom switch is to stand for a source: as the file says, and never against what is known to be wrong.

It stays off where something on the same switch must not have it, and where the source has it by another leg of its
split, or will once a channel is patched right that the file has on: power from both ends works against itself.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from lint.resolve.phantom import BARRED, NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source

ON, OFF = "ON", "off"


def how_to_stand(
    rig: ResolvedRig, source: Source, channels: Collection[Channel], sockets: Sequence[Socket], name: str = ""
) -> str:
    """Say how the switch at `sockets` must stand once `channels` take a source there, told of whom with a `name`.

    There are no sockets where none of its own can be patched from.
    """
    whose = f" for {name}" if name else ""
    need = phantom_need(source)
    there = sockets or source.sockets
    if need == NEEDED:
        if all(rig.device(at.device).model.inputs.phantom == "none" for at in there):
            return f"none there, needs {ON}{whose}"
        why = why_off(rig, source, channels, sockets)
        return f"{OFF}{whose}{why}" if why else f"{ON}{whose}"
    says_on = any(channel.phantom == "on" for channel in channels)
    return f"{ON if need != BARRED and says_on and not _barred(rig, there) else OFF}{whose}"


def why_off(rig: ResolvedRig, source: Source, channels: Collection[Channel], sockets: Sequence[Socket]) -> str:
    """Say why the switch at `sockets` stays off for a source that needs it; nothing where it is to be switched on."""
    if giving := _giving(rig, source, channels, sockets):
        return f": has it from channel {channel_names(rig, giving)}"
    if coming := _coming(rig, source, channels, sockets):
        return f", silent until channel {channel_names(rig, coming)} receives it"
    if barred := _barred(rig, sockets or source.sockets):
        return f", silent: {' and '.join(barred)} on the same switch must not have it"
    return ""


def lasting(rig: ResolvedRig, channels: Collection[Channel]) -> list[Channel]:
    """Return the channels whose console is not dead."""
    return [channel for channel in channels if channel.console not in rig.dead]


def channel_names(rig: ResolvedRig, channels: Collection[Channel]) -> str:
    """Return the numbers of channels, each with its console where there are several."""
    desks = len({channel.console for channel in rig.rig.channels.values()}) > 1
    return " and ".join(f"{row.number}{f' ({row.console})' if desks else ''}" for row in channels)


def _giving(
    rig: ResolvedRig, source: Source, channels: Collection[Channel], sockets: Sequence[Socket]
) -> list[Channel]:
    """Return the channels that rightly give it by another switch; of several on that switch those meant to carry it."""
    here = {rig.phantom.switch_at(at) for at in sockets if rig.has_socket(at)}
    supplies = [supply for at, supply in rig.phantom.live_at(source).items() if rig.phantom.switch_at(at) not in here]
    rows = dict.fromkeys(channel for supply in supplies for channel in supply.says_on)
    giving = [row for row in rows if row.address not in rig.phantom.wrong and row not in channels]
    return [row for row in giving if row.carries == source.name] or giving


def _coming(
    rig: ResolvedRig, source: Source, channels: Collection[Channel], sockets: Sequence[Socket]
) -> list[Channel]:
    """Return the channels that the file has on for it, and not these, that are to receive it by another switch.

    Where these receive it and are silent for want of it, only those that a patch alone makes right.
    """
    here = {rig.phantom.switch_at(at) for at in sockets if rig.has_socket(at)}
    legs = [at for at in source.sockets if rig.phantom.is_able(at) and rig.phantom.switch_at(at) not in here]
    if not legs or any(channel.phantom == "on" for channel in channels):
        return []
    rows = [row for row in rig.phantom.awaited(source) if row not in channels]
    if any(channel.address not in rig.phantom.wrong for channel in channels):
        rows = [row for row in rows if any(rig.input_point(at, row.console) is not None for at in legs)]
    return lasting(rig, rows) if lasting(rig, channels) else rows


def _barred(rig: ResolvedRig, sockets: Sequence[Socket]) -> list[str]:
    """Return what must be kept from it at sockets, where that leaves none of them free."""
    able = [at for at in sockets if rig.phantom.is_able(at)]
    found = [rig.phantom.barred_at(at) for at in able]
    return found[0] if found and all(found) else []
