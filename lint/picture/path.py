"""The way of one source: socket, channel, and a row for each mix that hears it, with all that hangs there.

Mixes that take a mix stand below it, further in: so no line runs behind anything.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from lint.picture.legend import finished
from lint.picture.svg import ADVANCE, INK, SOFT, Drawing
from lint.resolve.resolved import Arrival, ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Destination, Mix, Source
from lint.sheet.marks import Marks
from lint.sheet.names import channel_short, kind_words, sockets_short
from lint.sheet.phantom import channel_phantom
from lint.sheet.truth import DIFFERS, Truth, arrival_truth, departure_truth, destination_truths, plug_truth

CARD = 184.0
CARD_HEIGHT = 66.0
GAP = 30.0
ROW = 82.0
HEAD, LEAST_HEAD, FOOT = 15.0, 11.0, 12.5
INDENT = 26.0
LEFT = 14.0


class _Heard(NamedTuple):
    """A row: a mix that hears the source, how many mixes deep, and what hears that mix."""

    mix: Mix
    depth: int
    ends: list[tuple[str, str, list[int]]]


def path_picture(rig: ResolvedRig, marks: Marks, source: Source, name: str = "path") -> str:
    """Return the way of one source as SVG."""
    drawing = Drawing(name, 960, f"The way of {source.name}", path_words(rig, source, marks))
    y = LEFT
    _card(
        drawing, (LEFT, y), source.label or source.name, kind_words(source.kind), marks, marks.numbers(source.name), 3
    )
    for socket in source.sockets:
        y = _Branch(drawing, rig, marks).draw(source, str(socket), y) + 8
    return finished(drawing, marks)


def path_words(rig: ResolvedRig, source: Source, marks: Marks) -> str:
    """Say the way in words: where it arrives, and where it is meant to where that is elsewhere."""
    sockets = ", ".join(map(str, source.sockets))
    heard = rig.channels_of.get(source.name, [])
    channels = ", ".join(map(rig.rig.channel_words, heard))
    truths = [_plug(rig, socket) for socket in source.sockets]
    meant = [f" It is meant for channel {truth.meant}." for truth in truths if truth.meant and not truth.is_right]
    see = marks.see(*truths)
    return (
        f"{source.name} is plugged into {sockets} and arrives on {channels or 'no channel'}."
        + "".join(dict.fromkeys(meant))
        + (f" See {see}." if see else "")
    )


def _plug(rig: ResolvedRig, socket: Socket) -> Truth:
    channels = [row.channel for row in rig.arrivals.values() if row.socket == socket]
    return plug_truth(rig, socket, [rig.rig.sources[name] for name in rig.sources_in[socket]], channels)


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
        truth = _plug(self.rig, start)
        _card(drawing, (x, top), socket, foot, self.marks, self.marks.causes(truth))
        arrivals = [row for row in self.rig.arrivals.values() if row.socket == start and source.name in row.sources]
        y = top
        for arrival in arrivals:
            _way(drawing, (x + CARD, top + CARD_HEIGHT / 2), (x + CARD + GAP, y + CARD_HEIGHT / 2))
            y = self._channel(arrival, x + CARD + GAP, y)
        if not arrivals:
            drawing.text((x + CARD + GAP, top + CARD_HEIGHT / 2 + 5), "It arrives on no channel.", 15, bold=True)
            y = top + ROW
        if truth.meant and not truth.is_right:
            drawing.text((x + CARD + GAP, y + 12), f"{DIFFERS} It is meant for channel {truth.meant}.", 15, bold=True)
            y += 26
        return max(y, top + ROW)

    def _channel(self, arrival: Arrival, x: float, top: float) -> float:
        drawing, channel = self.drawing, arrival.channel
        gain = "" if channel.gain_db is None else f", gain {channel.gain_db:g} dB"
        foot = f"48 V {channel_phantom(self.rig, arrival, self.marks)}{gain}"
        numbers = self.marks.causes(arrival_truth(self.rig, arrival))
        _card(drawing, (x, top), channel_short(self.rig, channel), foot, self.marks, numbers)
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
            truths = destination_truths(self.rig, destination)
            meant = [truth.instead for truth in truths if not truth.is_right]
            where = " ".join((sockets_short(destination.sockets), *dict.fromkeys(meant)))
            numbers = self._numbers(truths)
            yield destination.label or destination.name, where, numbers
        yield from self._missed(mix, told)
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

    def _missed(self, mix: Mix, told: Mapping[str, Destination]) -> Iterator[tuple[str, str, list[int]]]:
        """Yield what is meant to carry a mix and does not, or that nothing hears it: no line ends in the air unsaid."""
        missed: dict[str, list[Truth]] = {}
        for destination, departure, wanted in self.rig.outputs():
            truth = departure_truth(self.rig, [destination], departure, [wanted] if wanted else [])
            is_meant = wanted is not None and wanted.kind == "mix" and wanted.name == mix.name
            if is_meant and not truth.is_right and destination.name not in told:
                missed.setdefault(destination.label or destination.name, []).append(truth)
        for name, truths in missed.items():
            real = " and ".join(dict.fromkeys(truth.real for truth in truths))
            meant = " and ".join(dict.fromkeys(truth.meant for truth in truths))
            yield f"✗ {name}", f"gets {real} {DIFFERS} {meant}", self._numbers(truths)
        is_fed_on = any(unit.fed_by.name == mix.name for unit in self.rig.rig.effects.values())
        if not (missed or told or is_fed_on or self.rig.taken_by.get(mix.name)):
            yield "heard nowhere", "no output carries it", self.marks.numbers(mix.name)

    def _numbers(self, truths: Iterable[Truth]) -> list[int]:
        return sorted({number for truth in truths for number in self.marks.causes(truth)})


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
    room = CARD - 16
    size = min(HEAD, max(LEAST_HEAD, room / (max(1, len(head)) * ADVANCE * 1.06)))
    drawing.text((x + 10, y + 24), head, size, bold=True, room=room)
    for index, words in enumerate(textwrap.wrap(foot, int(room / (FOOT * ADVANCE)), max_lines=2, placeholder=" …")):
        drawing.text((x + 10, y + 42 + 15 * index), words, FOOT, ink=SOFT, room=room)
    # On the edge of the card, so that no name gives way to it.
    shown = [(marks.mark(number), number) for number in numbers[:3]]
    drawing.badges(x + CARD - 4 - 34 * len(shown), y, shown)


def _way(drawing: Drawing, start: tuple[float, float], end: tuple[float, float], bend: float = GAP / 2) -> None:
    """Draw a line from a card to the next: across and down in between, or straight down and across where bend is 0."""
    x = start[0] + bend
    drawing.line([start, (x, start[1]), (x, end[1]), end], 1.5)
