"""The house mix goes straight to a performer's monitor."""

from collections.abc import Iterator

from lint import Bad, Cure, Departure, Finding, ResolvedRig, rule
from lint.resolve.amplifiers import amplifier_inputs
from lint.resolve.mixup import nested
from lint.rig.rig import MONITOR_DESTINATIONS, Destination, Mix
from lint.rules._cabling import joined
from lint.rules._outputs import SAFETY

_WHY = """\
A monitor that carries the house mix follows every move of the house mixer's hand, has everything in it and nothing
where the performer needs it, and feeds back sooner."""


@rule(
    title="The house mix goes straight to a performer's monitor",
    severity="caution",
    family="outputs",
    why=_WHY,
    do="Give the performer a monitor mix of their own; where the house mix is wanted, waive this with a reason.",
    good=["mixes: {singer-mon: {takes: {mixes: [house.mono]}}}"],
    bad=[
        Bad(
            "feeds: {desk/link-1: {1: house.left}}\ndestinations: {singer-wedge: {expects: house.left}}",
            ("singer-wedge (west-box/out/1) carries house.left, the house mix itself.",),
        ),
        Bad(
            "mixes: {singer-mon: {kind: house}}",
            ("singer-mon has kind house and goes only to singer-wedge: its kind may be wrong.",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a monitor that carries the house mix as it is meant to, or as nobody says otherwise.

    A house mix that goes to monitors alone is one finding: it may only be called so.
    """
    by_mix: dict[str, list[tuple[Destination, Departure]]] = {}
    for destination, departure, wanted in rig.outputs():
        signal = departure.signal
        if destination.kind not in MONITOR_DESTINATIONS or signal is None or signal.kind != "mix":
            continue
        if rig.rig.mixes[signal.name].kind == "house" and wanted in (None, signal):
            by_mix.setdefault(signal.name, []).append((destination, departure))
    for name, rows in by_mix.items():
        if _goes_nowhere_else(rig, name, len(rows)):
            yield _called_wrongly(rig, rig.rig.mixes[name], [destination for destination, _ in rows])
            continue
        for destination, departure in rows:
            place = rig.place((*destination.trail, "expects"), destination.name)
            message = f"{destination.name} ({departure.socket}) carries {departure.signal}, the house mix itself."
            yield Finding(message, (place,), (Cure(f"make a monitor mix for {destination.name} and send that"),))


def _goes_nowhere_else(rig: ResolvedRig, mix: str, monitors: int) -> bool:
    """Whether no loudspeaker of the house, no recorder and no other mix hears it, nor waits for it."""
    plugged = [(departure.signal, wanted) for _, departure, wanted in rig.outputs()]
    plugged += [(row.departure.signal, row.wanted) for row in amplifier_inputs(rig)]
    hearing = [pair for pair in plugged if any(signal is not None and signal.name == mix for signal in pair)]
    return len(hearing) == monitors and mix not in rig.taken_by


def _called_wrongly(rig: ResolvedRig, mix: Mix, monitors: list[Destination]) -> Finding:
    names = joined(dict.fromkeys(destination.name for destination in monitors))
    return Finding(
        f"{mix.name} has kind house and goes only to {names}: its kind may be wrong.",
        (
            rig.place((*mix.trail, "kind"), mix.name),
            *dict.fromkeys(rig.place(destination.trail, destination.name) for destination in monitors),
        ),
        (
            Cure(f"if {mix.name} is a monitor mix, say so: `kind: monitor`", nested((*mix.trail, "kind"), "monitor")),
            Cure(f"if it is a house mix, make a monitor mix for {names} and send that"),
        ),
        explains=frozenset({("house-unheard", mix.name), *_tablets(rig, mix)}),
    )


def _tablets(rig: ResolvedRig, mix: Mix) -> Iterator[tuple[str, str]]:
    """Yield the findings about tablets that may move this mix alone: they are their performers' own."""
    for tablet in rig.rig.tablets.values():
        if tablet.may_change == (mix.name,):
            yield "remote-may-change-house", tablet.name
