"""What a YAML rule may cost: it can't run away, and it is ended and told where it looks at too much."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from lint.check.finding import MAX_FINDINGS, Finding, cut

MAX_PAIRS = 500_000
SECONDS = 5.0


class TooLongError(Exception):
    """A rule that looks at too much; the text says what to narrow."""


class Clock:
    """Ends a rule that takes too long: asked once a row, and no single row can take long by itself."""

    def __init__(self) -> None:
        self._end = time.monotonic() + SECONDS

    def look(self) -> None:
        """Raise TooLongError when the time is up."""
        if time.monotonic() > self._end:
            raise TooLongError(f"it took longer than {SECONDS:g} s; narrow it with `where`")


def bounded(function: Callable[[Any], Iterator[Finding]]) -> Callable[[Any], Iterator[Finding]]:
    """Return a rule's function that says no more than can be read: a rule that finds more than that finds nothing.

    What it returns raises TooLongError.
    """

    def run(resolved: Any) -> Iterator[Finding]:
        found: list[Finding] = []
        failure: Exception | None = None
        try:
            for finding in function(resolved):
                if len(found) >= MAX_FINDINGS:
                    found.clear()
                    failure = TooLongError(f"it finds more than {MAX_FINDINGS:,} faults; narrow it with `where`")
                    break
                found.append(replace(finding, message=cut(finding.message)))
        except Exception as error:
            failure = error
        yield from found
        if failure is not None:
            raise failure

    return run
