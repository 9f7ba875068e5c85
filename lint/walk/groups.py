"""Rows that take several sockets, channels or devices together, where one look answers for them all.

Sockets and channels go by eights, as boxes and consoles are built; what nobody can take in at one look is no question.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from lint.check.engine import Checked
from lint.resolve.power_order import power_on_order
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Return, Slot, Socket, spans
from lint.rig.rig import HOUSE_LOUDSPEAKERS, RECORDER_DESTINATIONS, Channel
from lint.walk.row_words import expected_words
from lint.walk.rows import Field, FieldValue, Row, RowKind, is_other
from lint.walk.subject import Subject, about_channel, about_destination, about_source

EIGHT = 8
UNNAMED_LOUD = "every amplifier and powered loudspeaker"


@dataclass(frozen=True, slots=True)
class GroupRow(Row):
    """A row with the subject of each of its members, by the number that the text gives it."""

    parts: Mapping[str, Subject] = field(default_factory=dict)


def _plug_rows(checked: Checked) -> Iterator[Row]:
    """Yield what is plugged in, by eights: box by box along the chain, the consoles last, inputs before outputs."""
    resolved = checked.resolved
    plugged = {**_inputs(resolved), **_outputs(resolved)}
    for device in walking_order(resolved):
        for side, word in (("in", "inputs"), ("out", "outputs")):
            every = sorted(socket for socket in plugged if socket[:2] == (device, side))
            for eight in sorted({(socket.number - 1) // EIGHT for socket in every}):
                sockets = [socket for socket in every if (socket.number - 1) // EIGHT == eight]
                whole = resolved.rig.devices[device]
                first, last = eight * EIGHT + 1, (eight + 1) * EIGHT
                fields: dict[str, FieldValue] = {
                    "box": device,
                    "title": _titled(whole.label or device, whole.location),
                    "sockets": f"{word} {first}–{last}",
                    "list": ", ".join(f"{socket.number} {plugged[socket][0]}" for socket in sockets),
                    "are_inputs": side == "in",
                    "is_box": whole.model.chain is not None,
                }
                # A hand on a plug says where it is and what, which the text says too, and nothing of the way behind it.
                parts = {str(socket.number): replace(plugged[socket][1], ways={}) for socket in sockets}
                yield GroupRow(f"{device}/{side}/{first}-{last}", fields, parts)


def _inputs(resolved: ResolvedRig) -> dict[Socket, tuple[str, Subject]]:
    """Return what is plugged into each input: its title, and what it is about."""
    sources = resolved.rig.sources
    return {
        socket: (" and ".join(sources[name].label or name for name in names), about_source(resolved, names[0]))
        for socket, names in resolved.sources_in.items()
    }


def _outputs(resolved: ResolvedRig) -> dict[Socket, tuple[str, Subject]]:
    plugged = {}
    for destination in resolved.rig.destinations.values():
        for index, socket in enumerate(destination.sockets):
            side = destination.expects[index].side if len(destination.sockets) > 1 and destination.expects else ""
            title = " ".join(filter(None, (destination.label or destination.name, side)))
            plugged[socket] = (title, about_destination(destination, resolved))
    for amplifier in resolved.rig.amplifiers.values():
        for socket in amplifier.sockets:  # a destination on the same output is what hangs on the amplifier
            about = Subject("", (amplifier.name, str(socket), socket.device))
            plugged.setdefault(socket, (amplifier.label or amplifier.name, about))
    return plugged


def walking_order(resolved: ResolvedRig) -> list[str]:
    """Return the devices as one walks by them: the boxes of each chain from the console on, then all others."""
    boxes = [box.device for chain in resolved.chains.values() for box in (*chain.boxes, *chain.lost)]
    return list(dict.fromkeys([*boxes, *resolved.rig.devices]))


def _titled(name: str, location: str) -> str:
    return f"{name} ({location})" if location else name


def _channel_rows(checked: Checked) -> Iterator[Row]:
    """Yield the channels by eights, console by console, in the order of their numbers."""
    resolved = checked.resolved
    several = len(resolved.rig.consoles) > 1
    for console in resolved.rig.consoles:
        every = sorted(key for key in resolved.rig.channels if key[0] == console.name)
        for eight in sorted({(number - 1) // EIGHT for _, number in every}):
            keys = [key for key in every if (key[1] - 1) // EIGHT == eight]
            channels = [resolved.rig.channels[key] for key in keys]
            heard = [channel for channel in channels if isinstance(channel.carries, str)]
            phantom = [channel for channel in heard if channel.phantom == "on"]
            patched = [channel for channel in channels if channel.patched_from is not None]
            first, last = eight * EIGHT + 1, (eight + 1) * EIGHT
            fields: dict[str, FieldValue] = {
                "title": f"Channels {first}–{last}" + (f" on {console.name}" if several else ""),
                "console": console.name,
                "patch": _patch_words(patched),
                "is_patched": bool(patched),
                "heard": ", ".join(f"{channel.number} {_carried(resolved, channel)}" for channel in heard),
                "has_sources": bool(heard),
                "phantom_on": spans([channel.number for channel in phantom]) or "none",
                "has_phantom_on": bool(phantom),
            }
            parts = {str(number): about_channel(resolved, name, number) for name, number in keys}
            yield GroupRow(f"{console.name}/{first}-{last}", fields, parts)


def _carried(resolved: ResolvedRig, channel: Channel) -> str:
    source = resolved.rig.sources[str(channel.carries)]
    return channel.label or source.label or source.name


def _patch_words(channels: Sequence[Channel]) -> str:
    """Say where channels are patched from, those that run on together: `1–8 from desk/link-1/1–8`."""
    runs: list[list[Channel]] = []
    for channel in channels:
        if runs and _runs_on(runs[-1][-1], channel):
            runs[-1].append(channel)
        else:
            runs.append([channel])
    words = []
    for run in runs:
        first, last = run[0].patched_from, run[-1].patched_from
        to = "" if len(run) == 1 or isinstance(last, Return) or last is None else f"–{last.number}"
        words.append(f"{spans([channel.number for channel in run])} from {first}{to}")
    return ", ".join(words)


def _runs_on(before: Channel, channel: Channel) -> bool:
    one, two = before.patched_from, channel.patched_from
    if isinstance(one, Slot) and isinstance(two, Slot):
        follows = one.port == two.port
    elif isinstance(one, Socket) and isinstance(two, Socket):
        follows = one[:2] == two[:2]
    else:
        return False
    return follows and one.number + 1 == two.number and before.number + 1 == channel.number


def _other_rows(checked: Checked) -> Iterator[Row]:
    """Yield by eights what hangs on outputs for no performer and is no loudspeaker of the house, numbered on."""
    resolved = checked.resolved
    others = [row for row in resolved.rig.destinations.values() if is_other(row)]
    for start in range(0, len(others), EIGHT):
        eight = list(enumerate(others[start : start + EIGHT], start + 1))
        words = [f"{number} {row.label or row.name}: {expected_words(row) or 'its mix'}" for number, row in eight]
        parts = {str(number): about_destination(row, resolved) for number, row in eight}
        yield GroupRow(f"{start + 1}-{start + EIGHT}", {"list": ", ".join(words)}, parts)


def _power_on(checked: Checked) -> Iterator[Row]:
    yield from _power_steps(_stages(checked.resolved))


def _power_off(checked: Checked) -> Iterator[Row]:
    yield from _power_steps(_stages(checked.resolved)[::-1])


def _stages(resolved: ResolvedRig) -> list[tuple[str, bool, tuple[str, ...]]]:
    """Return (what, whether it is loud, the names) of each stage to switch on, what reaches an ear as the last."""
    rig = resolved.rig
    stages = []
    loud: list[str] = []
    for stage in power_on_order(resolved):
        loud = [name for name in stage if name in rig.amplifiers or _is_loud_destination(resolved, name)]
        stages.append((", ".join(_equipment(resolved, name) for name in stage), bool(loud), tuple(stage)))
    kinds = {destination.kind for destination in rig.destinations.values()}
    if not loud and kinds & (HOUSE_LOUDSPEAKERS | {"wedge"}):
        stages.append((UNNAMED_LOUD, True, ()))
    return stages


def _is_loud_destination(resolved: ResolvedRig, name: str) -> bool:
    row = resolved.rig.destinations.get(name)
    return name not in resolved.rig.devices and row is not None and row.kind not in RECORDER_DESTINATIONS


def _equipment(resolved: ResolvedRig, name: str) -> str:
    rig = resolved.rig
    for rows in (rig.devices, rig.amplifiers, rig.destinations):
        if name in rows:
            row = rows[name]
            return _titled(row.label or name, getattr(row, "location", ""))
    return name


def _power_steps(stages: Sequence[tuple[str, bool, tuple[str, ...]]]) -> Iterator[Row]:
    for number, (what, loud, names) in enumerate(stages, start=1):
        fields: dict[str, FieldValue] = {
            "number": number, "of": len(stages), "devices": what[:1].upper() + what[1:] if not names else what,
            "is_loud": loud, "is_last": number == len(stages),
        }  # fmt: skip
        yield GroupRow(str(number), fields, {name: Subject("", (name,)) for name in names})


# -- what a template may use -----------------------------------------------------------------------------------

_PLUGS = {
    "box": Field(str, "the device that they are on"),
    "title": Field(str, "its label or name, with its location"),
    "sockets": Field(str, "which sockets, such as inputs 1–8"),
    "list": Field(str, "what is plugged into each, by its number"),
    "are_inputs": Field(bool, "whether they are inputs"),
    "is_box": Field(bool, "whether the device is a stage box"),
}
_CHANNELS = {
    "title": Field(str, "Channels and their numbers, such as Channels 1–8, and the console where there are several"),
    "console": Field(str, "their console"),
    "patch": Field(str, "where each is patched from, such as 1–8 from desk/link-1/1–8"),
    "is_patched": Field(bool, "whether any of them is patched from anywhere"),
    "heard": Field(str, "those that carry a source from the stage, each by its number and label"),
    "has_sources": Field(bool, "whether there are any such"),
    "phantom_on": Field(str, "those of them with phantom power on, or none"),
    "has_phantom_on": Field(bool, "whether there are any with it on"),
}
_OTHERS = {"list": Field(str, "what hangs there, each by a number, with the mix that it is meant to carry")}
_STEP = {
    "number": Field(int, "its number, counted from 1"),
    "of": Field(int, "how many steps there are"),
    "devices": Field(str, "what is switched in this step, with locations"),
    "is_loud": Field(bool, "whether it reaches an ear: amplifiers and powered loudspeakers"),
    "is_last": Field(bool, "whether it is the last step"),
}
GROUP_KINDS: Mapping[str, RowKind] = {
    "plug_rows": RowKind("plugs", _PLUGS, _plug_rows),
    "channel_rows": RowKind("strips", _CHANNELS, _channel_rows),
    "other_rows": RowKind("others", _OTHERS, _other_rows),
    "power_on": RowKind("step", _STEP, _power_on),
    "power_off": RowKind("step", _STEP, _power_off),
}
