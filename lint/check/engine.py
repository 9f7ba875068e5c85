"""Runs the rules over a resolved rig: settings, findings, causes, waivers, verdict."""

from __future__ import annotations

import traceback
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from time import perf_counter

from lint.check.catalogue import Catalogue, LoadFailure, is_ours, load_catalogue
from lint.check.finding import Finding, Severity, Verdict, require_whole, verdict_of
from lint.check.own import OWN_RULES, RULE_FAILED, own_finding
from lint.check.remarks import remarks
from lint.check.rule import FAMILIES, Rule, RuleFailedError
from lint.check.settings import setting_problems
from lint.check.waivers import apply_waivers
from lint.house.load import with_house
from lint.page.plain import shown
from lint.read.collector import paused_collector
from lint.read.nearest import did_you_mean
from lint.read.problem import CannotReadError, Problem
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.rig.rig import Place, Rig, Setting

_GONE = (
    "; a package of rules, or a file in the house's folder rules/, may be missing: put it back, or take this out, "
    "and the check runs without that rule"
)

_Key = tuple[str, str]  # a rule, and what a finding of it is about


@dataclass(frozen=True)
class Checked:
    """A rig with its findings, in the order they are told, and the verdict.

    `catalogue` are the rules that it was checked by, its house's own among them; `seconds` is what each of them took.
    """

    resolved: ResolvedRig
    findings: tuple[Finding, ...]
    verdict: Verdict
    switched_off: tuple[Setting, ...]
    catalogue: Catalogue
    seconds: Mapping[str, float]

    @property
    def set_lower(self) -> tuple[Setting, ...]:
        """The settings by which findings weigh less than their rule says, in the order in which they are written."""
        rules = self.catalogue.rules
        return tuple(
            setting
            for setting in self.resolved.rig.settings.values()
            if setting.severity and not setting.off and setting.rule in rules
            if Severity(setting.severity).rank > rules[setting.rule].heaviest.rank
        )


def check_file(
    path: str | Path,
    catalogue: Catalogue | None = None,
    today: date | None = None,
    trust: Collection[str] = (),
    text: str | None = None,
) -> Checked:
    """Read, resolve and check one rig file by the rules of a catalogue and those of its house.

    It is read as if it held `text`, if given. `trust` are digests of Python rules of the house that may run beside
    those that the user trusts. Raises CannotReadError.
    """
    path = Path(path)
    with paused_collector():
        resolved = resolve_rig(load_rig(path, text))
        return check_rig(resolved, with_house(catalogue or load_catalogue(), path, trust), today)


def check_rig(resolved: ResolvedRig, catalogue: Catalogue | None = None, today: date | None = None) -> Checked:
    """Check a resolved rig by the rules of a catalogue alone, and where none is given by all that `check_file` would.

    A waiver counts until its date, seen from the event's date or else from `today`. Raises CannotReadError where a
    setting or waiver names a rule or limit that does not exist, or asks for what no house may set.
    """
    rig = resolved.rig
    catalogue = catalogue or with_house(load_catalogue(), Path(rig.file))
    if problems := [*_unknown(rig, catalogue), *setting_problems(rig, catalogue.rules)]:
        raise CannotReadError(sorted(problems))
    findings = [_not_loaded(rig, failure) for failure in catalogue.failures if not _is_off(rig, catalogue, failure)]
    seconds: dict[str, float] = {}
    weighing: set[str] = set()  # rules that gave some finding a severity of its own
    for rule in catalogue.rules.values():
        setting = rig.settings.get(rule.id)
        if setting is None or not setting.off:
            start = perf_counter()
            findings.extend(_run(rule, resolved, setting, weighing))
            seconds[rule.id] = perf_counter() - start
    findings.extend(remarks(rig, catalogue.rules, weighing))
    findings = _one_cause_each(findings, catalogue)
    day = rig.event.date or today or date.today()
    findings = apply_waivers(findings, rig, catalogue.documented, day)
    findings.sort(key=_order)
    off = tuple(setting for setting in rig.settings.values() if setting.off)
    return Checked(resolved, tuple(findings), verdict_of(findings), off, catalogue, seconds)


def _run(rule: Rule, resolved: ResolvedRig, setting: Setting | None, weighing: set[str]) -> list[Finding]:
    """Run one rule; whatever goes wrong in it is a finding of its own and hides nothing that it found before."""
    limits = {name: limit.default for name, limit in rule.limits.items()}
    severity = rule.severity
    if setting is not None:
        limits.update(setting.limits)
        severity = Severity(setting.severity) if setting.severity else severity
    found: list[Finding] = []
    try:
        for finding in rule.function(resolved, **limits):
            require_whole(finding)
            weighing.update([rule.id] if finding.severity else ())
            own = finding.severity if setting is None or not setting.severity else None
            found.append(replace(finding, rule=rule.id, family=rule.family, severity=own or severity))
    except (Exception, SystemExit) as error:
        found.append(_failed(rule, error, resolved.rig))
    return found


