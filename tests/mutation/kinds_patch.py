"""Mistakes at the console's input patch, and with the plugs on stage."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from bench import DROP, Base, Edit, Site, kind

from lint.rig.address import InputPoint, Return, Slot, Socket
from lint.rig.rig import Channel, Source

OTHER, NOTHING = "patch-carries-other", "patch-carries-nothing"
UNHEARD, CROSSED = "source-unheard", "stereo-crossed"

Leg = tuple[Source, int, Socket]


def patched(base: Base) -> list[tuple[Channel, Slot | Socket]]:
    """Return the channels that take a slot or socket, and which."""
    rows = ((channel, channel.patched_from) for channel in base.resolved.rig.channels.values())
    return [(channel, point) for channel, point in rows if isinstance(point, Slot | Socket)]


def returned(base: Base) -> list[tuple[Channel, Return]]:
    """Return the channels that take an effects return, and which."""
    rows = ((channel, channel.patched_from) for channel in base.resolved.rig.channels.values())
    return [(channel, point) for channel, point in rows if isinstance(point, Return)]


def neighbours(base: Base) -> list[tuple[tuple[Channel, Slot | Socket], tuple[Channel, Slot | Socket]]]:
    """Return channels that stand side by side on one console."""
    rows = sorted(patched(base), key=lambda row: (row[0].console, row[0].number))
    return [(first, second) for first, second in pairwise(rows) if first[0].console == second[0].console]


def patch(channel: Channel, point: InputPoint) -> Edit:
    return (*channel.trail, "patched_from"), str(point)


def moved(point: Slot | Socket, by: int) -> Slot | Socket:
    return point._replace(number=point.number + by)


def legs(base: Base) -> list[Leg]:
    """Return every plug: the source, which of its plugs, and the socket."""
    return [(s, index, socket) for s in base.resolved.rig.sources.values() for index, socket in enumerate(s.sockets)]


def plug(base: Base, source: Source, index: int, socket: Socket) -> Edit:
    """Return the edit that puts one plug of a source elsewhere."""
    written = base.at((*source.trail, "plugged_into"))
    if isinstance(written, list):
        return (*source.trail, "plugged_into"), [str(socket) if i == index else w for i, w in enumerate(written)]
    return (*source.trail, "plugged_into"), str(socket)


def is_free(base: Base, socket: Socket) -> bool:
    return socket.number >= 1 and base.resolved.has_socket(socket) and socket not in base.resolved.sources_in


def shown(channel: Channel) -> str:
    return channel.address


# -- the patch of one channel ------------------------------------------------------------------------------------


@kind(OTHER, NOTHING, "socket-missing", audible=True)
def patch_off_by_one(base: Base) -> Iterator[Site]:
    """A channel is patched from the slot or socket beside the right one."""
    for channel, point in patched(base):
        for by in (-1, 1):
            if point.number + by >= 1:
                yield Site(f"{shown(channel)} from {moved(point, by)}", (patch(channel, moved(point, by)),))


@kind(OTHER, NOTHING, "socket-missing", audible=True)
def patch_a_block_further(base: Base) -> Iterator[Site]:
    """A channel is patched from the same place in the next block of eight."""
    for channel, point in patched(base):
        yield Site(f"{shown(channel)} from {moved(point, 8)}", (patch(channel, moved(point, 8)),))


@kind(OTHER, CROSSED, audible=True)
def two_patches_swapped(base: Base) -> Iterator[Site]:
    """Two channels side by side are patched in each other's place."""
    for (first, one), (second, two) in neighbours(base):
        yield Site(f"{shown(first)} and {shown(second)}", (patch(first, two), patch(second, one)))


@kind(OTHER, NOTHING, audible=True)
def patch_to_the_other_box(base: Base) -> Iterator[Site]:
    """A channel is patched from the right socket number, but of another box."""
    for channel, point in patched(base):
        socket = base.resolved.arrivals[channel.console, channel.number].socket
        for device in base.resolved.boxes:
            if socket is None or device == socket.device:
                continue
            there = base.resolved.input_point(Socket(device, "in", socket.number), channel.console)
            if there is not None and there != point:
                yield Site(f"{shown(channel)} from {there} ({device})", (patch(channel, there),))


