"""One mix leaves in two places, and only one of them expects it."""

from collections.abc import Iterator

from lint import Bad, Cure, Departure, Finding, ResolvedRig, Signal, rule
from lint.rig.rig import Destination
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
    silent: list[tuple[Destination, Departure]] = []
    for destination, departure, wanted in rig.outputs():
        if departure.signal is None:
            continue
        if wanted is None:
            silent.append((destination, departure))
        elif wanted == departure.signal:
            expected.setdefault(wanted, destination.name)
    for destination, departure in silent:
        signal, feed = departure.signal, departure.feed
        if signal is not None and feed is not None and signal in expected:
            yield Finding(
                f"{signal} leaves at {destination.name} ({departure.socket}) as well, which does not say what it expects; "
                f"{expected[signal]} expects it.",
                (rig.place(destination.trail, destination.name, at_key=True), rig.place(feed.trail, str(signal))),
                (_cure(destination, signal),),
            )


def _cure(destination: Destination, signal: Signal) -> Cure:
    text = f"where {destination.name} is meant to hear it, say `expects: {signal}` there"
    if signal.kind != "mix" or len(destination.sockets) != 1:
        return Cure(text)
    return Cure(text, {"destinations": {destination.name: {"expects": str(signal)}}})
