"""A dead input socket or console is still used."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, Severity, rule
from lint.resolve.mixup import patch_change
from lint.rig.dead import DeadPart
from lint.rules._cabling import joined
from lint.rules._halves import halves_of, halves_words, waiting_for
from lint.rules._phantom import SAFETY
from lint.rules._words import listed, lost_with, lost_words

_WHY = """\
Somebody found it dead, and it stays so until it is mended. Who plugs in there or listens there gets silence, and looks
for the fault anew."""


@rule(
    title="A dead socket or console is still used",
    severity="no-go or caution",
    family="plugs",
    why=_WHY,
    do="Move the plug to a socket that works and patch its channel from there; once the socket is mended, take it out of "
    "`dead:`.",
    good=[
        "dead: {west-box/in/3: crackles}",
        "dead: {west-box/in/2: crackles}\n"
        "sources: {choir: {plugged_into: west-box/in/4}}\n"
        "channels: {2: {patched_from: desk/link-1/4}}",
    ],
    bad=[
        Bad(
            "dead: {west-box/in/2: crackles}",
            (
                "west-box/in/2 is dead (crackles), and choir is plugged in there: channel 2 (Choir) should carry choir, "
                "and gets nothing.",
            ),
        ),
        Bad(
            "dead: {west-box/in/4-6: no signal since the carols}\n"
            "sources: {tom: {kind: dynamic-microphone, plugged_into: west-box/in/4}}\n"
            "channels: {4: {label: Tom, patched_from: desk/link-1/4}}",
            (
                "west-box/in/4–6 are dead (no signal since the carols), and tom is plugged in there: channel 4 (Tom) gets "
                "nothing.",
            ),
        ),
        Bad(
            "dead: {desk: no picture}",
            (
                "desk is dead (no picture): every channel, mix and output of it is gone, and nothing reaches west-box and "
                "east-box. Silent: lead-vocal (channel 1), choir (channel 2), piano (channel 3). Dead outputs: "
                "singer-wedge, house-left, house-right.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a row of `dead:`: a no-go where it is a console, or a channel misses its source by it."""
    told: set[str] = set()
    for row in rig.rig.dead.values():
        if not row.sockets:
            yield _console(rig, row)
            continue
        heard = [arrival for arrival in rig.arrivals.values() if arrival.socket in row.sockets]
        taken = [arrival for arrival in heard if arrival.channel.address not in told]
        plugged = [name for socket in row.sockets for name in rig.sources_in.get(socket, ())]
        told.update(arrival.channel.address for arrival in taken)
        if taken or plugged:
            yield _finding(rig, row, taken, list(dict.fromkeys(plugged)))


def _console(rig: ResolvedRig, row: DeadPart) -> Finding:
    """Tell of all that is gone with a console, which nothing else needs to tell."""
    carried = (arrival.channel.carries for arrival in rig.arrivals.values() if arrival.channel.console == row.name)
    waiting = [carries for carries in carried if isinstance(carries, str)]
    mixes = [mix.name for mix in rig.rig.mixes.values() if mix.console == row.name]
    explains = {("source-unheard", name) for name in waiting}
    explains |= {(rule, name) for rule in ("mix-unheard", "house-unheard") for name in mixes}
    units = (unit.name for unit in rig.rig.effects.values() if unit.console == row.name)
    explains |= {("effects-unreturned", f"effects/{name}") for name in units}
    boxes = [name for name, console in rig.cabling.behind_dead.items() if console == row.name]
    gone = (row.name, *boxes)
    halves = halves_of(rig, gone)
    explains |= {("chain-box-unreached", name) for name in boxes} | set(waiting_for(rig, halves))
    behind = f", and nothing reaches {joined(boxes)}." if boxes else "."
    words = behind + lost_words(rig, lost_with(rig, gone)) + halves_words(rig, halves, gone)
    return Finding(
        f"{row.words}: every channel, mix and output of it is gone{words}",
        (rig.place(row.trail, row.name, at_key=True), rig.place(("devices", row.name), row.name, at_key=True)),
        (Cure(f"ask `rigwalk spares RIG {row.name}` who is still heard; have it mended, then take it out of `dead:`"),),
        explains=frozenset(explains),
    )


def _finding(rig: ResolvedRig, row: DeadPart, taken: list[Arrival], plugged: list[str]) -> Finding:
    missing = [arrival for arrival in taken if isinstance(arrival.channel.carries, str)]
    verb = "is" if len(plugged) == 1 else "are"
    there = f", and {listed(plugged)} {verb} plugged in there" if plugged else ""
    silent = listed(_silent(rig, arrival) for arrival in taken)
    gets = f": {silent}" if taken else ""
    return Finding(
        f"{row.words}{there}{gets}.",
        (
            rig.place(row.trail, row.name, at_key=True),
            *(rig.place((*rig.rig.sources[name].trail, "plugged_into"), name) for name in plugged),
            *(rig.place((*each.channel.trail, "patched_from"), each.channel.address) for each in taken),
        ),
        tuple(_cures(rig, row, missing, plugged)),
        {"sockets": len(row.sockets), "channels": len(missing)},
        severity=None if missing else Severity.CAUTION,
        explains=frozenset(("source-unheard", str(name)) for name in (*plugged, *(a.channel.carries for a in missing))),
    )


def _silent(rig: ResolvedRig, arrival: Arrival) -> str:
    words, wanted = rig.rig.channel_words(arrival.channel), arrival.channel.carries
    return f"{words} should carry {wanted}, and gets nothing" if isinstance(wanted, str) else f"{words} gets nothing"


def _cures(rig: ResolvedRig, row: DeadPart, missing: list[Arrival], plugged: list[str]) -> Iterator[Cure]:
    """Yield the way to the best place for what is plugged in there, and the patch of what is elsewhere already."""
    if plugged:
        yield Cure(f"ask `rigwalk spares RIG {row.name}` where it goes best")
    for arrival in missing:
        source = rig.rig.sources[str(arrival.channel.carries)]
        patch = patch_change(rig, arrival)
        if patch is not None and not any(map(rig.is_dead, source.sockets)):
            yield Cure(*patch)
