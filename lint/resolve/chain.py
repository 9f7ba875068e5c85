"""The chains as they are really cabled: which boxes each console port reaches, in what order, and what went wrong.

Cables may be written in either direction: a chain is followed outwards from the console. Where a box is in backwards
the chain stops for the signal, but it is followed on to tell what is lost and which slots it would have had.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from lint.rig.address import Port, number_range
from lint.rig.model import Sockets
from lint.rig.rig import Cable, Device, Rig

Node = TypeVar("Node", bound=Hashable)

UPSTREAM = "upstream"
DOWNSTREAM = "downstream"


@dataclass(frozen=True, slots=True)
class ChainBox:
    """A box on a chain: its place counted from 1 at the console, and the link slots of its sockets.

    `input_slots` and `output_slots` are in the order of the sockets; they may run past the link's capacity, and are
    empty where a selector decides and none is stated.
    """

    device: str
    link: Port
    position: int
    input_slots: range
    output_slots: range
    cable: Cable


@dataclass(frozen=True, slots=True)
class Chain:
    """What hangs on one console link port. `lost` are boxes behind a fault, with the slots they would have had."""

    link: Port
    capacity: int
    boxes: tuple[ChainBox, ...]
    lost: tuple[ChainBox, ...] = ()


@dataclass(frozen=True, slots=True)
class CableFault:
    """One thing wrong with the cabling.

    `kind` is backwards, ports-alike, ring, port-shared, two-consoles or unreached; `port` is where it shows;
    `devices` are the boxes it takes from the console, `consoles` the ports of the consoles concerned.
    """

    kind: str
    port: Port
    cables: tuple[Cable, ...]
    devices: tuple[str, ...]
    consoles: tuple[Port, ...] = ()


@dataclass(frozen=True, slots=True)
class Cabling:
    """The chains by link port, the faults, and the link ports that listen to another's chain by a declared split."""

    chains: Mapping[Port, Chain]
    faults: tuple[CableFault, ...]
    listens_to: Mapping[Port, Port]


def bank_slots(sockets: Sockets, bank: str | None) -> range:
    """Return the link slots of a selector position, one a socket; empty where none is stated."""
    if bank is None:
        return range(0)
    first = number_range(bank).start
    return range(first, first + sockets.count)


def follow_cables(rig: Rig) -> Cabling:
    """Follow every console link port outwards and return the chains and what is wrong with the cabling."""
    return _Follower(rig).run()


