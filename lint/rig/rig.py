"""The rig as typed, immutable rows: every rule, report and plan reads these and nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple

from lint.read.document import Document, Step, Trail
from lint.read.problem import Problem
from lint.rig.address import InputPoint, OutputPoint, Port, Return, Signal, Socket
from lint.rig.dead import DeadPart
from lint.rig.model import Model, Models
from lint.rig.plant import Amplifier, Carrier, Circuit, Gear, Load, LooseCable, Memory, SoundLevels, Tablet, Wireless

# What usually needs phantom power; a row may say otherwise with `powering:`.
PHANTOM_KINDS = frozenset(("condenser-microphone", "active-ribbon-microphone", "boundary-microphone", "active-di"))
LINE_KINDS = frozenset(("wireless-receiver", "player", "instrument-line", "intercom"))
HOUSE_LOUDSPEAKERS = frozenset(
    ("house-loudspeaker", "subwoofer", "delay-loudspeaker", "fill-loudspeaker", "zone-loudspeaker")
)
MONITOR_DESTINATIONS = frozenset(("wedge", "ear-transmitter", "headphone-amplifier"))
RECORDER_DESTINATIONS = frozenset(("recorder", "stream-encoder", "broadcast-feed"))
DRIVEN = HOUSE_LOUDSPEAKERS | {"wedge"}


class Place(NamedTuple):
    """Where a finding points: a place in a file, counted from 1 (line 0: the whole), and the rig address it is of."""

    file: str
    line: int
    column: int
    address: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


class Device(NamedTuple):
    """One piece of equipment. `output_bank` and `input_bank` are selector positions as written, such as `9-16`.

    `along_stage_m` is where it stands along the stage, in metres.
    """

    name: str
    model: Model
    label: str
    location: str
    circuit: str | None
    output_bank: str | None
    input_bank: str | None
    sample_rate_hz: int | None
    clock_from: str | None
    load: Load
    latency_ms: float | None
    along_stage_m: float | None

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("devices", self.name)


class Cable(NamedTuple):
    """One link cable; `length_m` in metres, and `way_m` that it has to reach, or `way_at_most`: nobody measured it."""

    name: str
    ends: tuple[Port, Port]
    kind: str | None
    shielded: bool | None
    length_m: float | None
    way_m: float | None
    label: str | None
    spare: str | None
    way_at_most: bool = False

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("cables", self.name)

    def other(self, port: Port) -> Port:
        """Return the end that is not `port`."""
        return self.ends[1] if self.ends[0] == port else self.ends[0]


class Source(NamedTuple):
    """What is plugged in on stage: one socket, or two behind a declared analogue split.

    `sensitivity_mv_pa` in mV/Pa, `expected_spl_db` in dB SPL, `level_dbu` in dBu at its loudest, `supply_ma` in mA and
    `least_supply_v` in volts at its own terminals; None where the rig does not say. `priority` 1 is saved
    first, 9 last.
    """

    name: str
    kind: str
    label: str
    sockets: tuple[Socket, ...]
    connection: str
    powering: str
    sensitivity_mv_pa: float | None
    expected_spl_db: float | None
    level_dbu: float | None
    supply_ma: float | None
    least_supply_v: float | None
    latency_ms: float
    priority: int
    group: str | None = None
    cable: str = ""

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("sources", self.name)

    @property
    def needs_phantom(self) -> bool:
        """Whether it is silent without phantom power."""
        return self.powering == "phantom"


class Channel(NamedTuple):
    """A console input strip. `carries` is what it is meant to carry, `patched_from` where the console takes it from."""

    console: str
    number: int
    label: str
    carries: str | Return | None
    patched_from: InputPoint | None
    by_block: str | None
    phantom: str | None
    gain_db: float | None
    pan: str | None
    doubles: int | None
    trail: Trail

    @property
    def address(self) -> str:
        """The channel's rig address, `console/channel/number`."""
        return f"{self.console}/channel/{self.number}"

    @property
    def key(self) -> tuple[str, int]:
        """The console and the number, by which rigs hold their channels."""
        return self.console, self.number


class Send(NamedTuple):
    """How one channel goes to a mix: `level_db` in decibels, `tap` pre-fader or post-fader, None where unsaid."""

    level_db: float | None = None
    tap: str | None = None


class Mix(NamedTuple):
    """A console bus: the channels sent to it and the mixes it takes."""

    name: str
    console: str
    kind: str
    label: str
    width: str
    sends: Mapping[int, Send]
    takes: tuple[Signal, ...]
    trail: Trail

    @property
    def signals(self) -> tuple[Signal, ...]:
        """The signals that leave it: one, or left and right."""
        sides = ("left", "right") if self.width == "stereo" else ("",)
        return tuple(Signal("mix", self.name, side) for side in sides)


class Effects(NamedTuple):
    """An effects unit inside a console, fed by a mix, returned on channels."""

    name: str
    console: str
    fed_by: Signal
    trail: Trail


class Feed(NamedTuple):
    """What a console sends to one output; `copied_from` is the output that a `same_as` repeats here."""

    signal: Signal
    trail: Trail
    copied_from: OutputPoint | None = None


class Destination(NamedTuple):
    """What hangs on outputs; `expects` has one signal a socket, or none where the rig does not say.

    `shared_by` says how it shares an output with something else: `y-lead` or `loop-through`.
    """

    name: str
    kind: str
    label: str
    sockets: tuple[Socket, ...]
    expects: tuple[Signal, ...]
    shared_by: str | None
    location: str
    circuit: str | None
    load: Load
    delay_ms: float | None
    distance_m: float | None
    aligned_to: str | None
    latency_ms: float
    cable: str = ""

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("destinations", self.name)

    @property
    def is_powered(self) -> bool:
        """Whether it draws from the mains itself, by what the rig says of it."""
        return self.circuit is not None or self.load.watts is not None


