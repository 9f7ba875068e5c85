"""What a test puts in the place of a suspect: only what the resolved rig really has, by its name and its place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple, TypeVar

from lint.hunt.witness import is_lit
from lint.plan.phantom import Switches
from lint.resolve.dark import dark_in
from lint.resolve.hearing import heard_on
from lint.resolve.phantom import INDIFFERENT, NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import OutputPoint, Socket, spans
from lint.rig.plant import Amplifier
from lint.rig.rig import Channel, Destination, Source, is_driven
from lint.walk.row_words import titled


class Other(NamedTuple):
    """Another socket in the place of a suspected one: what to do there, and what to do if it is right with that.

    `back` says how to leave all as it was if it is not.
    """

    test: str
    keep: str
    back: str


Named = TypeVar("Named", Destination, Amplifier)


def place_of(rig: ResolvedRig, socket: Socket) -> str:
    """Return a socket and where its device stands."""
    return titled(str(socket), rig.rig.devices[socket.device].location)


def twin_of(rig: ResolvedRig, rows: Iterable[Named], like: Named) -> Named | None:
    """Return the rig's nearest other of the same kind that has mains: on the same device, by the socket's number."""
    dark, ours = dark_in(rig), _fits(like)
    twins = [row for row in rows if row.name != like.name and row.name not in dark and _fits(row) == ours]
    return min(twins, key=lambda row: apart(row, like), default=None)


def _fits(end: Destination | Amplifier) -> tuple[str, bool]:
    """Return what another must be alike in: its kind, and whether an amplifier drives it."""
    return (end.kind, is_driven(end)) if isinstance(end, Destination) else ("amplifier", False)


def another(twin: Destination | Amplifier | None, kind: str) -> str:
    """Say what of the same kind (in words) may be put in a place: a twin by name, or what the house has in store."""
    if twin is None:
        return f"another {kind} that works (none in this rig; s if the house has none)"
    return f"another {kind} that works (such as {twin.name})"


def apart(row: Source | Destination | Amplifier, like: Source | Destination | Amplifier) -> tuple[bool, int]:
    """Return how far two are apart by their sockets: on the same device or not, and by number."""
    if not row.sockets or not like.sockets:
        return True, 0
    first, second = row.sockets[0], like.sockets[0]
    return first.device != second.device, abs(first.number - second.number)


def thing_words(source: Source) -> str:
    """Return what a source is in the hand: what is plugged in is the DI box, and not the instrument in front of it."""
    return f"the DI box of {source.name}" if source.kind.endswith("-di") else source.name


def kind_words(kind: str) -> str:
    """Return the kind of a source or destination in the words of the crew."""
    return kind.replace("-", " ").removesuffix(" di") + (" DI box" if kind.endswith("-di") else "")


def awake(rig: ResolvedRig, channels: Iterable[Channel]) -> list[Channel]:
    """Return those channels, each once, whose console has mains and is not dead: the others need no hand; or all."""
    dark = {*dark_in(rig), *rig.dead}
    every = list(dict.fromkeys(channels))
    return [channel for channel in every if channel.console not in dark] or every


def numbered(channels: Iterable[Channel]) -> str:
    """Return many channels in few words: their numbers, console by console."""
    numbers: dict[str, set[int]] = {}
    for channel in channels:
        numbers.setdefault(channel.console, set()).add(channel.number)
    return " and ".join(
        f"channel{'s' * (len(some) > 1)} {spans(sorted(some))} on {console}" for console, some in numbers.items()
    )


# -- inputs --------------------------------------------------------------------------------------------------------


def other_input(
    rig: ResolvedRig, source: Source, socket: Socket, console: str, channel: str, unfed: bool = False
) -> Other | None:
    """Return another input for a source: a free one of its device, one that another source gives up, a free one afar.

    `channel` is the channel in words. None where there is none that the console can be patched from and that bears
    the source's need for phantom power. `unfed` asks for one that gives none: it comes by another leg.
    """
    near = [at for at in _inputs_of(rig, socket.device, console) if at != socket]
    devices = [name for name in rig.rig.devices if name != socket.device]
    # Where its own console is dark or dead as well, nothing there is darker than that.
    lit = [name for name in devices if is_lit(rig, name) or not is_lit(rig, console)]
    far = [at for name in lit for at in _inputs_of(rig, name, console)]
    need = phantom_need(source)
    if unfed:
        near, far = ([at for at in every if not rig.phantom.is_live(at)] for every in (near, far))
        need = INDIFFERENT
    calm_near, calm_far = ([at for at in every if not rig.phantom.is_live(at)] for every in (near, far))
    # What needs no phantom power goes rather to the next box than where another's comes with it: a plug clicks in both.
    next_box = [at for at in calm_far if need != NEEDED and any(one not in rig.sources_in for one in near)
                and _away(rig, socket, at) < len(rig.boxes)]  # fmt: skip
    for free in (
        _best_free(rig, need, socket, calm_near if need != NEEDED else ()),
        _best_free(rig, need, socket, next_box),
        _best_free(rig, need, socket, near),
        _given_up(rig, source, near),
        _best_free(rig, need, socket, far),
    ):
        if free is not None:
            leg = f"the leg of {source.name} behind its split" if len(source.sockets) > 1 else source.name
            return _at_input(rig, leg, (socket, free), (console, channel))
    return None


def _inputs_of(rig: ResolvedRig, device: str, console: str) -> Iterator[Socket]:
    """Yield the inputs of a device that a console can be patched from, each on a slot of its own."""
    if not rig.is_reached(device):
        return
    for number in range(1, rig.rig.devices[device].model.inputs.count + 1):
        at = Socket(device, "in", number)
        slot = rig.slot_of.get(at)
        if rig.input_point(at, console) is not None and (slot is None or rig.socket_at(slot) == at):
            yield at


def _best_free(rig: ResolvedRig, need: str, home: Socket, sockets: Iterable[Socket]) -> Socket | None:
    free = [at for at in sockets if at not in rig.sources_in]
    staying = {at: names[0] for at, names in rig.sources_in.items() if at != home}
    switches = Switches(rig, staying, free)
    rows = [(cost, at) for at in free if (cost := switches.cost(at, need, switches.state)) is not None]
    near = min(rows, key=lambda row: (row[0], _away(rig, home, row[1]), abs(row[1].number - home.number)), default=None)
    return near[1] if near is not None else None


def _away(rig: ResolvedRig, home: Socket, at: Socket) -> int:
    """Return how many boxes lie between two sockets; a console, and what hangs on another link, is behind them all."""
    one, other = rig.boxes.get(home.device), rig.boxes.get(at.device)
    if at.device == home.device:
        return 0
    is_near = one is not None and other is not None and one.link == other.link
    return abs(one.position - other.position) if one and other and is_near else len(rig.boxes)


def _given_up(rig: ResolvedRig, source: Source, sockets: Iterable[Socket]) -> Socket | None:
    """Return the socket of the least important source whose phantom power may stay as it is."""
    need = phantom_need(source)
    rows = [
        (rig.rig.sources[names[0]].priority, -abs(at.number - source.sockets[0].number), at)
        for at in sockets
        if len(names := rig.sources_in.get(at, [])) == 1 and names[0] != source.name
        if phantom_need(rig.rig.sources[names[0]]) == need
    ]
    return max(rows, key=lambda row: row[:2], default=(0, 0, None))[2]


def _at_input(rig: ResolvedRig, source: str, moved: tuple[Socket, Socket], heard: tuple[str, str]) -> Other:
    (home, at), (console, channel) = moved, heard
    before = rig.input_point(home, console)  # none by a console that is dead by the rig file
    again = f"from {before} again" if before is not None else "as it was"
    back = f"plug {source} back into {home} and patch {channel} {again}"
    given_up = rig.sources_in.get(at)
    point, place = rig.input_point(at, console), place_of(rig, at)
    patched = f"patch {channel} from {point} at the gain that it has now"
    if not given_up:
        taking = " and ".join(map(rig.rig.channel_words, _taking(rig, at)))
        mute = f"Mute {taking} as well, patched from there now, and plug" if taking else "Plug"
        if set(beside := _beside(rig, at)) - set(_taking(rig, at)):
            mute = f"Mute {numbered(beside)} as well (one phantom switch), and plug"
        return Other(
            f"{mute} {source} into {place}, which is free, and {patched}",
            f"leave {source} in {at} and {channel} patched from {point}",
            back,
        )
    name = given_up[0]
    theirs = " and ".join(map(rig.rig.channel_words, _taking(rig, at)))
    muted = f"{name} ({theirs})" if theirs else name
    return Other(
        f"{_none_free(rig, at, console)}: mute {muted} as well, take it out of {place}, plug {source} in there, and "
        f"{patched}",
        f"leave {source} in {at} and {channel} patched from {point}, or, if {name} matters more, plug both back; "
        "one of them needs another box or has to be done without",
        f"{back}, and plug {name} back into {at}",
    )


def _none_free(rig: ResolvedRig, at: Socket, console: str) -> str:
    """Say why no free input of a device is taken."""
    free = [str(socket) for socket in _inputs_of(rig, at.device, console) if socket not in rig.sources_in]
    if not free:
        return f"No input of {at.device} is free"
    return f"Free on {at.device}: {', '.join(free)}, but not with phantom power as it must be there"


def _taking(rig: ResolvedRig, at: Socket) -> list[Channel]:
    """Return the channels of every console that take a socket."""
    return [arrival.channel for arrival in rig.arrivals.values() if arrival.socket == at]


def _beside(rig: ResolvedRig, at: Socket) -> list[Channel]:
    """Return the channels that hear what hangs on the phantom switch of a socket, where that is on."""
    if not rig.phantom.is_live(at):
        return []
    sockets = rig.phantom.sockets_on(rig.phantom.switch_at(at))
    names = dict.fromkeys(name for each in sockets for name in rig.sources_in.get(each, ()))
    heard = [*(c for each in sockets for c in _taking(rig, each)), *(c for n in names for c in heard_on(rig, n))]
    return list(dict.fromkeys(heard))


def free_channel(rig: ResolvedRig, console: str) -> int | None:
    """Return the last input strip of a console that the rig leaves free, None where it leaves none."""
    count = rig.rig.devices[console].model.channels or 0
    return next((number for number in range(count, 0, -1) if (console, number) not in rig.rig.channels), None)


# -- outputs -------------------------------------------------------------------------------------------------------


def other_output(rig: ResolvedRig, end: str, socket: Socket, signal: str) -> Other | None:
    """Return another output for an end: a free one of its device, one that another end gives up, a free one afar.

    One that sends the same comes before one that is not fed, and none is fed that something else hangs on.
    """
    hung: dict[Socket, str] = {}
    for row in rig.rig.destinations.values():
        hung |= dict.fromkeys(row.sockets, row.name)
    for amplifier in rig.rig.amplifiers.values():
        hung |= dict.fromkeys(amplifier.sockets, amplifier.name)
    near = _outputs_of(rig, socket.device, socket)
    others = [name for name in rig.rig.devices if name != socket.device and is_lit(rig, name)]
    far = [at for name in others for at in _outputs_of(rig, name, socket)]
    taken = _slots(rig, hung)

    def free(sockets: list[Socket]) -> Iterator[Other]:
        idle = [at for at in sockets if at not in hung]
        for at in idle:
            if str(rig.departure(at).signal) == signal:
                yield _at_output(rig, end, (socket, at), "which is free and sends the same")
        for at in idle:
            if rig.departure(at).stop == "not-fed" and _sent(rig, at) not in taken:
                yield _at_output(rig, end, (socket, at), "which is free", signal)

    def given_up() -> Iterator[Other]:
        for at in near:
            if at in hung and hung[at] != end and taken.count(_sent(rig, at)) == 1 and not rig.departure(at).stop:
                yield _at_output(rig, end, (socket, at), "", signal, hung[at])

    return next((other for ways in (free(near), given_up(), free(far)) for other in ways), None)


def _outputs_of(rig: ResolvedRig, device: str, home: Socket) -> list[Socket]:
    """Return the outputs of a device that the same console sends to, the nearest number first."""
    count = rig.rig.devices[device].model.outputs.count
    every = [Socket(device, "out", number) for number in range(1, count + 1)]
    ours = [
        at for at in every if rig.is_reached(device) and at != home and _desk(rig, device) == _desk(rig, home.device)
    ]
    return sorted(ours, key=lambda at: abs(at.number - home.number))


def _desk(rig: ResolvedRig, device: str) -> str:
    box = rig.boxes.get(device)
    return box.link.device if box is not None else device


def _sent(rig: ResolvedRig, at: Socket) -> OutputPoint:
    return rig.sent_at(rig.departure(at))


def _slots(rig: ResolvedRig, hung: Iterable[Socket]) -> list[OutputPoint]:
    """Return the outputs of the console that something hangs on, fed or not: one entry a socket."""
    departures = map(rig.departure, hung)
    return [rig.sent_at(one) for one in departures if one.stop in ("", "not-fed")]


def _at_output(
    rig: ResolvedRig, end: str, moved: tuple[Socket, Socket], state: str, signal: str = "", given_up: str = ""
) -> Other:
    home, at = moved
    point, place = _sent(rig, at), place_of(rig, at)
    if given_up:
        return Other(
            f"No output of {at.device} is free: turn {end} and {given_up} down, take the plug of {given_up} out of "
            f"{place}, send {signal} at {point} instead, plug {end} in there and turn it up slowly",
            f"leave {end} in {at} and {signal} sent at {point}, or, if {given_up} matters more, put both back",
            f"Turn {end} and {given_up} down, plug {end} back into {home} and {given_up} into {at}, send "
            f"{rig.departure(at).signal} at {point} again and turn them up slowly.",
        )
    sent = f", and send {signal} at {point} too" if signal else ""
    kept = f" and {signal} sent at {point}" if signal else ""
    plugged = f"Turn {end} down, plug it into {place}, {state}{sent}; turn it up slowly"
    unsent = f", send {signal} no more at {point}" if signal else ""
    back = f"Turn {end} down, plug it back into {home}{unsent}; turn it up slowly."
    return Other(plugged, f"leave {end} in {at}{kept}", back)
