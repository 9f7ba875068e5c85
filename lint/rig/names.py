"""What the names in a rig file stand for, and each one that stands for nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, NamedTuple

from lint.read.document import Document, Trail
from lint.read.nearest import did_you_mean
from lint.read.problem import MAX_MESSAGE, CannotReadError, Problem, shortened
from lint.rig.address import OutputPoint, Port, Signal, Slot, Socket, number_range, numbered, point
from lint.rig.model import Models
from lint.rig.rig import Channel, Device, Effects, Feed, Mix, Source


class Part(NamedTuple):
    """What one console says of its own: at the top of the file, or under consoles/NAME."""

    console: str
    trail: Trail
    sections: Mapping[str, Any]


class Names:
    """A document being built: what is known so far by name, and the problems met on the way."""

    def __init__(self, document: Document, models: Models) -> None:
        self.document = document
        self.data: dict[str, Any] = document.data
        self.models = models
        self.problems: list[Problem] = []
        self.devices: dict[str, Device] = {}
        self.sources: dict[str, Source] = {}
        self.mixes: dict[str, Mix] = {}
        self.effects: dict[tuple[str, str], Effects] = {}
        self.feeds: dict[OutputPoint, Feed] = {}
        self.copies: dict[OutputPoint, OutputPoint] = {}

    def stop_here(self) -> None:
        """Give up where going on would only tell of consequences."""
        if self.problems:
            raise CannotReadError(sorted(self.problems))

    def problem(self, trail: Trail, message: str, at_key: bool = False) -> None:
        """Note what is wrong at a place in the file; `at_key` points at the key and not at its value."""
        words = "/".join(f"[{step + 1}]" if isinstance(step, int) else step for step in trail)
        text = shortened(f"{words}: {message}", MAX_MESSAGE)
        self.problems.append(Problem(*self.document.locate(trail, at_key), text))

    def known(self, what: str, name: str, known: Iterable[str], trail: Trail) -> bool:
        """Say whether a name is known; a problem, with the nearest name, where it is not."""
        names = list(known)
        if name in names:
            return True
        self.problem(trail, f"no {what} is called '{name}'{did_you_mean(name, names)}")
        return False

    def device(self, name: str, trail: Trail) -> Device | None:
        """Return the device of that name, or None and a problem."""
        device = self.devices.get(name)
        if device is None:
            self.known("device", name, self.devices, trail)
        return device

    def port(self, text: str, trail: Trail) -> Port:
        """Read DEVICE/PORT; a device or a port that is not there is a problem."""
        name, _, port = text.partition("/")
        device = self.device(name, trail)
        if device is not None and port not in device.model.ports:
            ports = device.model.ports
            known = did_you_mean(port, ports) if ports else "; it has no link port at all"
            self.problem(trail, f"{name} ({device.model.name}) has no port '{port}'{known}")
        return Port(name, port)

    def socket(self, text: str, trail: Trail) -> Socket:
        """Read a socket; whether the device has that many is left for the rules."""
        device, side, number, _ = numbered(text)  # its form is the schema's business
        self.device(device, trail)
        return Socket(device, side, number)

    def signal(self, text: str, console: str, trail: Trail) -> Signal | None:
        """Read a mix, a side of one, or a channel's direct output."""
        if text.startswith("channel/"):
            return Signal("channel", f"{console}/{text[8:]}")
        name, _, side = text.partition(".")
        mix = self.mixes.get(name)
        if mix is None:
            self.known("mix", name, self.mixes, trail)
            return None
        if side and mix.width != "stereo":
            self.problem(trail, f"the mix {name} is mono, so it has no side '{side}'; say {name}")
            return None
        return Signal("mix", name, side)

    def spread(self, signal: Signal, count: int, trail: Trail) -> list[Signal]:
        """Return what each of `count` outputs carries: a stereo mix on two outputs is its left and its right."""
        stereo = signal.kind == "mix" and not signal.side and self.mixes[signal.name].width == "stereo"
        if not stereo:
            return [signal] * count
        if count != 2:
            name = signal.name
            message = f"the mix {name} is stereo; say {name}.left, {name}.right or {name}.mono, or give it two outputs"
            self.problem(trail, message)
            return []
        return [Signal("mix", signal.name, "left"), Signal("mix", signal.name, "right")]

    def numbers(self, text: str, trail: Trail, at_key: bool = False) -> range:
        """Read a range of numbers; empty, and a problem, where it runs backwards."""
        try:
            return number_range(text)
        except ValueError as error:
            self.problem(trail, str(error), at_key)
            return range(0)

    def points(self, text: str, trail: Trail) -> list[Socket | Slot]:
        """Read a range of sockets or slots; empty, and a problem, where it runs backwards."""
        try:
            device, side, first, last = numbered(text)
        except ValueError as error:
            self.problem(trail, str(error))
            return []
        return [point(device, side, number) for number in range(first, last + 1)]

    def day(self, text: str, trail: Trail) -> date:
        """Read a date; a problem where the calendar has no such day."""
        try:
            return date.fromisoformat(text)
        except ValueError:
            self.problem(trail, f"found '{text}', which is no day of the calendar")
            return date.min

    def circuit(self, row: Mapping[str, Any], trail: Trail) -> None:
        """Hold the circuit that a row names against the power section, where there is one."""
        circuits = self.data.get("power", {}).get("circuits")
        if circuits is not None and "circuit" in row:
            self.known("circuit", row["circuit"], circuits, (*trail, "circuit"))

    def own_mix(self, signal: Signal, console: str, trail: Trail, what: str) -> None:
        """Refuse a mix of another console: no bus leads from one to the other."""
        if signal.kind == "mix" and self.mixes[signal.name].console != console:
            message = f"{signal} is a mix of {self.mixes[signal.name].console}; {what} of its own console ({console})"
            self.problem(trail, message)

    def refer_direct(self, signal: Signal, channels: Mapping[tuple[str, int], Channel], trail: Trail) -> None:
        """Hold a direct output against the channels there are."""
        if signal.kind == "channel":
            console, _, number = signal.name.rpartition("/")
            if (console, int(number)) not in channels:
                self.problem(trail, f"there is no channel {number} on {console}")
