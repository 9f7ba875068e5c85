"""Waivers: what somebody accepts on purpose, what stands again, and waivers that have no effect."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from lint.check.finding import Cure, Finding, Severity
from lint.check.own import WAIVER_BY_ASKER, WAIVER_FORBIDDEN, WAIVER_LONG, WAIVER_UNUSED, WAIVERS_REPLACED, own_finding
from lint.check.rule import Rule
from lint.read.nearest import did_you_mean
from lint.rig.person import same_person
from lint.rig.rig import Rig, Waiver

MOST_NAMED = 6
LONGEST = timedelta(days=366)  # a year, leap years too; our own choice
_DECIDE_ANEW = Cure("decide anew, and write under waivers: who accepts it until when")


def apply_waivers(findings: Iterable[Finding], rig: Rig, rules: Mapping[str, Rule], day: date) -> list[Finding]:
    """Mark what is waived on a day, raise to no-go what was waived until a day before, and tell of idle waivers.

    A finding about several members is waived where each of them is, by one waiver or by several.
    """
    told = [_weighed(finding, rig, rules, day) for finding in (*findings, *_replaced(rig))]
    for waiver in rig.waivers:
        note = _without_effect(waiver, told, rig, rules, day) or _too_long(waiver, rig, day)
        if note is not None:
            told.append(_weighed(note, rig, rules, day))
    return told


def _weighed(finding: Finding, rig: Rig, rules: Mapping[str, Rule], day: date) -> Finding:
    """Return a finding as the waivers leave it."""
    if not rules[finding.rule].waivable:
        return finding
    live: dict[str, Waiver] = {}
    past: dict[str, Waiver] = {}
    for waiver in sorted(rig.waivers, key=lambda waiver: waiver.until):  # the one that lasts longest counts
        fits = waiver.rule == finding.rule and waiver.about in finding.waivable_parts
        if fits and not same_person(waiver.by, waiver.asked_by):
            (past if waiver.until < day else live)[waiver.about] = waiver
    left = [part for part in finding.waivable_parts if part not in live]
    if ended := [past[part] for part in left if part in past]:
        return _stands_again(finding, ended, rig)
    holding = [live[part] for part in finding.waivable_parts if part in live]
    if holding and left:
        return _stands_in_part(finding, holding, left, rig)
    return replace(finding, waived=_as_one(holding)) if holding else finding


def _as_one(waivers: Sequence[Waiver]) -> Waiver:
    """Return several waivers of one finding as one, which holds as long as all of them do."""
    first = waivers[0]
    said = zip(*((w.by, w.because, w.asked_by, w.instead) for w in waivers), strict=True)
    by, because, asked_by, instead = ("; ".join(filter(None, dict.fromkeys(words))) for words in said)
    until = min(waiver.until for waiver in waivers)
    return first._replace(by=by, because=because, until=until, asked_by=asked_by, instead=instead)


def _stands_again(finding: Finding, ended: Sequence[Waiver], rig: Rig) -> Finding:
    """Return what the waivers were for, as the one finding that there is: a no-go until somebody decides anew."""
    told = "; ".join(f"the waiver of {w.rule} for {w.about} by {w.by} ended on {w.until.isoformat()}" for w in ended)
    return replace(
        finding,
        message=f"{told}, and it stands again: {finding.message}",
        places=(*finding.places, *(rig.place(waiver.trail, waiver.about) for waiver in ended)),
        cures=(*finding.cures, _DECIDE_ANEW),
        severity=Severity.NO_GO,
    )


def _stands_in_part(finding: Finding, live: Sequence[Waiver], left: Sequence[str], rig: Rig) -> Finding:
    """Return a finding of which only some members are waived: it stands, and says whose waiver covers only which."""
    covered = ", ".join(f"{waiver.about} (by {waiver.by})" for waiver in live)
    return replace(
        finding,
        message=f"{finding.message} Waived there: only {covered}, not {_named(left)}.",
        places=(*finding.places, *(rig.place(waiver.trail, waiver.about) for waiver in live)),
    )


def _without_effect(
    waiver: Waiver, findings: Sequence[Finding], rig: Rig, rules: Mapping[str, Rule], day: date
) -> Finding | None:
    """Return what there is to say of a waiver that accepts nothing, or None for one that does."""
    place = rig.place(waiver.trail, waiver.about)
    there = [finding for finding in findings if finding.rule == waiver.rule]
    named = [finding for finding in there if waiver.about in (finding.about, *finding.members)]
    if named and not rules[waiver.rule].waivable:
        message = f"{waiver.rule} can't be waived by anybody; the waiver by {waiver.by} does not count"
        return own_finding(WAIVER_FORBIDDEN, message, place)
    if any(waiver.about in finding.waivable_parts for finding in named):
        if not same_person(waiver.by, waiver.asked_by):
            return None
        message = f"{waiver.by} asked for the waiver of {waiver.rule} for {waiver.about} and accepted it as well"
        return own_finding(WAIVER_BY_ASKER, f"{message}; it does not count", place)
    message = f"the waiver of {waiver.rule} for {waiver.about} waives nothing"
    if waiver.until < day:
        message += f", and ended on {waiver.until.isoformat()}"
    if named:
        message += f"; name there, in a waiver each: {_named(named[0].members)}"
    else:
        known = dict.fromkeys(part for finding in there for part in finding.waivable_parts)
        message += did_you_mean(waiver.about, known, most=MOST_NAMED)
    return own_finding(WAIVER_UNUSED, message, place)


def _too_long(waiver: Waiver, rig: Rig, day: date) -> Finding | None:
    """Return what there is to say of a waiver that nobody need look at for more than a year; it counts all the same."""
    if waiver.until - day <= LONGEST:
        return None
    who = f"the waiver of {waiver.rule} for {waiver.about} by {waiver.by}"
    message = f"{who} holds until {waiver.until.isoformat()}, more than a year from {day.isoformat()}"
    return own_finding(WAIVER_LONG, message, rig.place((*waiver.trail, "until"), waiver.about))


def _replaced(rig: Rig) -> Iterator[Finding]:
    """Tell of the house's waivers that a week's list has put out of force."""
    kept = {(waiver.rule, waiver.about) for waiver in rig.waivers}
    before = [row for row in rig.document.replaced.get("waivers", ()) if isinstance(row, dict)]
    gone = dict.fromkeys((str(row.get("rule")), str(row.get("about"))) for row in before)
    words = [f"{rule} for {about}" for rule, about in gone if (rule, about) not in kept]
    if words:
        count = "one waiver no longer counts" if len(words) == 1 else f"{len(words)} waivers no longer count"
        message = f"this list replaces the one that it extends, of which {count}: {_named(words)}"
        yield own_finding(WAIVERS_REPLACED, message, rig.place(("waivers",), "waivers", at_key=True))


def _named(addresses: Sequence[str]) -> str:
    shown = addresses if len(addresses) <= MOST_NAMED else addresses[: MOST_NAMED - 1]
    more = len(addresses) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")
