"""The check as JSON, for programs, by `schemas/check-report.schema.json`."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

from lint.check.engine import Checked
from lint.check.finding import Finding
from lint.check.unchecked import unchecked
from lint.read.problem import CannotReadError
from lint.rig.rig import Waiver

FORMAT = 1


def check_json(rigs: Sequence[Mapping[str, Any]], unreadable: Sequence[tuple[Path, CannotReadError]]) -> str:
    """Return the report of all rigs (`rig_json` of each), those that could not be read among them."""
    report = {
        "format": FORMAT,
        "rigwalk": version("rigwalk"),
        "rigs": rigs,
        "unreadable": [
            {
                "rig": str(path),
                "problems": [
                    {"file": row.file, "line": row.line, "column": row.column, "message": row.message}
                    for row in error.problems
                ],
            }
            for path, error in unreadable
        ],
    }
    return json.dumps(report, ensure_ascii=False, indent=2, allow_nan=False)


def rig_json(checked: Checked) -> dict[str, Any]:
    """Return what the report says of one rig, as plain data."""
    rig = checked.resolved.rig
    return {
        "rig": rig.file,
        "verdict": checked.verdict.value,
        "unchecked": [{"section": section, "what": what} for section, what in unchecked(rig)],
        "switched_off": [{"rule": row.rule, "because": row.because} for row in checked.switched_off],
        "set_lower": [
            {"rule": row.rule, "severity": row.severity, "because": row.because} for row in checked.set_lower
        ],
        "findings": [finding_data(finding) for finding in checked.findings],
        "rules": {
            rule.id: {
                "title": rule.title,
                "family": rule.family,
                "why": " ".join(rule.why.split()),
                "care": " ".join(rule.safety.split()) or None,
                "do": " ".join(rule.do.split()),
            }
            for name in dict.fromkeys(finding.rule for finding in checked.findings)
            if (rule := checked.catalogue.documented.get(name)) is not None
        },
    }


def finding_data(finding: Finding) -> dict[str, Any]:
    """Return one finding as plain data."""
    waiver = finding.waived
    return {
        "rule": finding.rule,
        "severity": finding.weight.value,
        "message": finding.message,
        "places": [
            {"file": place.file, "line": place.line, "column": place.column, "address": place.address}
            for place in finding.places
        ],
        "facts": dict(finding.facts),
        "cures": [cure.text for cure in finding.cures],
        "waived": waiver_data(waiver) if waiver else None,
    }


def waiver_data(waiver: Waiver) -> dict[str, str | None]:
    """Return a waiver as plain data."""
    return {
        "by": waiver.by,
        "because": waiver.because,
        "until": waiver.until.isoformat(),
        "asked_by": waiver.asked_by or None,
        "instead": waiver.instead or None,
    }
