"""A mix leaves nowhere, or where nothing hangs."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Signal, rule
from lint.resolve.amplifiers import amplifier_inputs
from lint.rig.address import OutputPoint
from lint.rig.rig import Feed
from lint.rules._cabling import joined

_WHY = """\
A mix that is sent nowhere is work without a listener: a leftover from another week, or an output that was forgotten."""


@rule(
    title="A mix leaves nowhere, or where nothing hangs",
    severity="note",
    family="mixes",
    why=_WHY,
    do="Send it to an output, let another mix or an effects unit take it, or take it out.",
    good=["mixes: {choir-sub: {kind: monitor, takes: {channels: [2]}}, singer-mon: {takes: {mixes: [choir-sub]}}}"],
    bad=[
        Bad(
            "mixes: {drum-mon: {kind: monitor, takes: {channels: [1]}}}",
            ("drum-mon is sent to no output and taken by nothing.",),
        ),
        Bad(
            "destinations: {singer-wedge: null}",
            ("nothing hangs where it is sent: singer-mon to desk/link-1/1.",),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a mix without a listener; an unheard house mix has a rule of its own, and cue is for the crew."""
    used = {wanted.name for wanted in _wanted(rig)}  # told where it is missing
    used |= {feed.signal.name for feed in rig.rig.feeds.values()}
    used |= {unit.fed_by.name for unit in rig.rig.effects.values()}
    for mix in rig.rig.mixes.values():
        if mix.name not in used and mix.name not in rig.taken_by and mix.kind not in ("house", "cue"):
            place = rig.place(mix.trail, mix.name, at_key=True)
            message = f"{mix.name} is sent to no output and taken by nothing."
            yield Finding(message, (place,), (Cure(f"send {mix.name} to an output, or take it out"),))
    if rig.rig.destinations:
        yield from _sent_to_nobody(rig)


def _wanted(rig: ResolvedRig) -> set[Signal]:
    """Return every signal that a destination or an amplifier expects."""
    rows = [wanted for _, _, wanted in rig.outputs()] + [row.wanted for row in amplifier_inputs(rig)]
    return {wanted for wanted in rows if wanted is not None}


def _sent_to_nobody(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a mix that is sent where nothing hangs: is a plug or a line missing?

    Silent of a mix that some destination still waits for, and of copied ranges, which are copied whole.
    """
    inputs = list(amplifier_inputs(rig))
    heard = {row.slot or row.socket for rows in rig.departures.values() for row in rows}
    heard |= {row.departure.slot or row.departure.socket for row in inputs}
    waiting = {wanted for _, departure, wanted in rig.outputs() if departure.signal != wanted}
    waiting |= {row.wanted for row in inputs if row.departure.signal != row.wanted}
    by_mix: dict[str, list[tuple[OutputPoint, Feed]]] = {}
    for where, feed in rig.rig.feeds.items():
        idle = where not in heard and feed.copied_from is None and feed.signal not in waiting
        if idle and feed.signal.kind == "mix":
            by_mix.setdefault(feed.signal.name, []).append((where, feed))
    for name, feeds in by_mix.items():
        sent = joined(f"{feed.signal} to {where}" for where, feed in feeds)
        places = [rig.place(rig.rig.mixes[name].trail, name, at_key=True)]
        places += [rig.place(feed.trail, where) for where, feed in feeds]
        cure = Cure("say under destinations/ what hangs there, or take the feed out")
        yield Finding(f"nothing hangs where it is sent: {sent}.", tuple(places), (cure,))
