"""The chain: each box under the one before it, and beside them two rulers with the slots of the link.

Where a box's inputs arrive and what its selector takes are bars along the same ruler, so a clash of two banks or a
run past the link's end is seen before it is read.
"""

from __future__ import annotations

from collections.abc import Sequence

from lint.picture.legend import finished
from lint.picture.svg import INK, PALE, SOFT, Drawing
from lint.resolve.chain import Chain, ChainBox
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket, spans
from lint.rig.rig import Cable, Device
from lint.sheet.marks import Marks
from lint.sheet.names import bank_words

WIDTH = 960.0
CARD = 300.0
RULER = 350.0
ROW = 134.0
CARD_HEIGHT = 84.0


def chain_picture(rig: ResolvedRig, marks: Marks, name: str = "chain") -> str:
    """Return the chains of all consoles as SVG; boxes that no console reaches stand at the end."""
    drawing = Drawing(name, WIDTH, "The chain of stage boxes", chain_words(rig, marks))
    y = 10.0
    chains = [chain for chain in rig.chains.values() if chain.boxes or chain.lost]
    for chain in chains:
        y = _Chain(drawing, rig, marks, chain).draw(y)
    drawn = {box.device for chain in chains for box in (*chain.boxes, *chain.lost)}
    for device in rig.rig.boxes:
        if device.name not in drawn:
            _card(drawing, (20, y), device, marks.numbers(device.name), marks, "no console reaches it")
            y += ROW
    return finished(drawing, marks)


def chain_words(rig: ResolvedRig, marks: Marks) -> str:
    """Say the chains in words, for whoever does not see the picture."""
    parts = []
    for chain in rig.chains.values():
        if chain.boxes:
            boxes = ", then ".join(_box_words(rig, box, marks) for box in chain.boxes)
            parts.append(f"From {chain.link} ({chain.capacity} slots): {boxes}.")
        if chain.lost:
            parts.append(f"Cut off: {', '.join(box.device + _seen(box.device, marks) for box in chain.lost)}.")
    drawn = {box.device for chain in rig.chains.values() for box in (*chain.boxes, *chain.lost)}
    parts += [
        f"No console reaches {box.name}{_seen(box.name, marks)}." for box in rig.rig.boxes if box.name not in drawn
    ]
    return " ".join(parts) or "There is no stage box."


def _box_words(rig: ResolvedRig, box: ChainBox, marks: Marks) -> str:
    inputs = f"inputs on slots {spans(list(box.input_slots))}" if box.input_slots else "no input slots"
    bank = rig.device(box.device).output_bank
    outputs = f", outputs from slots {bank_words(bank)}" if bank else ""
    return f"{box.device} ({inputs}{outputs}){_seen(box.device, marks)}"


def _seen(device: str, marks: Marks) -> str:
    found = marks.at(device)
    return f" (see {found})" if found else ""


def _card(
    drawing: Drawing, at: tuple[float, float], device: Device, numbers: Sequence[int], marks: Marks, lost: str = ""
) -> None:
    x, y = at
    dashes = ' stroke-dasharray="7 4"' if lost else ""
    drawing.rect((x, y, CARD, CARD_HEIGHT), f'fill="#fff" stroke="{INK}" stroke-width="2.5"{dashes}')
    badges = [(marks.mark(number), number) for number in numbers]
    room = CARD - 24 - 36 * len(badges)
    drawing.text((x + 12, y + 27), device.label or device.name, 19, bold=True, room=room)
    drawing.badges(x + CARD - 6 - 34 * len(badges), y + 22, badges)
    drawing.text((x + 12, y + 48), device.location or "place not stated", 14, room=CARD - 24, ink=SOFT)
    drawing.text((x + 12, y + 70), lost or device.model.name, 14, room=CARD - 24, bold=bool(lost), ink=INK)


