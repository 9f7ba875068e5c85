"""A signal goes round: a mix returns to what feeds it."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._loops import SPOKEN, cuts, loops, way_places, way_words

_WHY = """\
What goes round is added to itself at every turn. With a little gain in the way it grows until it howls at full level, on
every mix that it touches, and no microphone needs to be open for it."""


@rule(
    title="A signal goes round: a mix returns to what feeds it",
    severity="no-go",
    family="loops",
    why=_WHY,
    do="Cut the way round at one place: take a send or a mix out of what one of the mixes on it takes.",
    good=[
        "mixes: {verb-send: {kind: effects, takes: {channels: [1]}}, house: {takes: {channels: [1-4]}}}\n"
        "effects: {plate: {fed_by: verb-send}}\n"
        "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}"
    ],
    bad=[
        Bad(
            "mixes: {band: {kind: record, takes: {channels: [2], mixes: [singer-mon]}}, singer-mon: {takes: {mixes: [band]}}}",
            ("a signal goes round: singer-mon → band → singer-mon.",),
        ),
        Bad(
            "mixes:\n"
            "  verb-send: {kind: effects, takes: {channels: [1, 5]}}\n"
            "  echo-send: {kind: effects, takes: {channels: {2: {level_db: -6}, 3-4: {level_db: -3}}}}\n"
            "effects: {plate: {fed_by: verb-send}, echo: {fed_by: echo-send}}\n"
            "channels:\n"
            "  4: {label: Plate, carries: effects/plate, patched_from: effects/plate}\n"
            "  5: {label: Echo,  carries: effects/echo,  patched_from: effects/echo}\n",
            (
                "a signal goes round: verb-send → plate → channel 4 (Plate) → echo-send → echo → channel 5 (Echo) → "
                "verb-send.",
            ),
        ),
    ],
    safety="Keep the mixes on the way round muted until it is cut: it can howl at full level the moment it is opened.",
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a group of signals that feed back into each other, with a shortest way round."""
    for loop in loops(rig):
        cures = tuple(cuts(rig, loop)) or (Cure("feed the effects unit from a mix that does not take its return"),)
        yield Finding(
            f"a signal goes round: {way_words(rig, loop)}.",
            way_places(rig, loop),
            cures,
            {"steps": sum(node.kind in SPOKEN for node in loop.way)},
        )
