"""The chains as they are really cabled: which boxes each console port reaches, in what order, and what went wrong.

Cables may be written in either direction: a chain is followed outwards from the console. First every console port
takes the boxes it properly reaches; only then is each chain followed on behind a box that is in backwards, to tell
what is lost and which slots it would have had.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from lint.resolve.rings import components, ring_groups
from lint.rig.address import Port, number_range
from lint.rig.model import Sockets
from lint.rig.rig import Cable, Device, Rig

UPSTREAM = "upstream"
DOWNSTREAM = "downstream"


class ChainBox(NamedTuple):
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


class Chain(NamedTuple):
    """What hangs on one console link port. `lost` are boxes behind a fault, with the slots they would have had."""

    link: Port
    capacity: int
    boxes: tuple[ChainBox, ...]
    lost: tuple[ChainBox, ...] = ()


class CableFault(NamedTuple):
    """One thing wrong with the cabling.

    `kind` is backwards, ports-alike, ring, port-shared, two-consoles or unreached; `port` is where it shows;
    `devices` are the boxes it takes from the console, `consoles` the ports of the consoles concerned.
    """

    kind: str
    port: Port
    cables: tuple[Cable, ...]
    devices: tuple[str, ...]
    consoles: tuple[Port, ...] = ()


class Cabling(NamedTuple):
    """The chains by link port, the faults, and the link ports that listen to another's chain by a declared split.

    `behind_dead` has the boxes that would hang on a console, were it not dead, with that console.
    """

    chains: Mapping[Port, Chain]
    faults: tuple[CableFault, ...]
    listens_to: Mapping[Port, Port]
    behind_dead: Mapping[str, str]


def bank_slots(sockets: Sockets, bank: str | None) -> range:
    """Return the link slots of a selector position, one a socket; empty where none is stated."""
    if bank is None:
        return range(0)
    first = number_range(bank).start
    return range(first, first + sockets.count)


def follow_cables(rig: Rig) -> Cabling:
    """Follow every console link port outwards and return the chains and what is wrong with the cabling."""
    return _Follower(rig).run()


@dataclass(slots=True)
class _Walk:
    """How far a chain has been followed from its console port, and by what it goes on."""

    link: Port
    feed: Port  # the port that the next box would hang on
    boxes: list[ChainBox] = field(default_factory=list)
    lost: list[ChainBox] = field(default_factory=list)
    backwards: list[tuple[Port, Cable]] = field(default_factory=list)
    inputs: int = 0
    outputs: int = 0
    end: tuple[Port, Cable] | None = None  # where it arrives without going on, and by which cable

    def take(self, device: Device, cable: Cable) -> None:
        """Put a box at the end of the chain; behind one that is in backwards it is lost."""
        into = self.lost if self.backwards else self.boxes
        position = len(self.boxes) + len(self.lost) + 1
        into.append(_box(device, self.link, position, self.inputs, self.outputs, cable))
        model = device.model
        self.inputs += 0 if model.inputs.by_selector else model.inputs.count
        self.outputs += 0 if model.outputs.by_selector else model.outputs.count


class _Follower:
    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.at: dict[Port, list[Cable]] = {}
        for cable in rig.cables.values():
            for end in sorted(cable.ends):  # which end is named first changes nothing
                self.at.setdefault(end, []).append(cable)
        self.is_box = {name: device.model.chain is not None for name, device in rig.devices.items()}
        self.links = [Port(console.name, name) for console in rig.consoles for name in console.model.links]
        self.declared = {split.listener: split.owner for split in rig.splits.values() if split.listener and split.owner}
        self.walks: dict[Port, _Walk] = {}
        self.owner: dict[str, Port] = {}  # the console port that each box hangs on, reached or lost
        self.faults: list[CableFault] = []
        self.explained: set[str] = set()  # cables that a fault already tells of
        self.told: set[str] = set()  # boxes that hang on nothing, but that a fault already tells of

    def run(self) -> Cabling:
        rings = self._rings()
        self._walk_all()
        rivals = self._two_consoles()
        listens = {listener: owner for listener, owner in self.declared.items() if self._listens(listener, owner)}
        chains = {link: self._chain(link) for link in self.links if link not in listens and link not in rivals}
        self._port_shared(rings, rivals)
        self._ports_alike()
        self._unreached()
        return Cabling(chains, tuple(self.faults), listens, dict(self._behind_dead()))

    # -- following ---------------------------------------------------------------------------------------------

    def _walk_all(self) -> None:
        """Follow every port of a living console; one that only listens takes no box away from that it listens to."""
        self.walks = {link: _Walk(link, link) for link in self.links}
        own = [walk for link, walk in self.walks.items() if link not in self.declared and self._lives(link)]
        for walk in own:
            self._follow(walk, past_backwards=False)
        for walk in own:
            self._follow(walk, past_backwards=True)
        for listener in self.declared:
            if listener in self.walks and self._lives(listener):
                self._follow(self.walks[listener], past_backwards=False)

    def _lives(self, link: Port) -> bool:
        """Whether its console is not dead by the rig file."""
        return link.device not in self.rig.dead

    def _follow(self, walk: _Walk, past_backwards: bool) -> None:
        """Follow a chain on from where it stands, until it ends or comes to a console or to a box already met."""
        while walk.feed in self.at:
            cable = self.at[walk.feed][0]
            end = cable.other(walk.feed)
            walk.end = end, cable
            if not self.is_box[end.device] or end.device in self.owner:
                return
            if end.name == DOWNSTREAM:
                if not past_backwards:
                    return
                walk.backwards.append(walk.end)
            self.owner[end.device] = walk.link
            walk.take(self.rig.devices[end.device], cable)
            walk.feed = Port(end.device, UPSTREAM if end.name == DOWNSTREAM else DOWNSTREAM)
        walk.end = None

    def _behind_dead(self) -> Iterable[tuple[str, str]]:
        """Yield the boxes that nothing reaches since the console on whose link they hang is dead."""
        for feed in (link for link in self.links if not self._lives(link)):
            met: set[str] = set()
            port = feed
            while port in self.at:
                end = self.at[port][0].other(port)
                if not self.is_box[end.device] or end.device in self.owner or end.device in met:
                    break
                met.add(end.device)
                yield end.device, feed.device
                port = Port(end.device, UPSTREAM if end.name == DOWNSTREAM else DOWNSTREAM)

    def _listens(self, listener: Port, owner: Port) -> bool:
        """Whether a declared listener is cabled to its owner's chain: to a box that hangs there, or to the port itself.

        Behind a dead console it is as well: what it hears is told of that.
        """
        if listener not in self.at:
            return False
        end = self.at[listener][0].other(listener)
        is_behind_dead = not self._lives(owner) and end.device not in self.owner
        return end == owner or is_behind_dead or self.owner.get(end.device) == owner

    def _chain(self, link: Port) -> Chain:
        walk = self.walks[link]
        rate = self.rig.devices[link.device].sample_rate_hz or self.rig.sample_rate_hz
        kinds = [self.rig.devices[link.device].model.links[link.name]]
        kinds += [kind for box in walk.boxes if (kind := self.rig.devices[box.device].model.chain)]
        for index, (port, cable) in enumerate(walk.backwards):
            behind = [box.device for box in walk.lost]
            silent = behind[behind.index(port.device) :] if index else behind
            # The cable on its other side is plugged alike only because this box is turned round.
            beyond = self.at.get(Port(port.device, UPSTREAM), [])
            self.explained.update(entry.name for entry in (cable, *beyond))
            self.faults.append(CableFault("backwards", port, (cable,), tuple(silent), (link,)))
        return Chain(link, min(kind.slots_at(rate) for kind in kinds), tuple(walk.boxes), tuple(walk.lost))

    # -- faults ------------------------------------------------------------------------------------------------

    def _rings(self) -> set[str]:
        """Find the rings, one fault a group that shares boxes; return the names of their cables.

        A console is no way through, so it closes a ring only where a chain comes back to the console it left.
        """
        cables = self.rig.cables.values()
        part = {name: index for index, group in enumerate(components(cables, self._point)) for name in group}
        found: set[str] = set()
        for members in ring_groups(cables, lambda end: (end.device, part[self._point(end)])):
            met = {end.device for cable in members for end in cable.ends}
            boxes = tuple(name for name in self.rig.devices if name in met and self.is_box[name])
            ports = tuple(end for cable in members for end in cable.ends if not self.is_box[end.device])
            self.faults.append(CableFault("ring", members[-1].ends[1], tuple(members), boxes, ports))
            found.update(cable.name for cable in members)
        self.explained |= found
        return found

    def _point(self, end: Port) -> str:
        """Return what cables join at an end: the whole box, or one port of a console, which is no way through."""
        return end.device if self.is_box[end.device] else str(end)

    def _two_consoles(self) -> set[Port]:
        """Find chains that another console reaches without a declared split; return the ports of those consoles."""
        rivals: set[Port] = set()
        for link, walk in self.walks.items():
            met = {box.device for box in (*walk.boxes, *walk.lost)}
            others = {end: cable for end, cable in self._other_ends(walk) if self._is_rival(end, cable, link)}
            if not met or not others:
                continue
            rivals.update(others)
            cables = (self.at[link][0], *others.values())
            self.explained.update(cable.name for cable in others.values())
            boxes = tuple(name for name in self.rig.devices if name in met)
            second = next(iter(others))
            self.faults.append(CableFault("two-consoles", second, cables, boxes, (link, second)))
        return rivals

    def _other_ends(self, walk: _Walk) -> Iterable[tuple[Port, Cable]]:
        """Yield what else the cables of a chain come from: at its far end, and where its first box takes its feed."""
        if walk.end:
            yield walk.end
        if walk.link in self.at:
            entry = self.at[walk.link][0].other(walk.link)
            yield from ((cable.other(entry), cable) for cable in self.at[entry])

    def _is_rival(self, end: Port, cable: Cable, link: Port) -> bool:
        """Whether an end of a chain is another console's port, with no other cable to follow and no split declared."""
        is_other = end in self.walks and end.device != link.device
        return is_other and self.at[end][0] == cable and self.declared.get(end) != link

    def _port_shared(self, rings: set[str], rivals: set[Port]) -> None:
        walked = {box.cable.name for walk in self.walks.values() for box in (*walk.boxes, *walk.lost)}
        for port, cables in self.at.items():
            if len(cables) < 2:
                continue
            on_chain = port.device in self.owner or not self.is_box[port.device]
            lost = self._reach([cable.other(port).device for cable in cables]) if on_chain else ()
            by_ring = not rings.isdisjoint(cable.name for cable in cables)
            if not lost and all(
                cable.name in walked or (cable.name in rings if by_ring else cable.other(port) in rivals)
                for cable in cables
            ):
                continue
            self.told.update(lost)
            self.explained.update(cable.name for cable in cables)
            self.faults.append(CableFault("port-shared", port, tuple(cables), lost))

    def _reach(self, start: Sequence[str]) -> tuple[str, ...]:
        """Return the boxes on no chain and of no fault that cables join to those of `start`, in the order met."""
        met = dict.fromkeys(name for name in start if self._is_adrift(name))
        queue = list(met)
        for here in queue:  # grows while it is walked
            for side in (UPSTREAM, DOWNSTREAM):
                for cable in self.at.get(Port(here, side), ()):
                    there = cable.other(Port(here, side)).device
                    if there not in met and self._is_adrift(there):
                        met[there] = None
                        queue.append(there)
        return tuple(met)

    def _is_adrift(self, name: str) -> bool:
        return self.is_box[name] and name not in self.owner and name not in self.told

    def _ports_alike(self) -> None:
        for cable in self.rig.cables.values():
            first, second = cable.ends
            consoles = first in self.walks and second in self.walks
            alike = consoles or (self.is_box[first.device] and self.is_box[second.device] and first.name == second.name)
            declared = self.declared.get(first) == second or self.declared.get(second) == first
            if alike and not declared and cable.name not in self.explained:
                boxes = () if consoles else (first.device, second.device)
                self.faults.append(CableFault("ports-alike", second, (cable,), boxes))

    def _unreached(self) -> None:
        """Find islands of boxes that no console reaches and no other fault accounts for."""
        self.faults = [self._with_what_hangs_on(fault) if fault.kind == "ring" else fault for fault in self.faults]
        for device in self.rig.boxes:
            island = self._reach([device.name])
            if island:
                self.told.update(island)
                head = next((name for name in island if Port(name, UPSTREAM) not in self.at), island[0])
                self.faults.append(CableFault("unreached", Port(head, UPSTREAM), (), island))

    def _with_what_hangs_on(self, ring: CableFault) -> CableFault:
        """Return a ring with the boxes that hang on it where no console reaches it: they are lost with it."""
        lost = self._reach(ring.devices)
        self.told.update(lost)
        return ring._replace(devices=tuple(dict.fromkeys((*ring.devices, *lost))))


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