def _failed(rule: Rule, error: BaseException, rig: Rig) -> Finding:
    if isinstance(error, RuleFailedError):
        reason, file, line = str(error), error.file, error.line
    else:
        frame = traceback.extract_tb(error.__traceback__)[-1]
        reason, file, line = f"{type(error).__name__}: {error}", frame.filename, frame.lineno or 0
    where = f"{Path(file).name}:{line}"
    message = shown(f"the rule {rule.id} failed, so what it checks was not checked: {reason} ({where})")
    if not rule.file:
        return own_finding(RULE_FAILED, message, Place(rig.file, 0, 0, f"rules/{rule.id}"))
    here = (file, line) if file == rule.file and line else (rule.file, 1)
    return own_finding(RULE_FAILED, message, Place(*here, 1, f"rules/{rule.id}"))


def _is_off(rig: Rig, catalogue: Catalogue, failure: LoadFailure) -> bool:
    """Whether the house has switched off its own rule that can't be used; it is told among those that are off."""
    setting = rig.settings.get(failure.name)
    return bool(failure.file) and setting is not None and setting.off and failure.name not in catalogue.rules


def _not_loaded(rig: Rig, failure: LoadFailure) -> Finding:
    address = f"rules/{failure.name}"
    why = shown(failure.reason)
    if not failure.file:
        message = f"the rule package '{failure.name}' could not be loaded, so its rules were not run: {why}"
        return own_finding(RULE_FAILED, message, Place(rig.file, 0, 0, address))
    message = f"the house rule {failure.name} can't be used, so what it checks was not checked: {why}"
    return own_finding(RULE_FAILED, message, Place(failure.file, failure.line, failure.column, address), do=failure.do)


def _one_cause_each(findings: Iterable[Finding], catalogue: Catalogue) -> list[Finding]:
    """Leave out what another finding explains: one cause, one finding."""
    every = list(findings)
    by_key: dict[_Key, list[Finding]] = {}
    for finding in every:
        by_key.setdefault((finding.rule, finding.about), []).append(finding)
    explained = {id(one): _explained(one, by_key, catalogue) for one in every if one.explains}
    named = set().union(*explained.values())
    kept: set[_Key] = set()
    gone: set[_Key] = set()
    # What nothing explains comes first; what is left over explains itself in a ring, and the first of it is told.
    for key in sorted(by_key, key=lambda key: key in named):
        if key in gone:
            continue
        kept.add(key)
        follow = [key]
        while follow:
            for finding in by_key[follow.pop()]:
                also = explained.get(id(finding), set())
                follow += also - kept - gone
                gone |= also - kept
    return [finding for finding in every if (finding.rule, finding.about) in kept]


def _explained(finding: Finding, by_key: Mapping[_Key, Sequence[Finding]], catalogue: Catalogue) -> set[_Key]:
    """Return what a finding explains. Of others' rules nothing explains what is heavier, or what guards people."""
    told = {other for other in finding.explains if other[0] != finding.rule and other in by_key}
    rule = catalogue.rules.get(finding.rule)
    if rule is None or is_ours(rule):
        return told
    return {
        other
        for other in told
        if all(finding.weight.rank <= each.weight.rank for each in by_key[other])
        and not (other[0] in catalogue.rules and catalogue.rules[other[0]].guards_people)
    }


def _unknown(rig: Rig, catalogue: Catalogue) -> list[Problem]:
    """Say which settings and waivers name what does not exist: a rule that is only thought to be off is a trap."""
    problems: list[Problem] = []
    if any(not failure.file for failure in catalogue.failures):
        return []  # the rule may well be in the package that could not be loaded
    failed = {failure.name for failure in catalogue.failures} - set(catalogue.rules)
    known = [*catalogue.documented, *failed]
    for setting in rig.settings.values():
        if setting.rule in OWN_RULES:
            message = f"{setting.rule} is what the check itself says, and can't be set; take it out"
            problems.append(Problem(*rig.document.locate(setting.trail, at_key=True), message))
            continue
        if setting.rule in failed:
            continue
        if setting.rule not in catalogue.rules:
            hint = did_you_mean(setting.rule, [*catalogue.rules, *failed]) or _GONE
            message = f"rules: no rule is called '{setting.rule}'{hint}"
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
            message = f"waivers: no rule is called '{waiver.rule}'{did_you_mean(waiver.rule, known) or _GONE}"
            problems.append(Problem(*rig.document.locate((*waiver.trail, "rule")), message))
    return problems


def _order(finding: Finding) -> tuple[int, bool, int, tuple[tuple[int, str], ...], str]:
    """Severity, then what may be harmed first, the way the signal flows, the address with its numbers as numbers."""
    steps = tuple(
        (int(step), "") if step.isdigit() else (0, step) for step in finding.about.replace(".", "/").split("/")
    )
    return finding.weight.rank, not finding.is_first, FAMILIES.index(finding.family), steps, finding.rule
