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
from lint.start.words import (
    HEADERS,
    INPUT_WORDS,
    KINDS,
    NO,
    PAIR,
    SOCKETS_BELOW,
    VAGUE,
    YES,
    folded,
    header,
    pair_name,
    side_of,
)

_HEADER_ROWS = 12


@dataclass
class Input:
    """One usable row. `channel`, `box` and `socket` are None or empty where the list leaves them open.

    `phantom` is None where its cell says something that is neither yes nor no; `pan` is left, right, centre or empty;
    `pair` names the stereo pair that it is a side of, as (of what, which side).
    """

    line: int
    name: str
    kind: str
    phantom: bool | None
    channel: int | None
    box: str
    socket: int | None
    gain_db: float | None
    cable: str
    assumed: list[str] = field(default_factory=list)
    pan: str = ""
    pair: tuple[str, str] | None = None


class Unusable(NamedTuple):
    """A row that is left out, or a cell of a row that is kept: the line it begins on, and why."""

    line: int
    why: str


@dataclass(frozen=True)
class InputList:
    """What a list says: how its columns were read, the usable rows, and the others.

    `cells` are what can't be read in rows that are used all the same. `doubtful` are columns passed over that look like
    sockets; `places` is all that any row names, usable or not.
    """

    columns: Sequence[tuple[str, str]]
    passed_over: Sequence[str]
    inputs: Sequence[Input]
    unusable: Sequence[Unusable]
    doubtful: Sequence[str] = ()
    places: Sequence[Place] = ()
    cells: Sequence[Unusable] = ()


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
    used_lines = {one.line for one in inputs}
    unread = [Unusable(row.line, why) for row in rows if row.line in used_lines for why in _unread(row, columns)]
    return InputList(named, [cell for _, cell in over], inputs, unusable, doubtful, places, unread)


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
    _pair_by_name(inputs)
    return inputs, unusable


def _pair_by_name(inputs: list[Input]) -> None:
    """Take two rows for a pair whose names differ in their side alone, such as `Piano L` and `Piano R`; it is told."""
    sides: dict[tuple[str, str], list[Input]] = {}
    for one in inputs:
        if one.pair is None and (said := pair_name(one.name)):
            sides.setdefault(said, []).append(one)
    for (of, side), left in sides.items():
        right = sides.get((of, "right"), [])
        if side == "left" and len(left) == len(right) == 1 and left[0].kind == right[0].kind:
            for one, which in ((left[0], "left"), (right[0], "right")):
                one.pair = (of, which)
                one.assumed.append(f"read as the {which} side of the pair “{of}”, by its name")


def _unread(row: TableRow, columns: dict[str, int]) -> Iterator[str]:
    """Yield the cells of a usable row that can't be read; what they speak of is left unsaid in the rig."""
    said = {meaning: _cell(row, index) for meaning, index in columns.items()}
    name = said["name"]
    if folded(said.get("phantom", "")) not in YES | NO:
        yield f"{name}: the phantom power is '{said['phantom']}', expected yes or no; it is left unsaid"
    if said.get("gain") and _number(said["gain"]) is None:
        yield f"{name}: the gain is '{said['gain']}', expected a number of decibels; it is left unsaid"
    if said.get("pan") and side_of(said["pan"]) is None:
        yield f"{name}: the pan is '{said['pan']}', expected left, centre or right; it is left unsaid"


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
    plain = [header(cell) for cell in row.cells]
    below = table.rows[table.rows.index(row) + 1 :]
    for meaning, names in HEADERS.items():
        # In the order of the names: the surest first.
        matching = [index for name in names for index, cell in enumerate(plain) if cell == name]
        for index in matching:
            if index in found.values() or (not row.cells[index] and meaning != "channel"):
                continue
            if plain[index] in VAGUE and not _is_numbers(below, index):
                continue
            found[meaning] = index
            break
    ambiguous = next((plain.index(word) for word in INPUT_WORDS if word in plain), None)
    if "channel" not in found and ambiguous is not None and _is_numbers(below, ambiguous):
        # A column headed “input” holds names in some lists and numbers in others.
        found["channel"] = ambiguous
        if found.get("name") == ambiguous:
            del found["name"]
            others = [plain.index(name) for name in HEADERS["name"] if name in plain and plain.index(name) != ambiguous]
            found.update({"name": others[0]} if others else {})
    if "socket" not in found:
        found |= _sockets_column(plain, below, found)
        if found.get("box") == found.get("socket"):
            found.pop("box", None)
    return found


