"""Sockets and channels for the rows of an input list: what the list says is kept, what it leaves open is proposed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from lint.read.document import Document, parse
from lint.resolve.resolved import ResolvedRig, resolve
from lint.rig.address import Socket
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.rig.rig import PHANTOM_KINDS, Device
from lint.start.inputs import Input, InputList, Unusable
from lint.start.plan import BARRED_KINDS, Plan, named
from lint.start.scaffold import scaffold
from lint.start.sockets import Place, plain

# What stands beside the console, where nothing else is said.
_BESIDE_THE_CONSOLE = frozenset(("wireless-receiver", "player", "intercom"))
_BOXES = (("stage-box-8x8", 8), ("stage-box-16x8", 16), ("stage-box-32x16", 32))
_CONSOLES = (("console-16", 16), ("console-32", 32), ("console-48", 48))
LINK_SLOTS = 48
_USUAL_BOX = ("stage-box-16x8", 16)
# What lists call the inputs of the console itself.
_CONSOLE_WORDS = frozenset(
    ("local", "desk", "console", "mixer", "foh", "pult", "mischpult", "mengtafel", "mengpaneel", "regie", "mesa")
)
_NAMES = ("west-box", "east-box", "north-box")


@dataclass
class Proposal:
    """A plan made of an input list, what was assumed by line (line 0: about the whole), and the rows left out."""

    plan: Plan
    assumed: list[tuple[int, str]] = field(default_factory=list)
    unusable: list[Unusable] = field(default_factory=list)


def propose(listed: InputList, house: ResolvedRig | None, extends: str) -> Proposal:
    """Return the plan of a week with the inputs of a list, in the house given or else on equipment that is assumed."""
    plan = Plan(extends=extends)
    proposal = Proposal(plan, unusable=list(listed.unusable))
    if house is None:
        _assume_equipment(listed, proposal)
        house = _resolved(plan)
    placer = _Placer(proposal, house, "phantom" in {meaning for _, meaning in listed.columns})
    placer.place(listed.inputs, listed.places)
    proposal.unusable.sort()
    proposal.assumed.sort(key=lambda row: row[0])
    return proposal


def _resolved(plan: Plan) -> ResolvedRig:
    """Return the rig of a plan that has only equipment so far."""
    data, marks = parse(scaffold(plan, "", ""), "the equipment that is assumed")
    return resolve(build_rig(Document(data, marks, (), ()), "the equipment that is assumed", Models(None)))


def _assume_equipment(listed: InputList, proposal: Proposal) -> None:
    """Put a console and enough stage boxes into the plan: those that the list names, or else as many as it fills."""
    plan = proposal.plan
    most = max([len(listed.inputs), *(row.channel or 0 for row in listed.inputs)], default=1)
    console = next((name for name, count in _CONSOLES if count >= most), _CONSOLES[-1][0])
    plan.add("clock", "sample_rate_hz", 48000)
    plan.add("clock", "leader", "desk")
    plan.add("devices", "desk", {"model": console, "location": "mix position"})
    near = "desk/link-1"
    for index, (name, model) in enumerate(_boxes(listed.inputs)):
        bank = (
            f"{index * 8 + 1}-{index * 8 + 8}" if model != "stage-box-32x16" else f"{index * 16 + 1}-{index * 16 + 16}"
        )
        has_slots = int(bank.split("-")[1]) <= LINK_SLOTS
        plan.add("devices", name, {"model": model} | ({"output_bank": bank} if has_slots else {}))
        plan.add(
            "cables", f"link-{index + 1}", {"from": near, "to": f"{name}/upstream", "kind": "cat5e", "shielded": True}
        )
        near = f"{name}/downstream"
    boxes = ", ".join(f"{name} ({row['model']})" for name, row in plan.sections["devices"].items())
    proposal.assumed.append(
        (0, f"there is no house file, so this equipment is assumed: {boxes}; put yours in its place")
    )


def _boxes(inputs: Iterable[Input]) -> list[tuple[str, str]]:
    """Return (name, model) of the boxes that a list names, or of as many usual ones as its rows fill."""
    rows = list(inputs)
    largest: dict[str, int] = {}
    for row in rows:
        if row.box and plain(row.box) not in _CONSOLE_WORDS:
            largest[row.box] = max(largest.get(row.box, 0), row.socket or 0)
    if largest:
        taken: list[str] = ["desk"]
        found = []
        for text, socket in largest.items():
            model = next((name for name, count in _BOXES if count >= socket), _BOXES[-1][0])
            taken.append(named(text, taken, "box"))
            found.append((taken[-1], model))
        return found
    count = sum(row.kind not in _BESIDE_THE_CONSOLE for row in rows)
    number = max(1, min(3, -(-count // _USUAL_BOX[1])))
    return [(_NAMES[index], _USUAL_BOX[0]) for index in range(number)]


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

    def place(self, inputs: Iterable[Input], places: Iterable[Place]) -> None:
        """Place what the list fixes first, so that no proposal takes it; write the rows in the list's order."""
        rows = list(inputs)
        # What a row names that had to be left out is still no free socket.
        self.named = {
            Socket(box.name, "in", number)
            for place in places
            if (box := self._box(place.box)) is not None
            for number in place.numbers
        }
        self.reserved = {row.channel for row in rows if row.channel is not None}
        fixed: dict[int, Socket] = {}  # by the place in the list: a pair is two rows on one line
        for index, row in enumerate(rows):
            if row.socket is not None and (socket := self._fixed(row)) is not None:
                fixed[index] = socket
                self.sockets.add(socket)
        for index, row in enumerate(rows):
            if row.socket is None or index in fixed:
                self._write(row, fixed.get(index))
        for of, sides in self.pairs.items():
            if len(sides) == 2:
                name = named(of, self.house.rig.pairs, "pair")
                self.proposal.plan.add("pairs", name, {side: sides[side] for side in ("left", "right")})

    def _leave_out(self, row: Input, why: str) -> None:
        self.proposal.unusable.append(Unusable(row.line, f"{row.name}: {why}"))

    def _fixed(self, row: Input) -> Socket | None:
        """Return the socket that a row names, or leave the row out and say why."""
        box = self._box(row.box)
        if box is None:
            names = ", ".join(device.name for device in self._devices())
            said = (
                f"the box “{row.box}” is none of {names}"
                if row.box
                else f"socket {row.socket}, but of which box? ({names})"
            )
            self._leave_out(row, said)
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

    def _devices(self) -> list[Device]:
        return [*self.house.rig.boxes, *self.house.rig.consoles]

    def _box(self, text: str) -> Device | None:
        boxes = self.house.rig.boxes
        if not text:
            return boxes[0] if len(boxes) == 1 else None
        wanted = plain(text)
        by_name = {plain(name): device for device in self._devices() for name in (device.name, device.label) if name}
        return by_name.get(wanted) or (self.console if wanted in _CONSOLE_WORDS else None)

    def _free_sockets(self, kind: str) -> Iterator[Socket]:
        """Yield sockets in the order of the chain; beside the console its own come first."""
        chain = [box.device for links in self.house.chains.values() for box in links.boxes]
        order = [self.console.name, *chain] if kind in _BESIDE_THE_CONSOLE else [*chain, self.console.name]
        for name in order:
            for number in range(1, self.house.device(name).model.inputs.count + 1):
                socket = Socket(name, "in", number)
                if (
                    socket not in self.sockets | self.named
                    and self.house.input_point(socket, self.console.name) is not None
                ):
                    yield socket

    def _write(self, row: Input, socket: Socket | None) -> None:
        assumed = list(row.assumed)
        if socket is None:
            socket = next(self._free_sockets(row.kind), None)
            if socket is None:
                self._leave_out(row, "no socket is left")
                return
            assumed.append(f"socket {socket} is proposed")
        patched = self.house.input_point(socket, self.console.name)
        if patched is None:
            self._leave_out(row, f"{socket} has no way to {self.console.name}; a link carries {LINK_SLOTS} slots")
            return
        number = row.channel or self._free_channel()
        if row.channel is None and number is not None:
            assumed.append(f"channel {number} is proposed")
        if number is None or number in self.channels or number > (self.console.model.channels or number):
            why = "no channel is left" if number is None else f"channel {number} is taken by the house, or not there"
            self._leave_out(row, why)
            return
        self.sockets.add(socket)
        self.channels.add(number)
        self._rows(row, socket, str(patched), number, assumed)

    def _free_channel(self) -> int | None:
        most = self.console.model.channels or 48
        taken = self.channels | self.reserved
        return next((number for number in range(1, most + 1) if number not in taken), None)

    def _rows(self, row: Input, socket: Socket, patched: str, number: int, assumed: list[str]) -> None:
        name = named(row.name, self.names)
        self.names.add(name)
        needs = row.kind in PHANTOM_KINDS
        phantom = row.phantom or (needs and not self.has_phantom)  # None: it is asked for in words nobody can read
        if phantom and not row.phantom:
            assumed.append(f"phantom power on, because {row.kind.replace('-', ' ')}s need it")
        source = {"kind": row.kind, "plugged_into": str(socket)}
        if row.cable:
            source["cable"] = row.cable
        # That a socket was proposed is plain from the file; what a thing was taken for is not.
        doubtful = [words for words in assumed if not words.endswith("is proposed")]
        self.proposal.plan.add("sources", name, source, "; ".join(doubtful))
        channel: dict[str, object] = {"label": row.name, "carries": name, "patched_from": patched}
        if phantom or row.kind in BARRED_KINDS:
            channel["phantom"] = "on" if phantom else "off"
        if row.pan:
            channel["pan"] = row.pan
        if row.gain_db is not None:
            channel["gain_db"] = int(row.gain_db) if row.gain_db.is_integer() else row.gain_db
        self.proposal.plan.add("channels", str(number), channel)
        if row.pair is not None:
            self.pairs.setdefault(row.pair[0], {})[row.pair[1]] = name
        if assumed:
            self.proposal.assumed.append((row.line, f"{row.name}: {'; '.join(assumed)}"))


def sorted_channels(plan: Plan) -> None:
    """Put the channels of a plan in the order of their numbers."""
    channels = plan.sections.get("channels")
    if channels:
        plan.sections["channels"] = dict(sorted(channels.items(), key=lambda entry: int(entry[0])))


def extends_path(target: Path, house: Path) -> str:
    """Return how a new file names its house file."""
    import os  # noqa: PLC0415 - for one call

    return Path(os.path.relpath(house, target.parent)).as_posix()
