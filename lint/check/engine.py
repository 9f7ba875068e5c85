"""Runs the rules over a resolved rig: settings, findings, causes, waivers, verdict."""

from __future__ import annotations

import traceback
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from lint.check.catalogue import Catalogue, load_catalogue
from lint.check.finding import Cure, Finding, Severity, Verdict, verdict_of
from lint.check.own import OWN_RULES, REMOVAL_IDLE, RULE_FAILED, own_finding
from lint.check.rule import FAMILIES, Rule
from lint.check.settings import setting_problems
from lint.check.waivers import apply_waivers
from lint.read.document import paused_collector
from lint.read.nearest import did_you_mean
from lint.read.problem import CannotReadError, Problem
from lint.resolve.resolved import ResolvedRig, resolve
from lint.rig.build import load_rig
from lint.rig.rig import Place, Rig, Setting


@dataclass(frozen=True)
class Checked:
    """A rig with its findings, in the order they are told, and the verdict."""

    resolved: ResolvedRig
    findings: tuple[Finding, ...]
    verdict: Verdict
    switched_off: tuple[Setting, ...]


def check_file(path: Path, catalogue: Catalogue | None = None, today: date | None = None) -> Checked:
    """Read, resolve and check one rig file.

    Raises CannotReadError.
    """
    with paused_collector():
        return check_rig(resolve(load_rig(path)), catalogue, today)


def check_rig(resolved: ResolvedRig, catalogue: Catalogue | None = None, today: date | None = None) -> Checked:
    """Check a resolved rig. A waiver counts until its date, seen from the event's date or else from `today`.

    Raises CannotReadError where a setting or waiver names a rule or limit that does not exist, or asks for what no
    house may set.
    """
    catalogue = catalogue or load_catalogue()
    rig = resolved.rig
    if problems := [*_unknown(rig, catalogue), *setting_problems(rig, catalogue.rules)]:
        raise CannotReadError(sorted(problems))
    findings = [_not_loaded(rig, failure.name, failure.reason) for failure in catalogue.failures]
    for rule in catalogue.rules.values():
        setting = rig.settings.get(rule.id)
        if setting is None or not setting.off:
            findings.extend(_run(rule, resolved, setting))
    findings.extend(_idle_removals(rig))
    findings = _one_cause_each(findings)
    day = rig.event.date or today or date.today()
    findings = apply_waivers(findings, rig, catalogue.documented, day)
    findings.sort(key=_order)
    off = tuple(setting for setting in rig.settings.values() if setting.off)
    return Checked(resolved, tuple(findings), verdict_of(findings), off)


def _run(rule: Rule, resolved: ResolvedRig, setting: Setting | None) -> list[Finding]:
    """Run one rule; whatever goes wrong in it is a finding of its own and hides nothing that it found before."""
    limits = {name: limit.default for name, limit in rule.limits.items()}
    severity = rule.severity
    if setting is not None:
        limits.update(setting.limits)
        severity = Severity(setting.severity) if setting.severity else severity
    found: list[Finding] = []
    try:
        for finding in rule.function(resolved, **limits):
            _require_whole(finding)
            own = finding.severity if setting is None or not setting.severity else None
            found.append(replace(finding, rule=rule.id, family=rule.family, severity=own or severity))
    except (Exception, SystemExit) as error:
        found.append(_failed(rule, error, resolved.rig))
    return found


def _require_whole(finding: object) -> None:
    """Refuse what a rule of somebody else may yield and no report could tell: types are only hints in Python."""
    if not isinstance(finding, Finding) or not finding.places:
        raise TypeError(f"yielded {finding!r}, expected a Finding with at least one place")
    odd: list[object] = [place for place in finding.places if not isinstance(place, Place)]
    odd += [cure for cure in finding.cures if not isinstance(cure, Cure)]
    odd += [value for value in finding.facts.values() if not isinstance(value, str | int | float)]
    odd += [] if isinstance(finding.message, str) else [finding.message]
    odd += [] if isinstance(finding.members, tuple) else [finding.members]
    odd += [member for member in finding.members if not isinstance(member, str)]
    if odd:
        raise TypeError(f"yielded a finding with {odd[0]!r} in it, expected text, places, cures and plain facts")