class _Follower:
    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.at: dict[Port, list[Cable]] = {}
        for cable in rig.cables.values():
            for end in dict.fromkeys(cable.ends):
                self.at.setdefault(end, []).append(cable)
        self.is_console = {name: device.model.chain is None for name, device in rig.devices.items()}
        self.declared = {split.listener: split.owner for split in rig.splits.values() if split.listener and split.owner}
        self.faults: list[CableFault] = []
        self.explained: set[str] = set()  # cables that a fault already tells of
        self.crowded: set[Port] = set()  # ports with a second plug only because a box is in backwards
        self.seen: set[str] = set()  # boxes on a chain, or lost behind a fault

    def run(self) -> Cabling:
        rings = self._rings()
        two = self._two_consoles()
        chains: dict[Port, Chain] = {}
        for link in self._link_ports():
            if link not in self.declared and link not in two:
                chains[link] = self._chain(link)
        self._port_shared(rings)
        self._ports_alike()
        self._unreached(rings)
        return Cabling(chains, tuple(self.faults), self.declared)

    def _link_ports(self) -> list[Port]:
        return [Port(console.name, name) for console in self.rig.consoles for name in console.model.links]

    # -- one chain ---------------------------------------------------------------------------------------------

    def _chain(self, link: Port) -> Chain:
        rate = self.rig.devices[link.device].sample_rate_hz or self.rig.sample_rate_hz
        capacity = self.rig.devices[link.device].model.links[link.name].slots_at(rate)
        boxes: list[ChainBox] = []
        lost: list[ChainBox] = []
        backwards: list[tuple[Port, Cable]] = []
        feed = link
        cable: Cable | None = None
        inputs = outputs = 0
        while (cable := self._cable_out(feed, cable)) is not None:
            end = cable.other(feed)
            if self.is_console[end.device] or end.device in self.seen:
                break
            device = self.rig.devices[end.device]
            self.seen.add(end.device)
            if end.name == DOWNSTREAM:
                backwards.append((end, cable))
            box = _box(device, link, len(boxes) + len(lost) + 1, inputs, outputs, cable)
            (lost if backwards else boxes).append(box)
            capacity = min(capacity, device.model.chain.slots_at(rate)) if device.model.chain else capacity
            inputs += 0 if device.model.inputs.by_selector else device.model.inputs.count
            outputs += 0 if device.model.outputs.by_selector else device.model.outputs.count
            feed = self._far_side(end)
        for index, (port, cable) in enumerate(backwards):
            behind = [box.device for box in lost]
            silent = behind[behind.index(port.device) :] if index else behind
            # The cable on its other side is plugged alike only because this box is turned round.
            beyond = self.at.get(Port(port.device, UPSTREAM), [])
            if not beyond:
                self.crowded.add(port)
            self.explained.update(entry.name for entry in (cable, *beyond))
            self.faults.append(CableFault("backwards", port, (cable,), tuple(silent), (link,)))
        return Chain(link, capacity, tuple(boxes), tuple(lost))

    def _far_side(self, end: Port) -> Port:
        """Return the port by which a chain goes on from a box that it reaches at `end`.

        Where one plug of a box was put beside the other, the chain would go on from there once it is put right.
        """
        if end.name == UPSTREAM or Port(end.device, UPSTREAM) in self.at:
            return Port(end.device, UPSTREAM if end.name == DOWNSTREAM else DOWNSTREAM)
        return end

    def _cable_out(self, feed: Port, came_by: Cable | None) -> Cable | None:
        """Return the cable that leads on from a port, other than the one that led here."""
        return next((cable for cable in self.at.get(feed, ()) if cable is not came_by), None)

    # -- faults ------------------------------------------------------------------------------------------------

    def _rings(self) -> set[str]:
        """Find rings as what remains when loose ends are taken off again and again; return their cables' names.

        A console is no way through, so it closes a ring only where a chain comes back to the console it left.
        """
        cables = self.rig.cables.values()
        part = {name: index for index, group in enumerate(_components(cables, self._point)) for name in group}

        def node(end: Port) -> tuple[str, int]:
            return end.device, part[self._point(end)]

        degree: dict[tuple[str, int], list[str]] = {}
        for cable in cables:
            for end in cable.ends:
                degree.setdefault(node(end), []).append(cable.name)
        loose = [name for name, names in degree.items() if len(names) == 1]
        live = dict(self.rig.cables)
        while loose:
            for cable_name in degree.pop(loose.pop(), ()):
                for end in live.pop(cable_name).ends:
                    rest = degree.get(node(end))
                    if rest is not None:
                        rest.remove(cable_name)
                        if len(rest) == 1:
                            loose.append(node(end))
        for group in _components(live.values(), node):
            members = tuple(cable for cable in live.values() if node(cable.ends[0]) in group)
            met = {device for device, _ in group}
            boxes = tuple(name for name in self.rig.devices if name in met and not self.is_console[name])
            ports = tuple(end for cable in members for end in cable.ends if self.is_console[end.device])
            self.faults.append(CableFault("ring", members[-1].ends[1], members, boxes, ports))
        return set(live)

    def _point(self, end: Port) -> str:
        """Return what cables join at an end: the whole box, or one port of a console, which is no way through."""
        return str(end) if self.is_console[end.device] else end.device

    def _two_consoles(self) -> set[Port]:
        """Find boxes that several consoles reach without a declared split; return the ports not to follow."""
        skip: set[Port] = set()
        ends = dict.fromkeys(end for cable in self.rig.cables.values() for end in cable.ends)
        for group in _components(self.rig.cables.values(), self._point):
            ports = [
                end
                for end in ends
                if self._point(end) in group and self.is_console[end.device] and end not in self.declared
            ]
            boxes = tuple(name for name in self.rig.devices if name in group and not self.is_console[name])
            if len({port.device for port in ports}) < 2 or not boxes:
                continue
            ports.sort(key=lambda port: self._link_ports().index(port))
            proper = [port for port in ports if self.at[port][0].other(port).name == UPSTREAM] or ports
            skip.update(port for port in ports if port != proper[0])
            cables = tuple(self.at[port][0] for port in ports)
            self.explained.update(cable.name for cable in cables[1:])
            second = next(port for port in ports if port != proper[0])
            self.faults.append(CableFault("two-consoles", second, cables, boxes, (proper[0], second)))
        return skip

    def _port_shared(self, rings: set[str]) -> None:
        for port, cables in self.at.items():
            if len(cables) < 2 or port in self.crowded or any(cable.name in rings for cable in cables):
                continue
            if self._is_explained_by_two_consoles(port, cables):
                continue
            behind = [cable.other(port).device for cable in cables[1:]]
            lost = self._reach([name for name in behind if name not in self.seen and not self.is_console[name]])
            self.seen.update(lost)
            self.explained.update(cable.name for cable in cables)
            self.faults.append(CableFault("port-shared", port, tuple(cables), lost))

    def _is_explained_by_two_consoles(self, port: Port, cables: Sequence[Cable]) -> bool:
        others = [cable.other(port) for cable in cables]
        return len({end.device for end in others if self.is_console[end.device] and end not in self.declared}) > 1

    def _reach(self, start: list[str]) -> tuple[str, ...]:
        """Return the unseen boxes joined to `start` by cables, in the order they are met."""
        met = dict.fromkeys(start)
        queue = list(start)
        while queue:
            name = queue.pop(0)
            for side in (UPSTREAM, DOWNSTREAM):
                for cable in self.at.get(Port(name, side), ()):
                    other = cable.other(Port(name, side)).device
                    if other not in met and other not in self.seen and not self.is_console[other]:
                        met[other] = None
                        queue.append(other)
        return tuple(met)

    def _ports_alike(self) -> None:
        for cable in self.rig.cables.values():
            first, second = cable.ends
            console_to_console = self.is_console[first.device] and self.is_console[second.device]
            alike = console_to_console or (first.name == second.name and not self.is_console[first.device])
            if not alike or cable.name in self.explained or first.device == second.device:
                continue
            if console_to_console and (first in self.declared or second in self.declared):
                continue
            boxes = () if console_to_console else (first.device, second.device)
            self.faults.append(CableFault("ports-alike", second, (cable,), boxes))

    def _unreached(self, rings: set[str]) -> None:
        """Find islands of boxes that no console reaches and no other fault accounts for."""
        if rings:
            self.faults = [self._with_what_hangs_on(fault) if fault.kind == "ring" else fault for fault in self.faults]
        for device in self.rig.boxes:
            if device.name in self.seen:
                continue
            island = self._reach([device.name])
            self.seen.update(island)
            head = next((name for name in island if Port(name, UPSTREAM) not in self.at), island[0])
            self.faults.append(CableFault("unreached", Port(head, UPSTREAM), (), island))

    def _with_what_hangs_on(self, ring: CableFault) -> CableFault:
        """Return a ring with the boxes that hang on it where no console reaches it: they are lost with it."""
        lost = self._reach([name for name in ring.devices if name not in self.seen])
        self.seen.update(lost)
        return replace(ring, devices=tuple(dict.fromkeys((*ring.devices, *lost))))


def _box(device: Device, link: Port, position: int, inputs: int, outputs: int, cable: Cable) -> ChainBox:
    model = device.model
    if model.inputs.by_selector:
        input_slots = bank_slots(model.inputs, device.input_bank)
    else:
        input_slots = range(inputs + 1, inputs + model.inputs.count + 1)
    if model.outputs.by_selector:
        output_slots = bank_slots(model.outputs, device.output_bank)
    else:
        output_slots = range(outputs + 1, outputs + model.outputs.count + 1)
    return ChainBox(device.name, link, position, input_slots, output_slots, cable)


def _components(cables: Iterable[Cable], point: Callable[[Port], Node]) -> list[set[Node]]:
    """Return the groups of points that cables join, where `point` says what an end belongs to."""
    parent: dict[Node, Node] = {}

    def find(name: Node) -> Node:
        parent.setdefault(name, name)
        while parent[name] != name:
            parent[name] = parent[parent[name]]
            name = parent[name]
        return name

    for cable in cables:
        first, second = (find(point(end)) for end in cable.ends)
        parent[first] = second
    groups: dict[Node, set[Node]] = {}
    for name in list(parent):
        groups.setdefault(find(name), set()).add(name)
    return list(groups.values())
