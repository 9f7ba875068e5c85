"""Addresses as a rig file writes them: `west-box/in/3`, `desk/link-1/9`, `house.left`, `15-16`."""

from __future__ import annotations

import re
from typing import NamedTuple


class Socket(NamedTuple):
    """A numbered physical connector on a device; `side` is `in` or `out`, numbers count from 1."""

    device: str
    side: str
    number: int

    def __str__(self) -> str:
        return f"{self.device}/{self.side}/{self.number}"


class Port(NamedTuple):
    """A connector for a link cable: a console's `link-1`, a box's `upstream` or `downstream`."""

    device: str
    name: str

    def __str__(self) -> str:
        return f"{self.device}/{self.name}"


class Slot(NamedTuple):
    """A numbered audio channel on the link of a console's port, counted from 1; the direction is told by use."""

    port: Port
    number: int

    def __str__(self) -> str:
        return f"{self.port}/{self.number}"


class Return(NamedTuple):
    """The output of an effects unit inside a console; `side` is empty, `left` or `right`."""

    console: str
    effects: str
    side: str

    def __str__(self) -> str:
        return f"effects/{self.effects}" + (f".{self.side}" if self.side else "")


class Signal(NamedTuple):
    """What a console can send: a mix or a side of it, or a channel's direct output.

    `kind` is `mix` (name is the mix's) or `channel` (name is `console/number`); `side` is empty, `left`, `right`
    or `mono`.
    """

    kind: str
    name: str
    side: str = ""

    def __str__(self) -> str:
        if self.kind == "channel":
            return f"direct output of channel {self.name.rpartition('/')[2]}"
        return f"{self.name}.{self.side}" if self.side else self.name


OutputPoint = Socket | Slot
InputPoint = Socket | Slot | Return

_NUMBERED = re.compile(r"([^/]+)/([^/]+)/([1-9][0-9]*)(?:-([1-9][0-9]*))?")


def numbered(text: str) -> tuple[str, str, int, int]:
    """Return (device, side or port, first, last) of `device/side/number` or `device/side/first-last`.

    Raises ValueError where the text has another form or the range runs backwards.
    """
    match = _NUMBERED.fullmatch(text)
    if match is None:
        raise ValueError(f"found '{text}', expected device/side/number such as west-box/in/3")
    first = int(match[3])
    last = int(match[4]) if match[4] else first
    if last < first:
        raise ValueError(f"found the range {first}-{last}, which runs backwards; expected {last}-{first}")
    return match[1], match[2], first, last


def number_range(text: str) -> range:
    """Return the numbers of `7` or `1-8`.

    Raises ValueError where the range runs backwards.
    """
    first, _, last = text.partition("-")
    numbers = range(int(first), int(last or first) + 1)
    if not numbers:
        raise ValueError(f"found the range {text}, which runs backwards; expected {last}-{first}")
    return numbers


def point(device: str, side: str, number: int) -> Socket | Slot:
    """Return a socket for the sides `in` and `out`, else a slot of that link port."""
    return Socket(device, side, number) if side in ("in", "out") else Slot(Port(device, side), number)


def spans(numbers: list[int]) -> str:
    """Write sorted whole numbers shortly: 1–3, 7, 9–12."""
    parts: list[str] = []
    start = previous = None
    for number in [*numbers, None]:
        if previous is not None and number == previous + 1:
            previous = number
            continue
        if start is not None:
            parts.append(str(start) if start == previous else f"{start}–{previous}")
        start = previous = number
    return ", ".join(parts)
