"""What hangs on the outputs: destinations, and amplifiers whose loudspeakers the rig does not name at their sockets."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from lint.resolve.amplifiers import amplifier_called, amplifier_inputs, drives_house
from lint.resolve.graph import Node
from lint.resolve.resolved import Departure, ResolvedRig
from lint.rig.address import Signal, Socket
from lint.rig.rig import HOUSE_LOUDSPEAKERS, MONITOR_DESTINATIONS, is_driven

# What an audience should never be given.
NEVER_IN_THE_HOUSE = frozenset(("monitor", "cue", "talkback", "effects"))
HOUSE, MONITOR = "house", "monitor"


class End(NamedTuple):
    """A destination or an amplifier, by what plans ask of it.

    `expects` has one signal a socket, or none where the rig does not say; `hears` is who listens there: the house, a
    musician (monitor), or somebody else (nothing). `nodes` are its points in the graph of signals.
    """

    name: str
    sockets: tuple[Socket, ...]
    expects: tuple[Signal, ...]
    hears: str
    circuit: str | None
    nodes: tuple[Node, ...]

    def wanted(self, index: int, departure: Departure) -> Signal | None:
        """Return what one of its sockets is to carry: what it expects, else what arrives there."""
        return self.expects[index] if self.expects else departure.signal


def ends_of(rig: ResolvedRig) -> dict[str, End]:
    """Return all that hangs on outputs by name, destinations first, in the order of the files.

    An amplifier is left out where loudspeakers that it drives stand for it at every socket that feeds it.
    """
    ends = {}
    for name, row in rig.rig.destinations.items():
        hears = HOUSE if row.kind in HOUSE_LOUDSPEAKERS else MONITOR if row.kind in MONITOR_DESTINATIONS else ""
        nodes = (Node("destination", name),)
        ends[name] = End(name, row.sockets, row.expects, hears, row.circuit, nodes)
    return ends | _amplifiers(rig)


def _amplifiers(rig: ResolvedRig) -> dict[str, End]:
    lone: dict[str, bool] = {}
    house: set[str] = set()
    for entry in amplifier_inputs(rig):
        name = entry.amplifier.name
        lone[name] = lone.get(name, False) or not entry.driven
        if drives_house(entry):
            house.add(name)
    ends = {}
    for name, is_lone in lone.items():
        if not is_lone:
            continue
        called = amplifier_called(rig.rig, name)
        row = rig.rig.amplifiers[name]
        kinds = {rig.rig.mixes[signal.name].kind for signal in row.expects if signal.kind == "mix"}
        # Whose loudspeakers it drives is not always said; the mix that it is meant to carry says it then.
        hears = HOUSE if name in house or "house" in kinds else MONITOR if "monitor" in kinds else ""
        names = [name] if len(row.sockets) == 1 else [f"{name}/in/{i}" for i in range(1, len(row.sockets) + 1)]
        nodes = tuple(Node("amplifier", one) for one in names)
        ends[called] = End(called, row.sockets, row.expects, hears, row.circuit, nodes)
    return ends


def plug_words(rig: ResolvedRig, names: Sequence[str], sockets: Collection[Socket]) -> str:
    """Say what is really plugged into sockets on which `names` hang: the amplifier, for loudspeakers that it drives."""
    rows = rig.rig.destinations
    amplifiers = [row.name for row in rig.rig.amplifiers.values() if set(row.sockets) & set(sockets)]
    driven = [name for name in names if name in rows and is_driven(rows[name])] if amplifiers else []
    if not driven:
        return " and ".join(names)
    others = [name for name in names if name not in driven and name.removesuffix(" (amplifier)") not in amplifiers]
    return " and ".join((f"{' and '.join(amplifiers)} (drives {' and '.join(driven)})", *others))


def departures_of(rig: ResolvedRig, ends: Mapping[str, End]) -> dict[str, tuple[Departure, ...]]:
    """Return what leaves at the sockets of every end, one departure a socket."""
    return {name: tuple(rig.departure(socket) for socket in end.sockets) for name, end in ends.items()}
