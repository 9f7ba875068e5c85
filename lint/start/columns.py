"""Which column of an input list means what: headers in five languages, and what stands below the vague."""

from __future__ import annotations

import re
from collections.abc import Sequence

from lint.page.plain import shown
from lint.read.problem import cannot_read
from lint.start.sockets import looks_like_sockets, place_of
from lint.start.table import Table, TableRow
from lint.start.words import BOX_OR_SOCKETS, EITHER, HEADERS, INPUT_WORDS, KINDS, SOCKETS_BELOW, VAGUE, folded, header

_HEADER_ROWS = 12


def cell(row: TableRow, index: int | None) -> str:
    """Return a cell of a row, empty where the row is too short or there is no such column."""
    return row.cells[index] if index is not None and index < len(row.cells) else ""


def find_header(table: Table, file: str) -> tuple[TableRow, dict[str, int]]:
    """Find the row that names the columns, and what each of them means. Raises CannotReadError where there is none."""
    best: tuple[TableRow, dict[str, int]] | None = None
    for row in table.rows[:_HEADER_ROWS]:
        columns = _columns(row, table)
        if "name" in columns and len(columns) > 1 and (best is None or len(columns) > len(best[1])):
            best = (row, columns)
    if best is None:
        first = table.rows[0]
        found = shown(" | ".join(first.cells))
        message = f"no header names the columns; expected a name and a channel or a microphone, found: {found}"
        raise cannot_read(file, message[:400], first.line, 1)
    return best


def _columns(row: TableRow, table: Table) -> dict[str, int]:
    found: dict[str, int] = {}
    plain = [header(text) for text in row.cells]
    below = table.rows[table.rows.index(row) + 1 :]
    headed: dict[str, list[int]] = {}
    for index, text in enumerate(plain):
        headed.setdefault(text, []).append(index)
    for meaning, names in HEADERS.items():
        # In the order of the names: the surest first.
        for index in [index for name in names for index in headed.get(name, ())]:
            if index in found.values() or (not row.cells[index] and meaning != "channel"):
                continue
            if plain[index] in VAGUE and not _is_numbers(below, index):
                continue
            if meaning == "socket" and plain[index] in BOX_OR_SOCKETS and _name_boxes(below, index):
                continue
            if meaning == "name" and not any(cell(one, index) for one in below):
                continue
            found[meaning] = index
            break
    _channel_under_input(plain, below, found)
    _kind_under_source(plain, below, found)
    if "name" not in found:  # a column of names in which nobody has written one is one still
        vague = VAGUE.union(INPUT_WORDS)
        named = (headed[name][0] for name in HEADERS["name"] if name in headed and name not in vague)
        free = [index for index in named if index not in found.values()]
        found |= {"name": free[0]} if free else {}
    if "socket" not in found:
        found |= _sockets_column(plain, below, found)
        if found.get("box") == found.get("socket"):
            found.pop("box", None)
    if "box" not in found and "socket" in found:
        used = set(found.values())
        boxes = [plain.index(name) for name in BOX_OR_SOCKETS if name in plain and plain.index(name) not in used]
        found |= {"box": boxes[0]} if boxes else {}
    return found


def _channel_under_input(plain: Sequence[str], below: Sequence[TableRow], found: dict[str, int]) -> None:
    """A column headed “input” holds names in some lists and numbers in others."""
    ambiguous = next((plain.index(word) for word in INPUT_WORDS if word in plain), None)
    if "channel" in found or ambiguous is None or not _is_numbers(below, ambiguous):
        return
    found["channel"] = ambiguous
    if found.get("name") == ambiguous:
        del found["name"]
        others = [plain.index(name) for name in HEADERS["name"] if name in plain and plain.index(name) != ambiguous]
        found.update({"name": others[0]} if others else {})


def _kind_under_source(plain: Sequence[str], below: Sequence[TableRow], found: dict[str, int]) -> None:
    """A column headed “source” beside another with the names says in some lists what the source is."""
    if any(cell(row, found.get("kind")) for row in below):
        return
    for index, text in enumerate(plain):
        said = [folded(cell(row, index)) for row in below if cell(row, index)]
        known = [words for words in said if any(re.search(pattern, words) for pattern, _ in KINDS)]
        if text in EITHER and index not in found.values() and len(known) * 2 > len(said):
            found["kind"] = index
            return


def _sockets_column(plain: Sequence[str], below: Sequence[TableRow], found: dict[str, int]) -> dict[str, int]:
    """Find a column that holds sockets under a header that may mean something else."""
    used = {index for meaning, index in found.items() if meaning != "box"}
    boxes = [index for index, text in enumerate(plain) if text in BOX_OR_SOCKETS]
    numbers = (*INPUT_WORDS, "in", "inputs")
    # Bare numbers beside a box are its sockets, whatever they are called.
    for name in (*SOCKETS_BELOW, *(sorted(VAGUE - {""}) if boxes else ())):
        for index, head in enumerate(plain):
            if head != name or index in used:
                continue
            bare = name in numbers or name in VAGUE
            beside = next((_named_above(below, box) for box in boxes if box != index), ())
            if looks_like_sockets([cell(row, index) for row in below], bare, beside if bare else ()):
                return {"socket": index}
    return {}


def _name_boxes(rows: Sequence[TableRow], index: int) -> bool:
    """Whether a column names boxes: the same again and again, or no sockets."""
    said = [text for row in rows if (text := cell(row, index))]
    repeated = len(said) > 2 and len(set(said)) * 2 <= len(said)
    return repeated or sum(place_of("", text) is not None for text in said) * 2 < len(said)


def _named_above(rows: Sequence[TableRow], index: int) -> list[str]:
    """Return a column's cells, an empty one being what stands above it."""
    above, cells = "", []
    for row in rows:
        above = cell(row, index) or above
        cells.append(above)
    return cells


def _is_numbers(rows: Sequence[TableRow], index: int) -> bool:
    cells = [row.cells[index] for row in rows if index < len(row.cells) and row.cells[index]]
    return bool(cells) and sum(text.isascii() and text.isdigit() for text in cells) * 2 > len(cells)
