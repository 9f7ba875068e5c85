"""Patterns whose matching can't run away, whatever is written: regular expressions without groups or alternatives.

What is left (letters, classes, `.`, `?`, `*`, `+`, `{2,5}`, `^` first and `$` last) is followed with all its states at
once, one step a letter (Thompson 1968), so a text takes time in proportion to its length and the pattern's, never more.
The meaning is that of ECMA 262, which JSON Schema points to: `\\d`, `\\w` are ASCII, and a pattern may match anywhere.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

MAX_LENGTH = 1_000
MAX_STEPS = 400

Match = Callable[[str], object]


class PatternError(ValueError):
    """A pattern that can't be used; the text says why, and what can be."""


class _Step(NamedTuple):
    """One letter to match: its form as a Python class, and whether it may be passed over or repeated."""

    letter: str
    optional: bool
    repeated: bool


_ENDED = re.compile(r"(?<!\\)(\\\\)*\$\Z")  # a `$` that no backslash makes a plain sign
_BOUNDED = re.compile(r"\{(\d{1,9})(,?)(\d{0,9})\}")
_SPACE = " \\t\\n\\v\\f\\r\\u00a0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000\\ufeff"
_CLASSES = {"d": "0-9", "w": "0-9A-Za-z_", "s": _SPACE}
_NOT_CLASSES = {"D": "[^0-9]", "W": "[^0-9A-Za-z_]", "S": f"[^{_SPACE}]"}
_CONTROL = {"t": r"\t", "n": r"\n", "r": r"\r", "f": r"\f", "v": r"\v"}


def glob(text: str) -> str:
    """Return the pattern of a name with wildcards: `*` is any run of letters, `?` any one; all else is itself."""
    wild = {"*": r"[\s\S]*", "?": r"[\s\S]"}
    return "^" + "".join(wild.get(letter) or re.sub(r"[\\^$.+()\[\]{}|/]", r"\\\g<0>", letter) for letter in text) + "$"


@lru_cache(maxsize=4096)
def matcher(pattern: str) -> Match:
    """Return a function that says whether a pattern matches anywhere in a text.

    Raises PatternError for a pattern that is not one of these.
    """
    if len(pattern) > MAX_LENGTH:
        raise PatternError(f"this pattern is longer than {MAX_LENGTH} letters")
    at_start, at_end = pattern.startswith("^"), _ENDED.search(pattern) is not None
    items = list(_items(pattern[at_start : len(pattern) - at_end]))
    steps = [step for letter, least, most in items for step in _repeated(letter, least, most)]
    if len(steps) > MAX_STEPS:
        raise PatternError("this pattern repeats too much")
    if sum(least != most for _, least, most in items) <= 1:
        # With one choice of length there is nothing to run away with, and the library's engine is quicker.
        body = "".join(f"{letter}{{{least},{'' if most is None else most}}}" for letter, least, most in items)
        return re.compile(("\\A" if at_start else "") + body + ("\\Z" if at_end else "")).search
    return _Machine(steps, at_start, at_end).search


def _items(body: str) -> list[tuple[str, int, int | None]]:
    """Split into (letter as a Python class, how often at least, how often at most)."""
    items: list[tuple[str, int, int | None]] = []
    at = 0
    while at < len(body):
        letter, at = _letter(body, at)
        least, most, at = _quantity(body, at)
        items.append((letter, least, most))
    return items


def _letter(body: str, at: int) -> tuple[str, int]:
    sign = body[at]
    if sign == "\\":
        return _escaped(body, at)
    if sign == "[":
        return _class(body, at)
    if sign == ".":
        return r"[^\n\r\u2028\u2029]", at + 1
    if sign in "()|":
        raise PatternError("groups and alternatives ( ) | can't be used in a pattern; give a list of patterns instead")
    if sign in "*+?{}^$]":
        raise PatternError(f"'{sign}' can't stand here in a pattern; write \\{sign} for the sign itself")
    return re.escape(sign), at + 1


