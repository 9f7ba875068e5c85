"""Mains circuits, as the rig file states them. Local electrical codes and a licensed electrician decide."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts.fact import FLAG, NUMBER, TEXT, TEXTS, Fact, Kind, Thing, by_name
from lint.facts.signals import Signals
from lint.rig.plant import Amplifier, Circuit, Load
from lint.rig.rig import Destination, Device


def _things(signals: Signals) -> Iterator[Thing]:
    for circuit in signals.rig.circuits.values():
        yield Thing(circuit.name, circuit.trail, circuit.name, circuit)


def _on(signals: Signals, circuit: Circuit) -> list[tuple[str, Load]]:
    rig = signals.rig
    rows: list[Device | Destination | Amplifier] = [
        *rig.devices.values(),
        *rig.destinations.values(),
        *rig.amplifiers.values(),
    ]
    hung = [(row.name, row.load) for row in rows if row.circuit == circuit.name]
    return [*hung, *((load.name, load) for load in circuit.loads)]


def _watts(signals: Signals, circuit: Circuit) -> float | None:
    stated = [load.watts for _, load in _on(signals, circuit) if load.watts is not None]
    return sum(stated) if stated else None


def _unstated(signals: Signals, circuit: Circuit) -> list[str]:
    return [name for name, load in _on(signals, circuit) if load.watts is None]


_FACTS = (
    Fact("id", TEXT, "its name in the rig file", lambda _, c: c.name),
    Fact("location", TEXT, "where it is", lambda _, c: c.location or None, "location"),
    Fact("volts", NUMBER, "its nominal voltage", lambda _, c: c.volts, "volts"),
    Fact("breaker_a", NUMBER, "its breaker's rating in amperes", lambda _, c: c.breaker_a, "breaker_a"),
    Fact(
        "residual_current_device",
        FLAG,
        "whether the rig file says that a residual-current device guards it",
        lambda _, c: c.residual_current_device,
        "residual_current_device",
    ),
    Fact("outdoor", FLAG, "whether it is used outdoors", lambda _, c: c.outdoor, "outdoor"),
    Fact("dimmers", FLAG, "whether dimmers hang on it", lambda _, c: c.dimmers, "dimmers"),
    Fact(
        "feeds",
        TEXTS,
        "what hangs on it: devices, destinations, amplifiers and loads",
        lambda f, c: [name for name, _ in _on(f, c)],
    ),
    Fact("watts", NUMBER, "what it feeds, in watts, as far as it is stated", _watts),
    Fact("unstated_watts", TEXTS, "what hangs on it without a stated load", _unstated),
    Fact(
        "run_m", NUMBER, "the length of its cable run in metres", lambda _, c: c.run.length_m if c.run else None, "run"
    ),
)

CIRCUITS = Kind("circuits", "circuit", "power", by_name(*_FACTS), _things)
