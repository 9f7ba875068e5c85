"""What arrives at the inputs of amplifiers, and whose loudspeakers they drive by what the rig says."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from lint.rig.address import Signal, Socket
from lint.rig.plant import Amplifier
from lint.rig.rig import HOUSE_LOUDSPEAKERS, Destination, Rig, is_driven

if TYPE_CHECKING:
    from lint.resolve.resolved import Departure, ResolvedRig


class AmplifierInput(NamedTuple):
    """One output socket that feeds an amplifier: what leaves there, what is expected, and what else it drives there.

    `driven` are the loudspeakers without mains of their own that the rig names at the same socket.
    """

    amplifier: Amplifier
    departure: Departure
    wanted: Signal | None
    driven: tuple[Destination, ...]


def amplifier_called(rig: Rig, name: str) -> str:
    """Return what an amplifier is called where it stands beside destinations, one of which may have its name."""
    return f"{name} (amplifier)" if name in rig.destinations else name


def drives_house(row: AmplifierInput) -> bool:
    """Whether an amplifier's loudspeakers are the house's: on a constant-voltage line, or named at its socket."""
    lines = any(output.line_v is not None for output in row.amplifier.outputs)
    return lines or any(destination.kind in HOUSE_LOUDSPEAKERS for destination in row.driven)


def amplifier_inputs(rig: ResolvedRig) -> Iterator[AmplifierInput]:
    """Yield every input of every amplifier that says where it is plugged in, in the order of the files."""
    driven: dict[Socket, list[Destination]] = {}
    for destination in rig.rig.destinations.values():
        if is_driven(destination):
            for socket in destination.sockets:
                driven.setdefault(socket, []).append(destination)
    for amplifier in rig.rig.amplifiers.values():
        for index, socket in enumerate(amplifier.sockets):
            wanted = amplifier.expects[index] if amplifier.expects else None
            yield AmplifierInput(amplifier, rig.departure(socket), wanted, tuple(driven.get(socket, ())))
