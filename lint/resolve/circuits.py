"""What hangs on a mains circuit and what it draws, against what its breaker may carry: whether it has room for more."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from lint.formula.limit import exceeds
from lint.formula.mains import CONTINUOUS_H, current_a, required_rating_a
from lint.resolve.run import LOST_SHARE, bears
from lint.rig.plant import Amplifier, Circuit, Load
from lint.rig.rig import Destination, Device

if TYPE_CHECKING:
    from lint.resolve.resolved import ResolvedRig

US = "us"


class Hung(NamedTuple):
    """One thing that draws from the mains. `own` is a circuit's own load, which has no row of its own elsewhere."""

    address: str
    load: Load
    circuit: str | None
    own: bool = False


class Judged(NamedTuple):
    """What a circuit carries against what it may: `kind` is rating, nec or share, or empty where it is not over.

    `counted_a` is what counts against `allowed_a`.
    """

    kind: str
    counted_a: float
    allowed_a: float
    total_a: float
    continuous_a: float


def sound_gear(rig: ResolvedRig) -> list[Hung]:
    """Return devices, amplifiers and destinations, in the order of the files."""
    rows: list[Device | Amplifier | Destination] = [
        *rig.rig.devices.values(),
        *rig.rig.amplifiers.values(),
        *rig.rig.destinations.values(),
    ]
    return [Hung(row.name, row.load, row.circuit) for row in rows]


def everything(rig: ResolvedRig) -> list[Hung]:
    """Return all that draws from the mains: sound gear, then the circuits' own loads."""
    return [*sound_gear(rig), *(hung for circuit in rig.rig.circuits.values() for hung in _own(circuit))]


def on_circuit(rig: ResolvedRig, circuit: Circuit) -> list[Hung]:
    """Return what hangs on a circuit."""
    return [*(hung for hung in sound_gear(rig) if hung.circuit == circuit.name), *_own(circuit)]


def _own(circuit: Circuit) -> list[Hung]:
    return [Hung(f"{circuit.name}/{load.name}", load, circuit.name, own=True) for load in circuit.loads]


def drawn_a(hung: Iterable[Hung], volts: float) -> float:
    """Return the amperes of all loads whose watts are stated, added up as if their peaks fell together."""
    return sum(amperes(entry, volts) for entry in hung)


def amperes(hung: Hung, volts: float) -> float:
    """Return the amperes of one load; 0 where its watts are not stated, by a power factor of 1 where that is not."""
    return 0.0 if hung.load.watts is None else current_a(hung.load.watts, volts, hung.load.power_factor or 1.0)


def is_continuous(hung: Hung) -> bool:
    """Whether a load counts as running three hours or more: where no hours are stated it does."""
    return hung.load.hours is None or hung.load.hours >= CONTINUOUS_H


def judged(rig: ResolvedRig, circuit: Circuit, hung: Iterable[Hung]) -> Judged | None:
    """Hold loads against a circuit's breaker, then against what may run for hours; None where nothing is known."""
    every = [entry for entry in hung if entry.load.watts is not None]
    if circuit.volts is None or circuit.breaker_a is None or not every:
        return None
    rating_a, share = circuit.breaker_a, rig.rig.continuous_share
    total_a = drawn_a(every, circuit.volts)
    continuous_a = drawn_a(filter(is_continuous, every), circuit.volts)
    held = [("rating", total_a, rating_a)]
    if rig.rig.jurisdiction == US:
        held.append(("nec", required_rating_a(continuous_a, total_a - continuous_a), rating_a))
    if share is not None:
        held.append(("share", continuous_a, share * rating_a))
    for kind, counted_a, allowed_a in held:
        if exceeds(counted_a, allowed_a):
            return Judged(kind, counted_a, allowed_a, total_a, continuous_a)
    return Judged("", total_a, rating_a, total_a, continuous_a)


def has_room(rig: ResolvedRig, circuit: Circuit, more: Iterable[Hung]) -> bool:
    """Whether a circuit would carry more: not where dimmers hang on it, nor where some load on it states no watts."""
    every = [*on_circuit(rig, circuit), *more]
    if circuit.dimmers or any(entry.load.watts is None for entry in every):
        return False
    result = judged(rig, circuit, every)
    return result is not None and not result.kind


def may_take(rig: ResolvedRig, circuit: Circuit, more: Iterable[Hung]) -> bool:
    """Whether a circuit has room for more and nothing else that the file says speaks against it.

    That is: it lives, no residual-current device is said to be missing, outdoors one is said to be there, and its cable
    bears it all.
    """
    is_guarded = circuit.residual_current_device or (circuit.residual_current_device is None and not circuit.outdoor)
    every = list(more)
    if circuit.dark or not is_guarded or not has_room(rig, circuit, every):
        return False
    setting = rig.rig.settings.get("voltage-drop")
    share = setting.limits.get("share", LOST_SHARE) if setting is not None else LOST_SHARE
    return bears(circuit, drawn_a([*on_circuit(rig, circuit), *every], circuit.volts or 0.0), float(share))
