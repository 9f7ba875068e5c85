"""The console's patch by channel, and what it sends to its outputs."""

from __future__ import annotations

from collections.abc import Iterator

from lint.page.page import CARE, Block, Section, Table, Words
from lint.resolve.resolved import Arrival, ResolvedRig
from lint.rig.address import Slot, Socket, spans
from lint.rig.rig import Channel, Device
from lint.sheet.boxes import PLUGGING, console_sockets, legend
from lint.sheet.marks import Marks
from lint.sheet.names import sockets_short, written
from lint.sheet.phantom import PHANTOM_LEGEND, channel_phantom
from lint.sheet.truth import DIFFERS, Truth, arrival_truth, departure_truth

CHANNELS = ("ch", "label", "carries", "patched from", "box socket", "but arrives", "48 V", "dB", "pan", "see")
SENDS = ("output", "carries", "leaves at", "but should", "see")
AMPLIFIERS = ("amplifier", "plugged into", "output", "kind", "loudspeakers", "see")
PATCHING = Words(
    "",
    (
        f"{CARE}: Mute the channel and turn the monitors down before its patch, gain or phantom power is changed; keep "
        "phantom power away from what says it must be off.",
    ),
)
SENDING = Words(
    "",
    (
        f"{CARE}: Turn the loudspeakers and monitors down, ears out, before a feed or a selector is changed: what "
        "comes next may be loud.",
    ),
)


def console_sections(rig: ResolvedRig, marks: Marks) -> Iterator[Section]:
    """Yield one section a console that has channels."""
    for console in rig.rig.consoles:
        rows = tuple(
            _channel(rig, arrival, marks) for key, arrival in sorted(rig.arrivals.items()) if key[0] == console.name
        )
        note = legend(rows, PHANTOM_LEGEND)
        blocks: list[Block] = [Table("Channels", CHANNELS, rows, note, console.name, tick=True)] if rows else []
        if blocks:
            yield Section("console", f"{console.name}: patch by channel", (PATCHING, *blocks))


def local_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return what is plugged into the consoles themselves, or None."""
    tables = tuple(console_sockets(rig, marks))
    return Section("local", "At the console", (PLUGGING, *tables), joins=True) if tables else None


def sends_section(rig: ResolvedRig, marks: Marks) -> Section | None:
    """Return what each console sends to each output slot and socket, or None where it sends nothing."""
    tables = tuple(
        Table(console.name, SENDS, rows, legend(rows), console.name, tick=True)
        for console in rig.rig.consoles
        if (rows := tuple(_sends(rig, console, marks)))
    )
    driven = tuple(_amplifiers(rig, marks))
    if driven:
        tables = (*tables, Table("Amplifiers", AMPLIFIERS, driven, group="amplifiers"))
    return Section("outputs", "Output patch of the console", (SENDING, *tables), joins=True) if tables else None


def _amplifiers(rig: ResolvedRig, marks: Marks) -> Iterator[tuple[str, ...]]:
    """Yield each loudspeaker output of each amplifier: its findings have no other place of their own."""
    for amplifier in rig.rig.amplifiers.values():
        fed = sockets_short(amplifier.sockets) or "not stated"
        name = written(amplifier.name, amplifier.label)
        if not amplifier.outputs:
            yield name, fed, "", "", "", marks.at(amplifier.name)
        for part in amplifier.outputs:
            what = f"{part.line_v:g} V line" if part.line_v else "low impedance"
            see = marks.at(amplifier.name, f"{amplifier.name}/{part.name}")
            yield name, fed, part.name, what, str(sum(row.number for row in part.loudspeakers)), see


def _channel(rig: ResolvedRig, arrival: Arrival, marks: Marks) -> tuple[str, ...]:
    channel, truth = arrival.channel, arrival_truth(rig, arrival)
    return (
        str(channel.number),
        channel.label,
        truth.meant,
        _point(channel),
        f"{arrival.socket.device} {arrival.socket.number}" if arrival.slot and arrival.socket else "",
        "" if truth.is_right and truth.meant else truth.real,
        channel_phantom(rig, arrival, marks),
        "" if channel.gain_db is None else f"{channel.gain_db:g}",
        channel.pan or "",
        marks.see(truth),
    )


def _point(channel: Channel) -> str:
    """Return what a channel is patched from, without the console's own name before it."""
    return str(channel.patched_from or "").removeprefix(f"{channel.console}/")


def _sends(rig: ResolvedRig, console: Device, marks: Marks) -> Iterator[tuple[str, ...]]:
    leaves: dict[Slot | Socket, list[Socket]] = {}
    for device in rig.rig.devices.values():
        for number in range(1, device.model.outputs.count + 1):
            departure = rig.departure(Socket(device.name, "out", number))
            if departure.signal is not None:
                leaves.setdefault(departure.slot or departure.socket, []).append(departure.socket)
    for where, feed in sorted(rig.rig.feeds.items(), key=lambda entry: str(type(entry[0])) + _key(entry[0])):
        if (where.device if isinstance(where, Socket) else where.port.device) != console.name:
            continue
        sockets = leaves.get(where, [])
        by_device: dict[str, list[int]] = {}
        for socket in sockets:
            by_device.setdefault(socket.device, []).append(socket.number)
        ends = ", ".join(f"{name} output {spans(numbers)}" for name, numbers in by_device.items())
        copied = f" (copy of {feed.copied_from})" if feed.copied_from else ""
        wrong = list(_wrong_ends(rig, str(feed.signal), sockets))
        words = "; ".join(dict.fromkeys(words for words, _ in wrong))
        truths = [truth for _, truth in wrong]
        see = marks.see(*truths) if truths else marks.at(where, feed.signal.name)
        yield str(where), str(feed.signal) + copied, ends or "no socket", words, see


def _wrong_ends(rig: ResolvedRig, sent: str, sockets: list[Socket]) -> Iterator[tuple[str, Truth]]:
    """Yield what hangs where a feed leaves and needs another, or needs it and gets nothing of it; each with why."""
    for destination, departure, wanted in rig.outputs():
        truth = departure_truth(rig, [destination], departure, [wanted] if wanted else [])
        if truth.is_right:
            continue
        if departure.socket in sockets:
            yield f"{DIFFERS} {destination.name} needs {wanted}", truth
        elif str(wanted) == sent and not sockets:
            yield f"{DIFFERS} reach {destination.name}", truth


def _key(where: Slot | Socket) -> str:
    device = where.device if isinstance(where, Socket) else str(where.port)
    return f"{device} {where.number:06d}"
