"""The house mix goes straight to a performer's monitor."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import MONITOR_DESTINATIONS
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
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a monitor that carries the house mix as it is meant to, or as nobody says otherwise."""
    for destination, departure, wanted in rig.outputs():
        signal = departure.signal
        if destination.kind not in MONITOR_DESTINATIONS or signal is None or signal.kind != "mix":
            continue
        if rig.rig.mixes[signal.name].kind == "house" and wanted in (None, signal):
            place = rig.place((*destination.trail, "expects"), destination.name)
            message = f"{destination.name} ({departure.socket}) carries {signal}, the house mix itself."
            yield Finding(message, (place,), (Cure(f"make a monitor mix for {destination.name} and send that"),))
