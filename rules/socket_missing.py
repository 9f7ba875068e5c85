"""A socket or slot that does not exist."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Place, ResolvedRig, Slot, Socket, rule
from lint.resolve.mixup import feed_changes, nested

_WHY = """\
The model has fewer sockets than the number that is written: whoever plugs by the sheet will look for a socket that is
not there."""


@rule(
    title="A socket, slot or channel number that does not exist on the model",
    severity="no-go",
    family="plugs",
    why=_WHY,
    do="Look at the box, and write the number that is printed beside the socket.",
    good=["sources: {piano: {plugged_into: east-box/in/8}}\nchannels: {3: {patched_from: desk/link-1/24}}"],
    bad=[
        Bad(
            "sources: {piano: {plugged_into: east-box/in/9}}",
            ("piano is plugged into east-box/in/9, but east-box (stage-box-8x8) has 8 inputs.",),
        ),
        Bad(
            "channels: {33: {label: Guest}}",
            ("channel 33 is patched, but desk has 32 channels.",),
        ),
        Bad(
            "feeds: {desk/link-1: {49: singer-mon}}",
            ("desk/link-1/49 is fed, but that link has 48 slots at 48000 Hz.",),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a socket that is written and missing."""
    for source in rig.rig.sources.values():
        for socket in source.sockets:
            if not rig.has_socket(socket):
                place = rig.place((*source.trail, "plugged_into"), socket)
                yield _missing(rig, f"{source.name} is plugged into {socket}", socket, place, _home(rig, source.name))
    for destination in rig.rig.destinations.values():
        for socket in destination.sockets:
            if not rig.has_socket(socket):
                place = rig.place((*destination.trail, "plugged_into"), socket)
                yield _missing(rig, f"{destination.name} is plugged into {socket}", socket, place, None)
    for arrival in rig.arrivals.values():
        if arrival.stop == "socket-missing" and arrival.socket is not None:
            place = rig.place((*arrival.channel.trail, "patched_from"), arrival.socket)
            words = rig.rig.channel_words(arrival.channel)
            yield _missing(rig, f"{words} is patched from {arrival.socket}", arrival.socket, place, None)
    yield from _feeds(rig)
    yield from _channels(rig)


def _missing(rig: ResolvedRig, said: str, socket: Socket, place: Place, cure: Cure | None) -> Finding:
    model = rig.device(socket.device).model
    count, noun = (model.inputs.count, "inputs") if socket.side == "in" else (model.outputs.count, "outputs")
    message = f"{said}, but {socket.device} ({model.name}) has {count} {noun if count != 1 else noun[:-1]}."
    return Finding(message, (place,), (cure,) if cure else (), {"sockets": count})


def _home(rig: ResolvedRig, source: str) -> Cure | None:
    """Return the cure where the source's channel listens at a free socket."""
    for channel in rig.carriers_of.get(source, ()):
        socket = rig.arrivals[channel.console, channel.number].socket
        if socket is not None and socket not in rig.sources_in and rig.has_socket(socket):
            text = f"plug {source} into {socket}, where channel {channel.number} listens"
            return Cure(text, nested(("sources", source, "plugged_into"), str(socket)))
    return None


def _channels(rig: ResolvedRig) -> Iterator[Finding]:
    for channel in rig.rig.channels.values():
        count = rig.device(channel.console).model.channels
        if count is not None and channel.number > count:
            message = f"channel {channel.number} is patched, but {channel.console} has {count} channels."
            yield Finding(message, (rig.place(channel.trail, channel.address, at_key=True),), (), {"channels": count})


def _feeds(rig: ResolvedRig) -> Iterator[Finding]:
    for where, feed in rig.rig.feeds.items():
        place = rig.place(feed.trail, where, at_key=True)
        cure = (Cure(f"take the feed of {where} out", feed_changes(rig, {where: None})),)
        if isinstance(where, Socket) and not rig.has_socket(where):
            count = rig.device(where.device).model.outputs.count
            message = f"{where} is fed, but {where.device} has {count} outputs."
            yield Finding(message, (place,), cure, {"sockets": count})
        elif isinstance(where, Slot) and (chain := rig.chains.get(where.port)) and where.number > chain.capacity:
            rate = rig.rig.devices[where.port.device].sample_rate_hz or rig.rig.sample_rate_hz
            message = f"{where} is fed, but that link has {chain.capacity} slots at {rate} Hz."
            yield Finding(message, (place,), cure, {"slots": chain.capacity, "sample_rate_hz": rate})
