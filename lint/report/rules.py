"""The rule catalogue: a line a rule, one rule in full, all as a page or as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from lint.check.catalogue import Catalogue
from lint.check.rule import FAMILIES, Rule
from lint.page.layout import MARKS, labelled, wrapped

FORMAT = 1
NEVER = "It can't be waived, switched off or lowered."


def catalogue_text(catalogue: Catalogue) -> str:
    """Return the rules by family, in the order in which a signal flows."""
    width = max((len(rule.id) for rule in catalogue.documented.values()), default=0)
    parts = []
    for family in FAMILIES:
        rows = _of(catalogue, family)
        if rows:
            lines = [f"{rule.id:{width}}  {MARKS[rule.severity.value]} {rule.severity.value:8}" for rule in rows]
            titled = [
                wrapped(rule.title + _or(rule), f"{line} ", " " * (width + 13))
                for line, rule in zip(lines, rows, strict=True)
            ]
            parts.append("\n".join([family.upper(), *titled]))
    return "\n\n".join(parts) + "\n\nrigwalk rules explain RULE tells all about one.\n"


def rule_text(rule: Rule) -> str:
    """Return everything there is to know about one rule."""
    lines = [
        f"{rule.id} ({rule.severities})",
        wrapped(rule.title),
        "",
        labelled("why", rule.why, ""),
        *([labelled("care", rule.safety, "")] if rule.safety else []),
        labelled("do", rule.do, ""),
        labelled("source", rule.source, ""),
    ]
    if not rule.waivable:
        lines.append(labelled("", NEVER, ""))
    for name, limit in rule.limits.items():
        lines.append(labelled("limit", f"{name}: {limit}", ""))
    for example in rule.good:
        lines += ["", "This is good:", _indented(example)]
    for bad in rule.bad:
        lines += ["", "This is not:", _indented(bad.rig)]
        lines += [wrapped(message, "  → ", "    ") for message in bad.gives]
    return "\n".join(lines) + "\n"


def catalogue_page(catalogue: Catalogue) -> str:
    """Return all rules as one Markdown page, from the same words that the screen shows."""
    lines = [
        "# The rules",
        "",
        "This page is made of the words that stand in the rules themselves: `rigwalk rules page > rules/README.md`.",
        "The examples say only what they change on a small clean rig; the tests run every one of them.",
    ]
    for family in FAMILIES:
        rows = _of(catalogue, family)
        if rows:
            lines += ["", f"## {family.capitalize()}"]
        for rule in rows:
            lines += ["", f"### {rule.id}", "", *_page_rows(rule)]
    return "\n".join(lines) + "\n"


def _page_rows(rule: Rule) -> list[str]:
    lines = [f"**{rule.title}** ({rule.severities})", "", " ".join(rule.why.split()), ""]
    if rule.safety:
        lines.append(f"- Care: {' '.join(rule.safety.split())}")
    lines.append(f"- What to do: {' '.join(rule.do.split())}")
    lines.append(f"- Source: {rule.source}")
    if not rule.waivable:
        lines.append(f"- {NEVER}")
    lines += [f"- Limit `{name}`: {limit}" for name, limit in rule.limits.items()]
    for title, example, messages in (
        *(("Good", example, ()) for example in rule.good),
        *(("Not good", bad.rig, bad.gives) for bad in rule.bad),
    ):
        text = example.strip("\n") or "# the example rig as it is"
        lines += ["", f"{title}:", "", "```yaml", text, "```"]
        lines += ["", *(f"> {message}" for message in messages)] if messages else []
    return lines


def _or(rule: Rule) -> str:
    return "".join(f" (or {severity.value})" for severity in rule.varies)


def _indented(example: str) -> str:
    text = example.strip("\n") or "(the example rig as it is)"
    return "\n".join(f"    {line}" for line in text.splitlines())


def rules_json(catalogue: Catalogue, rules: Sequence[Rule] | None = None) -> str:
    """Return the rules, or those that are asked for, by `schemas/rules-report.schema.json`."""
    shown = [rule for family in FAMILIES for rule in _of(catalogue, family)] if rules is None else rules
    data = {
        "format": FORMAT,
        "rules": [_data(rule) for rule in shown],
        "failures": [
            {
                "name": row.name,
                "reason": row.reason,
                "file": row.file or None,
                "line": row.line or None,
                "column": row.column or None,
            }
            for row in catalogue.failures
        ],
    }
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)


def _data(rule: Rule) -> dict[str, Any]:
    """Return one rule as plain data; the words as in the report of a check."""
    return {
        "id": rule.id,
        "title": rule.title,
        "severity": rule.severity.value,
        "or_severities": [severity.value for severity in rule.varies],
        "family": rule.family,
        "why": " ".join(rule.why.split()),
        "care": " ".join(rule.safety.split()) or None,
        "do": " ".join(rule.do.split()),
        "source": rule.source,
        "waivable": rule.waivable,
        "guards_people": rule.guards_people,
        "limits": {
            name: {
                "default": limit.default,
                "unit": limit.unit,
                "meaning": limit.meaning,
                "least": limit.least if math.isfinite(limit.least) else None,
                "most": limit.most if math.isfinite(limit.most) else None,
            }
            for name, limit in rule.limits.items()
        },
        "good": list(rule.good),
        "bad": [{"rig": bad.rig, "gives": list(bad.gives)} for bad in rule.bad],
        "file": rule.file or None,
    }


def _of(catalogue: Catalogue, family: str) -> list[Rule]:
    return sorted((rule for rule in catalogue.documented.values() if rule.family == family), key=lambda rule: rule.id)
