"""The check as SARIF 2.1.0 (OASIS), for code hosts and editors."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote

from lint.check.catalogue import Catalogue
from lint.check.engine import Checked
from lint.check.finding import Finding
from lint.check.own import RULE_FAILED
from lint.check.rule import Rule
from lint.check.unchecked import unchecked
from lint.read.problem import CannotReadError, Problem
from lint.rig.rig import Place

_LEVELS = {"no-go": "error", "caution": "warning", "note": "note"}
UNREADABLE = "file-unreadable"
_UNREADABLE_RULE = {
    "id": UNREADABLE,
    "shortDescription": {"text": "A file can't be read, or does not fit its schema"},
    "defaultConfiguration": {"level": "error"},
}


class RigRun(NamedTuple):
    """What the report says of one rig: its results, what was not checked, what is off and why, own rules."""

    results: list[dict[str, Any]]
    notifications: list[dict[str, Any]]
    off: dict[str, str]
    own_rules: dict[str, dict[str, Any]]


def rig_run(checked: Checked) -> RigRun:
    """Return what the report says of one rig, as plain data."""
    return RigRun(
        [_result(finding) for finding in checked.findings],
        list(_notifications(checked)),
        {row.rule: row.because for row in checked.switched_off},
        {rule.id: _rule(rule) for rule in checked.catalogue.rules.values() if rule.file},
    )


def check_sarif(
    runs: Sequence[RigRun], unreadable: Sequence[tuple[Path, CannotReadError]], catalogue: Catalogue, version: str
) -> str:
    """Return the report of all rigs (`rig_run` of each) as one SARIF run; waived findings are there, as suppressed."""
    results = [result for run in runs for result in run.results]
    results += [_unreadable(problem) for _, error in unreadable for problem in error.problems]
    rules = {rule.id: _rule(rule) for rule in catalogue.documented.values()}
    for run in runs:
        rules = {**run.own_rules, **rules}
    if unreadable:
        rules[UNREADABLE] = _UNREADABLE_RULE
    failed = any(result["ruleId"] == RULE_FAILED for result in results)
    driver = {"name": "rigwalk", "version": version, "rules": list(rules.values())}
    whole = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "invocations": [_invocation(runs, successful=not unreadable and not failed)],
        "results": results,
    }
    log = {
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [whole],
    }
    return json.dumps(log, ensure_ascii=False, indent=2)


def _invocation(runs: Sequence[RigRun], successful: bool) -> dict[str, Any]:
    """Say what was not checked: as notifications, and as overrides where a rule is off in every rig of the call."""
    told = [note for run in runs for note in run.notifications]
    overrides = [
        {"descriptor": {"id": name}, "configuration": {"enabled": False}}
        for name in (runs[0].off if runs else ())
        if all(name in run.off for run in runs)
    ]
    return {
        "executionSuccessful": successful,
        **({"ruleConfigurationOverrides": overrides} if overrides else {}),
        **({"toolConfigurationNotifications": told} if told else {}),
    }


def _notifications(checked: Checked) -> Iterator[dict[str, Any]]:
    rig = checked.resolved.rig
    for setting in checked.switched_off:
        yield {
            "level": "note",
            "message": {"text": f"Not checked in this house: {setting.rule}, because {setting.because}"},
            "associatedRule": {"id": setting.rule},
            "locations": [_location(rig.place(setting.trail, f"rules/{setting.rule}", at_key=True))],
        }
    if silent := unchecked(rig):
        left_out = ", ".join(f"{what} ({section})" for section, what in silent)
        yield {
            "level": "note",
            "message": {"text": f"Not checked, because the rig does not speak of it: {left_out}."},
            "locations": [_location(Place(rig.file, 0, 0, rig.file))],
        }


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "id": rule.id,
        "shortDescription": {"text": rule.title},
        "fullDescription": {"text": " ".join(rule.why.split())},
        "help": {"text": " ".join(filter(None, (rule.do, rule.safety, f"Source: {rule.source}.")))},
        "defaultConfiguration": {"level": _LEVELS[rule.severity.value]},
        "properties": {"family": rule.family},
    }


def _result(finding: Finding) -> dict[str, Any]:
    text = finding.message
    if finding.cures:
        text += " To put it right: " + "; or ".join(cure.text for cure in finding.cures) + "."
    first, *rest = finding.places
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": _LEVELS[finding.weight.value],
        "message": {"text": text},
        "locations": [_location(first)],
        "relatedLocations": [{**_location(place), "id": index} for index, place in enumerate(rest, start=1)],
        "partialFingerprints": {"finding/v1": _fingerprint(finding)},
        "properties": dict(finding.facts),
    }
    if finding.waived is not None:
        result["suppressions"] = [{"kind": "inSource", "status": "accepted", "justification": finding.waived.words}]
    return result


def _unreadable(problem: Problem) -> dict[str, Any]:
    place = Place(problem.file, problem.line, problem.column, problem.file)
    return {
        "ruleId": UNREADABLE,
        "level": "error",
        "message": {"text": problem.message},
        "locations": [_location(place)],
    }


def _location(place: Place) -> dict[str, Any]:
    physical: dict[str, Any] = {"artifactLocation": {"uri": quote(Path(place.file).as_posix())}}
    if place.line:
        physical["region"] = {"startLine": place.line, "startColumn": max(place.column, 1)}
    return {"physicalLocation": physical, "logicalLocations": [{"fullyQualifiedName": place.address}]}


def _fingerprint(finding: Finding) -> str:
    """Return what stays the same when lines move: the rule and what it is about."""
    return hashlib.sha256(f"{finding.rule}\0{finding.about}".encode()).hexdigest()
