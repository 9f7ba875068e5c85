"""The signals of the whole rig as a crossbar: a row a channel, a column a mix, a dot where one goes into the other.

On the left stands what arrives on the channel and from where, below each column where the mix is heard. However large
the rig is, no line crosses another.
"""

from __future__ import annotations

from collections.abc import Sequence

from lint.picture.legend import finished
from lint.picture.svg import INK, PALE, SOFT, Drawing
from lint.resolve.resolved import Arrival, ResolvedRig
from lint.rig.rig import Channel, Mix
from lint.sheet.marks import Marks

LEFT = 486.0
ROW = 21.0
COLUMN = 30.0
HEAD = 130.0
LEAST_WIDTH = 960.0
LETTERS_BELOW = 40
READING = (
    "A filled dot: sent before the fader. A ring: sent after it, or not stated. A square: one mix goes into another. "
    "Where a channel receives something other than it is meant to carry, that is written out."
)


def crossbar_picture(rig: ResolvedRig, marks: Marks, console: str, name: str = "signals") -> str:
    """Return the crossbar of one console as SVG."""
    return _Crossbar(rig, marks, console, name).draw()


def crossbar_words(rig: ResolvedRig, console: str) -> str:
    """Say what the picture shows."""
    channels = sum(channel.console == console for channel in rig.rig.channels.values())
    mixes = [mix for mix in rig.rig.mixes.values() if mix.console == console]
    return f"{channels} channels of {console} as rows and its {len(mixes)} mixes as columns."


