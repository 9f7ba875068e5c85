"""The check as text, for people: what is wrong, where, why it matters and what to do."""

from __future__ import annotations

from lint.check.catalogue import Catalogue
from lint.check.engine import Checked
from lint.check.finding import Finding, Severity
from lint.check.left_out import waived_counts
from lint.check.unchecked import NEVER, unchecked
from lint.page.layout import MARKS, counted, labelled, paint, width, wrapped
from lint.read.problem import CannotReadError
from lint.rig.rig import Rig

_HEADINGS = {
    Severity.NO_GO: "NO-GO: put right before the doors open",
    Severity.CAUTION: "CAUTION: a person must look and say yes",
    Severity.NOTE: "NOTE: good to know",
}


def problems_text(error: CannotReadError) -> str:
    """Return every problem of an unreadable file, a line each, as file:line:column: message."""
    return "\n".join(map(str, error.problems))


def check_text(checked: Checked, catalogue: Catalogue) -> str:
    """Return the whole report of one rig."""
    rig = checked.resolved.rig
    standing = [finding for finding in checked.findings if finding.waived is None]
    waived = [finding for finding in checked.findings if finding.waived is not None]
    parts = [_title(rig)]
    told: dict[str, str] = {}
    for severity in Severity:
        rows = [finding for finding in standing if finding.weight is severity]
        if rows:
            heading = wrapped(f"{MARKS[severity.value]} {_HEADINGS[severity]}", "", "  ")
            parts.append(paint(heading, severity.value, bold=True))
            parts.extend(_finding(finding, catalogue, told) for finding in rows)
    if waived:
        parts.append("WAIVED: accepted on purpose")
        parts.extend(_waived(finding, catalogue, told) for finding in waived)
    parts.extend(
        wrapped(f"Not checked in this house: {setting.rule}, because {setting.because}")
        for setting in checked.switched_off
    )
    parts.extend(
        wrapped(f"Set lower in this house: {setting.rule} to {setting.severity}, because {setting.because}")
        for setting in checked.set_lower
    )
    if silent := unchecked(rig):
        left_out = ", ".join(f"{what} ({section})" for section, what in silent)
        parts.append(wrapped(f"Not checked, because the rig does not speak of it: {left_out}."))
    parts.append(wrapped(f"Never checked by rigwalk: {NEVER}."))
    parts.append(verdict_line(checked))
    return "\n\n".join(parts) + "\n"


def _title(rig: Rig) -> str:
    event = ", ".join(filter(None, (rig.event.name, rig.event.date.isoformat() if rig.event.date else "")))
    size = ", ".join(
        (
            counted(len(rig.sources), "source"),
            counted(len(rig.channels), "channel"),
            counted(len(rig.mixes), "mix", "mixes"),
            counted(len(rig.destinations), "destination"),
            counted(len(rig.boxes), "stage box", "stage boxes"),
        )
    )
    fits = len(rig.file) + len(event) + 3 <= width()  # a path is never broken
    title = f"{rig.file} — {event}" if event and fits else "\n".join(filter(None, (rig.file, wrapped(event))))
    return f"{title}\n{wrapped(size)}"


def _finding(finding: Finding, catalogue: Catalogue, told: dict[str, str]) -> str:
    """Return one finding."""
    rule = catalogue.documented.get(finding.rule)
    lines = [wrapped(finding.message, "  ", "  ")]
    places = list(dict.fromkeys(f"{place} ({place.address})" for place in finding.places))
    shown = places if len(places) <= 4 else [*places[:3], f"and {len(places) - 3} more places"]
    lines.extend(labelled("where" if index == 0 else "", place) for index, place in enumerate(shown))
    if rule is not None and finding.weight is not Severity.NOTE:
        lines.append(labelled("why", _first_sentences(rule.why)))
    lines += _care(finding, catalogue, told)  # before what hands do
    cures = [cure.text for cure in finding.cures] or ([rule.do] if rule is not None else [])
    for index, cure in enumerate(cures):
        lines.append(labelled("do" if index == 0 else "or", cure))
    lines.append(labelled("rule", finding.rule))
    return "\n".join(lines)


def _care(finding: Finding, catalogue: Catalogue, told: dict[str, str]) -> list[str]:
    """Return the caution about safety in full, or where it was (`told`: the rule that it was told with first)."""
    rule = catalogue.documented.get(finding.rule)
    if rule is None or not rule.safety:
        return []
    if rule.safety in told:
        return [labelled("care", f"as above, at {told[rule.safety]}")]
    told[rule.safety] = finding.rule
    return [labelled("care", rule.safety)]


def _first_sentences(text: str, most: int = 200) -> str:
    """Return as many whole sentences as stay short; the rest is in `rigwalk rules explain RULE`."""
    words = " ".join(text.split())
    end = words.rfind(". ", 0, most)
    return words if len(words) <= most else words[: end + 1] if end > 0 else words


def _waived(finding: Finding, catalogue: Catalogue, told: dict[str, str]) -> str:
    waiver = finding.waived
    assert waiver is not None
    lines = [wrapped(finding.message, "  ", "  "), labelled("waived", waiver.words)]
    lines += _care(finding, catalogue, told)
    lines.append(labelled("rule", finding.rule))
    return "\n".join(lines)


def verdict_line(checked: Checked) -> str:
    """Return the verdict, and how many findings of each weight it comes of."""
    standing = [finding for finding in checked.findings if finding.waived is None]
    counts = []
    for severity, one, many in (
        (Severity.NO_GO, "no-go", "no-go"),
        (Severity.CAUTION, "caution", "cautions"),
        (Severity.NOTE, "note", "notes"),
    ):
        number = sum(finding.weight is severity for finding in standing)
        if number:
            counts.append(counted(number, one, many))
    counts += waived_counts(checked)
    verdict = checked.verdict.value
    words = verdict.replace("-with-", " WITH ").upper()
    return paint(words, verdict, bold=True) + (f" ({', '.join(counts)})" if counts else " (nothing found)")