@kind(OTHER, NOTHING, audible=True)
def patch_to_the_console_itself(base: Base) -> Iterator[Site]:
    """A channel is patched from the console's own socket instead of the link slot of that number."""
    for channel, point in patched(base):
        socket = Socket(channel.console, "in", point.number)
        if isinstance(point, Slot) and base.resolved.has_socket(socket):
            yield Site(f"{shown(channel)} from {socket}", (patch(channel, socket),))


@kind(OTHER, NOTHING, audible=True)
def patch_to_the_link(base: Base) -> Iterator[Site]:
    """A channel is patched from a link slot instead of the console's own socket of that number."""
    for channel, point in patched(base):
        for link in base.resolved.chains:
            if isinstance(point, Socket) and link.device == channel.console:
                slot = Slot(link, point.number)
                yield Site(f"{shown(channel)} from {slot}", (patch(channel, slot),))


@kind(OTHER, NOTHING, audible=True)
def patch_to_another_link(base: Base) -> Iterator[Site]:
    """A channel is patched from the right slot, but of the console's other link port."""
    for channel, point in patched(base):
        if isinstance(point, Slot):
            for name in base.resolved.device(channel.console).model.links:
                if name != point.port.name:
                    slot = point._replace(port=point.port._replace(name=name))
                    yield Site(f"{shown(channel)} from {slot}", (patch(channel, slot),))


@kind(NOTHING, UNHEARD, audible=True)
def channel_unpatched(base: Base) -> Iterator[Site]:
    """A channel is patched from nowhere."""
    for channel, _ in patched(base):
        if base.at((*channel.trail, "patched_from")):
            yield Site(shown(channel), (((*channel.trail, "patched_from"), DROP),))


@kind(UNHEARD, audible=True)
def channel_forgotten(base: Base) -> Iterator[Site]:
    """The only channel that a source has is left out; a mix that names it by itself is then refused."""
    for name, channels in base.resolved.channels_of.items():
        if len(channels) == 1:
            yield Site(f"{shown(channels[0])} ({name})", ((channels[0].trail, DROP),))


@kind("channel-double-patch")
def socket_on_two_channels(base: Base) -> Iterator[Site]:
    """A microphone is put on a second channel, and nobody says that it is meant."""
    rig = base.resolved.rig
    for channel, point in patched(base):
        most = base.resolved.device(channel.console).model.channels or 32
        free = next((n for n in range(most, 0, -1) if (channel.console, n) not in rig.channels), None)
        if free is not None:
            row = {**base.at(channel.trail), "patched_from": str(point)}
            yield Site(f"{point} on {channel.console}/channel/{free} too", (((*channel.trail[:-1], str(free)), row),))


@kind(OTHER, audible=True)
def channel_meant_for_another(base: Base) -> Iterator[Site]:
    """The list names the next channel's source: what arrives is not what the strip is meant to carry."""
    for (first, _), (second, _) in neighbours(base):
        yield Site(shown(first), (((*first.trail, "carries"), str(second.carries)),))


@kind(OTHER, CROSSED, audible=True)
def two_strips_swapped(base: Base) -> Iterator[Site]:
    """What two neighbouring strips are meant to carry is written in each other's row."""
    for (first, _), (second, _) in neighbours(base):
        edits = (((*first.trail, "carries"), str(second.carries)), ((*second.trail, "carries"), str(first.carries)))
        yield Site(f"{shown(first)} and {shown(second)}", edits)


# -- returns, pairs and pans -------------------------------------------------------------------------------------


@kind(OTHER, CROSSED, audible=True)
def return_from_the_other_side(base: Base) -> Iterator[Site]:
    """An effects return takes the unit's other side."""
    for channel, point in returned(base):
        if point.side:
            other = point._replace(side={"left": "right", "right": "left"}[point.side])
            yield Site(shown(channel), (patch(channel, other),))


@kind(OTHER, NOTHING, audible=True)
def return_from_a_slot(base: Base) -> Iterator[Site]:
    """An effects return channel is left patched from the link slot or socket of its own number."""
    for channel, _ in returned(base):
        for link in base.resolved.chains:
            if link.device == channel.console:
                slot = Slot(link, channel.number)
                yield Site(f"{shown(channel)} from {slot}", (patch(channel, slot),))


def pair_channels(base: Base) -> Iterator[tuple[Channel, Channel]]:
    """Yield the left and right channels of every pair, console by console."""
    for pair in base.resolved.rig.pairs.values():
        for left in base.resolved.carriers_of.get(pair.left, ()):
            for right in base.resolved.carriers_of.get(pair.right, ()):
                if left.console == right.console and (left.pan, right.pan) == ("left", "right"):
                    yield left, right


