"""Sockets as input lists write them: `3`, `west-box 3`, `west-box/in/3`, `A-3`, `A3`; and several at once: `A3-4`.

`A3-4` may be sockets 3 and 4 of A, or input 4 of A3. It is the latter only where a box A3 is known for sure.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from lint.start.plan import named

_JOIN = r"\s*(?:[-–—/+&,.;~]|\b(?:to|and)\b)\s*"
_NUMBER = r"0*[1-9][0-9]{0,2}"
_SPLIT = r"[ /:#-]*"
_INPUT = re.compile(rf"(?:(.*?){_SPLIT}(\b(?:in|input)\b{_SPLIT})?)?({_NUMBER})", re.IGNORECASE)
_SEVERAL = re.compile(
    rf"(?P<box>.*?){_SPLIT}(?:\b(?:in|input)\b{_SPLIT})?(?<![0-9])"
    rf"(?P<numbers>{_NUMBER}(?:{_JOIN}(?:(?P=box){_SPLIT})?{_NUMBER})+)",
    re.IGNORECASE,
)
_AFTER_BOX = rf"{_SPLIT}(?:\b(?:in|input)\b{_SPLIT})?"
# What lists call the stage box of a house that has one: by a number, and without (before its inputs' numbers).
BOX_ONE = ("box 1", "box1", "stage box 1", "stagebox 1", "stagebox1", "sb 1", "sb1")
THE_BOX = (*BOX_ONE, "box", "stage box", "stagebox", "sb")
# What lists call the inputs of the console itself.
CONSOLE_WORDS = frozenset(
    ("local", "desk", "console", "mixer", "foh", "pult", "mischpult", "mengtafel", "mengpaneel", "regie", "mesa")
)
_MOST = 64  # sockets of one row


class Place(NamedTuple):
    """What a cell names: a box (empty: not said) and its inputs, of which there is more than one in a range."""

    box: str
    numbers: tuple[int, ...]


def place_of(box: str, socket: str, known: frozenset[str] = frozenset()) -> Place | None:
    """Return the inputs that a cell names, or None; `known` are the boxes that there are for sure, as names."""
    if there := _in_known_box(socket, known):
        return there
    one, several = _INPUT.fullmatch(socket), _SEVERAL.fullmatch(socket)
    text = (one[1] or "").strip() if one else ""
    is_known = plain(text) in known and bool(re.search(r"[^\W\d_]", text)) and plain(text) == plain(box or text)
    if one and (several is None or is_known):
        # Digits joined to more before the number are two places, not the name of one.
        if not one[2] and plain(text) not in known and re.search(r"[0-9]\s*[/+&,;]|[+&,;.]$", text):
            return None
        return Place(text or box, (int(one[3]),))
    if several is None:
        return None
    numbers = _spread(several["numbers"])
    return Place(several["box"].strip() or box, numbers) if numbers else None


def _in_known_box(socket: str, known: frozenset[str]) -> Place | None:
    """Return what a cell names if only one way to part it names a box that is known: `SB1-7/8` is 7 and 8 of SB1."""
    found: dict[tuple[str, tuple[int, ...]], Place] = {}
    for end in range(1, min(len(socket), 64)):
        box, rest = socket[:end].strip(), socket[end:]
        if plain(box) not in known or not re.search(r"[^\W\d_]", box) or (box[-1].isdigit() and rest[0].isdigit()):
            continue
        again = rf"(?:{re.escape(box)}{_SPLIT})?"
        if numbers := re.fullmatch(rf"{_AFTER_BOX}({_NUMBER}(?:{_JOIN}{again}{_NUMBER})*)", rest, re.IGNORECASE):
            several = _spread(re.sub(again, "", numbers[1], flags=re.IGNORECASE))
            found[plain(box), several] = Place(box.rstrip(" /:#-"), several)
    return next(iter(found.values())) if len(found) == 1 else None


def at_console(box: str) -> bool:
    """Whether the cell of a box names inputs of the console, such as `local 2`: no box is called that."""
    place = place_of("", box)
    return place is not None and plain(place.box) in CONSOLE_WORDS


def other_reading(socket: str) -> Place | None:
    """Return what a range is if its first number belongs to the name of the box: input 4 of A3."""
    one = _INPUT.fullmatch(socket)
    text = (one[1] or "").strip() if one else ""
    return Place(text, (int(one[3]),)) if one and re.search(r"[^\W\d_]", text) else None


def known_boxes(cells: Iterable[tuple[str, str]], house: Iterable[str] = ()) -> frozenset[str]:
    """Return the boxes that are known for sure: those of the house, and those that (box, socket) cells name plainly."""
    found = {plain(name) for name in house}
    for box, socket in cells:
        place = place_of(box, socket) if socket else None
        if box or (place is not None and len(place.numbers) == 1):
            found.add(plain(box or (place.box if place else "")))
    return frozenset(found - {""})


def plain(box: str) -> str:
    """Return the name of a box without case, spaces and signs."""
    return named(box, (), "box") if box else ""


def _spread(text: str) -> tuple[int, ...]:
    numbers = [int(found[0]) for part in re.split(_JOIN, text) if (found := re.search(r"[0-9]+$", part))]
    spans = len(numbers) == 2 and re.search(r"[-–—~]|\bto\b", text)
    if spans and numbers[0] < numbers[1] <= numbers[0] + _MOST:
        return tuple(range(numbers[0], numbers[1] + 1))
    return tuple(dict.fromkeys(numbers))


def looks_like_sockets(cells: Iterable[str], bare: bool, boxes: Sequence[str] = ()) -> bool:
    """Say whether most cells of a column name sockets, each its own; `bare` counts numbers without a box too.

    `boxes` are the boxes beside the cells, if any: two of them may have the same number.
    """
    said = [(boxes[index] if boxes else "", cell) for index, cell in enumerate(cells) if cell]
    alike = [
        (box, cell) for box, cell in said if len(cell) <= 24 and place_of("", cell) and (bare or not cell[0].isdigit())
    ]
    return len(alike) * 2 > len(said) and len(set(alike)) * 4 > len(alike) * 3
