"""The rows about what surrounds the signal: mains loads, amplifiers, carriers, planned levels, tablets, memories."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from lint.read.document import Trail
from lint.rig.address import Port, Signal, Socket


class Load(NamedTuple):
    """What one thing draws from a circuit; `hours` without a break, None where nothing is said."""

    name: str
    watts: float | None
    power_factor: float | None
    hours: float | None
    earth: str | None
    trail: Trail


class Run(NamedTuple):
    """The cable from a breaker to where it is used: one-way length, conductor, and the reel it may be on."""

    length_m: float
    conductor_mm2: float | None
    conductor_awg: int | None
    conductor_temperature_c: float
    reel: str


class Circuit(NamedTuple):
    """A mains circuit: nominal volts, breaker rating in amperes, what guards it and what hangs on it.

    `dark` says that it has failed or is off: nothing on it has mains.
    """

    name: str
    volts: float | None
    breaker_a: float | None
    residual_current_device: bool | None
    location: str
    outdoor: bool
    dimmers: bool
    loads: tuple[Load, ...]
    run: Run | None
    dark: bool = False

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("power", "circuits", self.name)


class Loudspeakers(NamedTuple):
    """Loudspeakers of one kind in parallel: nominal impedance, or a transformer tap in watts at a line voltage."""

    impedance_ohm: float | None
    tap_w: float | None
    tap_line_v: float | None
    number: int


class AmplifierOutput(NamedTuple):
    """One loudspeaker output; `line_v` is None for low impedance."""

    name: str
    least_load_ohm: float | None
    rated_w: float | None
    line_v: float | None
    loudspeakers: tuple[Loudspeakers, ...]
    trail: Trail


class Amplifier(NamedTuple):
    """A power amplifier that is not part of a loudspeaker.

    `expects` has one signal an output socket that feeds it, or none where the rig does not say; `shared_by` says how it
    shares that output with something else.
    """

    name: str
    label: str
    sockets: tuple[Socket, ...]
    expects: tuple[Signal, ...]
    shared_by: str | None
    circuit: str | None
    load: Load
    outputs: tuple[AmplifierOutput, ...]

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("amplifiers", self.name)


class Exposure(NamedTuple):
    """A stretch of time at one A-weighted level."""

    what: str
    level_dba: float
    hours: float


class SoundLevels(NamedTuple):
    """The planned levels and hours, and the criterion for the crew: niosh, osha or eu."""

    criterion: str | None
    crew: tuple[Exposure, ...]
    audience: tuple[Exposure, ...]
    audience_limit_db: float


class Wireless(NamedTuple):
    """What the house may use, and what its receivers need: frequencies in whole hertz, None where nothing is said."""

    ranges_hz: tuple[tuple[int, int], ...]
    least_spacing_hz: int | None
    guard_hz: int | None


class Carrier(NamedTuple):
    """One carrier in use: the row it belongs to and its frequency in whole hertz."""

    name: str
    frequency_hz: int
    trail: Trail


class Tablet(NamedTuple):
    """Who may move which mixes from a tablet or telephone."""

    name: str
    of: str
    own_mix: str | None
    may_change: tuple[str, ...]

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("remote_control", self.name)


class Gear(NamedTuple):
    """Equipment that is borrowed, lent, broken or missing; `until` is the day it is due back or needed."""

    name: str
    state: str
    what: str
    who: str
    until: date | None
    note: str

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("gear", self.name)


class Memory(NamedTuple):
    """The saved memories of one console: as it was before the event's changes, and with them."""

    console: str
    before: str | None
    after: str | None

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("console_memory", self.console)


class LooseCable(NamedTuple):
    """A link cable that carries no signal: one `end` of it or both are plugged into nothing. `length_m` in metres."""

    name: str
    end: Port | None
    kind: str | None
    shielded: bool | None
    length_m: float | None
    way_m: float | None
    label: str | None
    spare: str | None