@kind(CROSSED, audible=True)
def pans_swapped(base: Base) -> Iterator[Site]:
    """Left and right of a pair are panned the wrong way round."""
    for left, right in pair_channels(base):
        yield Site(shown(left), (((*left.trail, "pan"), "right"), ((*right.trail, "pan"), "left")))


@kind(CROSSED, audible=True)
def pair_panned_to_one_side(base: Base) -> Iterator[Site]:
    """Both channels of a pair are panned to the same side."""
    for left, right in pair_channels(base):
        yield Site(shown(left), (((*left.trail, "pan"), "right"),))
        yield Site(shown(right), (((*right.trail, "pan"), "left"),))


@kind(CROSSED, audible=True)
def returns_panned_wrongly(base: Base) -> Iterator[Site]:
    """The two sides of an effects return are panned the wrong way round."""
    sides = {point.side: channel for channel, point in returned(base)}
    if {"left", "right"} <= sides.keys():
        left, right = sides["left"], sides["right"]
        yield Site(shown(left), (((*left.trail, "pan"), "right"), ((*right.trail, "pan"), "left")))


@kind(CROSSED, risky=False)
def pair_declared_crossed(base: Base) -> Iterator[Site]:
    """The list of pairs names left for right, while the pans are right."""
    for pair in base.resolved.rig.pairs.values():
        row = {"left": pair.right, "right": pair.left}
        yield Site(pair.name, ((pair.trail, row),))


@kind("stereo-split")
def pair_on_two_boxes(base: Base) -> Iterator[Site]:
    """The right half of a pair is plugged into another box, and the console patched after it."""
    rig = base.resolved.rig
    for pair in rig.pairs.values():
        right = rig.sources[pair.right]
        channels = base.resolved.channels_of.get(pair.right, [])
        if len(right.sockets) != 1 or len(channels) != 1 or right.sockets[0].device not in base.resolved.boxes:
            continue
        for device in base.resolved.boxes:
            there = next(
                (s for n in range(1, 33) if is_free(base, s := Socket(device, "in", n)) and s in base.resolved.slot_of),
                None,
            )
            point = there and base.resolved.input_point(there, channels[0].console)
            if there and point and device not in {s.device for s in (*right.sockets, *rig.sources[pair.left].sockets)}:
                yield Site(f"{pair.name}: {there}", (plug(base, right, 0, there), patch(channels[0], point)))


# -- many channels at once -----------------------------------------------------------------------------------------


@kind(OTHER, NOTHING, CROSSED, UNHEARD, "socket-missing", audible=True)
def patch_shifted_from_here_on(base: Base) -> Iterator[Site]:
    """A line was put in: from one channel on, every channel takes the slot of its neighbour."""
    for console in {channel.console for channel, _ in patched(base)}:
        rows = [(c, p) for c, p in patched(base) if c.console == console and isinstance(p, Slot)]
        for start in (0, len(rows) // 2):
            edits = tuple(patch(channel, moved(point, 1)) for channel, point in rows[start:])
            if edits:
                yield Site(f"{console} from channel {rows[start][0].number} on", edits)


@kind("patch-block-wrong", OTHER, NOTHING, audible=True)
def block_from_elsewhere(base: Base) -> Iterator[Site]:
    """A block of eight channels is patched from another block of slots or sockets."""
    blocks = base.data.get("input_blocks", {})
    for key, own in blocks.items():
        for other in blocks.values():
            if other != own:
                yield Site(f"{key} from {other}", ((("input_blocks", key), other),))


@kind("patch-block-wrong", OTHER, NOTHING, audible=True)
def two_blocks_swapped(base: Base) -> Iterator[Site]:
    """Two blocks of channels are patched in each other's place."""
    blocks = list(base.data.get("input_blocks", {}).items())
    for (first, one), (second, two) in pairwise(blocks):
        yield Site(f"{first} and {second}", ((("input_blocks", first), two), (("input_blocks", second), one)))


@kind("patch-block-wrong", OTHER, NOTHING, "socket-missing", audible=True)
def block_off_by_one(base: Base) -> Iterator[Site]:
    """A block of channels begins one slot too late."""
    for key, own in base.data.get("input_blocks", {}).items():
        side, _, numbers = own.rpartition("/")
        first, last = map(int, numbers.split("-"))
        yield Site(key, ((("input_blocks", key), f"{side}/{first + 1}-{last + 1}"),))
