"""How a sheet fits the paper: the widths of a table's columns, the size of its letters, the height of a drawing.

Heights are estimates from mean letters, for A4 and Letter alike (of both the narrower and the shorter side): a sheet
with few rows is set larger, one that would run over the page by a little is set smaller.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby, pairwise
from math import ceil

from lint.page.page import Block, Labels, Line, Page, Picture, Section, Table, Words

# How many letters stand side by side across a sheet of A4 or Letter, in the usual and in the smaller size; what a
# column takes beside its letters, the box to tick, and the least that a column keeps.
ROOM = 86
ROOM_TIGHT = 98
GUTTER = 2
TICK = 7
NARROWEST = 6
# A header of so few letters stands on one line.
SHORT_HEAD = 7
# In mm: what a page of Letter has between its margins, its width on A4 and Letter, and a line of the usual size.
PAGE = 250.0
WIDTH = 184.0
LINE = 4.6
TALLEST = 222.0
LEAST_DRAWING = 0.7
NOTE = 0.88  # the size of notes, as a share of the usual
# So many free rows in a run are told in one.
RUN, FREE = 4, "free"
SCALES = (1.3, 1.22, 1.15, 1.08, 1.0, 0.94, 0.88)
_SIZE = re.compile(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"')


def shares(columns: list[tuple[str, list[str]]], tick: bool) -> tuple[list[float], bool]:
    """Return the share of the width of each column in percent, and whether smaller letters are called for.

    The columns are as wide as their longest cell needs; where that is more than there is, the widest give way. So a
    table never runs over the edge of the paper, whatever stands in it.
    """
    needs = [max(_head_need(head), *map(len, cells)) + GUTTER for head, cells in columns]
    is_tight = sum(needs) + TICK * tick > ROOM
    room = (ROOM_TIGHT if is_tight else ROOM) - TICK * tick
    while sum(needs) > room and max(needs) > NARROWEST:
        needs[needs.index(max(needs))] -= 1
    widths = [TICK] * tick + needs
    return [100 * width / sum(widths) for width in widths], is_tight


def _head_need(head: str) -> int:
    return len(head) if len(head) <= SHORT_HEAD else max(map(len, head.split()))


def used_columns(table: Table) -> list[int]:
    """Return the columns in which anything stands."""
    return [index for index in range(len(table.columns)) if any(row[index] for row in table.rows)]


def styles(page: Page) -> list[str]:
    """Return for each sheet how large it is set on paper, as CSS variables, or nothing where that is as usual.

    Sheets that share a page, and those in columns, are as usual.
    """
    shared = {index + one for index, pair in enumerate(pairwise(page.sections)) if pair[1].joins for one in (0, 1)}
    return [
        "" if index in shared or section.in_columns else _style(section, 28.0 if index == 0 else 0.0)
        for index, section in enumerate(page.sections)
    ]


def _style(section: Section, above: float) -> str:
    pictures = [block for block in section.blocks if isinstance(block, Picture)]
    rest = [block for block in section.blocks if not isinstance(block, Picture)]
    if len(pictures) == 1:
        return _beside(picture_height(pictures[0]), rest, PAGE - above - 22)
    if pictures or any(isinstance(block, Labels) for block in rest):
        return ""
    heights = {scale: above + 12 + sum(block_height(block, scale) for block in rest) for scale in SCALES}
    fitting = next((scale for scale, height in heights.items() if height <= PAGE), 1.0)
    return "" if fitting == 1.0 else f"--scale:{fitting:g}"


def _beside(whole: float, rest: Sequence[Block], room: float) -> str:
    """Return the size of a drawing that gives way to what stands below it, though not below a good part of itself."""
    left = {scale: room - sum(block_height(block, scale) for block in rest) for scale in (1.0, 0.94, 0.88)}
    scale = next((scale for scale, height in left.items() if height >= whole), 0.88)
    return f"--scale:{scale:g};--tall:{min(left[scale], whole):.0f}mm" if left[scale] >= LEAST_DRAWING * whole else ""


def picture_height(picture: Picture) -> float:
    """Return how high a drawing stands across the whole width, in mm, or as high as it may."""
    found = _SIZE.search(picture.svg)
    return min(TALLEST, WIDTH * float(found[2]) / float(found[1])) if found else TALLEST


def block_height(block: Block, scale: float) -> float:
    """Return about how high a block stands on paper in mm, its letters `scale` times the usual size."""
    height = 9.0 if block.title else 2.0
    if isinstance(block, Table):
        return height + _table_height(block, scale)
    if isinstance(block, Words):
        size = 0.85 * scale if block.is_small else scale
        lines = sum(_lines(line, 100 / size) for line in block.lines or (block.empty,))
        return height + lines * LINE * size + 1.2 * len(block.lines)
    if isinstance(block, Line):
        return height + 20 + _lines(block.note, 100 / scale) * LINE * scale
    return height + (picture_height(block) if isinstance(block, Picture) else 15.0 * ceil(len(block.labels) / 5))


def _table_height(table: Table, scale: float) -> float:
    used = used_columns(table)
    columns = [(table.columns[index], [row[index] for row in table.rows]) for index in used]
    percent, is_tight = shares(columns, table.tick) if columns else ([], False)
    size, padding = (0.88 * scale, 0.6) if is_tight else (scale, 1.7)
    letters = [(ROOM_TIGHT if is_tight else ROOM) / scale * share / 100 - 1 for share in percent[table.tick :]]
    height = 2 * LINE * 0.8 * scale
    for row in runs_told(table.rows):
        lines = max(_lines(row[index], room) for index, room in zip(used, letters, strict=True))
        height += max(1, lines) * LINE * size * (0.9 if is_tight else 1) + padding
    return height + _lines(table.note, 105 / scale / NOTE) * LINE * scale * NOTE


def runs_told(rows: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Return rows with each long run of free ones, in which only the number stands, told in one: `5–8`."""
    told: list[tuple[str, ...]] = []
    for is_free, group in groupby(rows, key=lambda row: not any(row[1:])):
        run = list(group)
        if is_free and len(run) >= RUN:
            run = [(f"{run[0][0]}–{run[-1][0]}", FREE, *run[0][2:])]
        told += run
    return told


def _lines(text: str, letters: float) -> int:
    return ceil(len(text) / max(letters, 1))
