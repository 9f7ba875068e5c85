"""An input list as people keep it: which column means what, and what each row asks for.

Nothing is guessed in silence: every column that is read or passed over is told, and so is everything that was assumed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from lint.page.plain import shown
from lint.start.columns import cell, find_header
from lint.start.rows import (
    LEAST_GAIN_DB,
    MOST_GAIN_DB,
    Input,
    Said,
    Sockets,
    Unusable,
    channels_of,
    is_idle,
    number_of,
    read_row,
    yes_or_no,
)
from lint.start.sockets import (
    BOX_ONE,
    Place,
    at_console,
    known_boxes,
    looks_like_sockets,
    other_reading,
    place_of,
    plain,
)
from lint.start.table import Table, TableRow
from lint.start.words import HEADERS, INPUT_WORDS, folded, header, pairs_by_name, side_of

LONGEST_TITLE = 120
# How it is said where a pair, and where the box of a row, comes from.
BY_NAME = "by the two names"
ABOVE = "the box that stands above"


@dataclass(frozen=True)
class InputList:
    """What a list says: how its columns were read, the usable rows, and the others.

    `cells` are what can't be read in rows that are used all the same, `idle` the rows that list no input, such as
    headings. `doubtful` are columns passed over that look like sockets; `places` and `channels` are all that any row
    names, usable or not. `title` is what stands alone above the headers.
    """

    columns: Sequence[tuple[str, str]]
    passed_over: Sequence[str]
    inputs: Sequence[Input]
    unusable: Sequence[Unusable]
    doubtful: Sequence[str] = ()
    places: Sequence[Place] = ()
    cells: Sequence[Unusable] = ()
    idle: Sequence[Unusable] = ()
    channels: frozenset[int] = frozenset()
    title: str = ""


def read_inputs(table: Table, path: Path, house_boxes: Iterable[str] = (), has_one: bool = False) -> InputList:
    """Read the rows of an input list; `house_boxes` are the boxes of its house, by all their names: no list has others.

    `has_one` is for a house with one stage box, which is box 1 then.

    Raises CannotReadError where no header names its columns.
    """
    table = table._replace(rows=tuple(map(_whole_numbers, table.rows)))
    head, columns = find_header(table, str(path))
    above = table.rows.index(head)
    rows = table.rows[above + 1 :]
    said, idle = _said(rows, head, columns)
    house = known_boxes((), house_boxes)
    stated = [(one.cells.get("box", ""), one.cells.get("socket", "")) for one in said]
    known = house | known_boxes((), BOX_ONE if has_one else ()) if house else known_boxes(stated)
    places = [place for one in said for place in _places(one, known)]
    inputs, unusable = _usable(said, Sockets(known, _gaps(places), house))
    used = set(columns.values())
    over = [(index, text) for index, text in enumerate(head.cells) if text and index not in used]
    used_lines = {one.line for one in inputs}
    unread = [Unusable(one.line, why) for one in said if one.line in used_lines for why in _unread(one)]
    doubts = [Unusable(row.line, doubt) for row in table.rows for doubt in row.doubts]
    titles = [list(filter(None, row.cells)) for row in table.rows[:above]]
    return InputList(
        columns=[(head.cells[index], meaning) for meaning, index in columns.items()],
        passed_over=[text for _, text in over],
        inputs=inputs,
        unusable=unusable,
        doubtful=[
            text
            for index, text in over
            if "socket" not in columns and _is_doubtful(text, list(filter(None, (cell(row, index) for row in rows))))
        ],
        places=places,
        cells=sorted([*doubts, *unread], key=lambda one: one.line),
        idle=idle,
        channels=frozenset(number for one in said for number in channels_of(one.cells.get("channel", "")) or ()),
        title=next((shown(cells[0])[:LONGEST_TITLE] for cells in titles if len(cells) == 1), ""),
    )


def _whole_numbers(row: TableRow) -> TableRow:
    """Return a row in which `3.0`, as some spreadsheets write it, is 3."""
    return row._replace(cells=tuple(re.sub(r"^([0-9]+)[.,]0+$", r"\1", text) for text in row.cells))


def _is_doubtful(head: str, cells: Sequence[str]) -> bool:
    """Whether a column that was passed over may hold sockets all the same, by its cells or by its header."""
    numbers = [text for text in cells if re.search("[0-9]", text)]
    is_headed = header(head) in (*HEADERS["socket"], *INPUT_WORDS, "in", "inputs") and len(numbers) * 2 > len(cells)
    return is_headed or looks_like_sockets(cells, bare=False)


def _said(rows: Sequence[TableRow], head: TableRow, columns: dict[str, int]) -> tuple[list[Said], list[Unusable]]:
    """Return what each row says, and the rows that list no input.

    A box that is named once for the rows below it (a merged cell in many spreadsheets) is theirs, and it is told. Where
    a list repeats the name of a box from row to row, a row without one means nothing by it.
    """
    said: list[Said] = []
    idle: list[Unusable] = []
    numbered = sum(bool(cell(row, columns.get("channel"))) for row in rows) * 2 > len(rows)
    is_stereo = "stereo" in folded(head.cells[columns["pair"]]) if "pair" in columns else False
    boxes = [cell(row, columns.get("box")) for row in rows]
    repeats = any(box and box == below for box, below in pairwise(boxes))
    above = ""
    for row in rows:
        cells = {meaning: cell(row, index) for meaning, index in columns.items()}
        cells |= {"stereo": ""} if is_stereo else {}
        if not cells.get("socket") and at_console(cells.get("box", "")):
            cells |= {"box": "", "socket": cells["box"]}
        one = Said(row.line, cells)
        alone = numbered and len(list(filter(None, row.cells))) == 1 and cells["name"]
        if is_idle(one) or alone:
            idle.append(Unusable(row.line, " ".join(filter(None, row.cells))))
            continue
        place = place_of("", cells.get("socket", ""))
        if cells.get("box"):
            above = cells["box"]
        elif above and not repeats and place is not None and not place.box:
            one = Said(row.line, cells | {"box": above}, (f"on {above}, {ABOVE}",))
        said.append(one)
    return said, idle


def _places(said: Said, known: frozenset[str]) -> Iterator[Place]:
    box, socket = said.cells.get("box", ""), said.cells.get("socket", "")
    yield from filter(None, (place_of(box, socket, known), other_reading(socket)))


def _gaps(places: Iterable[Place]) -> frozenset[tuple[str, int]]:
    """Return the (box, input) that a list does not name, just above one that it names and below another."""
    named: dict[str, set[int]] = {}
    for place in places:
        named.setdefault(plain(place.box), set()).update(place.numbers)
    return frozenset(
        (box, number + 1)
        for box, numbers in named.items()
        for number in numbers
        if number + 1 not in numbers and number + 1 < max(numbers)
    )


def _usable(rows: Sequence[Said], sockets: Sockets) -> tuple[list[Input], list[Unusable]]:
    """Return the usable rows, a pair as two of them, and the others; no channel is used twice."""
    inputs: list[Input] = []
    unusable: list[Unusable] = []
    taken: dict[int, int] = {}
    # A row that can't be used keeps its channel all the same.
    firsts = {channels[0] for said in rows if (channels := channels_of(said.cells.get("channel", "")))}
    for said in rows:
        read = read_row(said, sockets)
        if isinstance(read, Unusable):
            unusable.append(read)
            continue
        first, *seconds = read
        for second in seconds:
            if second.channel in firsts:
                second.channel, second.near = None, second.channel
        twice = next((one.channel for one in read if one.channel in taken), None)
        if twice is not None:
            why = f"{said.cells['name']}: channel {twice} stands on line {taken[twice]} already"
            unusable.append(Unusable(first.line, why))
        else:
            inputs += read
            taken |= {one.channel: one.line for one in read if one.channel is not None}
    _pair_by_name(inputs)
    return inputs, unusable


def _pair_by_name(inputs: list[Input]) -> None:
    """Take two rows for a pair whose names differ in their side alone; it is told."""
    rows = [one for one in inputs if one.pair is None]
    for of, left, right in pairs_by_name((one.name, one.kind) for one in rows):
        for one, which in ((rows[left], "left"), (rows[right], "right")):
            one.pair, one.pan = (of, which), one.pan or which
            one.assumed.append(f"read as the pair “{of}”, {BY_NAME}")


def _unread(said: Said) -> Iterator[str]:
    """Yield the cells of a usable row that can't be read; what they speak of is left unsaid in the rig."""
    cells = said.cells
    name = cells["name"]
    if yes_or_no(cells.get("phantom", "")) is None:
        yield f"{name}: the phantom power is '{cells['phantom']}', expected yes or no; it is left unsaid"
    if cells.get("gain") and number_of(cells["gain"]) is None:
        expected = f"a number of decibels, {LEAST_GAIN_DB} to {MOST_GAIN_DB}"
        yield f"{name}: the gain is '{cells['gain']}', expected {expected}; it is left unsaid"
    if cells.get("pan") and side_of(cells["pan"]) is None:
        yield f"{name}: the pan is '{cells['pan']}', expected left, centre or right; it is left unsaid"
