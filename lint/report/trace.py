"""A trace as text: one step a line, indented where the signal branches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lint.report.layout import paint, wrapped
from lint.resolve.trace import Step


def trace_text(traces: Sequence[Step]) -> str:
    """Return every trace, with a mark where the signal stops or is wrong."""
    return "\n\n".join("\n".join(_lines(trace, 0)) for trace in traces) + "\n"


def _lines(step: Step, depth: int) -> Iterator[str]:
    mark = "✗ " if step.stops else ("→ " if depth else "")
    indent = "  " * depth
    line = wrapped(step.text, indent + mark, indent + "    ")
    yield paint(line, "no-go") if step.stops else line
    for below in step.below:
        yield from _lines(below, depth + 1)
