"""Two plugs in one output socket."""

from collections.abc import Iterator
from typing import NamedTuple

from lint import Bad, Cure, Finding, ResolvedRig, Signal, Socket, rule
from lint.read.document import Trail
from lint.resolve.amplifiers import amplifier_inputs
from lint.resolve.mixup import merged, nested
from lint.rig.rig import is_driven
from lint.rules._cabling import joined
from lint.rules._outputs import SAFETY

_WHY = """\
A socket takes one plug: without a Y lead, or a socket on the first that loops the signal through, one of the two is left
lying, and its loudspeaker or recorder stays silent. Two rows may also be one thing that was written down twice."""


@rule(
    title="Two plugs in one output socket, and nothing says how",
    severity="caution",
    family="outputs",
    why=_WHY,
    do="Say at the second how it shares the output (`shared_by: y-lead` or `loop-through`), or give it one of its own.",
    good=[
        "destinations: {fill: {kind: fill-loudspeaker, plugged_into: east-box/out/7, expects: house.left, shared_by: loop-through}}",
        "feeds: {desk/out: {1: house.mono}}\n"
        "destinations: {foyer: {kind: zone-loudspeaker, plugged_into: desk/out/1, expects: house.mono}}\n"
        "amplifiers: {foyer-amplifier: {plugged_into: desk/out/1, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
    ],
    bad=[
        Bad(
            "destinations: {fill: {kind: fill-loudspeaker, plugged_into: east-box/out/7, expects: house.left}}",
            ("east-box/out/7 has 2 plugs, and nothing says how: house-left and fill.",),
        ),
        Bad(
            "feeds: {desk/out: {1: house.mono}}\n"
            "amplifiers:\n"
            "  foyer: {plugged_into: desk/out/1, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}\n"
            "  bar:   {plugged_into: desk/out/1, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}\n",
            ("desk/out/1 has 2 plugs, and nothing says how: the amplifier foyer and the amplifier bar.",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an output socket; a plug that gets something else than it expects is told where that is."""
    plugs: dict[Socket, list[_Plug]] = {}
    fed = {row.departure.socket for row in amplifier_inputs(rig)}
    for destination, departure, wanted in rig.outputs():
        if not (is_driven(destination) and departure.socket in fed):
            trail, shared = destination.trail, destination.shared_by is not None
            plug = _Plug(destination.name, destination.name, trail, shared, _in_place(departure.signal, wanted))
            plugs.setdefault(departure.socket, []).append(plug)
    for row in amplifier_inputs(rig):
        name, trail, shared = row.amplifier.name, row.amplifier.trail, row.amplifier.shared_by is not None
        plug = _Plug(name, f"the amplifier {name}", trail, shared, _in_place(row.departure.signal, row.wanted))
        plugs.setdefault(row.departure.socket, []).append(plug)
    together: dict[tuple[str, ...], list[Socket]] = {}
    for socket, found in plugs.items():
        silent = [plug for plug in found if not plug.shared]
        if len(silent) > 1 and rig.has_socket(socket) and all(plug.in_place for plug in found):
            together.setdefault(tuple(plug.words for plug in silent), []).append(socket)
    for sockets in together.values():
        yield _finding(rig, sockets, [plug for plug in plugs[sockets[0]] if not plug.shared])


class _Plug(NamedTuple):
    """A plug in an output: whose, in words, where the file says it, whether it says how it shares the output."""

    name: str
    words: str
    trail: Trail
    shared: bool
    in_place: bool


def _in_place(signal: Signal | None, wanted: Signal | None) -> bool:
    return wanted is None or signal == wanted


def _finding(rig: ResolvedRig, sockets: list[Socket], plugs: list[_Plug]) -> Finding:
    """Return the finding about the sockets that the same plugs are in."""
    later = plugs[1:]
    names = joined(plug.name for plug in later)
    has = "has" if len(sockets) == 1 else "have"
    return Finding(
        f"{joined(sockets)} {has} {len(plugs)} plugs, and nothing says how: {joined(plug.words for plug in plugs)}.",
        tuple(rig.place((*plug.trail, "plugged_into"), sockets[0]) for plug in reversed(plugs)),
        (
            Cure(
                f"where they share it on purpose, say how at {names}: `shared_by: y-lead` or `loop-through`",
                merged(nested((*plug.trail, "shared_by"), "y-lead") for plug in later),
            ),
            Cure(f"plug {names} into an output of its own, and send its mix there"),
        ),
        {"plugs": len(plugs)},
    )
