"""What a change does: what each source and each destination becomes, what goes silent, what is heard elsewhere."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from lint.plan.ends import HOUSE, MONITOR, NEVER_IN_THE_HOUSE, End, departures_of, ends_of
from lint.plan.intent import ChannelKey, sender
from lint.resolve.dark import gone_by_file
from lint.resolve.graph import Node
from lint.resolve.resolved import Departure, ResolvedRig
from lint.rig.address import Signal, Slot, Socket
from lint.rig.rig import Channel


class SourceChange(NamedTuple):
    """A source whose point at the console or whose channels are others than before; `now_at` None: none is left.

    `is_unpowered` says that it arrives without the phantom power that it needs.
    """

    name: str
    socket: Socket
    was_at: Slot | Socket | None
    now_at: Slot | Socket | None
    was_on: tuple[Channel, ...]
    now_on: tuple[Channel, ...]
    is_unpowered: bool = False


class OutputChange(NamedTuple):
    """A socket of a destination or an amplifier that carries another signal than before, or none."""

    end: End
    socket: Socket
    was: Signal | None
    now: Signal | None
    expected: Signal | None
    danger: (
        int  # 0: a monitor mix and the like on a house loudspeaker; 1: another wrong mix there; 2: elsewhere; 3: none
    )


class HearingChange(NamedTuple):
    """A destination or an amplifier at which other sources are heard than before."""

    end: End
    gained: tuple[str, ...]
    lost: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """Everything that is different after a change; `silent` are sources that no channel has, or nobody hears, now.

    Those are among them that have lost the phantom power that they need. `house_lost` are sources that the house heard
    and no longer does, though they are heard elsewhere: a monitor may still have them.
    """

    sources: tuple[SourceChange, ...]
    outputs: tuple[OutputChange, ...]
    hearing: tuple[HearingChange, ...]
    silent: tuple[str, ...]
    house_lost: tuple[str, ...] = ()

    @property
    def astray(self) -> list[OutputChange]:
        """The outputs that now carry a wrong mix, the worst first."""
        return [row for row in self.outputs if row.danger < 3]

    @property
    def gone_silent(self) -> list[OutputChange]:
        """The outputs that carried something and now carry nothing."""
        return [row for row in self.outputs if row.now is None]

    def __bool__(self) -> bool:
        return bool(self.sources or self.outputs or self.hearing or self.silent)


def effect_between(before: ResolvedRig, after: ResolvedRig, dead: Collection[str] = ()) -> Effect:
    """Return what is different in `after`; `dead` names devices and ends that no longer work.

    What is dead or without mains by the files is no different for that.
    """
    gone, dead = gone_by_file(before), gone_by_file(after).union(dead)
    outputs = sorted(_outputs(before, after, gone, dead), key=lambda row: row.danger)
    heard_before, heard_after = heard_at(before, gone), heard_at(after, dead)
    hearing = []
    for name, end in ends_of(before).items():
        was, now = heard_before[name], heard_after.get(name, frozenset())
        if was != now:
            order = [source for source in before.rig.sources if source in was or source in now]
            gained = tuple(source for source in order if source not in was)
            lost = tuple(source for source in order if source not in now)
            hearing.append(HearingChange(end, gained, lost))
    sources = tuple(_sources(before, after, gone, dead))
    ever, still = frozenset().union(*heard_before.values()), frozenset().union(*heard_after.values())
    unheard = (ever - still) | {row.name for row in sources if row.was_on and not row.now_on}
    unheard -= before.phantom.unpowered
    unheard |= after.phantom.unpowered - before.phantom.unpowered
    silent = tuple(name for name in before.rig.sources if name in unheard)
    gone = _in_the_house(before, heard_before) - _in_the_house(before, heard_after) - unheard
    house_lost = tuple(name for name in before.rig.sources if name in gone)
    return Effect(sources, tuple(outputs), tuple(hearing), silent, house_lost)


def _in_the_house(rig: ResolvedRig, heard: Mapping[str, frozenset[str]]) -> frozenset[str]:
    return frozenset().union(*(heard.get(name, ()) for name, end in ends_of(rig).items() if end.hears == HOUSE))


def _sources(
    before: ResolvedRig, after: ResolvedRig, gone: Collection[str], dead: Collection[str]
) -> list[SourceChange]:
    rows = []
    for name, source in before.rig.sources.items():
        now = after.rig.sources.get(name)
        was_on, now_on = channels_on(before, name, gone), channels_on(after, name, dead)
        was_at = point_of(before, source.sockets[0], gone)
        now_at = point_of(after, now.sockets[0], dead) if now else None
        if was_at != now_at or list(map(_key, was_on)) != list(map(_key, now_on)):
            unpowered = bool(now_on) and name in after.phantom.unpowered
            rows.append(SourceChange(name, source.sockets[0], was_at, now_at, was_on, now_on, unpowered))
    return rows


def _key(channel: Channel) -> ChannelKey:
    return channel.console, channel.number


def point_of(rig: ResolvedRig, socket: Socket, dead: Collection[str] = ()) -> Slot | Socket | None:
    """Return where the console that owns its chain hears an input socket: a slot, a socket of its own, or nowhere."""
    if socket.device in dead or not rig.has_socket(socket):
        return None
    return socket if rig.rig.devices[socket.device].model.chain is None else rig.slot_of.get(socket)


def channels_on(rig: ResolvedRig, source: str, dead: Collection[str]) -> tuple[Channel, ...]:
    """Return the channels of living consoles on which a source arrives through sockets of what lives."""
    arrivals = (rig.arrivals[channel.key] for channel in rig.channels_of.get(source, ()))
    return tuple(
        row.channel
        for row in arrivals
        if row.channel.console not in dead and (row.socket is None or row.socket.device not in dead)
    )


def _outputs(
    before: ResolvedRig, after: ResolvedRig, gone: Collection[str], dead: Collection[str]
) -> list[OutputChange]:
    rows = []
    ends = ends_of(before)
    was_there, is_there = departures_of(before, ends), departures_of(after, ends_of(after))
    for name, end in ends.items():
        for index, departure in enumerate(was_there[name]):
            here = is_there[name][index] if name in is_there else None
            was = _carried(name, departure, gone)
            now = _carried(name, here, dead) if here is not None else None
            if was != now:
                expected = end.wanted(index, departure)
                danger = _danger(after, end, now, expected)
                rows.append(OutputChange(end, departure.socket, was, now, expected, danger))
    return rows


def _carried(end: str, departure: Departure, dead: Collection[str]) -> Signal | None:
    """Return what leaves at a socket of an end, nothing where one of them or what sends it is dead."""
    is_dead = end in dead or sender(departure) in dead or departure.socket.device in dead
    return None if is_dead else departure.signal


def _danger(rig: ResolvedRig, end: End, now: Signal | None, expected: Signal | None) -> int:
    if now is None or now == expected:
        return 3
    kind = rig.rig.mixes[now.name].kind if now.kind == "mix" else "channel"
    if end.hears == HOUSE:
        return 0 if kind in NEVER_IN_THE_HOUSE else 1
    return 1 if end.hears == MONITOR and kind == "house" else 2


def heard_at(rig: ResolvedRig, dead: Collection[str] = ()) -> Mapping[str, frozenset[str]]:
    """Return the sources that get through to each destination and amplifier, by name.

    What is dead passes nothing, and what lacks the phantom power that it needs is silent.
    """
    graph = rig.graph
    barred = {node for node in graph.after if _is_dead(rig, node, dead)} if dead else set()
    found = {}
    for name, end in ends_of(rig).items():
        seen = {node for node in end.nodes if node in graph.before} - barred
        seen = set() if name in dead else seen
        queue = list(seen)
        while queue:
            for node in graph.before[queue.pop()]:
                if node not in seen and node not in barred:
                    seen.add(node)
                    queue.append(node)
        found[name] = frozenset(node.name for node in seen if node.kind == "source") - rig.phantom.unpowered
    return found


def _is_dead(rig: ResolvedRig, node: Node, dead: Collection[str]) -> bool:
    if node.kind == "destination":
        return node.name in dead
    if node.kind == "mix":
        return rig.rig.mixes[node.name].console in dead
    # An amplifier is called by its name, or by one of its inputs (amp/in/2).
    return node.kind not in ("source", "signal") and node.name.partition("/")[0] in dead
