"""Mix-ups: wrong arrivals that belong together, so that one swapped plug is one finding and not two or sixteen.

Two channels belong together where one receives what the other should carry; two destinations likewise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from typing import Any, NamedTuple, TypeVar

from lint.resolve.resolved import Arrival, Departure, ResolvedRig, same_signal
from lint.rig.address import OutputPoint, Port, Return, Signal, Slot, Socket, number_range, numbered, point
from lint.rig.rig import Destination

T = TypeVar("T")
# Fewer channels that are off by the same number of slots may be so by chance.
FEWEST_SHIFTED = 3
FEWEST_DEAD = 2


class WrongOutput(NamedTuple):
    """A destination's socket at which something other than expected leaves, or nothing."""

    destination: Destination
    departure: Departure
    wanted: Signal


def channel_mixups(rig: ResolvedRig) -> list[list[Arrival]]:
    """Return the mismatched arrivals in groups of one cause each, in the order of the channels."""
    shifts = Counter(key for row in rig.mismatches for key in _shifts(rig, row))
    homes = {_home_box(rig, row) for row in rig.mismatches}
    by_selector = {device for device in homes if device and rig.input_banks_that_fit(device)}

    def cause(row: Arrival) -> list[Hashable]:
        keys: list[Hashable] = [key for key in _shifts(rig, row) if shifts[key] >= key.fewest]
        if link := idle_link(rig, row):
            keys.append(link)
        if (home := _home_box(rig, row)) in by_selector:
            keys.append(home)
        # A source that is awaited on two consoles is missed on both for one reason.
        return [*keys, ("source", row.channel.carries)] if isinstance(row.channel.carries, str) else keys

    return _grouped(rig.mismatches, lambda row: [row.channel.carries], lambda row: [*row.sources, row.effects], cause)


class _Shift(NamedTuple):
    """How far channels of a console (or of any) are from where their sources arrive; so many alike have one cause."""

    console: str
    link: Port
    slots: int
    fewest: int


def _shifts(rig: ResolvedRig, row: Arrival) -> list[_Shift]:
    """Return how far a channel's slot is from its source's; empty where they are on different links.

    Dead channels count either way: two looms in each other's places are off by as many slots, one up and one down.
    """
    home = home_slot(rig, row)
    if home is None or row.slot is None:
        return []
    slots = row.slot.number - home.number
    found = [_Shift(row.channel.console, home.port, slots, FEWEST_SHIFTED)]
    return found if row.sources else [*found, _Shift("", rig.owner_slot(home).port, abs(slots), FEWEST_DEAD)]


def home_slot(rig: ResolvedRig, row: Arrival) -> Slot | None:
    """Return the slot on which a channel's source arrives; None where that is not on the link that it listens to."""
    source = rig.rig.sources.get(str(row.channel.carries))
    home = rig.input_point(source.sockets[0], row.channel.console) if source else None
    return home if isinstance(home, Slot) and row.slot is not None and home.port == row.slot.port else None


def idle_link(rig: ResolvedRig, row: Arrival) -> Port | None:
    """Return the link port that a channel listens to, where no box at all hangs on it."""
    if row.stop != "no-socket" or row.slot is None:
        return None
    chain = rig.chains.get(rig.owner_slot(row.slot).port)
    return None if chain and chain.boxes else row.slot.port


def _home_box(rig: ResolvedRig, row: Arrival) -> str | None:
    """Return the box that the source is on which a channel should carry."""
    source = rig.rig.sources.get(str(row.channel.carries))
    return source.sockets[0].device if source else None


