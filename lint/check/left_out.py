"""What a verdict goes without, for whoever reads it afterwards: what is not checked, rules off or lower, waivers."""

from __future__ import annotations

from lint.check.engine import Checked
from lint.check.finding import Severity
from lint.check.unchecked import unchecked


def silent_parts(checked: Checked) -> list[str]:
    """Return what was not checked because the rig does not speak of it, in words."""
    return [what for _, what in unchecked(checked.resolved.rig)]


def rules_off(checked: Checked) -> list[str]:
    """Return the rules that this house switched off or set lower, each with its reason."""
    off = [f"{row.rule} is switched off, because {row.because}" for row in checked.switched_off]
    return off + [f"{row.rule} is set lower, to {row.severity}, because {row.because}" for row in checked.set_lower]


def waived(checked: Checked) -> list[str]:
    """Return the findings that are accepted on purpose, with who accepts each, why and until when."""
    return [
        f"{row.message.rstrip('.')}. Waived {row.waived.words}" for row in checked.findings if row.waived is not None
    ]


def not_checked(parts: list[str]) -> str:
    """Say in one sentence what was not checked; empty where all was."""
    return f"Not checked, because the rig does not speak of it: {', '.join(parts)}." if parts else ""


def waived_counts(checked: Checked) -> list[str]:
    """Return how many no-gos are waived, and how many lighter findings: `1 no-go waived`, `2 more waived`."""
    weights = [finding.weight for finding in checked.findings if finding.waived is not None]
    no_gos = weights.count(Severity.NO_GO)
    rest = len(weights) - no_gos
    counts = [f"{no_gos} no-go waived"] if no_gos else []
    return [*counts, f"{rest} {'more ' if no_gos else ''}waived"] if rest else counts