def _sockets_column(plain: Sequence[str], below: Sequence[TableRow], found: dict[str, int]) -> dict[str, int]:
    """Find a column that holds sockets under a header that may mean something else."""
    used = {index for meaning, index in found.items() if meaning != "box"}
    for name in SOCKETS_BELOW:
        for index, head in enumerate(plain):
            bare = name in (*INPUT_WORDS, "in", "inputs")
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
    asked = folded(said.get("phantom", ""))
    phantom = asked in YES if asked in YES | NO else None
    pan = side_of(said.get("pan", "")) or ""
    kind, assumed = _kind(said.get("kind", ""), name, phantom, "phantom" in columns)
    place = place_of(said.get("box", ""), said.get("socket", ""), known) or Place(said.get("box", ""), ())
    channel = int(said["channel"]) if said.get("channel") else None
    gain, cable = _number(said.get("gain", "")), said.get("cable", "")
    if len(place.numbers) < 2:
        socket = place.numbers[0] if place.numbers else None
        if _says_pair({"name": "", "pair": said.get("pair", "")}) and pair_name(name) is None:
            assumed.append(f"“{said['pair']}” asks for a pair, but one input is listed, so it is read as one")
        return [Input(row.line, name, kind, phantom, channel, place.box, socket, gain, cable, assumed, pan)]
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
            ("left", "right")[index],
            (folded(name), ("left", "right")[index]),
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
    if said.get("socket"):
        yield from _socket_problems(said, known)


def _socket_problems(said: dict[str, str], known: frozenset[str]) -> Iterator[str]:
    text = said["socket"]
    place = place_of(said.get("box", ""), text, known)
    if place is None:
        yield f"the socket is '{text}', expected a number, or a box and a number such as west-box 3"
        return
    low, *rest = place.numbers
    is_pair = rest == [low + 1] and _says_pair(said)
    if rest and not is_pair:
        many = f"sockets {spans(list(place.numbers))}" + (f" of {place.box}" if place.box else "")
        other = other_reading(text)
        box = f", or input {other.numbers[0]} of {other.box}" if other else ""
        yield (
            f"{said['name']}: '{text}' is {many}{box}; write a row for each socket"
            + (", or “stereo” beside its name" if rest == [low + 1] else "")
            + (f", or {other.box} in {other.numbers[0]}" if other else "")
        )
    elif rest and len(said["name"]) > 58:
        yield "its name is longer than 58 letters, and each of a pair has a letter more"


def _says_pair(said: dict[str, str]) -> bool:
    """Whether a row says that it is both sides of a pair: in its name, its kind, or a column for that."""
    pair = folded(said.get("pair", ""))
    is_said = pair in YES or bool(PAIR.search(pair))
    return is_said or bool(PAIR.search(folded(f"{said['name']} {said.get('kind', '')}")))


def _number(text: str) -> float | None:
    match = re.fullmatch(r"([-+]?[0-9]{1,3}(?:[.,][0-9]{1,3})?) ?(?:dB)?", text, re.IGNORECASE)
    return float(match[1].replace(",", ".")) if match else None


def _kind(text: str, name: str, phantom: bool | None, has_phantom: bool) -> tuple[str, list[str]]:
    """Return what a source is, and what had to be assumed to say so."""
    asked = {True: "phantom power is asked for", None: "whether phantom power is asked for can't be read"}
    why = asked.get(phantom, "no phantom power is asked for")
    for where, words in (("", text), ("its name", name)):
        for pattern, kind in KINDS:
            if not re.search(pattern, folded(words).replace("-", " ").replace("_", " ")):
                continue
            told = [f"taken from {where}: {kind or 'a DI'}"] if where else []
            if kind is not None:
                return kind, told
            chosen = "active-di" if phantom else "passive-di"
            return chosen, [*told, f"{chosen}, because {why}"]
    said = f"“{text}” is no kind that is known, so " if text else ""
    chosen = "condenser-microphone" if phantom else "dynamic-microphone"
    return chosen, [f"{said}{chosen} is assumed, because {why if has_phantom or phantom else 'nothing else is said'}"]
