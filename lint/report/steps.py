"""What every plan as text shares: its cautions, its numbered steps, and the check of what comes out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lint.check.engine import Checked
from lint.check.finding import Severity, Verdict
from lint.page.layout import MARKS, counted, paint, wrapped
from lint.plan.moves import Handling
from lint.plan.unmet import Unmet

PATCH_CARE = (
    "Patch, sends, selectors and link cables reach the house, the wedges and the ears at once: turn them all down, "
    "ears out, before the first step, and bring them up slowly after the last."
)
LINK_CARE = "A link cable that falls out or comes back may send noise at full level."
PLUG_CARE = (
    "Before each plug: its channel muted, phantom power off at the socket it leaves and at the one it goes to, ten "
    "seconds waited. Leave mains plugs to whoever is responsible for them."
)
CARRY_CARE = "What goes to another device needs a cable that reaches: have it there before the plug is pulled."
MAINS_CARE = (
    "A breaker that trips again is not reset again and again: turn down what it feeds, and let a licensed electrician "
    "decide, by the local codes."
)
WEIGHTY = (Severity.NO_GO, Severity.CAUTION)
MOST_NAMES = 8
FEWEST_FOLDED = 4  # things that get nothing for one reason, told in one line


def verdict_name(verdict: Verdict) -> str:
    """Return a verdict as it is shown."""
    return verdict.value.replace("-with-", " with ").upper()


def verdict_words(checked: Checked) -> str:
    """Say the verdict of a check and how many findings of each weight stand."""
    standing = [finding.weight for finding in checked.findings if finding.waived is None]
    rows = ((Severity.NO_GO, "no-go", "no-go"), (Severity.CAUTION, "caution", None), (Severity.NOTE, "note", None))
    counts = [counted(standing.count(weight), one, many) for weight, one, many in rows if weight in standing]
    words = paint(verdict_name(checked.verdict), checked.verdict.value, bold=True)
    return words + (f" ({', '.join(counts)})" if counts else "")


def standing_lines(checked: Checked, weights: Sequence[Severity] = WEIGHTY, indent: str = "") -> Iterator[str]:
    """Yield every finding of some weights that stands: what a count alone would hide."""
    standing = [finding for finding in checked.findings if finding.waived is None]
    for weight in weights:
        for finding in standing:
            if finding.weight is weight:
                words = f"{finding.message} ({finding.rule})"
                yield paint(wrapped(words, f"{indent}{MARKS[weight.value]} ", f"{indent}  "), weight.value)


def care_lines(handlings: Sequence[Handling], plugs: bool = False, links: bool = False) -> Iterator[str]:
    """Yield the cautions before steps that change patch and cables.

    More where plugs are handled, for the change itself (`plugs`) or after it, where they are carried to other devices,
    or where link cables move.
    """
    care = [PATCH_CARE]
    care += [LINK_CARE] if links else []
    care += [PLUG_CARE] if plugs or handlings else []
    care += [CARRY_CARE] if any(step.is_carried for step in handlings) else []
    yield wrapped(" ".join(care), "  care: ", "        ")


def wrong_lines(wrong: Sequence[Unmet], indent: str = "") -> Iterator[str]:
    """Yield what stays wrong; many that get nothing for one cause are one line, where the first of them stands."""
    by_cause: dict[str, list[Unmet]] = {}
    for row in wrong:
        by_cause.setdefault(row.cause if row.silent else "", []).append(row)
    folded = {cause for cause, rows in by_cause.items() if cause and len(rows) >= FEWEST_FOLDED}
    lines = (_together(by_cause[row.cause]) if row.silent and row.cause in folded else str(row) for row in wrong)
    for words in dict.fromkeys(lines):
        yield wrapped(words, f"{indent}{MARKS['no-go']} ", f"{indent}  ")


def _together(rows: Sequence[Unmet]) -> str:
    lost = ", ".join(dict.fromkeys(row.silent for row in rows if not row.is_output))
    silent = ", ".join(row.silent for row in rows if row.is_output)
    parts = [f"channels go without {lost}"] if lost else []
    parts += [f"silent: {silent}"] if silent else []
    return f"{rows[0].cause}; {'; '.join(parts)}"


def numbered(steps: Sequence[str]) -> Iterator[str]:
    """Yield steps with their numbers."""
    for number, words in enumerate(steps, start=1):
        yield wrapped(words, f"  {number:>2}. ", "      ")


def handling_words(handling: Handling) -> str:
    """Say what is done with one plug."""
    start = str(handling.start) if handling.start is not None else "your hand"
    end = f"into {handling.end}" if handling.end is not None else "out and into your hand"
    if handling.is_idle:
        return f"{handling.plug}: out of {start}; {handling.why} (the file has it in {handling.end})"
    why = f" ({handling.why})" if handling.why else ""
    words = f"{handling.plug}: {'its input ' if handling.is_amplifier else ''}from {start} {end}{why}"
    if handling.is_carried:
        off = f", about {handling.way_m:g} m off" if handling.way_m is not None else " at another place"
        words += off
    return f"{words}, {handling.first}" if handling.first else words


def named(names: Sequence[str]) -> str:
    """Return names in a row, the first of them where they are many."""
    if len(names) <= MOST_NAMES:
        return ", ".join(names)
    return f"{', '.join(names[: MOST_NAMES - 1])} and {len(names) - MOST_NAMES + 1} more"
