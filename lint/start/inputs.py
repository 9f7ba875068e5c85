"""An input list as people keep it: which column means what, and what each row asks for.

Nothing is guessed in silence: every column that is read or passed over is told, and so is everything that was assumed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from lint.page.plain import shown
from lint.read.problem import cannot_read
from lint.rig.address import spans
from lint.start.sockets import Place, known_boxes, looks_like_sockets, other_reading, place_of
from lint.start.table import Table, TableRow

# What headers may be called, by what they mean; compared without case, spaces and signs.
HEADERS: dict[str, tuple[str, ...]] = {
    "channel": ("channel", "channelno", "channelnumber", "chan", "ch", "chno", "no", "nr", "number", "strip", ""),
    "name": ("name", "source", "instrument", "what", "input", "inputname", "channelname", "sourcename", "signal",
             "description", "performer", "label", "item"),
    "kind": ("kind", "mic", "mike", "microphone", "micdi", "micordi", "mictype", "type", "device", "pickup",
             "di", "miclinedi"),
    "phantom": ("phantom", "phantompower", "48v", "48", "p48", "48volts", "phantom48v"),
    "box": ("box", "stagebox", "rack", "subsnake"),
    "socket": ("socket", "boxinput", "stageboxinput", "stageinput", "port", "jack", "plug", "pluggedinto", "boxin",
               "snake", "snakein", "snakeinput", "snakechannel", "snakech", "multicore", "stageboxin", "stagesocket"),
    "gain": ("gain", "gaindb", "preamp"),
    "cable": ("cable", "cablecolour", "cablecolor", "cablelabel", "loom"),
}  # fmt: skip
# Headers that mean the channel only above numbers.
_VAGUE = frozenset(("", "no", "nr", "number"))
# Headers that mean the socket only above cells that name sockets, and only where nothing else does.
_SOCKETS_BELOW = ("input", "in", "inputs", "stagebox", "box", "rack", "subsnake", "patch", "line", "connection")
_HEADER_ROWS = 12
_PAIR = re.compile(r"\b(pair|stereo|st|2x|x2|both|l ?[+&/-] ?r)\b", re.IGNORECASE)
_YES = frozenset(("y", "yes", "x", "on", "1", "true", "48", "48v", "+48", "+48v", "✓", "✔", "☑", "p48"))
_NO = frozenset(("", "n", "no", "off", "0", "false", "-", "–", "—", "none"))
# The first pattern that fits says what a thing is; None where it depends on phantom power.
_KINDS: tuple[tuple[str, str | None], ...] = (
    (r"\bactive ribbon\b", "active-ribbon-microphone"),
    (r"\bribbon\b", "ribbon-microphone"),
    (r"\bactive (d\.?i\.?|direct)\b|\bd\.?i\.? active\b", "active-di"),
    (r"\bpassive (d\.?i\.?|direct)\b|\bd\.?i\.? passive\b", "passive-di"),
    (r"\bd\.?i\.?( box)?\b|\bdirect( box)?\b", None),
    (r"\bboundary\b", "boundary-microphone"),
    (r"\b(wireless|radio|rf|hand ?held|headset|belt ?pack|receiver)\b", "wireless-receiver"),
    (r"\blav(alier)?\b", "lavalier-microphone"),
    (r"\b(cond(enser)?|small diaphragm|large diaphragm|gooseneck)\b", "condenser-microphone"),
    (r"\b(dyn(amic)?)\b", "dynamic-microphone"),
    (r"\b(player|playback|laptop|computer|media|cd|tablet)\b", "player"),
    (r"\b(intercom|talkback)\b", "intercom"),
    (r"\b(line)\b", "instrument-line"),
)


@dataclass
class Input:
    """One usable row. `channel`, `box` and `socket` are None or empty where the list leaves them open."""

    line: int
    name: str
    kind: str
    phantom: bool
    channel: int | None
    box: str
    socket: int | None
    gain_db: float | None
    cable: str
    assumed: list[str] = field(default_factory=list)


class Unusable(NamedTuple):
    """A row that is left out: the line it begins on, and why."""

    line: int
    why: str


@dataclass(frozen=True)
class InputList:
    """What a list says: how its columns were read, the usable rows, and the others.

    `doubtful` are columns passed over that look like sockets; `places` is all that any row names, usable or not.
    """

    columns: Sequence[tuple[str, str]]
    passed_over: Sequence[str]
    inputs: Sequence[Input]
    unusable: Sequence[Unusable]
    doubtful: Sequence[str] = ()
    places: Sequence[Place] = ()


def read_inputs(table: Table, path: Path, house_boxes: Iterable[str] = ()) -> InputList:
    """Read the rows of an input list; `house_boxes` are names that are surely boxes.

    Raises CannotReadError where no header names its columns.
    """
    head, columns = _header(table, str(path))
    rows = table.rows[table.rows.index(head) + 1 :]
    cells = [(_cell(row, columns.get("box")), _cell(row, columns.get("socket"))) for row in rows]
    known = known_boxes(cells, house_boxes)
    inputs, unusable = _rows(rows, columns, known)
    places = [place for cell in cells for place in (place_of(*cell, known), other_reading(cell[1])) if place]
    named = [(head.cells[index], meaning) for meaning, index in columns.items()]
    used = set(columns.values())
    over = [(index, cell) for index, cell in enumerate(head.cells) if cell and index not in used]
    doubtful = [
        cell
        for index, cell in over
        if "socket" not in columns and looks_like_sockets((_cell(row, index) for row in rows), bare=False)
    ]
    return InputList(named, [cell for _, cell in over], inputs, unusable, doubtful, places)


def _rows(
    rows: Sequence[TableRow], columns: dict[str, int], known: frozenset[str]
) -> tuple[list[Input], list[Unusable]]:
    """Return the usable rows, a pair as two of them, and the others; no channel is used twice."""
    inputs: list[Input] = []
    unusable: list[Unusable] = []
    taken: dict[int, int] = {}
    read_rows = [_row(row, columns, known) for row in rows]
    # A row that can't be used keeps its channel all the same.
    said = [(_cell(row, columns.get("channel")), _cell(row, columns["name"]), row.line) for row in reversed(rows)]
    firsts = {int(text): line for text, name, line in said if name and re.fullmatch("[0-9]{1,3}", text)}
    for read in read_rows:
        if isinstance(read, Unusable):
            unusable.append(read)
            continue
        line = read[0].line
        twice = next((one.channel for one in read if one.channel in taken), None)
        second = next((one.channel for one in read[1:] if one.channel in firsts), None)
        if twice is not None:
            unusable.append(Unusable(line, f"{read[0].name}: channel {twice} stands on line {taken[twice]} already"))
        elif second is not None:
            why = f"a pair needs channel {second} too, which stands on line {firsts[second]}"
            unusable.append(Unusable(line, f"{read[0].name.removesuffix(' L')}: {why}"))
        else:
            inputs += read
            taken |= {one.channel: line for one in read if one.channel is not None}
    return inputs, unusable


def _cell(row: TableRow, index: int | None) -> str:
    return row.cells[index] if index is not None and index < len(row.cells) else ""


def _header(table: Table, shown: str) -> tuple[TableRow, dict[str, int]]:
    """Find the row that names the columns, and what each of them means."""
    best: tuple[TableRow, dict[str, int]] | None = None
    for row in table.rows[:_HEADER_ROWS]:
        columns = _columns(row, table)
        if "name" in columns and len(columns) > 1 and (best is None or len(columns) > len(best[1])):
            best = (row, columns)
    if best is None:
        first = table.rows[0]
        found = " | ".join(first.cells)
        message = f"no header names the columns; expected a name and a channel or a microphone, found: {found}"
        raise cannot_read(shown, message[:400], first.line, 1)
    return best


def _columns(row: TableRow, table: Table) -> dict[str, int]:
    found: dict[str, int] = {}
    plain = [re.sub(r"[^a-z0-9]", "", cell.casefold()) for cell in row.cells]
    below = table.rows[table.rows.index(row) + 1 :]
    for meaning, names in HEADERS.items():
        # In the order of the names: the surest first.
        matching = [index for name in names for index, cell in enumerate(plain) if cell == name]
        for index in matching:
            if index in found.values() or (not row.cells[index] and meaning != "channel"):
                continue
            if plain[index] in _VAGUE and not _is_numbers(below, index):
                continue
            found[meaning] = index
            break
    if "channel" not in found and "input" in plain and _is_numbers(below, plain.index("input")):
        # A column headed “input” holds names in some lists and numbers in others.
        index = plain.index("input")
        found["channel"] = index
        if found.get("name") == index:
            del found["name"]
            others = [plain.index(name) for name in HEADERS["name"] if name in plain and plain.index(name) != index]
            found.update({"name": others[0]} if others else {})
    if "socket" not in found:
        found |= _sockets_column(plain, below, found)
        if found.get("box") == found.get("socket"):
            found.pop("box", None)
    return found


def _sockets_column(plain: Sequence[str], below: Sequence[TableRow], found: dict[str, int]) -> dict[str, int]:
    """Find a column that holds sockets under a header that may mean something else."""
    used = {index for meaning, index in found.items() if meaning != "box"}
    for name in _SOCKETS_BELOW:
        for index, head in enumerate(plain):
            bare = name in ("input", "in", "inputs")
            if head == name and index not in used and looks_like_sockets([_cell(row, index) for row in below], bare):
                return {"socket": index}
    return {}


def _is_numbers(rows: Sequence[TableRow], index: int) -> bool:
    cells = [row.cells[index] for row in rows if index < len(row.cells) and row.cells[index]]
    return bool(cells) and sum(cell.isascii() and cell.isdigit() for cell in cells) * 2 > len(cells)


def _row(row: TableRow, columns: dict[str, int], known: frozenset[str]) -> list[Input] | Unusable:
    """Return what a row asks for: one input, or the two of a pair."""
    said = {meaning: _cell(row, index) for meaning, index in columns.items()}
    name = said["name"]
    problems = list(_problems(said, known))
    if problems:
        return Unusable(row.line, "; ".join(problems))
    phantom = said.get("phantom", "").casefold() in _YES
    kind, assumed = _kind(said.get("kind", ""), name, phantom, "phantom" in columns)
    place = place_of(said.get("box", ""), said.get("socket", ""), known) or Place(said.get("box", ""), ())
    channel = int(said["channel"]) if said.get("channel") else None
    gain, cable = _number(said.get("gain", "")), said.get("cable", "")
    if len(place.numbers) < 2:
        socket = place.numbers[0] if place.numbers else None
        return [Input(row.line, name, kind, phantom, channel, place.box, socket, gain, cable, assumed)]
    where = f"“{said['socket']}” is read as a pair on {place.box} {place.numbers[0]} and {place.numbers[1]}".replace(
        "  ", " "
    )
    return [
        Input(
            row.line,
            f"{name} {side}",
            kind,
            phantom,
            None if channel is None else channel + index,
            place.box,
            place.numbers[index],
            gain,
            cable,
            [*assumed, where],
        )
        for index, side in enumerate("LR")
    ]


def _problems(said: dict[str, str], known: frozenset[str]) -> Iterator[str]:
    for meaning, text in said.items():
        if len(text) > 200 or shown(text) != text:
            yield f"the {meaning} is too long, or holds a sign that can't be shown"
            return
    if not re.search(r"[^\W_]", said["name"]):
        yield f"it has no name ({' | '.join(filter(None, said.values()))})"
    elif len(said["name"]) > 60:
        yield "its name is longer than 60 letters"
    channel = said.get("channel", "")
    if channel and not (channel.isascii() and channel.isdigit() and 1 <= int(channel) <= 999):
        yield f"the channel is '{channel}', expected a whole number"
    if said.get("phantom", "").casefold() not in _YES | _NO:
        yield f"the phantom power is '{said['phantom']}', expected yes or no"
    if said.get("gain") and _number(said["gain"]) is None:
        yield f"the gain is '{said['gain']}', expected a number of decibels"
    if said.get("socket"):
        yield from _socket_problems(said, known)


def _socket_problems(said: dict[str, str], known: frozenset[str]) -> Iterator[str]:
    text = said["socket"]
    place = place_of(said.get("box", ""), text, known)
    if place is None:
        yield f"the socket is '{text}', expected a number, or a box and a number such as west-box 3"
        return
    low, *rest = place.numbers
    is_pair = rest == [low + 1] and _PAIR.search(f"{said['name']} {said.get('kind', '')}")
    if rest and not is_pair:
        many = f"sockets {spans(list(place.numbers))}" + (f" of {place.box}" if place.box else "")
        other = other_reading(text)
        box = f", or input {other.numbers[0]} of {other.box}" if other else ""
        yield (
            f"{said['name']}: '{text}' is {many}{box}; write a row for each socket"
            + (f", or {other.box} in {other.numbers[0]}" if other else "")
        )
    elif rest and len(said["name"]) > 58:
        yield "its name is longer than 58 letters, and each of a pair has a letter more"


def _number(text: str) -> float | None:
    match = re.fullmatch(r"([-+]?[0-9]{1,3}(?:[.,][0-9]{1,3})?) ?(?:dB)?", text, re.IGNORECASE)
    return float(match[1].replace(",", ".")) if match else None


def _kind(text: str, name: str, phantom: bool, has_phantom: bool) -> tuple[str, list[str]]:
    """Return what a source is, and what had to be assumed to say so."""
    for where, words in (("", text), ("its name", name)):
        for pattern, kind in _KINDS:
            if not re.search(pattern, words.casefold().replace("-", " ").replace("_", " ")):
                continue
            told = [f"taken from {where}: {kind or 'a DI'}"] if where else []
            if kind is not None:
                return kind, told
            chosen = "active-di" if phantom else "passive-di"
            why = "phantom power is asked for" if phantom else "no phantom power is asked for"
            return chosen, [*told, f"{chosen}, because {why}"]
    said = f"“{text}” is no kind that is known, so " if text else ""
    if phantom:
        return "condenser-microphone", [f"{said}condenser-microphone is assumed, because phantom power is asked for"]
    why = "no phantom power is asked for" if has_phantom else "nothing else is said"
    return "dynamic-microphone", [f"{said}dynamic-microphone is assumed, because {why}"]
