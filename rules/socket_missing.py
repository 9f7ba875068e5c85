"""A socket or slot that does not exist."""

from collections.abc import Iterator
from typing import NamedTuple

from lint import Bad, Cure, Finding, Place, ResolvedRig, Slot, Socket, rule
from lint.resolve.mixup import WrongOutput, feed_changes, nested
from lint.resolve.other_model import models_that_fit
from lint.rig.address import OutputPoint, spans
from lint.rig.plant import Amplifier
from lint.rig.rig import Destination, Source
from lint.rules._cabling import joined
from lint.rules._models import another_model, explained_by_model
from lint.rules._output_cures import plug_cures
from lint.rules._phantom import SAFETY
from lint.rules._words import listed

_WHY = """\
The model has fewer sockets than the number that is written: whoever plugs by the sheet will look for a socket that is
not there."""
_NOUN = {"in": "inputs", "out": "outputs"}


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
            "sources: {lead-vocal: {plugged_into: west-box/in/15}, choir: {plugged_into: west-box/in/16}}\n"
            "devices: {west-box: {model: stage-box-8x8}}\n"
            "channels: {1: {patched_from: desk/link-1/15}, 2: {patched_from: desk/link-1/16}}",
            (
                "west-box (stage-box-8x8) has 8 inputs, but lead-vocal is plugged into west-box/in/15, choir is plugged "
                "into west-box/in/16.",
            ),
        ),
        Bad(
            "amplifiers: {foyer: {plugged_into: west-box/out/9, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
            ("foyer is plugged into west-box/out/9, but west-box (stage-box-16x8) has 8 outputs.",),
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
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a device that lacks what is written, and one a port that lacks slots."""
    by_device: dict[str, list[_Written]] = {}
    for row in _written(rig):
        by_device.setdefault(row.socket.device, []).append(row)
    for device, rows in by_device.items():
        yield _missing(rig, device, rows)
    yield from _feeds(rig)
    yield from _channels(rig)


class _Written(NamedTuple):
    """A socket that is written and does not exist: what is said of it, where, and what would put it right."""

    said: str
    socket: Socket
    place: Place
    cure: Cure | None = None


def _written(rig: ResolvedRig) -> Iterator[_Written]:
    rows: tuple[Source | Destination | Amplifier, ...] = (
        *rig.rig.sources.values(),
        *rig.rig.destinations.values(),
        *rig.rig.amplifiers.values(),
    )
    for row in rows:
        for socket in row.sockets:
            if not rig.has_socket(socket):
                cure = _cure(rig, row)
                place = rig.place((*row.trail, "plugged_into"), socket)
                yield _Written(f"{row.name} is plugged into {socket}", socket, place, cure)
    for arrival in rig.arrivals.values():
        if arrival.stop == "socket-missing" and arrival.socket is not None:
            place = rig.place((*arrival.channel.trail, "patched_from"), arrival.socket)
            said = f"{rig.rig.channel_words(arrival.channel)} is patched from {arrival.socket}"
            yield _Written(said, arrival.socket, place)


def _missing(rig: ResolvedRig, device: str, rows: list[_Written]) -> Finding:
    model = rig.device(device).model
    sides = sorted({row.socket.side for row in rows})
    counts = {side: (model.inputs if side == "in" else model.outputs).count for side in sides}
    has = joined(f"{n} {_NOUN[side][: None if n != 1 else -1]}" for side, n in counts.items())
    message = f"{joined(row.said for row in rows[:1])}, but {device} ({model.name}) has {has}."
    places = tuple(row.place for row in rows)
    if len(rows) > 1:
        message = f"{device} ({model.name}) has {has}, but {listed(row.said for row in rows)}."
        places = (rig.place(("devices", device, "model"), device), *places)
    others = models_that_fit(rig, [device]) if model.chain else []
    cures = [row.cure for row in rows if row.cure] if len(rows) == 1 else []
    return Finding(
        message,
        places,
        (*cures, *map(another_model, others)),
        {"sockets": min(counts.values())},
        explains=explained_by_model(rig, others),
    )


def _home(rig: ResolvedRig, source: str) -> Cure | None:
    """Return the cure where the source's channel listens at a free socket."""
    for channel in rig.carriers_of.get(source, ()):
        socket = rig.arrivals[channel.console, channel.number].socket
        if socket is not None and socket not in rig.sources_in and rig.has_socket(socket):
            text = f"plug {source} into {socket}, where channel {channel.number} listens"
            return Cure(text, nested(("sources", source, "plugged_into"), str(socket)))
    return None


def _cure(rig: ResolvedRig, row: Source | Destination | Amplifier) -> Cure | None:
    if isinstance(row, Source):
        return _home(rig, row.name)
    return _outlet(rig, row) if isinstance(row, Destination) else None


def _outlet(rig: ResolvedRig, destination: Destination) -> Cure | None:
    """Return the cure that moves a destination's plugs to where its mix leaves."""
    pairs = zip(rig.departures[destination.name], destination.expects, strict=False)
    rows = [WrongOutput(destination, departure, wanted) for departure, wanted in pairs]
    return next(iter(plug_cures(rig, rows)), None) if rows else None


def _channels(rig: ResolvedRig) -> Iterator[Finding]:
    for channel in rig.rig.channels.values():
        count = rig.device(channel.console).model.channels
        if count is not None and channel.number > count:
            message = f"channel {channel.number} is patched, but {channel.console} has {count} channels."
            yield Finding(message, (rig.place(channel.trail, channel.address, at_key=True),), (), {"channels": count})


def _feeds(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a console port or link whose feeds run past its end."""
    past: dict[str, list[OutputPoint]] = {}
    for where in rig.rig.feeds:
        if isinstance(where, Socket) and not rig.has_socket(where):
            past.setdefault(f"{where.device}/out", []).append(where)
        elif isinstance(where, Slot) and (chain := rig.chains.get(where.port)) and where.number > chain.capacity:
            past.setdefault(str(where.port), []).append(where)
    for port, points in past.items():
        numbers = spans(sorted(point.number for point in points))
        fed = f"{port}/{numbers} {'is' if len(points) == 1 else 'are'} fed"
        facts: dict[str, str | int | float] = {}
        first = points[0]
        if isinstance(first, Socket):
            facts["sockets"] = rig.device(first.device).model.outputs.count
            message = f"{fed}, but {first.device} has {facts['sockets']} outputs."
        else:
            rate = rig.device(first.port.device).sample_rate_hz or rig.rig.sample_rate_hz
            facts |= {"slots": rig.chains[first.port].capacity, "sample_rate_hz": rate}
            message = f"{fed}, but that link has {facts['slots']} slots at {rate} Hz."
        places = tuple(rig.place(rig.rig.feeds[point].trail, point, at_key=True) for point in points)
        cure = Cure(f"take the feed of {port}/{numbers} out", feed_changes(rig, dict.fromkeys(points)))
        yield Finding(message, places, (cure,), facts, explains=frozenset(_waiting(rig, points)))


def _waiting(rig: ResolvedRig, points: list[OutputPoint]) -> Iterator[tuple[str, str]]:
    """Yield the findings about what waits for a signal that is sent past the end."""
    signals = {rig.rig.feeds[point].signal for point in points}
    for destination, departure, wanted in rig.outputs():
        if wanted in signals and departure.signal is None:
            yield "output-carries-nothing", destination.name
    yield from (("house-unheard", signal.name) for signal in signals)
