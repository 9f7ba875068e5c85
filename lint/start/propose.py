"""Sockets and channels for the rows of an input list: what the list says is kept, what it leaves open is proposed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from lint.read.document import Document
from lint.read.parse import parse
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.address import Socket
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.rig.rig import PHANTOM_KINDS, Device
from lint.start.equipment import BESIDE_THE_CONSOLE, LINK_SLOTS, assume_equipment
from lint.start.inputs import ABOVE, BY_NAME, InputList
from lint.start.plan import BARRED_KINDS, Plan, named
from lint.start.rows import Input, Unusable
from lint.start.scaffold import scaffold
from lint.start.sockets import CONSOLE_WORDS, THE_BOX, plain
from lint.start.words import folded

_PLAIN_BOX = frozenset(map(plain, THE_BOX))


class Assumed(NamedTuple):
    """What was assumed to read a row: the line it begins on and its name; 0 and nothing where it is about the whole."""

    line: int
    name: str
    words: str


@dataclass
class Proposal:
    """A plan made of an input list, what was assumed, and the rows left out."""

    plan: Plan
    assumed: list[Assumed] = field(default_factory=list)
    unusable: list[Unusable] = field(default_factory=list)
    has_own: bool = False  # whether some row is what the house has anyway

    @property
    def left_out(self) -> frozenset[int]:
        """The lines of which something is not in the plan."""
        return frozenset(row.line for row in self.unusable)


def propose(listed: InputList, house: ResolvedRig | None, extends: str) -> Proposal:
    """Return the plan of a week with the inputs of a list, in the house given or else on equipment that is assumed."""
    plan = Plan(extends=extends)
    proposal = Proposal(plan, unusable=list(listed.unusable))
    if house is None:
        proposal.assumed.append(Assumed(0, "", assume_equipment(listed, plan)))
        house = _resolved(plan)
    placer = _Placer(proposal, house, "phantom" in {meaning for _, meaning in listed.columns})
    placer.place(listed)
    proposal.unusable.sort()
    proposal.assumed.sort(key=lambda row: row.line)
    return proposal


def _resolved(plan: Plan) -> ResolvedRig:
    """Return the rig of a plan that has only equipment so far."""
    data, marks = parse(scaffold(plan, "", ""), "the equipment that is assumed")
    return resolve_rig(build_rig(Document(data, marks, (), ()), "the equipment that is assumed", Models(None)))


class _Placer:
    """Gives every input a socket and a channel that nothing else has."""

    def __init__(self, proposal: Proposal, house: ResolvedRig, has_phantom: bool) -> None:
        self.proposal = proposal
        self.house = house
        self.has_phantom = has_phantom
        self.console = house.rig.consoles[0]
        self.sockets = set(house.sources_in)
        self.channels = {number for console, number in house.rig.channels if console == self.console.name}
        self.names = set(house.rig.sources)
        self.pairs: dict[str, dict[str, str]] = {}

    def place(self, listed: InputList) -> None:
        """Place what the list fixes first, so that no proposal takes it; write the rows in the list's order."""
        rows = [row for row in listed.inputs if not self._is_the_house_s(row)]
        # What a row names that had to be left out is still no free socket, and no free channel.
        self.named = {
            Socket(box.name, "in", number)
            for place in listed.places
            if (box := self._box(place.box)) is not None
            for number in place.numbers
        }
        self.reserved = listed.channels
        self.beside = {row.near for row in rows if row.near is not None}
        sockets: dict[int, Socket | None] = {}  # by the place in the list: a pair is two rows on one line
        # First the rows that name a socket, then those that name only a box, then the others.
        for find, chosen in (
            (self._fixed, [index for index, row in enumerate(rows) if row.socket is not None]),
            (self._free, [index for index, row in enumerate(rows) if row.socket is None and row.box]),
            (self._free, [index for index, row in enumerate(rows) if row.socket is None and not row.box]),
        ):
            for index in chosen:
                sockets[index] = find(rows[index])
                self.sockets |= {socket} if (socket := sockets[index]) else set()
        for index, row in enumerate(rows):
            if (socket := sockets[index]) is not None:
                self._write(row, socket)
        for of, sides in self.pairs.items():
            if len(sides) == 2:
                name = named(of, self.house.rig.pairs, "pair")
                self.proposal.plan.add("pairs", name, {side: sides[side] for side in ("left", "right")})

    def _is_the_house_s(self, row: Input) -> bool:
        """Take a row for what the house has anyway, by its name and place; its gain and cable are this week's."""
        wanted = folded(row.name)
        for source in self.house.rig.sources.values():
            if wanted not in (folded(source.label), folded(source.name.replace("-", " "))):
                continue
            socket, channels = source.sockets[0], self.house.carriers_of.get(source.name, [])
            box = self._box(row.box) if row.box else self.house.device(socket.device)
            is_there = box is not None and box.name == socket.device and row.socket in (None, socket.number)
            numbers = [channel.number for channel in channels]
            if is_there and len(channels) == 1 and row.channel in (None, *numbers):
                self._as_in_the_house(row, source.name, numbers[0], socket)
                return True
        return False

    def _as_in_the_house(self, row: Input, name: str, number: int, socket: Socket) -> None:
        self.proposal.has_own = True
        if row.gain_db is not None:
            gain_db = int(row.gain_db) if row.gain_db.is_integer() else row.gain_db
            self.proposal.plan.add("channels", str(number), {"gain_db": gain_db})
        if row.cable:
            self.proposal.plan.add("sources", name, {"cable": row.cable})
        words = f"what the house has anyway: {name} in {socket} on channel {number}"
        self.proposal.assumed.append(Assumed(row.line, row.name, words))

    def _leave_out(self, row: Input, why: str) -> None:
        self.proposal.unusable.append(Unusable(row.line, f"{row.name}: {why}"))

    def _fixed(self, row: Input) -> Socket | None:
        """Return the socket that a row names, or leave the row out and say why."""
        box = self._stated_box(row)
        if box is None:
            return None
        socket = Socket(box.name, "in", row.socket or 0)
        if not self.house.has_socket(socket):
            self._leave_out(row, f"{box.name} has {box.model.inputs.count} inputs, and no input {row.socket}")
        elif socket in self.sockets:
            there = self.house.sources_in.get(socket, ["another row of the list"])[0]
            self._leave_out(row, f"{socket} is taken by {there}")
        else:
            return socket
        return None

    def _stated_box(self, row: Input) -> Device | None:
        """Return the box that a row names, or leave the row out: a socket elsewhere would belie the list."""
        box = self._box(row.box)
        if box is not None and row.box and plain(row.box) in _PLAIN_BOX and plain(row.box) not in self._by_name():
            row.assumed.append(f"“{row.box}” is read as {box.name}, the one stage box of the house")
        if box is None:
            names = ", ".join(device.name for device in self._devices())
            unknown = f"the box “{row.box}” is none of {names}; write one of those, or make it the label of one"
            self._leave_out(row, unknown if row.box else f"socket {row.socket}, but of which box? ({names})")
        return box

    def _free(self, row: Input) -> Socket | None:
        """Return a free socket, of the box that the row names if it names one, or leave the row out and say why."""
        box = self._stated_box(row) if row.box else None
        if row.box and box is None:
            return None
        socket = next(self._free_sockets(row.kind, box), None)
        if socket is None:
            self._leave_out(row, f"no input of {box.name} is left" if box else "no socket is left")
        return socket

    def _devices(self) -> list[Device]:
        return [*self.house.rig.boxes, *self.house.rig.consoles]

    def _box(self, text: str) -> Device | None:
        boxes = self.house.rig.boxes
        if not text:
            return boxes[0] if len(boxes) == 1 else None
        wanted = plain(text)
        only = boxes[0] if len(boxes) == 1 and wanted in _PLAIN_BOX else None
        return self._by_name().get(wanted) or (self.console if wanted in CONSOLE_WORDS else only)

    def _by_name(self) -> dict[str, Device]:
        return {plain(name): device for device in self._devices() for name in (device.name, device.label) if name}

    def _free_sockets(self, kind: str, box: Device | None) -> Iterator[Socket]:
        """Yield sockets of a box, or of all in the order of the chain; beside the console its own come first."""
        chain = [box.device for links in self.house.chains.values() for box in links.boxes]
        order = [self.console.name, *chain] if kind in BESIDE_THE_CONSOLE else [*chain, self.console.name]
        for name in [box.name] if box else order:
            for number in range(1, self.house.device(name).model.inputs.count + 1):
                socket = Socket(name, "in", number)
                if (
                    socket not in self.sockets | self.named
                    and self.house.input_point(socket, self.console.name) is not None
                ):
                    yield socket

    def _write(self, row: Input, socket: Socket) -> None:
        assumed = list(row.assumed)
        if row.socket is None:
            assumed.append(f"socket {socket} is proposed")
        patched = self.house.input_point(socket, self.console.name)
        if patched is None:
            self._leave_out(row, f"{socket} has no way to {self.console.name}; a link carries {LINK_SLOTS} slots")
            return
        number = self._channel(row, assumed)
        if number is None or number in self.channels or number > (self.console.model.channels or number):
            self._leave_out(row, self._no_channel(number))
            return
        self.channels.add(number)
        self._rows(row, socket, str(patched), number, assumed)

    def _no_channel(self, number: int | None) -> str:
        if number is None:
            return "no channel is left"
        if number in self.channels:
            return f"channel {number} is taken by the house"
        return f"{self.console.name} has {self.console.model.channels} channels, and no channel {number}"

    def _channel(self, row: Input, assumed: list[str]) -> int | None:
        """Return the channel of a row: its own, or a free one; for the right of a pair the next, if it is free."""
        if row.channel is not None:
            return row.channel
        most = self.console.model.channels or 48
        taken = self.channels | self.reserved
        free = [number for number in range(1, most + 1) if number not in taken]
        if row.near in free:
            assumed.append(f"channel {row.near} is proposed for the right side, as nothing else is on it")
            return row.near
        number = next((number for number in free if number not in self.beside), next(iter(free), None))
        if row.near is not None:
            assumed.append(f"channel {row.near} is not free, so channel {number} is proposed for the right side")
        elif number is not None:
            assumed.append(f"channel {number} is proposed")
        return number

    def _rows(self, row: Input, socket: Socket, patched: str, number: int, assumed: list[str]) -> None:
        name, plain_name = named(row.name, self.names), named(row.name, ())
        self.names.add(name)
        if name != plain_name:
            assumed.append(f"another is called {plain_name}, so this is {name}")
        needs = row.kind in PHANTOM_KINDS
        phantom = row.phantom or (needs and not self.has_phantom)  # None: it is asked for in words nobody can read
        if phantom and not row.phantom:
            assumed.append(f"phantom power on, because {row.kind.replace('-', ' ')}s need it")
        source = {"kind": row.kind, "plugged_into": str(socket)}
        if row.cable:
            source["cable"] = row.cable
        # That a socket was proposed, or two things are a pair, is plain from the file; what one was taken for is not.
        doubtful = [words for words in assumed if not words.endswith(("is proposed", BY_NAME, ABOVE))]
        self.proposal.plan.add("sources", name, source, "; ".join(doubtful))
        channel: dict[str, object] = {"label": row.name, "carries": name, "patched_from": patched}
        if phantom or (row.kind in BARRED_KINDS and row.phantom is not None):
            channel["phantom"] = "on" if phantom else "off"
        if row.pan:
            channel["pan"] = row.pan
        if row.gain_db is not None:
            channel["gain_db"] = int(row.gain_db) if row.gain_db.is_integer() else row.gain_db
        self.proposal.plan.add("channels", str(number), channel)
        if row.pair is not None:
            self.pairs.setdefault(row.pair[0], {})[row.pair[1]] = name
        self.proposal.assumed += [Assumed(row.line, row.name, words) for words in assumed]


def sorted_channels(plan: Plan) -> None:
    """Put the channels of a plan in the order of their numbers."""
    channels = plan.sections.get("channels")
    if channels:
        plan.sections["channels"] = dict(sorted(channels.items(), key=lambda entry: int(entry[0])))


def extends_path(target: Path, house: Path) -> str:
    """Return how a new file names its house file."""
    import os  # noqa: PLC0415 - for one call

    return Path(os.path.relpath(house, target.parent)).as_posix()
