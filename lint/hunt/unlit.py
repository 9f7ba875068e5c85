"""Phantom power is off while patch or link cables change: by them it comes to what must not have it, and clicks."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from lint.hunt.instead import kind_words, numbered
from lint.resolve.hearing import heard_on
from lint.resolve.phantom import BARRED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
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


def off_for_cables(rig: ResolvedRig, boxes: Collection[str], astray: bool = True) -> dict[str, str]:
    """Return what is muted and goes off before the link cables of some boxes are moved, and what comes on again.

    `astray` says that it may be on elsewhere than it should now, as by boxes in another order; where it can't the
    words are those of the caution before a plug as well.
    """
    rows = [row for row in rig.arrivals.values() if row.socket is not None and row.socket.device in boxes]
    lit = [row.channel for row in rows if row.channel.phantom == "on"]
    if not lit:
        return {}
    phantom, sources = rig.phantom, rig.rig.sources.values()
    at = {each for row in rows if row.channel in lit and row.socket is not None
          for each in phantom.sockets_on(phantom.switch_at(row.socket))}  # fmt: skip
    names = dict.fromkeys(name for socket in at for name in rig.sources_in.get(socket, ()))
    heard = dict.fromkeys((*(row.channel for row in rows), *(each for name in names for each in heard_on(rig, name))))
    there = [row for row in sources if any(socket.device in boxes for socket in row.sockets)]
    words = _off(rig, lit, there if astray else ())
    if not astray:  # the caution before the plugs says it
        words |= {"switched": numbered(heard), "switch": f" by {numbered(lit)}"}
    return {**words, "unlit": f"mute {numbered(heard)}, {words['unlit']}"}


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
    there = "there again" if len(again) == len(lit) else f"again on {numbered(again)} alone"
    barred = sorted(
        (row for row in sources if phantom_need(row) == BARRED), key=lambda row: row.kind != "ribbon-microphone"
    )
    why = f": it may stand on what must not have it, such as {barred[0].name}" if barred else ""
    kind = f", a {kind_words(barred[0].kind)}" if barred else ""
    return {
        "unlit": f"phantom power off on {numbered(lit)}, wait ten seconds{why}{kind}; ",
        "relit": f"phantom power on {there}, wait ten seconds, " if again else "phantom power left off, ",
        "unlit_too": ", phantom power off first too",
    }