class _Crossbar:
    def __init__(self, rig: ResolvedRig, marks: Marks, console: str, name: str) -> None:
        self.rig = rig
        self.marks = marks
        self.channels = [channel for (desk, _), channel in sorted(rig.rig.channels.items()) if desk == console]
        self.mixes = [mix for mix in rig.rig.mixes.values() if mix.console == console]
        width = max(LEAST_WIDTH, LEFT + COLUMN * len(self.mixes) + 60)
        self.column = min(2 * COLUMN, (width - LEFT - 60) / max(1, len(self.mixes)))
        title = f"What goes where in {console}"
        self.drawing = Drawing(name, width, title, f"{crossbar_words(rig, console)} {READING}")
        self.wrong = {arrival.channel.address for arrival in rig.mismatches}
        self.heard: dict[str, list[str]] = {}
        for destination, departure, _ in rig.outputs():
            if departure.signal is not None and departure.signal.kind == "mix":
                names = self.heard.setdefault(departure.signal.name, [])
                see = marks.at(destination.name, *destination.sockets)
                words = f"{destination.name} ({see})" if see else destination.name
                if words not in names:
                    names.append(words)

    def draw(self) -> str:
        """Draw everything and return the SVG."""
        takes = [mix for mix in self.mixes if any(mix.name in _taken(other) for other in self.mixes)]
        self._frame(HEAD + ROW * (len(self.channels) + len(takes)) + (10 if takes else 0))
        y: float = HEAD
        for index, channel in enumerate(self.channels):
            self._channel(channel, y, index)
            y += ROW
        y += 10 if takes else 0
        for mix in takes:
            self._mix_row(mix, y)
            y += ROW
        self._below(y + 8)
        return finished(self.drawing, self.marks)

    def _x(self, index: int) -> float:
        return LEFT + self.column * (index + 0.5)

    def _frame(self, bottom: float) -> None:
        drawing = self.drawing
        for left, words in ((14, "arrives"), (190, "from"), (296, "channel"), (450, "48 V")):
            drawing.text((left, HEAD - 10), words, 13, bold=True, anchor="end" if words == "48 V" else "start")
        for index, mix in enumerate(self.mixes):
            x = self._x(index)
            drawing.line([(x, HEAD - 4), (x, bottom)], 0.75, ink="#767676")
            stereo = " (stereo)" if mix.width == "stereo" else ""
            drawing.text((x + 4, HEAD - 10), (mix.label or mix.name) + stereo, 13, bold=mix.kind == "house", turned=-52)

    def _channel(self, channel: Channel, y: float, index: int) -> None:
        drawing, middle = self.drawing, y + ROW / 2
        arrival = self.rig.arrivals[channel.console, channel.number]
        end = self._x(len(self.mixes) - 1) if self.mixes else LEFT - 20
        if index % 2 == 0:
            drawing.rect((8, y, end + 18 - 8, ROW), f'fill="{PALE}" fill-opacity="0.55"')
        is_wrong = channel.address in self.wrong
        what, where = _arrives(arrival)
        drawing.text((14, middle + 4.5), what, 13, bold=is_wrong, room=172)
        drawing.text((190, middle + 4.5), where, 12.5, ink=SOFT, room=104)
        drawing.text((318, middle + 4.5), str(channel.number), 13, anchor="end", bold=True)
        drawing.text((326, middle + 4.5), channel.label or str(channel.carries or ""), 13, room=92)
        if channel.phantom == "on":
            drawing.text((450, middle + 4.5), "48", 12.5, anchor="end", bold=True)
        drawing.line([(LEFT - 30, middle), (end, middle)], 0.75, ink="#767676")
        for column, mix in enumerate(self.mixes):
            send = mix.sends.get(channel.number)
            if send is not None:
                level = "" if send.level_db is None else f", {send.level_db:+g} dB"
                title = f"channel {channel.number} to {mix.name}{f', {send.tap}' if send.tap else ''}{level}"
                drawing.circle(self._x(column), middle, 5, send.tap == "pre-fader", title)
        numbers = self.marks.numbers(channel.address, *((arrival.socket,) if arrival.socket else ()), *arrival.sources)
        self._badges(numbers, end + 14, middle)

    def _mix_row(self, mix: Mix, y: float) -> None:
        drawing, middle = self.drawing, y + ROW / 2
        drawing.text((326, middle + 4.5), f"the mix {mix.label or mix.name}", 13, bold=True, room=140)
        drawing.line([(LEFT - 30, middle), (self._x(len(self.mixes) - 1), middle)], 0.75, ink="#767676")
        for column, other in enumerate(self.mixes):
            if mix.name in _taken(other):
                box = (self._x(column) - 5, middle - 5, 10, 10)
                drawing.rect(box, f'fill="{INK}"', f"{mix.name} goes into {other.name}")
        self._badges(self.marks.numbers(mix.name), self._x(len(self.mixes) - 1) + 14, middle)

    def _below(self, y: float) -> None:
        """Write where each mix is heard, turned, under its column."""
        drawing, longest = self.drawing, 0.0
        legend = ("sent before the fader", "sent after it, or not stated", "a mix goes into a mix")
        for index, words in enumerate(legend):
            middle = y + 14 + index * ROW
            if index < 2:
                drawing.circle(20, middle, 5, index == 0)
            else:
                drawing.rect((15, middle - 5, 10, 10), f'fill="{INK}"')
            drawing.text((34, middle + 4.5), words, 13)
        if self.mixes:
            drawing.text((LEFT - 40, y + 14), "heard at", 13, bold=True, anchor="end")
        for index, mix in enumerate(self.mixes):
            names = self.heard.get(mix.name, [])
            words = ", ".join(names) if names else "—"
            room = LETTERS_BELOW * 13 * 0.6
            drawing.text((self._x(index) + 4, y), words, 13, anchor="end", room=room, turned=-90)
            longest = max(longest, float(min(len(words), LETTERS_BELOW)))
        drawing.grow(y + longest * 7.6)

    def _badges(self, numbers: Sequence[int], x: float, y: float) -> None:
        for number in numbers[:2]:
            x = self.drawing.badge(x, y, self.marks.mark(number), number) + 3


def _taken(mix: Mix) -> set[str]:
    return {signal.name for signal in mix.takes if signal.kind == "mix"}


def _arrives(arrival: Arrival) -> tuple[str, str]:
    """Return what arrives and the socket it comes from."""
    if arrival.effects is not None:
        return str(arrival.effects), "effects"
    where = f"{arrival.socket.device} {arrival.socket.number}" if arrival.socket else str(arrival.slot or "")
    return " + ".join(arrival.sources) or "nothing", where
