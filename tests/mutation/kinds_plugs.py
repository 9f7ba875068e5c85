"""Mistakes with the plugs on stage."""

from __future__ import annotations

from collections.abc import Iterator

from bench import DROP, Base, Site, kind
from kinds_patch import CROSSED, NOTHING, OTHER, UNHEARD, Leg, is_free, legs, plug

from lint.rig.address import Socket


@kind(NOTHING, UNHEARD, audible=True)
def plug_in_the_next_socket(base: Base) -> Iterator[Site]:
    """A plug is in the free socket beside its own."""
    for source, index, socket in legs(base):
        for by in (-1, 1):
            there = socket._replace(number=socket.number + by)
            if is_free(base, there):
                yield Site(f"{source.name} in {there}", (plug(base, source, index, there),))


@kind("socket-shared")
def two_plugs_in_one(base: Base) -> Iterator[Site]:
    """The sheet has two sources in one socket."""
    for source, index, socket in legs(base):
        there = socket._replace(number=socket.number + 1)
        if there in base.resolved.sources_in:
            yield Site(f"{source.name} in {there}", (plug(base, source, index, there),))


def side_by_side(base: Base) -> Iterator[tuple[Leg, Leg]]:
    """Yield plugs in neighbouring sockets."""
    at = {socket: (source, index, socket) for source, index, socket in legs(base)}
    for socket, leg in at.items():
        beside = at.get(socket._replace(number=socket.number + 1))
        if beside is not None:
            yield leg, beside


@kind(OTHER, CROSSED, audible=True)
def two_plugs_swapped(base: Base) -> Iterator[Site]:
    """Two plugs are in each other's socket."""
    for (first, i, one), (second, j, two) in side_by_side(base):
        where = f"{first.name} and {second.name} at {one.device}"
        yield Site(where, (plug(base, first, i, two), plug(base, second, j, one)))


@kind(OTHER, audible=True)
def two_plugs_swapped_between_boxes(base: Base) -> Iterator[Site]:
    """Two plugs of the same number are in each other's box."""
    every = legs(base)
    for at, (first, i, one) in enumerate(every):
        for second, j, two in every[at + 1 :]:
            if one.number == two.number and one.device != two.device and first != second:
                yield Site(f"{first.name} and {second.name}", (plug(base, first, i, two), plug(base, second, j, one)))


@kind(NOTHING, UNHEARD, audible=True)
def plug_in_another_box(base: Base) -> Iterator[Site]:
    """A plug is in the free socket of that number on another box or on the console."""
    for source, index, socket in legs(base):
        for device in base.resolved.rig.devices:
            there = Socket(device, "in", socket.number)
            if device != socket.device and is_free(base, there):
                yield Site(f"{source.name} in {there}", (plug(base, source, index, there),))


@kind("socket-missing")
def plug_in_no_socket(base: Base) -> Iterator[Site]:
    """The sheet names a socket that the box does not have."""
    for source, index, socket in legs(base):
        count = base.resolved.device(socket.device).model.inputs.count
        there = socket._replace(number=count + 1)
        yield Site(f"{source.name} in {there}", (plug(base, source, index, there),))


@kind(OTHER, NOTHING, CROSSED, UNHEARD, "socket-missing", "patch-block-wrong", audible=True)
def socket_skipped(base: Base) -> Iterator[Site]:
    """A volunteer skips a socket: every plug of that box from there on is one further."""
    for device in base.resolved.boxes:
        rows = sorted((leg for leg in legs(base) if leg[2].device == device), key=lambda leg: leg[2].number)
        for start in (0, len(rows) // 2):
            later = rows[start:]
            edits = tuple(plug(base, s, i, at._replace(number=at.number + 1)) for s, i, at in later)
            if later:
                yield Site(f"{device} from {later[0][2].number} on", edits)


@kind(OTHER, NOTHING, CROSSED, UNHEARD, "patch-block-wrong", audible=True)
def two_looms_swapped(base: Base) -> Iterator[Site]:
    """Two looms of eight are in each other's sockets: 1-8 in 9-16 and the other way round."""
    for device in base.resolved.boxes:
        rows = [leg for leg in legs(base) if leg[2].device == device and leg[2].number <= 16]
        if base.resolved.device(device).model.inputs.count >= 16 and rows:
            edits = tuple(plug(base, s, i, at._replace(number=(at.number + 7) % 16 + 1)) for s, i, at in rows)
            yield Site(device, edits)


@kind(NOTHING, UNHEARD, audible=True)
def split_leg_forgotten(base: Base) -> Iterator[Site]:
    """Of a source behind a splitter only one plug is put in."""
    for source in base.resolved.rig.sources.values():
        if len(source.sockets) > 1:
            for kept in source.sockets:
                yield Site(f"{source.name} in {kept} alone", (((*source.trail, "plugged_into"), str(kept)),))


@kind("split-leg-missing")
def split_leg_forgotten_where_nobody_waits(base: Base) -> Iterator[Site]:
    """A source is put behind the splitter for a console that is not patched yet, and one plug is put in."""
    rig = base.resolved.rig
    for source in rig.sources.values():
        if len(source.sockets) == 1 and len(rig.consoles) > 1:
            split = {"kind": "analogue", "sources": [source.name]}
            yield Site(source.name, ((("splits", "more"), split),))


@kind()
def source_struck_out(base: Base) -> Iterator[Site]:
    """A source is struck out, and the channel that carries it is not."""
    for name in base.resolved.carriers_of:
        yield Site(name, ((("sources", name), DROP),))
