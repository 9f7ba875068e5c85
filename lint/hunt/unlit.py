"""Phantom power is off while patch or link cables change: by them it comes to what must not have it, and clicks."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from lint.hunt.instead import awake, kind_words, numbered
from lint.resolve.hearing import heard_on
from lint.resolve.phantom import BARRED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port, Socket
from lint.rig.rig import Channel, Source


def off_for_patch(rig: ResolvedRig, channels: Iterable[Channel], own: str | None = None) -> dict[str, str]:
    """Return how the phantom power of channels goes off before they are patched, and on again; `own` is their source.

    Where they are patched from now the rig file does not say: it may be anything that their console hears.
    """
    lit = [channel for channel in channels if channel.phantom == "on"]
    if not lit:
        return {}
    consoles = {channel.console for channel in lit}
    rows = (row for row in rig.rig.sources.values() if row.name != own)
    near = [row for row in rows if any(_reached(rig, row, each) for each in consoles)]
    return _off(rig, lit, near)


def off_for_plugs(givers: Sequence[Channel], sources: Sequence[Source], sockets: int) -> dict[str, str]:
    """Return how the phantom power of some channels goes off before a plug moves between their sockets, and on again.

    `sources` are those at the `sockets`, so many of them; what is plugged comes first.
    """
    if not givers:
        return {}
    barred = _barred(sources)
    why = f" ({barred} must not have it)" if barred else ""
    where = "both sockets" if sockets <= 2 else "all of them"
    return {
        "unplugged": f"phantom power off at {where} by {numbered(givers)}{why}, wait ten seconds; ",
        "replugged": "phantom power on only where it was, wait ten seconds, ",
    }


def off_for_link(rig: ResolvedRig, cable_boxes: Collection[str]) -> dict[str, str]:
    """Return who is muted and what goes off while a link cable is changed that some boxes hang on.

    The words are those of the caution before a plug as well: nothing comes to another place by it.
    """
    rows = [row for row in rig.arrivals.values() if row.socket is not None and row.socket.device in cable_boxes]
    lit = [row.channel for row in rows if row.channel.phantom == "on"]
    if not lit:
        return {}
    phantom = rig.phantom
    at = {each for row in rows if row.channel in lit and row.socket is not None
          for each in phantom.sockets_on(phantom.switch_at(row.socket))}  # fmt: skip
    names = dict.fromkeys(name for socket in at for name in rig.sources_in.get(socket, ()))
    heard = awake(rig, (*(row.channel for row in rows), *(each for name in names for each in heard_on(rig, name))))
    words = _off(rig, lit, ())
    muted = {"switched": numbered(heard), "switch": f" by {numbered(lit)}"}
    return {**words, **muted, "unlit": f"mute {numbered(heard)}, {words['unlit']}"}


def off_for_order(rig: ResolvedRig, link: Port) -> dict[str, str]:
    """Return who is muted and what goes off before the boxes of a link are cabled in their order, and comes on again.

    In another order any channel of that link may carry anything of it, and what has phantom power is anybody's.
    """
    owner = rig.cabling.listens_to
    slots = ((row.channel, row.slot) for row in rig.arrivals.values() if row.slot is not None)
    ours = [channel for channel, slot in slots if owner.get(slot.port, slot.port) == link]
    boxes = {box.device for box in rig.chains[link].boxes}
    there = [row for row in rig.rig.sources.values() if any(socket.device in boxes for socket in row.sockets)]
    heard = awake(rig, (*ours, *(channel for row in there for channel in heard_on(rig, row.name))))
    if not heard:
        return {}
    lit = [channel for channel in ours if channel.phantom == "on"]
    words = _off(rig, lit, there) if lit else {"unlit": ""}
    return {**words, "unlit": f"mute {numbered(heard)}{', ' if lit else '; '}{words['unlit']}"}


def _reached(rig: ResolvedRig, source: Source, console: str) -> list[Socket]:
    """Return the sockets of a source that a console can be patched from."""
    return [at for at in source.sockets if rig.has_socket(at) and rig.input_point(at, console) is not None]


def _stays_off(rig: ResolvedRig, channel: Channel) -> bool:
    """Whether what a channel should carry, or what shares its switch there, must not have phantom power."""
    names = [channel.carries] if isinstance(channel.carries, str) else rig.arrivals[channel.key].sources
    rows = [rig.rig.sources[name] for name in names if name in rig.rig.sources]
    homes = [at for row in rows for at in _reached(rig, row, channel.console)]
    return bool(homes) and not any(rig.phantom.may_be_on(at) for at in homes)


def _off(rig: ResolvedRig, lit: Sequence[Channel], sources: Iterable[Source]) -> dict[str, str]:
    """Return the words for channels with phantom power on, which may be on now at one of some sources."""
    again = [channel for channel in lit if not _stays_off(rig, channel)]
    barred = _barred(sources).removesuffix(",")
    why = f": it may stand on what must not have it, such as {barred}" if barred else ""
    there = "there again" if len(again) == len(lit) else f"again on {numbered(again)} alone"
    return {
        "unlit": f"phantom power off on {numbered(lit)}, wait ten seconds{why}; ",
        "relit": f"phantom power on {there}, wait ten seconds, " if again else "phantom power left off, ",
        "unlit_too": ", phantom power off first too",
    }


def _barred(sources: Iterable[Source]) -> str:
    """Return one of some sources that must not have phantom power, a ribbon before others; empty where all may."""
    rows = [row for row in sources if phantom_need(row) == BARRED]
    first = min(rows, key=lambda row: row.kind != "ribbon-microphone", default=None)
    return f"{first.name}, a {kind_words(first.kind)}," if first is not None else ""
