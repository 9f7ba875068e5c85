"""The signals of the whole rig as a crossbar: a row a channel, a column a mix, a dot where one goes into the other.

On the left stands what arrives on the channel and from where, below where each mix is heard. However large
the rig is, no line crosses another; names are never cut, a long one takes more lines or makes its column wider.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from lint.picture.legend import finished
from lint.picture.svg import ADVANCE, INK, PALE, Drawing
from lint.resolve.resolved import Arrival, ResolvedRig
from lint.rig.address import spans
from lint.rig.rig import Channel, Mix
from lint.sheet.marks import Marks
from lint.sheet.phantom import NO_SWITCH, PHANTOM_LEGEND, channel_phantom
from lint.sheet.switching import OFF
from lint.sheet.truth import DIFFERS, DIFFERS_LEGEND, Truth, arrival_truth, departure_truth

SIZE = 13.0
LINE = 15.0
ROW = 21.0
COLUMN = 30.0
LEAST_HEAD = 130.0
LEAST_WIDTH = 960.0
MARGIN = 14.0
GUTTER = 16.0
BADGES = 76.0
# A longer name takes several lines: how many letters a line has beside its channel.
LETTERS = 26
LETTERS_PHANTOM = 28
HEADS = ("arrives", "from", "ch", "channel", "48 V")
READING = (
    "A filled dot: sent before the fader. A ring: sent after it, or not stated. A square: one mix goes into another. "
    f"{DIFFERS_LEGEND} {PHANTOM_LEGEND}"
)


class _Row(NamedTuple):
    """One channel: the lines of its cells under HEADS, whether each is to stand out, and why it is wrong."""

    channel: Channel
    cells: tuple[list[str], ...]
    truth: Truth

    @property
    def height(self) -> float:
        return ROW + LINE * (max(map(len, self.cells)) - 1)


def crossbar_picture(rig: ResolvedRig, marks: Marks, console: str, name: str = "signals") -> str:
    """Return the crossbar of one console as SVG."""
    return _Crossbar(rig, marks, console, name).draw()


def crossbar_words(rig: ResolvedRig, console: str, marks: Marks) -> str:
    """Say what the picture shows, for those who have the words alone: what every mix takes, and what arrives wrong."""
    channels = [arrival for (desk, _), arrival in sorted(rig.arrivals.items()) if desk == console]
    mixes = [mix for mix in rig.rig.mixes.values() if mix.console == console]
    taken = "; ".join(f"{mix.name} takes {_takes_words(mix)}" for mix in mixes)
    words = f"{len(channels)} channels of {console} as rows and its {len(mixes)} mixes as columns"
    words += f": {taken}." if taken else "."
    wrong = [(row.channel, arrival_truth(rig, row)) for row in channels]
    said = [
        f" Channel {channel.number} receives {truth.real} {truth.instead} (see {marks.see(truth)})."
        for channel, truth in wrong
        if not truth.is_right
    ]
    return words + "".join(said)


def _takes_words(mix: Mix) -> str:
    """Say which channels a mix takes, and which mixes and direct outputs besides."""
    numbers = sorted(mix.sends)
    channels = [f"channel{'s' if len(numbers) > 1 else ''} {spans(numbers)}"] if numbers else []
    return ", ".join([*channels, *map(str, mix.takes)]) or "nothing"


class _Crossbar:
    def __init__(self, rig: ResolvedRig, marks: Marks, console: str, name: str) -> None:
        self.rig = rig
        self.marks = marks
        self.rows = [self._row(arrival) for (desk, _), arrival in sorted(rig.arrivals.items()) if desk == console]
        self.mixes = [mix for mix in rig.rig.mixes.values() if mix.console == console]
        widths = [max(_wide(HEADS[index]), *_wides(self.rows, index)) + GUTTER for index in range(len(HEADS))]
        self.lefts = [MARGIN, *accumulate(widths, initial=MARGIN)][1:]
        self.left = max(self.lefts[-1] + GUTTER, 486.0)
        heads = [self._head(mix) for mix in self.mixes]
        rise = max((_wide(head) * 0.79 for head in heads), default=0)  # turned by 52 degrees
        self.head = max(LEAST_HEAD, rise + 24)
        lean = max([BADGES, *(_wide(head) * 0.62 for head in heads)])
        least = [COLUMN] * len(self.mixes)
        width = max(LEAST_WIDTH, self.left + sum(least) + lean)
        spread = min(COLUMN, (width - self.left - lean - sum(least)) / max(1, len(self.mixes)))
        ends = [self.left, *accumulate((size + spread for size in least), initial=self.left)][1:]
        self.middles = [(start + end) / 2 for start, end in pairwise(ends)]
        words = f"{crossbar_words(rig, console, marks)} {READING}"
        self.drawing = Drawing(name, width, f"What goes where in {console}", words)

    def _row(self, arrival: Arrival) -> _Row:
        channel, truth = arrival.channel, arrival_truth(self.rig, arrival)
        where = f"{arrival.socket.device} {arrival.socket.number}" if arrival.socket else str(arrival.slot or "")
        meant = [] if truth.is_right or not truth.meant else textwrap.wrap(truth.instead, LETTERS)
        cells = (
            [*textwrap.wrap(truth.real, LETTERS), *meant],
            textwrap.wrap("effects" if arrival.effects else where, LETTERS),
            [str(channel.number)],
            textwrap.wrap(channel.label or truth.meant, LETTERS),
            textwrap.wrap(channel_phantom(self.rig, arrival, self.marks), LETTERS_PHANTOM),
        )
        return _Row(channel, cells, truth)

    def _head(self, mix: Mix) -> str:
        """Return a mix's name with what is found of it, and of the effects unit that it feeds."""
        units = [f"effects/{unit.name}" for unit in self.rig.rig.effects.values() if unit.fed_by.name == mix.name]
        found = self.marks.at(mix.name, *units)
        width = " (stereo)" if mix.width == "stereo" else ""
        return f"{mix.label or mix.name}{width}" + (f" — {found}" if found else "")

    def _heard_at(self, mix: str) -> str:
        """Say where a mix is really heard, and where it is not though it is meant to be."""
        told: dict[str, None] = {}
        for destination, departure, wanted in self.rig.outputs():
            truth = departure_truth(self.rig, [destination], departure, [wanted] if wanted else [])
            see = self.marks.see(truth)
            signal = departure.signal
            if signal is not None and signal.kind == "mix" and signal.name == mix:
                reason = ", ".join(filter(None, ("" if truth.is_right else truth.instead, see)))
                told[destination.name + (f" ({reason})" if reason else "")] = None
            elif wanted is not None and wanted.kind == "mix" and wanted.name == mix and not truth.is_right:
                told[f"{DIFFERS} {destination.name} gets {truth.real} ({see})"] = None
        return ", ".join(told) or "—"

    def draw(self) -> str:
        """Draw everything and return the SVG."""
        takes = [mix for mix in self.mixes if any(mix.name in _taken(other) for other in self.mixes)]
        rows = sum(row.height for row in self.rows)
        self._frame(self.head + rows + ROW * len(takes) + (10 if takes else 0))
        y = self.head
        for index, row in enumerate(self.rows):
            self._channel(row, y, index)
            y += row.height
        y += 10 if takes else 0
        for mix in takes:
            self._mix_row(mix, y)
            y += ROW
        self._below(y + 8)
        return finished(self.drawing, self.marks)

    def _x(self, index: int) -> float:
        return self.middles[index]

    @property
    def _end(self) -> float:
        return self.middles[-1] if self.mixes else self.left

    def _frame(self, bottom: float) -> None:
        drawing = self.drawing
        for left, words in zip(self.lefts, HEADS, strict=False):
            drawing.text((left, self.head - 10), words, SIZE, bold=True)
        for index, mix in enumerate(self.mixes):
            x = self._x(index)
            drawing.line([(x, self.head - 4), (x, bottom)], 0.75, ink="#767676")
            drawing.text((x + 4, self.head - 10), self._head(mix), SIZE, bold=mix.kind == "house", turned=-52)

    def _channel(self, row: _Row, y: float, index: int) -> None:
        drawing, middle, channel = self.drawing, y + ROW / 2, row.channel
        if index % 2 == 0:
            drawing.rect((8, y, self._end + 18 - 8, row.height), f'fill="{PALE}" fill-opacity="0.55"')
        for left, lines, head in zip(self.lefts, row.cells, HEADS, strict=False):
            needs_care = head == "48 V" and lines[0] not in (OFF, NO_SWITCH) and not lines[0].startswith(f"{OFF}:")
            is_loud = head == "ch" or needs_care or (head == "arrives" and not row.truth.is_right)
            for line, words in enumerate(lines):
                drawing.text((left, middle + 4.5 + LINE * line), words, SIZE, bold=is_loud)
        drawing.line([(self.left - 12, middle), (self._end, middle)], 0.75, ink="#767676")
        for column, mix in enumerate(self.mixes):
            send = mix.sends.get(channel.number)
            if send is not None:
                level = "" if send.level_db is None else f", {send.level_db:+g} dB"
                title = f"channel {channel.number} to {mix.name}{f', {send.tap}' if send.tap else ''}{level}"
                drawing.circle(self._x(column), middle, 5, send.tap == "pre-fader", title)
        self._badges(self.marks.causes(row.truth), self._end + 14, middle)

    def _mix_row(self, mix: Mix, y: float) -> None:
        drawing, middle = self.drawing, y + ROW / 2
        drawing.text((self.left - 24, middle + 4.5), f"the mix {mix.label or mix.name}", SIZE, bold=True, anchor="end")
        drawing.line([(self.left - 12, middle), (self._end, middle)], 0.75, ink="#767676")
        for column, other in enumerate(self.mixes):
            if mix.name in _taken(other):
                box = (self._x(column) - 5, middle - 5, 10, 10)
                drawing.rect(box, f'fill="{INK}"', f"{mix.name} goes into {other.name}")
        self._badges(self.marks.numbers(mix.name), self._end + 14, middle)

    def _below(self, y: float) -> None:
        """Say what the signs are, and where each mix is heard."""
        drawing = self.drawing
        legend = ("sent before the fader", "sent after it, or not stated", "a mix goes into a mix")
        for index, words in enumerate(legend):
            middle = y + 14 + index * ROW
            if index < 2:
                drawing.circle(20, middle, 5, index == 0)
            else:
                drawing.rect((15, middle - 5, 10, 10), f'fill="{INK}"')
            drawing.text((34, middle + 4.5), words, SIZE)
        left = 270.0
        names = left + max([_wide(mix.label or mix.name) * 1.06 for mix in self.mixes], default=0) + GUTTER
        letters = int((drawing.width - names - MARGIN) / (SIZE * ADVANCE))
        if self.mixes:
            drawing.text((left, y + 18.5), "Where each mix is heard", SIZE, bold=True)
        y += 18.5 + ROW
        for mix in self.mixes:
            drawing.text((left, y), mix.label or mix.name, SIZE, bold=True)
            for line in textwrap.wrap(self._heard_at(mix.name), letters):
                drawing.text((names, y), line, SIZE)
                y += LINE
            y += 3

    def _badges(self, numbers: Sequence[int], x: float, y: float) -> None:
        for number in numbers[:2]:
            x = self.drawing.badge(x, y, self.marks.mark(number), number) + 3


def _wide(words: str) -> float:
    return len(words) * SIZE * ADVANCE


def _wides(rows: Sequence[_Row], index: int) -> list[float]:
    return [_wide(words) for row in rows for words in row.cells[index]] or [0.0]


def _taken(mix: Mix) -> set[str]:
    return {signal.name for signal in mix.takes if signal.kind == "mix"}
