"""Answers of one key: pressed at a terminal, typed as a line at a pipe or a screen reader, or given beforehand."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import TextIO

from lint.walk.screen import Screen, StoppedError

# What may be typed as a line instead of a key.
WORDS = {"yes": "y", "no": "n", "skip": "s", "can't tell": "s", "all suspects": "w", "back": "b", "help": "?",
         "quit": "q", "stop": "q"}  # fmt: skip


class Keys:
    """Where the answers come from; `given` are keys to use instead of asking, `plain` asks for whole lines."""

    def __init__(self, screen: Screen, given: str | None, plain: bool, source: TextIO | None = None) -> None:
        self.screen = screen
        self.given: Iterator[str] | None = iter(given) if given is not None else None
        self.taken = 0  # how many of those given were used
        self.source = source or sys.stdin
        self.by_press = not plain and given is None and _can_press(self.source)
        self._enter_may_follow = False

    @property
    def left(self) -> str:
        """The given keys that were not used."""
        return "".join(self.given or ())

    def press(self, prompt: str) -> str:
        """Return one key, in lower case; empty for Enter alone. Raises StoppedError at the end of the input.

        Of a line, the key of its whole word; a line that is neither a key nor its word is returned as it is. The Enter
        of somebody who types one after every key, as the walk asks for it, is no answer of its own.
        """
        if self.given is not None:
            key = next(self.given, None)
            if key is None:
                raise StoppedError
            self.taken += 1
            self.screen.write(f"{prompt}{key}")
            return key.casefold()
        if not self.by_press:
            line = self.screen.ask(prompt).casefold()
            return WORDS.get(line, line)
        key = _pressed(self.source, prompt)
        if self._enter_may_follow and key in "\r\n":
            key = _pressed(self.source, "")
        self._enter_may_follow = key.isprintable()
        self.screen.write(key if key.isprintable() else "")
        return key.strip().casefold()


def _can_press(source: TextIO) -> bool:
    """Whether single keys can be read: a terminal that lets itself be asked for them."""
    try:
        import termios  # noqa: F401, PLC0415 - not on every system
    except ImportError:
        return False
    return source is not None and source.isatty() and sys.stdout.isatty()


def _pressed(source: TextIO, prompt: str) -> str:
    """Read one key from a terminal. Raises StoppedError for Ctrl-D and the end, KeyboardInterrupt for Ctrl-C."""
    import termios  # noqa: PLC0415
    import tty  # noqa: PLC0415

    sys.stdout.write(prompt)
    sys.stdout.flush()
    number = source.fileno()
    before = termios.tcgetattr(number)
    try:
        tty.setcbreak(number)
        key = source.read(1)
    finally:
        termios.tcsetattr(number, termios.TCSADRAIN, before)
    if key in ("", "\x04"):
        raise StoppedError
    return key
