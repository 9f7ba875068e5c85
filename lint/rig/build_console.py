"""From the sections that belong to one console: its mixes, effects, input blocks and channels."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lint.read.document import Trail
from lint.rig.address import InputPoint, Return, Slot, Socket, numbered, point
from lint.rig.names import Names, Part
from lint.rig.rig import Block, Channel, Effects, Mix, Send


def mixes_and_effects(names: Names, parts: list[Part]) -> None:
    """Read the mixes and effects of every console; the names of all mixes are known before any is read."""
    for part in parts:
        _declare_mixes(names, part)
    for part in parts:
        _effects(names, part)
    for part in parts:
        _mixes(names, part)


def _declare_mixes(names: Names, part: Part) -> None:
    for name, row in part.sections.get("mixes", {}).items():
        trail = (*part.trail, "mixes", name)
        if name in names.mixes:
            other = names.mixes[name].console
            names.problem(trail, f"{other} has a mix called '{name}' already; mix names are the rig's own", True)
            continue
        width = row.get("width", "mono")
        names.mixes[name] = Mix(name, part.console, row["kind"], row.get("label", ""), width, {}, (), trail)


def _effects(names: Names, part: Part) -> None:
    for name, row in part.sections.get("effects", {}).items():
        trail = (*part.trail, "effects", name)
        fed_by = names.signal(row["fed_by"], part.console, (*trail, "fed_by"))
        if fed_by is not None:
            names.own_mix(fed_by, part.console, (*trail, "fed_by"), "an effects unit is fed by a mix")
            names.effects[part.console, name] = Effects(name, part.console, fed_by, trail)


def _mixes(names: Names, part: Part) -> None:
    for name, row in part.sections.get("mixes", {}).items():
        declared = names.mixes[name]
        if declared.console != part.console:
            continue
        trail: Trail = (*part.trail, "mixes", name, "takes")
        takes = row.get("takes", {})
        sends = _sends(names, takes.get("channels", []), part, (*trail, "channels"))
        taken = []
        for index, text in enumerate(takes.get("mixes", ())):
            signal = names.signal(text, part.console, (*trail, "mixes", index))
            if signal is None:
                continue
            names.own_mix(signal, part.console, (*trail, "mixes", index), "a mix takes mixes")
            taken.append(signal)
        names.mixes[name] = Mix(
            name, part.console, declared.kind, declared.label, declared.width, sends, tuple(taken), declared.trail
        )


def _sends(names: Names, written: Any, part: Part, trail: Trail) -> dict[int, Send]:
    """Read `takes/channels`: a list of numbers and ranges, or a map of them to how each is sent."""
    is_map = isinstance(written, dict)
    rows = part.sections.get("channels", {})
    count = names.devices[part.console].model.channels
    sends: dict[int, Send] = {}
    for index, entry in enumerate(written):
        at: Trail = (*trail, entry if is_map else index)
        row = written[entry] if is_map else {}
        send = Send(row.get("level_db"), row.get("tap"))
        single = not isinstance(entry, str) or "-" not in entry
        numbers = [int(entry)] if single else names.numbers(entry, at, is_map)
        # Numbers of a range that nobody uses are left out; those that the console does not have are a slip.
        if not single and count and max(numbers, default=0) > max((count, *map(int, rows))):
            names.problem(at, f"{part.console} has channels 1-{count}", is_map)
        for number in numbers:
            if number in sends:
                names.problem(at, f"channel {number} is named twice here", is_map)
            elif str(number) in rows:
                sends[number] = send
            elif single:
                names.problem(at, _missing(number, is_map), is_map)
    return sends


def _missing(number: int, is_map: bool) -> str:
    """Say that the rig has no such channel, and how a week that has none leaves it out."""
    out = (
        f"write {number}: null here in a week's file"
        if is_map
        else "leave it out of the list, or write a range, which leaves out what nobody uses"
    )
    return f"this rig has no channel {number}; add it under channels, or {out}"


def blocks_and_channels(
    names: Names, parts: list[Part]
) -> tuple[dict[str, tuple[Block, ...]], dict[tuple[str, int], Channel]]:
    """Read the input blocks of every console by its name, and all channels by console and number."""
    blocks = {part.console: _blocks(names, part) for part in parts}
    channels = {
        (part.console, channel.number): channel
        for part in parts
        for channel in _channels(names, part, blocks[part.console])
    }
    return blocks, channels


def _blocks(names: Names, part: Part) -> tuple[Block, ...]:
    blocks: list[Block] = []
    taken: dict[int, str] = {}
    for key, text in part.sections.get("input_blocks", {}).items():
        trail = (*part.trail, "input_blocks", key)
        channels = names.numbers(key, trail, at_key=True)
        points = names.points(text, trail)
        if not channels or not points:
            continue  # a range that runs backwards is told already
        if len(points) != len(channels):
            message = f"{len(channels)} channels ({key}) can't take {len(points)} points ({text})"
            names.problem(trail, message)
            continue
        if doubled := [number for number in channels if number in taken]:
            names.problem(trail, f"channel {doubled[0]} is in the block {taken[doubled[0]]} as well", at_key=True)
        taken.update(dict.fromkeys(channels, key))
        _input_point(names, part.console, points[0], trail)  # all of them are of one device and side
        blocks.append(Block(part.console, key, channels, tuple(points), trail))
    return tuple(blocks)


def _input_point(names: Names, console: str, where: Socket | Slot, trail: Trail) -> Socket | Slot:
    """Hold a patch point against its console: its own input sockets and its own link ports."""
    device = where.device if isinstance(where, Socket) else where.port.device
    known = names.device(device, trail)
    if known is None:
        return where
    if device != console:
        message = f"{where} is not on {console}; patch from {console}'s own link slots or input sockets"
        names.problem(trail, message)
    elif isinstance(where, Slot):
        if where.port.name not in known.model.links:
            names.port(str(where.port), trail)
    elif where.side == "out":
        names.problem(trail, f"{where} is an output; expected an input such as {console}/in/{where.number}")
    return where


def _channels(names: Names, part: Part, blocks: tuple[Block, ...]) -> Iterator[Channel]:
    """A channel without a patch of its own has its block's."""
    by_block = {
        number: (block, where) for block in blocks for number, where in zip(block.channels, block.points, strict=True)
    }
    for key, row in part.sections.get("channels", {}).items():
        number = int(key)
        trail = (*part.trail, "channels", key)
        patched: InputPoint | None = None
        block: Block | None = None
        if "patched_from" in row:
            patched = _patch_point(names, part.console, row["patched_from"], (*trail, "patched_from"))
        elif number in by_block:
            block, patched = by_block[number]
        yield Channel(
            part.console,
            number,
            row.get("label", ""),
            _carries(names, part.console, row["carries"], (*trail, "carries")) if "carries" in row else None,
            patched,
            block.key if block else None,
            row.get("phantom"),
            row.get("gain_db"),
            row.get("pan"),
            int(row["doubles"]) if "doubles" in row else None,
            trail,
        )