def is_driven(destination: Destination) -> bool:
    """Whether it is a loudspeaker without mains of its own: an amplifier at its socket is what drives it."""
    return destination.kind in DRIVEN and not destination.is_powered


class Pair(NamedTuple):
    """A stereo pair of sources by name."""

    name: str
    left: str
    right: str

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("pairs", self.name)


class Split(NamedTuple):
    """A declared split to a second console: of microphone lines (`sources`) or of a link (`owner` to `listener`)."""

    name: str
    kind: str
    sources: tuple[str, ...]
    owner: Port | None
    listener: Port | None

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("splits", self.name)


class Setting(NamedTuple):
    """What the house changes about a rule, and why."""

    rule: str
    severity: str | None
    off: bool
    limits: Mapping[str, float]
    because: str

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("rules", self.rule)


class Waiver(NamedTuple):
    """A finding accepted on purpose: which, why, by whom and until when.

    `asked_by` is who asked for it, `instead` what is done in place of a cure; empty where the file does not say.
    """

    rule: str
    about: str
    because: str
    by: str
    until: date
    row: int
    asked_by: str = ""
    instead: str = ""

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("waivers", self.row)

    @property
    def words(self) -> str:
        """Say by whom and until when it is accepted and why, what is done instead, and who asked for it."""
        instead = f"; instead: {self.instead}" if self.instead else ""
        asked = f"; asked for by {self.asked_by}" if self.asked_by else ""
        return f"by {self.by} until {self.until.isoformat()}: {self.because}{instead}{asked}"


class Event(NamedTuple):
    """What the rig is set up for; times are as written, HH:MM."""

    name: str
    date: date | None
    doors: str | None
    start: str | None


@dataclass(frozen=True)
class Rig:
    """Everything one rig file (and what it extends) says, by name or number, in the order of the files.

    `copies` leads from an output that is `same_as` another to where its signal is sent; `models` the house knows.
    """

    file: str
    document: Document
    models: Models
    event: Event
    sample_rate_hz: int
    leaders: tuple[str, ...] | None
    devices: Mapping[str, Device]
    cables: Mapping[str, Cable]
    loose_cables: Mapping[str, LooseCable]
    sources: Mapping[str, Source]
    channels: Mapping[tuple[str, int], Channel]
    mixes: Mapping[str, Mix]
    effects: Mapping[tuple[str, str], Effects]
    blocks: Mapping[str, tuple[Block, ...]]
    feeds: Mapping[OutputPoint, Feed]
    copies: Mapping[OutputPoint, OutputPoint]
    destinations: Mapping[str, Destination]
    pairs: Mapping[str, Pair]
    splits: Mapping[str, Split]
    circuits: Mapping[str, Circuit]
    jurisdiction: str | None
    continuous_share: float | None
    amplifiers: Mapping[str, Amplifier]
    temperature_c: float
    wireless: Wireless | None
    carriers: Sequence[Carrier]
    sound_levels: SoundLevels | None
    tablets: Mapping[str, Tablet]
    memories: Mapping[str, Memory]
    crew: Mapping[str, str]
    settings: Mapping[str, Setting]
    waivers: Sequence[Waiver]
    idle_removals: Sequence[Problem] = field(default=())
    gear: Mapping[str, Gear] = field(default_factory=dict)
    dead: Mapping[str, DeadPart] = field(default_factory=dict)

    @property
    def consoles(self) -> tuple[Device, ...]:
        """The consoles, in the order of the files."""
        return tuple(device for device in self.devices.values() if device.model.kind == "console")

    @property
    def boxes(self) -> tuple[Device, ...]:
        """The stage boxes, in the order of the files."""
        return tuple(device for device in self.devices.values() if device.model.chain is not None)

    def place(self, trail: Sequence[Step], address: str, at_key: bool = False) -> Place:
        """Return the place in the file for a trail of keys, under the given rig address."""
        return Place(*self.document.locate(trail, at_key), address)

    @property
    def circuit_names(self) -> list[str]:
        """The mains circuits: those that the rig describes, and those that something says it hangs on."""
        named = [device.circuit for device in self.devices.values()]
        named += [destination.circuit for destination in self.destinations.values()]
        named += [amplifier.circuit for amplifier in self.amplifiers.values()]
        return list(dict.fromkeys((*self.circuits, *(name for name in named if name is not None))))

    def channel_words(self, channel: Channel) -> str:
        """Say a channel as the crew does: its number and label, and its console where there are several."""
        label = f" ({channel.label})" if channel.label else ""
        desk = f" on {channel.console}" if len(self.consoles) > 1 else ""
        return f"channel {channel.number}{label}{desk}"

    def says(self, *trail: Step) -> Any:
        """Return what the merged document holds at a trail of keys, or None."""
        here: Any = self.document.data
        for step in trail:
            if isinstance(here, dict) and isinstance(step, str):
                here = here.get(step)
            elif isinstance(here, list) and isinstance(step, int) and 0 <= step < len(here):
                here = here[step]
            else:
                return None
        return here


class Block(NamedTuple):
    """A block of input patch: channels `first` to `last` take the points of `text`, in order, from `points[0]` on."""

    console: str
    key: str
    channels: range
    points: tuple[InputPoint, ...]
    trail: Trail
