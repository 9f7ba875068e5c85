"""What the rig file itself has wrong on a path, as the check finds it: nobody is to be sent round for that."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet

from lint.check.engine import check_rig
from lint.check.finding import Finding, Severity
from lint.hunt.part import Part
from lint.hunt.target import Target
from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig

TOLD = ("circuit-dark", "dead-in-use")  # rules whose findings a hunt tells in its own words, with what to do about them
PLACED = ("box ", "console ", "link cable ", "chain ", "clock ", "patch ", "split ")  # parts by the address they are of


def no_goes(rig: ResolvedRig, about: AbstractSet[str]) -> list[str]:
    """Return what our rules find that is no go, waived or not, and touches any of some addresses, the heaviest first.

    A house's own rules are not run: they may ask for trust. Settings that can't be used are for the check to tell.
    """
    try:
        findings = check_rig(rig).findings
    except CannotReadError:
        return []
    heavy = [each for each in findings if each.weight is Severity.NO_GO and each.rule not in TOLD]
    return [each.message for each in heavy if about & _touched(each)]


def on_path(rig: ResolvedRig, target: Target, parts: Iterable[Part]) -> set[str]:
    """Return the addresses of what a signal passes; of a leak also of what its end should take."""
    names = {target.name, target.source, target.mate, target.end, *target.mixes, target.away}
    names |= {str(at) for at in (target.socket, target.output) if at is not None}
    names |= {target.channel.address} if target.channel is not None else set()
    for part in parts:
        names |= {part.name.removeprefix(kind) for kind in PLACED if part.name.startswith(kind)}
    for mix in target.mixes:
        names |= set(rig.mixes_within(mix))
        keys = {
            (rig.rig.mixes[mix].console, number) for mix in rig.mixes_within(mix) for number in rig.rig.mixes[mix].sends
        }
        names |= {rig.rig.channels[key].address for key in keys & rig.rig.channels.keys()} if target.leaks else set()
    return {name for name in names if name}


def dead_on(rig: ResolvedRig, target: Target) -> Iterator[tuple[str, str]]:
    """Yield what a path ends in that is dead by the rig file: that in words, and its name."""
    source = rig.rig.sources[target.source] if target.source else None
    sockets = {*(source.sockets if source else ()), target.socket}
    waiting = (target.channel, *(rig.phantom.awaited(source) if source else ()))
    consoles = {channel.console for channel in waiting if channel is not None}
    consoles |= {rig.rig.mixes[name].console for name in target.mixes if name in rig.rig.mixes}
    for row in rig.rig.dead.values():
        if sockets.intersection(row.sockets) or row.name in consoles:
            yield row.words, row.name


def _touched(finding: Finding) -> set[str]:
    return {finding.about, *finding.members, *(place.address for place in finding.places)}
