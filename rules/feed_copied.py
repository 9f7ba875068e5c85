"""One mix leaves in two places, and only one of them expects it."""

from collections.abc import Iterator

from lint import Bad, Cure, Departure, Finding, ResolvedRig, Signal, rule
from lint.resolve.mixup import nested, written
from lint.rig.rig import Destination, Feed
from lint.rules._cabling import joined
from lint.rules._outputs import SAFETY

_WHY = """\
A mix that leaves in a second place is heard there as well. Somebody should have said that this is wanted: a copied
range is often a leftover from another week."""


@rule(
    title="A mix leaves in two places, and only one of them expects it",
    severity="caution",
    family="outputs",
    why=_WHY,
    do="Say at the second destination what it expects; or send it something else.",
    good=[
        "feeds: {desk/out: {1: singer-mon}}\n"
        "destinations: {booth: {kind: control-room-monitor, plugged_into: desk/out/1, expects: singer-mon}}"
    ],
    bad=[
        Bad(
            "feeds: {desk/out: {1: {same_as: desk/link-1/1}}}\n"
            "destinations: {booth: {kind: control-room-monitor, plugged_into: desk/out/1}}",
            (
                "singer-mon leaves at booth (desk/out/1) as well, which does not say what it expects; singer-wedge expects it.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a destination that carries, unasked, what another one expects."""
    expected: dict[Signal, str] = {}
    silent: dict[str, list[tuple[Departure, Signal, Feed]]] = {}
    for destination, departure, wanted in rig.outputs():
        if departure.signal is None or departure.feed is None:
            continue
        if wanted is None:
            silent.setdefault(destination.name, []).append((departure, departure.signal, departure.feed))
        elif wanted == departure.signal:
            expected.setdefault(wanted, destination.name)
    for name, every in silent.items():
        rows = [row for row in every if row[1] in expected]
        if not rows:
            continue
        one = len(rows) == 1
        others = list(dict.fromkeys(expected[signal] for _, signal, _ in rows))
        yield Finding(
            f"{joined(signal for _, signal, _ in rows)} {'leaves' if one else 'leave'} at {name} "
            f"({joined(departure.socket for departure, _, _ in rows)}) as well, which does not say what it expects; "
            f"{joined(others)} {'expects' if len(others) == 1 else 'expect'} {'it' if one else 'them'}.",
            (
                rig.place(rig.rig.destinations[name].trail, name, at_key=True),
                *(rig.place(feed.trail, departure.socket) for departure, _, feed in rows),
            ),
            (_cure(rig, rig.rig.destinations[name]),),
        )


def _cure(rig: ResolvedRig, destination: Destination) -> Cure:
    """Write down what it gets, where that is one thing: a signal, or all sides of a mix in their order."""
    gets = [departure.signal for departure in rig.departures[destination.name] if departure.signal is not None]
    mix = rig.rig.mixes.get(gets[0].name)
    if len(destination.sockets) == 1:
        said = written(gets[0])
    elif mix is not None and list(mix.signals) == gets:
        said = mix.name
    else:
        return Cure(f"where {destination.name} is meant to hear it, say there what it expects")
    text = f"where {destination.name} is meant to hear it, say `expects: {said}` there"
    return Cure(text, nested((*destination.trail, "expects"), said))
