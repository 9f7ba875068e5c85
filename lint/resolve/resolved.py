"""The resolved rig: what arrives on every channel and leaves at every socket, and why where nothing does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any, NamedTuple

from lint.read.document import Step
from lint.resolve.chain import Cabling, Chain, ChainBox, bank_slots, follow_cables
from lint.resolve.graph import Graph, Node, build_graph, build_rounds
from lint.resolve.phantom import Phantom
from lint.rig.address import OutputPoint, Port, Return, Signal, Slot, Socket
from lint.rig.rig import Channel, Destination, Device, Feed, Mix, Place, Rig, Source

Dead = frozenset[Socket | str]  # input sockets, and consoles by name
TOLD_WITH_THEIR_CAUSE = frozenset(("box-lost", "socket-missing", "socket-dead", "console-dead"))


class Arrival(NamedTuple):
    """What arrives on a channel, and by which slot and socket.

    `stop` is empty where something does, else why nothing does: unpatched, no-socket (the slot is past the chain's
    end), empty-socket, socket-missing, socket-dead, console-dead or box-lost (the slot is a box's that a
    cabling fault cuts off: `box`).
    """

    channel: Channel
    sources: tuple[str, ...] = ()
    effects: Return | None = None
    slot: Slot | None = None
    socket: Socket | None = None
    stop: str = ""
    box: str | None = None


class Departure(NamedTuple):
    """What leaves at an output socket, and by which slot and feed.

    `stop` is empty where something does, else why nothing does: not-fed, no-bank, bank-unknown, past-link,
    socket-missing, box-lost or console-dead.
    """

    socket: Socket
    signal: Signal | None = None
    slot: Slot | None = None
    feed: Feed | None = None
    stop: str = ""


class ResolvedRig:
    """A rig with the path of every signal worked out; what rules, traces, checklists and plans read.

    `rig` is what the file says, `dead` what is dead in it, `chains` the boxes of each link by its port, `boxes` those
    that a console reaches, `lost_boxes` the others, `slot_of` the slot of an input socket, `sources_in` what is
    plugged into one.
    """

    def __init__(self, rig: Rig) -> None:
        """Resolve a rig; nothing comes of what is dead by its file."""
        self.rig = rig
        self.dead: Dead = frozenset(part for row in rig.dead.values() for part in row.sockets or (row.device,))
        self.cabling: Cabling = follow_cables(rig)
        self.chains: Mapping[Port, Chain] = self.cabling.chains
        self.boxes: dict[str, ChainBox] = {}
        self.lost_boxes: dict[str, ChainBox] = {}
        self._socket_of: dict[Slot, Socket] = {}
        self.slot_of: dict[Socket, Slot] = {}
        self.clashing_inputs: dict[Slot, list[Socket]] = {}
        for chain in self.chains.values():
            self._number(chain)
        self.sources_in: dict[Socket, list[str]] = {}
        for source in rig.sources.values():
            for socket in source.sockets:
                self.sources_in.setdefault(socket, []).append(source.name)

    def _number(self, chain: Chain) -> None:
        """Hand out the input slots of a chain, box by box; what runs past the link's capacity gets none."""
        for box in chain.boxes:
            self.boxes[box.device] = box
            for number, slot_number in enumerate(box.input_slots, start=1):
                if slot_number <= chain.capacity:
                    slot, socket = Slot(chain.link, slot_number), Socket(box.device, "in", number)
                    first = self._socket_of.setdefault(slot, socket)
                    self.slot_of[socket] = slot
                    if first != socket:
                        self.clashing_inputs.setdefault(slot, [first]).append(socket)
        self.lost_boxes.update((box.device, box) for box in chain.lost)

    def place(self, trail: Sequence[Step], address: str | Socket | Slot, at_key: bool = False) -> Place:
        """Return the place in the file for a trail of keys (see `Rig.place`)."""
        return self.rig.place(trail, str(address), at_key)

    def says(self, *trail: Step) -> Any:
        """Return what the merged document holds at a trail of keys, or None."""
        return self.rig.says(*trail)

    def device(self, name: str) -> Device:
        """Return a device by name."""
        return self.rig.devices[name]

    def owner_slot(self, slot: Slot) -> Slot:
        """Return the slot on the port that owns the chain: the same number where a split lets a console listen in."""
        owner = self.cabling.listens_to.get(slot.port)
        return Slot(owner, slot.number) if owner else slot

    def socket_at(self, slot: Slot) -> Socket | None:
        """Return the input socket that arrives on a slot, or None."""
        return self._socket_of.get(self.owner_slot(slot))

    def has_socket(self, socket: Socket) -> bool:
        """Whether the model has that socket."""
        model = self.rig.devices[socket.device].model
        return socket.number <= (model.inputs if socket.side == "in" else model.outputs).count

    def is_dead(self, socket: Socket) -> bool:
        """Whether an input socket is dead, or the console that it is on."""
        return socket in self.dead or socket.device in self.dead

    def why_unreached(self, device: str, called: str = "") -> str:
        """Say why signals get neither to nor from a box that no console reaches; `called` stands for its name."""
        console = self.cabling.behind_dead.get(device)
        return self.rig.dead[console].words if console else f"no console reaches {called or device}"

    @cached_property
    def dead_consoles(self) -> frozenset[str]:
        """The consoles that are dead by the file."""
        return frozenset(console.name for console in self.rig.consoles if console.name in self.dead)

    def is_reached(self, device: str) -> bool:
        """Whether signals get to and from a device: a console, or a box that a console reaches."""
        return device in self.boxes or self.rig.devices[device].model.chain is None

    @cached_property
    def arrivals(self) -> dict[tuple[str, int], Arrival]:
        """What arrives on every channel, by (console, number)."""
        return {key: self._arrival(channel) for key, channel in self.rig.channels.items()}

    @cached_property
    def arrivals_by(self) -> dict[Port, list[Arrival]]:
        """The arrivals that are patched from the slots of each chain, by the port that owns it."""
        found: dict[Port, list[Arrival]] = {}
        for arrival in self.arrivals.values():
            if arrival.slot is not None:
                found.setdefault(self.owner_slot(arrival.slot).port, []).append(arrival)
        return found

    def _arrival(self, channel: Channel) -> Arrival:  # noqa: PLR0911 - one return a reason
        patched = channel.patched_from
        if channel.console in self.dead:
            return Arrival(channel, stop="console-dead")
        if patched is None:
            return Arrival(channel, stop="unpatched")
        if isinstance(patched, Return):
            return Arrival(channel, effects=patched)
        slot = patched if isinstance(patched, Slot) else None
        socket = patched if isinstance(patched, Socket) else self.socket_at(patched)
        if socket is None:
            assert slot is not None
            lost = self._lost_box(self.owner_slot(slot))
            return Arrival(channel, slot=slot, stop="box-lost" if lost else "no-socket", box=lost)
        if not self.has_socket(socket):
            return Arrival(channel, socket=socket, stop="socket-missing")
        if self.is_dead(socket):
            return Arrival(channel, slot=slot, socket=socket, stop="socket-dead")
        found = tuple(self.sources_in.get(socket, ()))
        return Arrival(channel, found, slot=slot, socket=socket, stop="" if found else "empty-socket")

    def _lost_box(self, slot: Slot) -> str | None:
        chain = self.chains.get(slot.port)
        return next((box.device for box in (chain.lost if chain else ()) if slot.number in box.input_slots), None)

    @cached_property
    def channels_of(self) -> dict[str, list[Channel]]:
        """The channels that each source arrives on, by source name."""
        found: dict[str, list[Channel]] = {}
        for arrival in self.arrivals.values():
            for name in arrival.sources:
                found.setdefault(name, []).append(arrival.channel)
        return found

    @cached_property
    def carriers_of(self) -> dict[str, list[Channel]]:
        """The channels that are meant to carry each source, by source name."""
        found: dict[str, list[Channel]] = {}
        for channel in self.rig.channels.values():
            if isinstance(channel.carries, str):
                found.setdefault(channel.carries, []).append(channel)
        return found

    @cached_property
    def mismatches(self) -> list[Arrival]:
        """Arrivals on channels that carry something other than meant, or nothing.

        Left out is what a cabling fault, a wrong plug or a dead socket accounts for: that is told where its cause is.
        """
        return [arrival for arrival in self.arrivals.values() if self._is_mismatch(arrival)]

    @cached_property
    def mismatched(self) -> frozenset[str]:
        """The addresses of the channels of `mismatches`."""
        return frozenset(arrival.channel.address for arrival in self.mismatches)

    def _is_mismatch(self, arrival: Arrival) -> bool:
        if is_right(arrival) or arrival.stop in TOLD_WITH_THEIR_CAUSE:
            return False
        wanted = arrival.channel.carries
        return not isinstance(wanted, str) or not self.plug_fault(self.rig.sources[wanted])

    def plug_fault(self, source: Source) -> bool:
        """Whether a source can't arrive anywhere for a reason told elsewhere: its socket or its box."""
        return all(
            not self.is_reached(socket.device) or not self.has_socket(socket) or len(self.sources_in[socket]) > 1
            for socket in source.sockets
        )

    @cached_property
    def phantom(self) -> Phantom:
        """Phantom power: its switches, who works them, and whom it reaches."""
        return Phantom(self)

    def input_point(self, socket: Socket, console: str) -> Slot | Socket | None:
        """Return what `console` must patch from to hear an input socket, or None where it can't."""
        if socket.device == console:
            return socket
        slot = self.slot_of.get(socket)
        if slot is None or slot.port.device == console:
            return slot
        listeners = [port for port, owner in self.cabling.listens_to.items() if owner == slot.port]
        return next((Slot(port, slot.number) for port in listeners if port.device == console), None)

    def departure(self, socket: Socket) -> Departure:  # noqa: PLR0911 - one return a reason
        """Return what leaves at an output socket."""
        if not self.has_socket(socket):
            return Departure(socket, stop="socket-missing")
        if self.rig.devices[socket.device].model.chain is None:
            return self._sent(socket, None, socket)
        box = self.boxes.get(socket.device)
        if box is None:
            return Departure(socket, stop="box-lost")
        if not box.output_slots:
            return Departure(socket, stop="no-bank")
        slot = Slot(box.link, box.output_slots[socket.number - 1])
        sockets = self.rig.devices[socket.device].model.outputs
        if sockets.by_selector and self.rig.devices[socket.device].output_bank not in sockets.selector:
            return Departure(socket, slot=slot, stop="bank-unknown")
        if slot.number > self.chains[box.link].capacity:
            return Departure(socket, slot=slot, stop="past-link")
        return self._sent(socket, slot, slot)

    def _sent(self, socket: Socket, slot: Slot | None, where: OutputPoint) -> Departure:
        if (slot.port.device if slot is not None else socket.device) in self.dead:
            return Departure(socket, slot=slot, stop="console-dead")
        feed = self.rig.feeds.get(where)
        if feed is None:
            return Departure(socket, slot=slot, stop="not-fed")
        return Departure(socket, feed.signal, slot, feed)

    @cached_property
    def departures(self) -> dict[str, tuple[Departure, ...]]:
        """What arrives at every destination, one departure a socket, by destination name."""
        return {
            name: tuple(self.departure(socket) for socket in destination.sockets)
            for name, destination in self.rig.destinations.items()
        }

    def outputs(self) -> Iterator[tuple[Destination, Departure, Signal | None]]:
        """Yield every (destination, what leaves at its socket, what it expects there)."""
        for name, destination in self.rig.destinations.items():
            for index, departure in enumerate(self.departures[name]):
                yield destination, departure, destination.expects[index] if destination.expects else None

    @cached_property
    def box_outputs(self) -> dict[str, list[tuple[Destination, Socket, Signal | None]]]:
        """What hangs on each box's outputs, and what it expects, by device name."""
        found: dict[str, list[tuple[Destination, Socket, Signal | None]]] = {}
        for destination, departure, wanted in self.outputs():
            found.setdefault(departure.socket.device, []).append((destination, departure.socket, wanted))
        return found

    def banks_that_fit(self, device: str) -> list[str]:
        """Return the selector positions at which every destination of a box would get what it expects."""
        box = self.boxes.get(device)
        rows = [row for row in self.box_outputs.get(device, ()) if row[2] is not None]
        sockets = self.rig.devices[device].model.outputs
        if box is None or not rows or not sockets.by_selector:
            return []
        fitting = []
        for position in sockets.selector:
            first = int(position.partition("-")[0])
            if all(
                (feed := self.rig.feeds.get(Slot(box.link, first + socket.number - 1))) is not None
                and same_signal(feed.signal, wanted)
                and first + socket.number - 1 <= self.chains[box.link].capacity
                for _, socket, wanted in rows
            ):
                fitting.append(position)
        return fitting

    def listeners(self, device: str) -> list[Arrival]:
        """Return the arrivals on channels that are meant to carry what is plugged into a box."""
        names = {name for socket, rows in self.sources_in.items() if socket.device == device for name in rows}
        return [row for row in self.arrivals.values() if row.channel.carries in names]

    def input_banks_that_fit(self, device: str) -> list[str]:
        """Return the input selector positions at which every channel would hear what it should of a box."""
        box = self.boxes.get(device)
        sockets = self.rig.devices[device].model.inputs
        if box is None or not sockets.by_selector:
            return []
        homes: list[tuple[int, set[int]]] = []
        for row in self.listeners(device):
            if row.slot and self.owner_slot(row.slot).port == box.link:
                plugs = self.rig.sources[str(row.channel.carries)].sockets
                homes.append((row.slot.number, {plug.number for plug in plugs if plug.device == device}))
        # A box that is numbered by its place in the chain can't make room.
        others = [
            other for other in self.chains[box.link].boxes if not self.device(other.device).model.inputs.by_selector
        ]
        taken = {slot for other in others for slot in other.input_slots}
        return [
            position
            for position in sockets.selector
            if homes
            and taken.isdisjoint(slots := bank_slots(sockets, position))
            and all(number - slots.start + 1 in numbers for number, numbers in homes)
        ]

    def sent_at(self, departure: Departure) -> OutputPoint:
        """Return the output at which what a socket carries is decided: its slot or itself, or what that copies."""
        where = departure.slot or departure.socket
        return self.rig.copies.get(where, where)

    def feeds_of(self, signal: Signal) -> list[OutputPoint]:
        """Return the outputs at which a signal is sent."""
        return self._points_of.get(signal, [])

    @cached_property
    def _points_of(self) -> dict[Signal, list[OutputPoint]]:
        found: dict[Signal, list[OutputPoint]] = {}
        for where, feed in self.rig.feeds.items():
            found.setdefault(feed.signal, []).append(where)
        return found

    # -- mixes -------------------------------------------------------------------------------------------------

    @cached_property
    def taken_by(self) -> dict[str, list[Mix]]:
        """The mixes that take each mix, by the taken mix's name."""
        found: dict[str, list[Mix]] = {}
        for mix in self.rig.mixes.values():
            for signal in mix.takes:
                if signal.kind == "mix":
                    found.setdefault(signal.name, []).append(mix)
        return found

    def mixes_within(self, name: str) -> dict[str, tuple[str, ...]]:
        """Return every mix that is heard in a mix (itself first), each with the way it takes from there.

        Only buses are followed: what goes through an effects unit and comes back on a channel is another signal.
        """
        found: dict[str, tuple[str, ...]] = {name: (name,)}
        queue = [name]
        while queue:
            here = queue.pop(0)
            for signal in self.rig.mixes[here].takes:
                if signal.kind == "mix" and signal.name not in found:
                    found[signal.name] = (*found[here], signal.name)
                    queue.append(signal.name)
        return found

    @cached_property
    def graph(self) -> Graph:
        """The whole signal graph, from sources to destinations."""
        return build_graph(self)

    @cached_property
    def loops(self) -> list[list[Node]]:
        """The groups of nodes of the signal graph that feed back into each other."""
        return build_rounds(self).loops()


def is_right(arrival: Arrival) -> bool:
    """Whether a channel carries what it should; one that says nothing of it is never wrong."""
    wanted, got = arrival.channel.carries, arrival.effects
    if isinstance(wanted, Return):
        return got is not None and got.effects == wanted.effects and wanted.side in ("", got.side)
    return wanted is None or wanted in arrival.sources


def same_signal(given: Signal | None, wanted: Signal | None) -> bool:
    """Whether a destination that expects `wanted` is content with `given`."""
    return given is not None and given == wanted


def resolve_rig(rig: Rig) -> ResolvedRig:
    """Return the rig with the path of every signal worked out."""
    return ResolvedRig(rig)