def input_bank_changes(rig: ResolvedRig, group: Iterable[Arrival]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the words and the change of each input selector position that puts all channels of a group right."""
    devices = {_home_box(rig, row) for row in group}
    device = devices.pop() if len(devices) == 1 else None
    for bank in rig.input_banks_that_fit(device) if device else ():
        yield f"set {device}'s input selector to {bank}", nested(("devices", str(device), "input_bank"), bank)


def wrong_outputs(rig: ResolvedRig) -> list[WrongOutput]:
    """Return every output that carries other than its destination expects.

    Left out is what a cabling fault, a selector or a missing socket accounts for: that is told where its cause is.
    """
    return [
        WrongOutput(destination, departure, wanted)
        for destination, departure, wanted in rig.outputs()
        if wanted is not None and departure.stop in ("", "not-fed") and not same_signal(departure.signal, wanted)
    ]


def output_mixups(rig: ResolvedRig) -> list[list[WrongOutput]]:
    """Return the wrong outputs in groups of one cause each.

    All wrong outputs of a box make one group where another selector position would put every one of them right.
    """
    wrong = wrong_outputs(rig)
    by_bank = {
        row.departure.socket.device
        for row in wrong
        if not _exchanged(row, wrong) and rig.banks_that_fit(row.departure.socket.device)
    }
    boxes = [[row for row in wrong if row.departure.socket.device == device] for device in sorted(by_bank)]
    rest = [row for row in wrong if row.departure.socket.device not in by_bank]
    return [*boxes, *_grouped(rest, lambda row: [row.wanted], lambda row: [row.departure.signal], _output_cause(rig))]


def _exchanged(row: WrongOutput, wrong: Iterable[WrongOutput]) -> bool:
    """Whether two outputs of different boxes carry what the other should: then plugs were mistaken, not a selector."""
    return any(
        other.departure.socket.device != row.departure.socket.device
        and same_signal(other.departure.signal, row.wanted)
        and same_signal(row.departure.signal, other.wanted)
        for other in wrong
    )


def _output_cause(rig: ResolvedRig) -> Callable[[WrongOutput], list[Hashable]]:
    """Return what makes wrong outputs one: the destination, the output of the console, the unsent mix."""

    def cause(row: WrongOutput) -> list[Hashable]:
        keys: list[Hashable] = [row.destination.name, rig.sent_at(row.departure)]
        return [*keys, ("unsent", row.wanted.name)] if row.departure.signal is None else keys

    return cause


def _grouped(
    rows: Iterable[T],
    wants: Callable[[T], list[Any]],
    gets: Callable[[T], list[Any]],
    cause: Callable[[T], list[Hashable]],
) -> list[list[T]]:
    """Join rows where one gets what another wants, or that share a cause; keep their order."""
    every = list(rows)
    parent = list(range(len(every)))

    def find(index: int) -> int:
        while parent[index] != index:
            parent[index] = parent[parent[index]]
            index = parent[index]
        return index

    wanted: dict[Hashable, int] = {}
    causes: dict[Hashable, int] = {}
    for index, row in enumerate(every):
        for key in wants(row):
            wanted.setdefault(key, index)
        for key in cause(row):
            parent[find(index)] = find(causes.setdefault(key, index))
    for index, row in enumerate(every):
        for key in gets(row):
            if key is not None and key in wanted:
                parent[find(index)] = find(wanted[key])
    groups: dict[int, list[T]] = {}
    for index, row in enumerate(every):
        groups.setdefault(find(index), []).append(row)
    return list(groups.values())


def nested(trail: Iterable[str | int], value: Any) -> dict[str, Any]:
    """Return the merge patch that puts a value at a trail of keys."""
    for step in reversed(list(trail)):
        value = {str(step): value}
    result: dict[str, Any] = value
    return result


def merged(patches: Iterable[dict[str, Any]]) -> dict[str, Any]:
    """Return one merge patch for several that do not contradict each other."""
    result: dict[str, Any] = {}
    for patch in patches:
        _merge_into(result, patch)
    return result


def _merge_into(target: dict[str, Any], patch: dict[str, Any]) -> None:
    for key, value in patch.items():
        if isinstance(value, dict):
            if not isinstance(target.get(key), dict):
                target[key] = {}  # not the part of a patch itself: the next would be merged into it
            _merge_into(target[key], value)
        else:
            target[key] = value


def patch_change(rig: ResolvedRig, arrival: Arrival) -> tuple[str, dict[str, Any]] | None:
    """Return the words and the change that patch a channel from where its source is, or None where it can't be."""
    channel = arrival.channel
    where: str | None = None
    if isinstance(channel.carries, Return):
        where = str(channel.carries)
    elif channel.carries is not None:
        for socket in rig.rig.sources[channel.carries].sockets:
            point = rig.input_point(socket, channel.console) if rig.has_socket(socket) else None
            if point is not None:
                where = str(point)
                break
    if where is None:
        return None
    desk = f" on {channel.console}" if len(rig.rig.consoles) > 1 else ""
    return f"patch channel {channel.number}{desk} from {where}", nested((*channel.trail, "patched_from"), where)


def plug_change(rig: ResolvedRig, group: list[Arrival]) -> tuple[str, dict[str, Any]] | None:
    """Return the words and the change that move the plugs of a group to where its channels listen.

    None where that can't be: a channel hears no socket, the socket is taken by a plug that must stay, or another
    channel hears the source rightly where it is. Of a declared split the other leg is plugged instead.
    """
    moving = {arrival.channel.carries for arrival in group}
    split = {name for split in rig.rig.splits.values() for name in split.sources}
    moves: list[tuple[str, Socket]] = []
    legs: list[str] = []
    changes: list[dict[str, Any]] = []
    for arrival in group:
        wanted, target = arrival.channel.carries, arrival.socket
        if target is None or not isinstance(wanted, str) or not rig.has_socket(target):
            return None
        sockets = rig.rig.sources[wanted].sockets
        if len(sockets) != 1 or not moving.issuperset(arrival.sources):
            return None
        plugs: Any = str(target)
        if any(rig.arrivals[row.console, row.number].sources == (wanted,) for row in rig.carriers_of[wanted]):
            if wanted not in split:
                return None
            legs.append(wanted)
            plugs = [str(sockets[0]), str(target)]
        moves.append((wanted, target))
        changes.append(nested(("sources", wanted, "plugged_into"), plugs))
    if len({socket for _, socket in moves}) != len(moves) or len(moving) != len(moves):
        return None
    words = [
        *(f"plug the other leg of {name}'s split into {socket}" for name, socket in moves if name in legs),
        *_move_words([(name, socket) for name, socket in moves if name not in legs]),
    ]
    return ", and ".join(words), merged(changes)


def _move_words(moves: list[tuple[str, Socket]]) -> list[str]:
    words = ", ".join(f"{name} to {socket}" for name, socket in moves)
    return [f"move {'the plug of' if len(moves) == 1 else 'the plugs:'} {words}"] if moves else []


def feed_changes(rig: ResolvedRig, wanted: Mapping[OutputPoint, Signal | None]) -> dict[str, Any]:
    """Return the change that makes consoles send the given signals at the given outputs (None: nothing).

    A range that names one of those outputs is written out, so that the rest of it stays as it is.
    """
    by_port: dict[str, dict[int, Any]] = {}
    for where, signal in wanted.items():
        port = f"{where.device}/{where.side}" if isinstance(where, Socket) else str(where.port)
        by_port.setdefault(port, {})[where.number] = None if signal is None else written(signal)
    return {"feeds": {port: _port_change(rig, port, values) for port, values in by_port.items()}}


def written(signal: Signal) -> str:
    """Return a signal as the rig file writes it."""
    return str(signal) if signal.kind == "mix" else f"channel/{signal.name.rpartition('/')[2]}"


def _port_change(rig: ResolvedRig, port: str, values: dict[int, Any]) -> dict[str, Any]:
    rows: dict[str, Any] = rig.says("feeds", port) or {}
    change: dict[str, Any] = {}
    for key, row in rows.items():
        numbers = number_range(key)
        if len(numbers) > 1 and not set(numbers).isdisjoint(values):
            change[key] = None
            change.update((str(number), _one_of_range(rig, port, number, row, numbers.start)) for number in numbers)
    change.update((str(number), value) for number, value in values.items())
    # Removing what only a range said needs no null of its own.
    return {key: value for key, value in change.items() if value is not None or key in rows}


def _one_of_range(rig: ResolvedRig, port: str, number: int, row: Any, first: int) -> Any:
    """Write one output of a fed range on its own."""
    if isinstance(row, dict):
        device, side, start, _ = numbered(row["same_as"])
        return {"same_as": f"{device}/{side}/{start + number - first}"}
    device, _, side = port.partition("/")
    feed = rig.rig.feeds.get(point(device, side, number))
    return row if feed is None else written(feed.signal)
