"""The facts of a rig as text: what a house rule can ask about, with the values that stand in one's own rig."""

from __future__ import annotations

import json

from lint.facts.fact import Kind, Row, in_words
from lint.facts.kinds import KINDS, choices_of
from lint.page.layout import counted, labelled, width, wrapped

FORMAT = 1
MOST_VALUES = 6


def kinds_text() -> str:
    """Return the kinds of rows, a line each."""
    lines = [wrapped(", ".join(kind.facts), f"{name:13} ", " " * 14) for name, kind in KINDS.items()]
    return "\n".join(lines) + "\n"


def facts_text(kind: Kind, rows: list[Row]) -> str:
    """Return every fact of a kind: its name, what it means, what it can be, and the values in the rig's rows."""
    parts = []
    for fact in kind.facts.values():
        lines = [wrapped(f"({fact.type}) {fact.meaning}", f"{fact.name}  ", "    ")]
        if choices := choices_of(fact):
            lines.append(labelled("can be", ", ".join(choices)))
        lines.append(labelled("here", _values(fact.name, rows)))
        parts.append("\n".join(lines))
    named = ", ".join(row.id for row in rows) or "none"
    parts.append(wrapped(f"{counted(len(rows), kind.word, kind.name)}: {named}"))
    return "\n".join(parts) + "\n"


def row_text(kind: Kind, row: Row) -> str:
    """Return one row with all its facts."""
    widest = max(map(len, kind.facts))
    lines = [f"{kind.word} {row.id}"]
    for name, value in row.facts.items():
        shown = f"[{', '.join(map(str, value))}]" if isinstance(value, list) else in_words(value)
        lines.append(wrapped(shown, f"  {name:{widest}}  ", " " * (widest + 4)))
    return "\n".join(lines) + "\n"


def facts_json(kind: Kind, rows: list[Row]) -> str:
    """Return the rows as JSON, for programs."""
    data = {"format": FORMAT, "kind": kind.name, "rows": [row.facts for row in rows]}
    return json.dumps(data, ensure_ascii=False, indent=2)


def _values(name: str, rows: list[Row]) -> str:
    """Return the different values of a fact, the commonest first; of a list, its members."""
    count: dict[str, int] = {}
    for row in rows:
        value = row.facts[name]
        for entry in value if isinstance(value, list) else [value]:
            shown = in_words(entry)
            count[shown] = count.get(shown, 0) + 1
    ordered = sorted(count, key=lambda shown: -count[shown])
    text = ", ".join(ordered[:MOST_VALUES])
    left = len(ordered) - MOST_VALUES
    more = f", and {left} more" if left > 0 else ""
    return (text or ("none" if rows else "no rows"))[: 4 * width()] + more
