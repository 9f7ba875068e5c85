"""How long each rule took, slowest first."""

from __future__ import annotations

from lint.check.engine import Checked

MOST = 20


def timings_text(checked: Checked) -> str:
    """Return the slowest rules with their times in milliseconds, and the sum of all."""
    slowest = sorted(checked.seconds.items(), key=lambda entry: (-entry[1], entry[0]))
    lines = [f"{seconds * 1000:9.1f} ms  {rule}" for rule, seconds in slowest[:MOST]]
    if len(slowest) > MOST:
        rest = sum(seconds for _, seconds in slowest[MOST:])
        lines.append(f"{rest * 1000:9.1f} ms  {len(slowest) - MOST} other rules")
    total = sum(checked.seconds.values())
    return "\n".join(["How long the rules took:", *lines, f"{total * 1000:9.1f} ms  in all"]) + "\n"