def _failed(rule: Rule, error: BaseException, rig: Rig) -> Finding:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    where = f"{Path(frame.filename).name}:{frame.lineno}"
    message = f"the rule {rule.id} failed, so what it checks was not checked: {type(error).__name__}: {error} ({where})"
    return own_finding(RULE_FAILED, message, Place(rig.file, 0, 0, f"rules/{rule.id}"))


def _not_loaded(rig: Rig, name: str, reason: str) -> Finding:
    message = f"the rule package '{name}' could not be loaded, so its rules were not run: {reason}"
    return own_finding(RULE_FAILED, message, Place(rig.file, 0, 0, f"rules/{name}"))


def _idle_removals(rig: Rig) -> list[Finding]:
    return [
        own_finding(REMOVAL_IDLE, removal.message, Place(removal.file, removal.line, removal.column, "files"))
        for removal in rig.idle_removals
    ]


def _one_cause_each(findings: Iterable[Finding]) -> list[Finding]:
    """Leave out what another finding explains: one cause, one finding."""
    every = list(findings)
    by_key: dict[tuple[str, str], list[Finding]] = {}
    for finding in every:
        by_key.setdefault((finding.rule, finding.about), []).append(finding)
    named = {key for finding in every for key in finding.explains if key[0] != finding.rule}
    kept: set[tuple[str, str]] = set()
    gone: set[tuple[str, str]] = set()
    # What nothing explains comes first; what is left over explains itself in a ring, and the first of it is told.
    for key in sorted(by_key, key=lambda key: key in named):
        if key in gone:
            continue
        kept.add(key)
        follow = [key]
        while follow:
            for finding in by_key[follow.pop()]:
                also = {other for other in finding.explains if other[0] != finding.rule and other in by_key}
                follow += also - kept - gone
                gone |= also - kept
    return [finding for finding in every if (finding.rule, finding.about) in kept]


def _unknown(rig: Rig, catalogue: Catalogue) -> list[Problem]:
    """Say which settings and waivers name what does not exist: a rule that is only thought to be off is a trap."""
    problems: list[Problem] = []
    known = list(catalogue.documented)
    if catalogue.failures:
        return []  # the rule may well be in the package that could not be loaded
    for setting in rig.settings.values():
        if setting.rule in OWN_RULES:
            message = f"{setting.rule} is what the check itself says, and can't be set; take it out"
            problems.append(Problem(*rig.document.locate(setting.trail, at_key=True), message))
            continue
        if setting.rule not in catalogue.rules:
            message = f"rules: no rule is called '{setting.rule}'{did_you_mean(setting.rule, catalogue.rules)}"
            problems.append(Problem(*rig.document.locate(setting.trail, at_key=True), message))
            continue
        limits = catalogue.rules[setting.rule].limits
        for name in setting.limits:
            if name not in limits:
                trail = (*setting.trail, "limits", name)
                message = f"the rule {setting.rule} has no limit '{name}'{did_you_mean(name, limits)}"
                problems.append(Problem(*rig.document.locate(trail, at_key=True), message))
    for waiver in rig.waivers:
        if waiver.rule not in known:
            message = f"waivers: no rule is called '{waiver.rule}'{did_you_mean(waiver.rule, known)}"
            problems.append(Problem(*rig.document.locate((*waiver.trail, "rule")), message))
    return problems


def _order(finding: Finding) -> tuple[int, int, tuple[tuple[int, str], ...], str]:
    """Severity first, then the way the signal flows, then the address with its numbers as numbers."""
    steps = tuple(
        (int(step), "") if step.isdigit() else (0, step) for step in finding.about.replace(".", "/").split("/")
    )
    return finding.weight.rank, FAMILIES.index(finding.family), steps, finding.rule