def _escaped(body: str, at: int, in_class: bool = False) -> tuple[str, int]:
    name = body[at + 1 : at + 2]
    if name in _CLASSES and name:
        return (_CLASSES[name] if in_class else f"[{_CLASSES[name]}]"), at + 2
    if name in _NOT_CLASSES and not in_class:
        return _NOT_CLASSES[name], at + 2
    if name in _CONTROL:
        return _CONTROL[name], at + 2
    if name == "u" and re.fullmatch("[0-9a-fA-F]{4}", body[at + 2 : at + 6]):
        return f"\\u{body[at + 2 : at + 6]}", at + 6
    if not name or name.isalnum():
        raise PatternError(f"\\{name} can't be used in a pattern")
    return re.escape(name) if name.isascii() else name, at + 2


def _class(body: str, at: int) -> tuple[str, int]:
    """Read a class such as [a-z_] and return it as Python writes it."""
    if body.startswith(r"[\s\S]", at):
        return r"[\s\S]", at + len(r"[\s\S]")
    inner, here = "", at + 1
    negated = body.startswith("^", here)
    here += negated
    while here < len(body) and body[here] != "]":
        part, here = _member(body, here)
        is_range = body.startswith("-", here) and body[here + 1 : here + 2] not in ("", "]")
        if is_range and part not in _CLASSES.values():
            last, here = _member(body, here + 1)
            part += rf"\-{last}" if last in _CLASSES.values() else f"-{last}"
        inner += part
    if here >= len(body) or not inner:
        raise PatternError("a class [ ] in a pattern is empty or never closed")
    made = f"[{'^' if negated else ''}{inner}]"
    try:
        re.compile(made)
    except re.error as error:
        raise PatternError(f"the class {body[at : here + 1]} can't be read: {error.msg}") from None
    return made, here + 1


def _member(body: str, at: int) -> tuple[str, int]:
    """Read one letter or kind of letters of a class."""
    return _escaped(body, at, in_class=True) if body[at] == "\\" else (re.escape(body[at]), at + 1)


def _quantity(body: str, at: int) -> tuple[int, int | None, int]:
    """Read how often the letter before may stand; return (at least, at most or None, where it goes on)."""
    sign = body[at : at + 1]
    if sign and sign in "*+?":
        least, most = {"*": (0, None), "+": (1, None), "?": (0, 1)}[sign]
        return least, most, at + 1
    if sign == "{" and (found := _BOUNDED.match(body, at)):
        least = int(found[1])
        most = least if not found[2] else int(found[3]) if found[3] else None
        if max(least, most or 0) > MAX_STEPS:
            raise PatternError(f"{found[0]} is too large; a letter of a pattern may stand {MAX_STEPS} times at most")
        if most is not None and most < least:
            raise PatternError(f"{found[0]} runs backwards")
        return least, most, found.end()
    return 1, 1, at


def _repeated(letter: str, least: int, most: int | None) -> list[_Step]:
    once = _Step(letter, False, False)
    if most is None:
        return [*[once] * least, _Step(letter, True, True)]
    return [*[once] * least, *[_Step(letter, True, False)] * (most - least)]


class _Machine:
    """All states of a pattern at once: a state is the number of steps that are behind it."""

    def __init__(self, steps: list[_Step], at_start: bool, at_end: bool) -> None:
        self._letters = [re.compile(step.letter).match for step in steps]
        self._steps = steps
        self._at_start, self._at_end = at_start, at_end

    def search(self, text: str) -> bool:
        """Whether the pattern matches anywhere in a text."""
        first = self._with_passed({0})
        states = first
        for letter in text:
            if len(self._steps) in states and not self._at_end:
                return True
            states = self._with_passed(self._after(states, letter))
            if not self._at_start:
                states |= first
        return len(self._steps) in states

    def _after(self, states: set[int], letter: str) -> set[int]:
        after = set()
        for state in states:
            if state < len(self._steps) and self._letters[state](letter):
                after.add(state if self._steps[state].repeated else state + 1)
        return after

    def _with_passed(self, states: set[int]) -> set[int]:
        """Add the states that are reached by passing over what is optional."""
        for state in list(states):
            here = state
            while here < len(self._steps) and self._steps[here].optional and here + 1 not in states:
                here += 1
                states.add(here)
        return states
