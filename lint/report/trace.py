"""A trace as text: one step a line, indented where the signal branches."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from lint.page.layout import MARKS, counted, paint, wrapped
from lint.resolve.step import Step
from lint.resolve.ways import KINDS, Ways

MOST_STOPS = 4
HEADINGS = ("comes from", "goes to")
SUBJECTLESS = ("it ", "no ", "takes ")  # words that say what happens, and leave to the step before what it happens to


def trace_text(traces: Sequence[Step]) -> str:
    """Return every trace, with a mark where the signal stops or is wrong; what it comes to stands first."""
    return "\n\n".join((_summary(traces), *("\n".join(_lines(trace, 0)) for trace in traces))) + "\n"


def summary_of(traces: Sequence[Step]) -> list[str]:
    """Return what is wrong: what it comes to, then where it stops, each once."""
    ends = [trace.comes_to for trace in traces if trace.comes_to]
    return list(dict.fromkeys((*ends, *(words for trace in traces for words in _stops(trace, "")))))


def _stops(step: Step, before: str) -> Iterator[str]:
    """Yield where a signal stops, with the step before where the words alone would not say what does."""
    if step.stops:
        yield f"{before}: {step.text}" if before and step.text.startswith(SUBJECTLESS) else step.text
    named = before if step.text in HEADINGS else step.text.removeprefix("expected: ")
    for below in step.below:
        yield from _stops(below, named)


def _summary(traces: Sequence[Step]) -> str:
    stops = summary_of(traces)
    if not stops and all(trace.is_idle for trace in traces):
        return "Nothing uses it, so there is no signal to follow."
    if not stops:
        return paint("✓ Nothing stops it and nothing is wrong on its way.", "go")
    shown = [wrapped(text, f"{MARKS['no-go']} ", "  ") for text in stops[:MOST_STOPS]]
    if len(stops) > MOST_STOPS:
        shown.append(f"  and {len(stops) - MOST_STOPS} more below")
    return paint("\n".join(shown), "no-go")


def _lines(step: Step, depth: int) -> Iterator[str]:
    mark = "✗ " if step.stops else ("→ " if depth else "")
    indent = "  " * depth
    line = wrapped(step.text, indent + mark, indent + "    ")
    yield paint(line, "no-go") if step.stops else line
    for below in step.below:
        yield from _lines(below, depth + 1)


def reached_text(
    what: str,
    kinds: Mapping[str, Sequence[str]],
    upstream: bool,
    silent: Sequence[str] = (),
    stops: Sequence[str] = (),
    sides: Mapping[str, str] | None = None,
) -> str:
    """Return everything that gets to a thing, or that it feeds, a paragraph a kind; last who is silent, what stops it.

    `sides` has of a mix of which it is one side alone which that is.
    """
    heading = f"Everything that gets to {what}" if upstream else f"Everything that {what} feeds"
    if not kinds:
        return f"{heading}: nothing.\n"
    said = {name: f"{name} ({side})" for name, side in (sides or {}).items()}
    lines = []
    for kind, names in kinds.items():
        listed = [said.get(name, name) for name in names] if kind == "mix" else names
        lines.append(wrapped(f"{KINDS[kind]} ({len(names)}): {', '.join(listed)}", "  ", "    "))
    if silent:
        lines.append(wrapped(f"silent without {what} ({len(silent)}): {', '.join(silent)}", "  ", "    "))
    return "\n".join((heading, *lines, *map(_stop_line, stops))) + "\n"


def _stop_line(text: str, indent: str = "") -> str:
    return paint(wrapped(text, f"{indent}{MARKS['no-go']} ", f"{indent}  "), "no-go")


def ways_text(first: str, second: str, ways: Ways, words: Sequence[Sequence[str]]) -> str:
    """Return every way between two things in its words, a paragraph a way, each with why nothing arrives by it."""
    if not ways.found:
        return paint(f"✗ No signal gets from {first} to {second}.", "no-go") + "\n"
    count = f"More than {len(ways.found)} ways" if ways.more else counted(len(ways.found), "way")
    lines = [f"{count} from {first} to {second}"]
    for number, (way, why) in enumerate(zip(words, ways.stops, strict=True), start=1):
        lines.append(wrapped(" → ".join(way), f"{number:>3}. ", "       "))
        lines.extend(_stop_line(text, "     ") for text in why)
        if not why:
            lines.append(paint("     ✓ nothing stops it by the file", "go"))
    return "\n".join(lines) + "\n"
