"""The way of one source: socket, channel, and a row for each mix that hears it, with all that hangs there.

Mixes that take a mix stand below it, further in: so no line runs behind anything.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint.picture.legend import finished
from lint.picture.svg import INK, SOFT, Drawing
from lint.resolve.resolved import Arrival, ResolvedRig
from lint.rig.rig import Destination, Mix, Source
from lint.sheet.marks import Marks
from lint.sheet.names import kind_words, sockets_short

CARD = 176.0
CARD_HEIGHT = 54.0
GAP = 30.0
ROW = 66.0
INDENT = 26.0
LEFT = 14.0


class _Heard(NamedTuple):
    """A row: a mix that hears the source, how many mixes deep, and what hears that mix."""

    mix: Mix
    depth: int
    ends: list[tuple[str, str, list[int]]]


def path_picture(rig: ResolvedRig, marks: Marks, source: Source, name: str = "path") -> str:
    """Return the way of one source as SVG."""
    drawing = Drawing(name, 960, f"The way of {source.name}", path_words(rig, source))
    y = LEFT
    _card(
        drawing, (LEFT, y), source.label or source.name, kind_words(source.kind), marks, marks.numbers(source.name), 3
    )
    for socket in source.sockets:
        y = _Branch(drawing, rig, marks).draw(source, str(socket), y) + 8
    return finished(drawing, marks)


def path_words(rig: ResolvedRig, source: Source) -> str:
    """Say the way in words."""
    sockets = ", ".join(map(str, source.sockets))
    channels = ", ".join(rig.rig.channel_words(channel) for channel in rig.channels_of.get(source.name, ()))
    return f"{source.name} is plugged into {sockets} and arrives on {channels or 'no channel'}."


class _Branch:
    """What one plug of a source leads to."""

    def __init__(self, drawing: Drawing, rig: ResolvedRig, marks: Marks) -> None:
        self.drawing = drawing
        self.rig = rig
        self.marks = marks

    def draw(self, source: Source, socket: str, top: float) -> float:
        """Draw from the source's card (at the left) on, and return where it ends."""
        drawing, x = self.drawing, LEFT + CARD + GAP
        start = next(number for number in source.sockets if str(number) == socket)
        slot = self.rig.slot_of.get(start)
        reached = self.rig.is_reached(start.device)
        foot = f"slot {slot}" if slot else "the console's own" if reached else "cut off"
        _way(drawing, (LEFT + CARD, LEFT + CARD_HEIGHT / 2), (x, top + CARD_HEIGHT / 2))
        _card(drawing, (x, top), socket, foot, self.marks, self.marks.numbers(socket))
        arrivals = [row for row in self.rig.arrivals.values() if row.socket == start and source.name in row.sources]
        y = top
        for arrival in arrivals:
            _way(drawing, (x + CARD, top + CARD_HEIGHT / 2), (x + CARD + GAP, y + CARD_HEIGHT / 2))
            y = self._channel(arrival, x + CARD + GAP, y)
        if not arrivals:
            drawing.text((x + CARD + GAP, top + CARD_HEIGHT / 2 + 5), "It arrives on no channel.", 15, bold=True)
            y = top + ROW
        return max(y, top + ROW)

    def _channel(self, arrival: Arrival, x: float, top: float) -> float:
        drawing, channel = self.drawing, arrival.channel
        gain = "" if channel.gain_db is None else f", gain {channel.gain_db:g} dB"
        foot = ("48 V on" if channel.phantom == "on" else "48 V off") + gain
        numbers = self.marks.numbers(channel.address)
        _card(drawing, (x, top), f"{channel.number} {channel.label}".strip(), foot, self.marks, numbers)
        rows = list(self._heard(channel.console, channel.number))
        if not rows:
            drawing.text((x + CARD + GAP, top + CARD_HEIGHT / 2 + 5), "It goes to no mix.", 15, bold=True)
        y, parents = top, [(x + CARD, top + CARD_HEIGHT / 2)]
        for row in rows:
            at = (x + CARD + GAP + row.depth * INDENT, y)
            parent = parents[row.depth]
            _way(drawing, parent, (at[0], y + CARD_HEIGHT / 2), GAP / 2 if row.depth == 0 else 0)
            _card(drawing, at, row.mix.label or row.mix.name, f"{row.mix.kind} mix, {row.mix.width}", self.marks,
                  self.marks.numbers(row.mix.name))  # fmt: skip
            parents[row.depth + 1 :] = [(at[0] + INDENT / 2, y + CARD_HEIGHT)]
            y = self._ends(row, (at[0] + CARD, y))
        return max(y, top + ROW)

    def _ends(self, row: _Heard, at: tuple[float, float]) -> float:
        x, y = at
        for head, foot, numbers in row.ends:
            _way(self.drawing, (x, at[1] + CARD_HEIGHT / 2), (x + GAP, y + CARD_HEIGHT / 2))
            _card(self.drawing, (x + GAP, y), head, foot, self.marks, numbers, 3)
            y += ROW
        self.drawing.width = max(self.drawing.width, x + GAP + CARD + LEFT)
        return max(y, at[1] + ROW)

    def _heard(self, console: str, number: int) -> Iterator[_Heard]:
        """Yield the mixes that hear a channel; each once, what takes a mix right below it."""
        seen: set[str] = set()
        stack = [(mix, 0) for mix in self.rig.rig.mixes.values() if mix.console == console and number in mix.sends]
        stack.reverse()
        while stack:
            mix, depth = stack.pop()
            if mix.name in seen:
                continue
            seen.add(mix.name)
            yield _Heard(mix, depth, list(self._hangs_on(mix)))
            stack += [(other, depth + 1) for other in reversed(self.rig.taken_by.get(mix.name, ()))]

    def _hangs_on(self, mix: Mix) -> Iterator[tuple[str, str, list[int]]]:
        told: dict[str, Destination] = {}
        for destination, departure, _ in self.rig.outputs():
            signal = departure.signal
            if signal is not None and signal.kind == "mix" and signal.name == mix.name:
                told.setdefault(destination.name, destination)
        for destination in told.values():
            where = sockets_short(destination.sockets)
            yield (
                destination.label or destination.name,
                where,
                self.marks.numbers(destination.name, *destination.sockets),
            )
        for unit in self.rig.rig.effects.values():
            if unit.fed_by.name == mix.name:
                back = [
                    row.channel
                    for row in self.rig.arrivals.values()
                    if row.effects and row.effects.effects == unit.name
                ]
                channels = ", ".join(str(channel.number) for channel in back)
                foot = f"on channels {channels}" if back else "returns on no channel"
                yield f"effects {unit.name}", foot, self.marks.numbers(f"effects/{unit.name}")


def _card(
    drawing: Drawing,
    at: tuple[float, float],
    head: str,
    foot: str,
    marks: Marks,
    numbers: list[int],
    line: float = 1.5,
) -> None:
    x, y = at
    drawing.rect((x, y, CARD, CARD_HEIGHT), f'fill="#fff" stroke="{INK}" stroke-width="{line:g}"')
    shown = [(marks.mark(number), number) for number in numbers[:2]]
    drawing.text((x + 10, y + 23), head, 15, bold=True, room=CARD - 16 - 34 * len(shown))
    drawing.text((x + 10, y + 43), foot, 12.5, ink=SOFT, room=CARD - 14)
    drawing.badges(x + CARD - 4 - 34 * len(shown), y + 16, shown)


def _way(drawing: Drawing, start: tuple[float, float], end: tuple[float, float], bend: float = GAP / 2) -> None:
    """Draw a line from a card to the next: across and down in between, or straight down and across where bend is 0."""
    x = start[0] + bend
    drawing.line([start, (x, start[1]), (x, end[1]), end], 1.5)
