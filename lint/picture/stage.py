"""The stage as the audience sees it: boxes with their sockets and what hangs there, where the rig file places them.

A place is read from the words of `location`: stage left and stage right as the performers have them, any other left
and right as the audience does. What says nothing of the kind stands on stage if it belongs to a performer, else in the
house; what has no place stated stands apart.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from lint.picture.legend import finished
from lint.picture.svg import INK, PALE, SOFT, Drawing
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import MONITOR_DESTINATIONS, Destination, Device
from lint.sheet.marks import Marks
from lint.sheet.names import sockets_short
from lint.sheet.truth import DIFFERS, Truth, destination_truths, plug_truth

WIDTH = 960.0
MARGIN = 14.0
COLUMN = (WIDTH - 2 * MARGIN) / 3
SOCKET = 16.0
PER_LINE = 16
CHIP = 44.0
BANDS = ("gallery", "upstage", "stage", "downstage", "house", "unstated")
_TITLES = {
    "gallery": "On a gallery or balcony",
    "house": "In the house, and elsewhere",
    "unstated": "Place not stated in the rig file",
}
_ROWS = (
    ("gallery", re.compile(r"\b(gallery|balcony|loft|choir stalls|organ)\b")),
    ("house", re.compile(r"\b(mix position|foyer|lobby|back wall|front of house|hall|aisle|booth|office)\b")),
    ("upstage", re.compile(r"\b(upstage|back line|backline|riser|back of the stage)\b")),
    ("downstage", re.compile(r"\b(downstage|under the stage|stage edge|front|of the stage)\b")),
    ("stage", re.compile(r"\b(stage|keyboards|drums?|lectern|pulpit|altar)\b")),
)


class _Thing(NamedTuple):
    """One card: how high it is, and what draws it at a place and a width."""

    height: float
    draw: Callable[[float, float, float], None]


READING = (
    "Seen from the audience: its left is at the left, so stage left is at the right. Squares are input sockets and "
    "rings output sockets, filled where something is plugged in; "
    f"where something is wrong its mark stands in place of the number. {DIFFERS} comes before what is meant."
)


def stage_picture(rig: ResolvedRig, marks: Marks, name: str = "stage") -> str:
    """Return the stage as SVG."""
    return _Stage(rig, marks, name).draw()


def stage_words(rig: ResolvedRig, marks: Marks) -> str:
    """Say what stands where, and which of the destinations get something other than they need."""
    placed = [f"{row.name}: {row.location}" for row in rig.rig.devices.values() if row.location]
    words = f"{'. '.join(placed)}." if placed else "The rig file does not say where anything stands."
    wrong = [
        f" {row.name} {told} (see {marks.see(*truths)})."
        for row in rig.rig.destinations.values()
        if (told := _wrong_words(truths := destination_truths(rig, row)))
    ]
    return words + "".join(wrong)


def _wrong_words(truths: list[Truth]) -> str:
    wrong = [truth for truth in truths if not truth.is_right]
    real = " and ".join(dict.fromkeys(row.real for row in wrong))
    meant = " and ".join(dict.fromkeys(row.meant for row in wrong))
    return f"gets {real} {DIFFERS} {meant}" if wrong else ""


def place_of(location: str, otherwise: str = "house") -> tuple[str, int]:
    """Return the band of the picture and the column (0 at the audience's left) that the words of a place mean.

    `otherwise` is the band of words that say nothing of the kind.
    """
    words = location.casefold().replace("-", " ")
    band = next((name for name, pattern in _ROWS if pattern.search(words)), otherwise)
    if re.search(r"\bstage (left|right)\b", words):
        return band, 2 if "stage left" in words else 0
    if re.search(r"\b(left|west)\b", words):
        return band, 0
    return band, 2 if re.search(r"\b(right|east)\b", words) else 1


class _Stage:
    def __init__(self, rig: ResolvedRig, marks: Marks, name: str) -> None:
        self.rig = rig
        self.marks = marks
        self.drawing = Drawing(name, WIDTH, "The stage", f"{READING} {stage_words(rig, marks)}")
        self.cells: dict[tuple[str, int], list[_Thing]] = {}
        self.at_output: dict[Socket, list[Truth]] = {}
        for destination in rig.rig.destinations.values():
            for socket, truth in zip(destination.sockets, destination_truths(rig, destination), strict=True):
                self.at_output.setdefault(socket, []).append(truth)
        used = set(self.at_output)
        for device in rig.rig.devices.values():
            self._put(self._where(device), self._box(device, used))
        for destination in rig.rig.destinations.values():
            self._put(self._where(destination), self._chip(destination))

    def _where(self, row: Device | Destination) -> tuple[str, int]:
        """Return the band and the column of a thing; what is not placed stands in the order of its sides."""
        if row.location:
            is_performer_s = isinstance(row, Destination) and row.kind in MONITOR_DESTINATIONS
            is_console = isinstance(row, Device) and row.model.chain is None
            band, column = place_of(row.location, "stage" if is_performer_s else "house")
            # A console on a balcony looks at the stage from the house.
            return ("house" if is_console and band == "gallery" else band), column
        sides = {signal.side for signal in row.expects} if isinstance(row, Destination) else set()
        if sides in ({"left"}, {"right"}):
            return "unstated", 0 if sides == {"left"} else 2
        heights = [sum(thing.height for thing in self.cells.get(("unstated", index), ())) for index in range(3)]
        return "unstated", heights.index(min(heights))

    def _put(self, place: tuple[str, int], thing: _Thing) -> None:
        self.cells.setdefault(place, []).append(thing)

    def draw(self) -> str:
        """Draw band by band from the back of the stage to the house, and return the SVG."""
        y = MARGIN
        stage_top: float | None = None
        for band in BANDS:
            columns = [self.cells.get((band, column), []) for column in range(3)]
            if band == "house" and stage_top is not None:
                self._edge(y)
                y += 28
            if not any(columns):
                continue
            if band in _TITLES:
                self.drawing.text((MARGIN, y + 14), _TITLES[band], 14, bold=True)
                y += 22
            elif stage_top is None:
                stage_top = y
                self.drawing.text((MARGIN, y + 14), "On stage", 14, bold=True)
                y += 22
            y = max(self._column(things, MARGIN + index * COLUMN, y) for index, things in enumerate(columns)) + 8
        return finished(self.drawing, self.marks)

    def _edge(self, y: float) -> None:
        """Draw the edge of the stage, with whose left is left."""
        words = (("← left, as the audience sees it (stage right)", MARGIN, "start"),
                 ("edge of the stage — audience", WIDTH / 2, "middle"),
                 ("right (stage left) →", WIDTH - MARGIN, "end"))  # fmt: skip
        self.drawing.line([(MARGIN, y), (WIDTH - MARGIN, y)], 4)
        for said, x, anchor in words:
            self.drawing.text((x, y + 18), said, 13, anchor=anchor, ink=SOFT)

    def _column(self, things: list[_Thing], x: float, y: float) -> float:
        for thing in things:
            thing.draw(x + 4, y, COLUMN - 8)
            y += thing.height + 8
        return y

    def _box(self, device: Device, used: set[Socket]) -> _Thing:
        counts = (device.model.inputs.count, device.model.outputs.count)
        lines = [-(-count // PER_LINE) for count in counts]
        height = 50 + sum(line * (SOCKET + 4) + 6 for line in lines if line)

        def draw(x: float, y: float, width: float) -> None:
            drawing = self.drawing
            drawing.rect((x, y, width, height), f'fill="#fff" stroke="{INK}" stroke-width="2.5"')
            found = [(self.marks.mark(number), number) for number in self.marks.numbers(device.name)[:3]]
            drawing.text(
                (x + 10, y + 22), device.label or device.name, 16, bold=True, room=width - 20 - 34 * len(found)
            )
            drawing.text((x + 10, y + 39), device.location or "place not stated", 12.5, ink=SOFT, room=width - 20)
            drawing.badges(x + width - 6 - 34 * len(found), y + 17, found)
            top = y + 48
            for side, count in zip(("in", "out"), counts, strict=True):
                for number in range(1, count + 1):
                    self._socket(Socket(device.name, side, number), used, x + 10, top)
                top += -(-count // PER_LINE) * (SOCKET + 4) + 6 if count else 0

        return _Thing(height, draw)

    def _socket(self, socket: Socket, used: set[Socket], left: float, top: float) -> None:
        step = SOCKET + 1.8
        x = left + (socket.number - 1) % PER_LINE * step
        y = top + (socket.number - 1) // PER_LINE * (SOCKET + 4)
        names = self.rig.sources_in.get(socket, [])
        is_used = bool(names) or socket in used
        title = f"{socket}: {' and '.join(names) or ('in use' if is_used else 'free')}"
        word = self._socket_mark(socket, names)
        if socket.side == "in":
            style = f'fill="{INK if is_used else "#fff"}" stroke="{INK}" stroke-width="1.2"'
            self.drawing.rect((x, y, SOCKET, SOCKET), style, title)
        else:
            self.drawing.circle(x + SOCKET / 2, y + SOCKET / 2, SOCKET / 2 - 0.6, is_used, title)
        ink = "#fff" if is_used else INK
        self.drawing.text(
            (x + SOCKET / 2, y + SOCKET / 2 + 4),
            word or str(socket.number),
            12 if word else 9.5,
            anchor="middle",
            bold=bool(word),
            ink=ink,
        )
        if word:
            self.drawing.line([(x, y + SOCKET + 2), (x + SOCKET, y + SOCKET + 2)], 2.5)

    def _socket_mark(self, socket: Socket, names: list[str]) -> str:
        """Return the heaviest mark of what is plugged into a socket, or nothing."""
        if socket.side == "in":
            channels = [row.channel for row in self.rig.arrivals.values() if row.socket == socket]
            sources = [self.rig.rig.sources[name] for name in names]
            truths = [plug_truth(self.rig, socket, sources, channels)] if names or channels else []
        else:
            truths = self.at_output.get(socket, [])
        return self.marks.see(*truths)[:1]

    def _chip(self, destination: Destination) -> _Thing:
        truths = destination_truths(self.rig, destination)
        wrong = _wrong_words(truths)
        numbers = sorted({number for truth in truths for number in self.marks.causes(truth)})[:2]
        height = CHIP + (16 if wrong else 0)

        def draw(x: float, y: float, width: float) -> None:
            drawing = self.drawing
            drawing.rect((x, y, width, height), f'fill="{PALE}" stroke="{INK}" stroke-width="1.2"')
            middle = y + height / 2
            if destination.kind in MONITOR_DESTINATIONS:
                drawing.line([(x + 8, middle + 9), (x + 17, middle - 9), (x + 26, middle + 9), (x + 8, middle + 9)], 2)
            else:
                drawing.rect((x + 8, middle - 10, 18, 20), f'fill="none" stroke="{INK}" stroke-width="2"')
                drawing.circle(x + 17, middle + 2, 5, False)
            found = [(self.marks.mark(number), number) for number in numbers]
            room = width - 48 - 34 * len(found)
            drawing.text((x + 34, y + 19), destination.label or destination.name, 14, bold=True, room=room)
            where = " · ".join(filter(None, (destination.location, sockets_short(destination.sockets))))
            drawing.text((x + 34, y + 37), where, 12, ink=SOFT, room=width - 38)
            if wrong:
                drawing.text((x + 34, y + 52), wrong, 12, bold=True, room=width - 40)
            drawing.badges(x + width - 6 - 34 * len(found), y + 16, found)

        return _Thing(height, draw)
