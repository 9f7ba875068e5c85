"""What a YAML rule may cost: it can't run away, and it is ended and told where it looks at too much."""

from __future__ import annotations

import time

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