class _Chain:
    def __init__(self, drawing: Drawing, rig: ResolvedRig, marks: Marks, chain: Chain) -> None:
        self.drawing = drawing
        self.rig = rig
        self.marks = marks
        self.chain = chain
        used = [slot for box in (*chain.boxes, *chain.lost) for slot in (*box.input_slots, *box.output_slots)]
        self.slots = max([chain.capacity, *used])
        self.unit: float = (WIDTH - RULER - 14) / self.slots

    def draw(self, top: float) -> float:
        """Draw the chain from `top` down and return where it ends."""
        boxes = [(box, False) for box in self.chain.boxes] + [(box, True) for box in self.chain.lost]
        console = self.rig.device(self.chain.link.device)
        bottom = top + ROW + len(boxes) * ROW
        self._ruler(top + CARD_HEIGHT - 18, bottom - (ROW - CARD_HEIGHT))
        _card(self.drawing, (20, top), console, self.marks.numbers(console.name), self.marks)
        y, port = top + ROW, self.chain.link.name
        for box, is_lost in boxes:
            self._cable(box.cable, y, port, box.device)
            lost = "cut off: nothing gets to it" if is_lost else ""
            device = self.rig.device(box.device)
            _card(self.drawing, (20, y), device, self.marks.numbers(box.device), self.marks, lost)
            self._bars(box, device, y, is_lost)
            y, port = y + ROW, "downstream"
        return bottom + 6

    def _x(self, slot: int) -> float:
        return RULER + (slot - 1) * self.unit

    def _ruler(self, top: float, bottom: float) -> None:
        drawing = self.drawing
        drawing.text((RULER, top - 28), f"slots of {self.chain.link}", 14, bold=True)
        for slot in range(1, self.slots + 2, 8):
            drawing.line([(self._x(slot), top), (self._x(slot), bottom)], 0.75, ink="#767676")
            if slot <= self.slots:
                drawing.text((self._x(slot) + 2, top - 4), str(slot), 12.5, ink=SOFT)
        if self.slots > self.chain.capacity:
            end = self._x(self.chain.capacity + 1)
            drawing.line([(end, top - 16), (end, bottom)], 3)
            drawing.text((end - 4, top - 18), "end of the link", 12.5, anchor="end", bold=True)

    def _cable(self, cable: Cable, y: float, port: str, device: str) -> None:
        drawing = self.drawing
        top, x = y - (ROW - CARD_HEIGHT), 52.0
        numbers = self.marks.numbers(cable.name)
        drawing.line([(x, top), (x, y)], 5, dashes="9 5" if numbers else "")
        arrives = next((end.name for end in cable.ends if end.device == device), "upstream")
        drawing.text((x + 12, top + 15), port, 12.5, ink=SOFT)
        drawing.text(
            (x + 12, y - 6), arrives, 12.5, bold=arrives != "upstream", ink=SOFT if arrives == "upstream" else INK
        )
        label = f" ({cable.label})" if cable.label else ""
        facts = filter(None, (cable.kind or "", f"{cable.length_m:g} m" if cable.length_m else ""))
        drawing.text((x + 106, top + 18), cable.name + label, 13, room=160)
        drawing.text((x + 106, top + 36), ", ".join(facts), 13, room=125)
        drawing.badges(CARD + 16 - 34 * len(numbers), top + 30, [(self.marks.mark(n), n) for n in numbers])

    def _bars(self, box: ChainBox, device: Device, y: float, is_lost: bool) -> None:
        plugged = {
            slot
            for number, slot in enumerate(box.input_slots, 1)
            if Socket(device.name, "in", number) in self.rig.sources_in
        }
        hung = {socket.number for _, socket, _ in self.rig.box_outputs.get(device.name, ())}
        used = {slot for number, slot in enumerate(box.output_slots, 1) if number in hung}
        self._bar(box.input_slots, plugged, y + 4, "in", is_lost)
        self._bar(box.output_slots, used, y + CARD_HEIGHT / 2 + 4, "out", is_lost)

    def _bar(self, slots: range, used: set[int], y: float, what: str, is_lost: bool) -> None:
        if not slots:
            self.drawing.text((RULER, y + 24), f"{what}: no slots", 13, ink=SOFT)
            return
        x, width, height = self._x(slots[0]), len(slots) * self.unit, CARD_HEIGHT / 2 - 8
        dashes = ' stroke-dasharray="7 4"' if is_lost else ""
        fill = "#fff" if what == "in" else PALE
        self.drawing.rect((x, y, width, height), f'fill="{fill}" stroke="{INK}" stroke-width="2"{dashes}')
        for slot in slots:
            if slot in used:
                size = min(self.unit - 2, 8)
                self.drawing.rect(
                    (self._x(slot) + (self.unit - size) / 2, y + height - size - 3, size, size), f'fill="{INK}"'
                )
        words = f"{what} {slots[0]}–{slots[-1]}"
        if width > len(words) * 8:
            self.drawing.text((x + 5, y + 15), words, 13, bold=True)
        else:
            self.drawing.text((x + width + 5, y + 15), words, 13, bold=True)
