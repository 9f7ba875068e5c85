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
# Who comes first where outputs are too few: the kinds of each rank, the first first. All that is not here comes last.
RANKS = (
    frozenset(("house-loudspeaker",)),
    (HOUSE_LOUDSPEAKERS - {"house-loudspeaker"}) | {"hearing-assistance"},
    MONITOR_DESTINATIONS,
)
LAST = len(RANKS)
FIRST_SERVED = (
    "of the outputs the house loudspeakers, then subwoofers, fills, delays, zones and hearing assistance alike, then "
    "wedges, ears and headphones, then recorders, streams and the rest"
)


class End(NamedTuple):
    """A destination or an amplifier, by what plans ask of it.

    `expects` has one signal a socket, or none where the rig does not say; `hears` is who listens there: the house, a
    musician (monitor), or somebody else (nothing). `rank` is its place in `RANKS`, counted from 0: the lower comes
    first where outputs are too few. `nodes` are its points in the graph of signals.
    """

    name: str
    sockets: tuple[Socket, ...]
    expects: tuple[Signal, ...]
    hears: str
    rank: int
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
        ends[name] = End(name, row.sockets, row.expects, hears, _rank(row.kind), row.circuit, nodes)
    return ends | _amplifiers(rig)


def _rank(kind: str) -> int:
    return next((rank for rank, kinds in enumerate(RANKS) if kind in kinds), LAST)


def _amplifiers(rig: ResolvedRig) -> dict[str, End]:
    lone: dict[str, bool] = {}
    house: set[str] = set()
    driven: dict[str, int] = {}
    for entry in amplifier_inputs(rig):
        name = entry.amplifier.name
        lone[name] = lone.get(name, False) or not entry.driven
        if drives_house(entry):
            house.add(name)
        driven[name] = min((driven.get(name, LAST), *(_rank(row.kind) for row in entry.driven)))
    ends = {}
    for name, is_lone in lone.items():
        if not is_lone:
            continue
        called = amplifier_called(rig.rig, name)
        row = rig.rig.amplifiers[name]
        kinds = {rig.rig.mixes[signal.name].kind for signal in row.expects if signal.kind == "mix"}
        # Whose loudspeakers it drives is not always said; the mix that it is meant to carry says it then.
        hears = HOUSE if name in house or "house" in kinds else MONITOR if "monitor" in kinds else ""
        meant = 0 if "house" in kinds else 1 if hears == HOUSE else 2 if hears == MONITOR else LAST
        rank = min(driven[name], meant) if driven[name] == LAST else driven[name]
        names = [name] if len(row.sockets) == 1 else [f"{name}/in/{i}" for i in range(1, len(row.sockets) + 1)]
        nodes = tuple(Node("amplifier", one) for one in names)
        ends[called] = End(called, row.sockets, row.expects, hears, rank, row.circuit, nodes)
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