def _patch_point(names: Names, console: str, text: str, trail: Trail) -> InputPoint | None:
    if text.startswith("effects/"):
        return _return(names, console, text, trail)
    try:
        device, side, number, _ = numbered(text)
    except ValueError as error:
        names.problem(trail, str(error))
        return None
    return _input_point(names, console, point(device, side, number), trail)


def _return(names: Names, console: str, text: str, trail: Trail) -> Return:
    name, _, side = text.removeprefix("effects/").partition(".")
    if (console, name) not in names.effects:
        own = [effects for desk, effects in names.effects if desk == console]
        names.known("effects unit", name, own, trail)
    return Return(console, name, side)


def _carries(names: Names, console: str, text: str, trail: Trail) -> str | Return:
    if text.startswith("effects/"):
        return _return(names, console, text, trail)
    if text not in names.sources:
        names.known("source", text, names.sources, trail)
    return text


def refer_channels(names: Names, channels: Mapping[tuple[str, int], Channel]) -> None:
    """Hold every channel number that channels, mixes and effects name against the channels there are."""
    for channel in channels.values():
        if channel.doubles is not None and (channel.console, channel.doubles) not in channels:
            names.problem((*channel.trail, "doubles"), f"there is no channel {channel.doubles} on {channel.console}")
    for mix in names.mixes.values():
        for index, signal in enumerate(mix.takes):
            names.refer_direct(signal, channels, (*mix.trail, "takes", "mixes", index))
    for unit in names.effects.values():
        names.refer_direct(unit.fed_by, channels, (*unit.trail, "fed_by"))
