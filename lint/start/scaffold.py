"""A plan as the text of a rig file: commented, a row a line, columns under each other."""

from __future__ import annotations

from typing import Any

from lint.page.plain import shown
from lint.read.yaml_text import flow, flow_entry, plain_or_quoted_key
from lint.start.plan import Plan

# What stands above each section, so that whoever opens the file knows what to do with it.
_REMARKS = {
    "clock": "",
    "devices": "Every console and stage box. `rigwalk models` lists what a model may be; the output bank is where the\n"
    "# selector on the box stands.",
    "cables": "The chain, from the console on: its order decides on which slots the inputs of each box arrive.",
    "sources": "What is plugged in on stage.",
    "channels": "What the console takes from where, and what it is meant to carry.",
    "pairs": "Two sources that belong together as left and right.",
    "mixes": "What the console mixes.",
    "feeds": "What leaves the console where: on a link, the slots that a box's output bank takes.",
    "destinations": "What hangs on the outputs, and what it is meant to carry.",
    "crew": "Who does what.",
}


def scaffold(plan: Plan, title: str, schema: str) -> str:
    """Return the text of a rig file; `schema` is the path of the JSON Schema for editors, empty for none."""
    lines = [f"# {line}" for line in title.splitlines()]
    if schema:
        lines.append(f"# yaml-language-server: $schema={schema}")
    lines += [f"# {shown(remark)}" for remark in plan.remarks]
    lines.append("rig_format: 1")
    if plan.extends:
        lines.append(flow_entry("extends", plan.extends))
    if plan.event:
        lines += ["", flow_entry("event", plan.event)]
    for section, rows in plan.sections.items():
        lines.append("")
        lines += [f"# {_REMARKS[section]}"] if _REMARKS.get(section) else []
        lines += _section(section, rows, plan)
    return "\n".join(lines) + "\n"


def _section(section: str, rows: dict[str, Any], plan: Plan) -> list[str]:
    if section in ("clock", "crew"):
        return [flow_entry(section, rows)]
    lines = [f"{section}:"]
    heads = {row: plain_or_quoted_key(row) + ":" for row in rows}
    width = max(map(len, heads.values()))
    widths = _widths(rows)
    for row, values in rows.items():
        text = _aligned(values, widths) if isinstance(values, dict) else flow(values)
        note = plan.notes.get((section, row))
        lines.append(f"  {heads[row]:<{width}} {text}" + (f"  # {shown(note)}" if note else ""))
    return lines


def _widths(rows: dict[str, Any]) -> dict[str, int]:
    """Return how wide each key with its value is at most, for the keys that every row has."""
    every = [row for row in rows.values() if isinstance(row, dict)]
    shared = set(every[0]).intersection(*every[1:]) if every else set()
    return {key: max(len(flow_entry(key, row[key])) for row in every) + 1 for key in shared}


def _aligned(values: dict[str, Any], widths: dict[str, int]) -> str:
    parts = []
    for index, (key, value) in enumerate(values.items()):
        text = flow_entry(key, value)
        last = index == len(values) - 1
        parts.append(text if last else f"{text + ',':<{widths.get(key, 0)}} ")
    return "{" + "".join(parts) + "}"
