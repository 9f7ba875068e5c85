"""What a page is made of. A report says what stands on it; the writers beside this file say how it looks."""

from __future__ import annotations

from typing import NamedTuple

FOLLOWS = "→ "
# The word before what may hurt somebody; it stands before what is to be done, never after it.
CARE = "CARE"


class Table(NamedTuple):
    """Rows of cells under columns. `group` names what the rows have in common, such as the box they are of.

    With `tick` each row of a printed page has a box to tick by hand.

    A status stands in a cell as a mark and words, so that it is told in every form and never by colour alone.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
    group: str = ""
    tick: bool = False


class Words(NamedTuple):
    """Sentences, one a line; `empty` is said where there are none.

    A line that begins with FOLLOWS is a consequence of the one before it. `is_small` is for what is looked up.
    """

    title: str
    lines: tuple[str, ...]
    empty: str = ""
    is_small: bool = False


class Line(NamedTuple):
    """A few values to be read from afar, each with its name: selector positions, a verdict."""

    title: str
    values: tuple[tuple[str, str], ...]
    note: str = ""


class Picture(NamedTuple):
    """A drawing as SVG, and what it shows in words; `reading` says how to read it, where the drawing itself is."""

    title: str
    svg: str
    words: str
    reading: str = ""


class Label(NamedTuple):
    """What is stuck beside a socket: the socket, what is plugged in, and a line more."""

    head: str
    name: str
    foot: str


class Labels(NamedTuple):
    """Labels to print and cut."""

    title: str
    labels: tuple[Label, ...]


Block = Table | Words | Line | Picture | Labels


class Section(NamedTuple):
    """What belongs together on one sheet of paper; `key` is the name by which it is asked for.

    Many short lists read better side by side: `in_columns` says so. A small sheet `joins` the one before it where the
    paper has room, as long as the same people read both.
    """

    key: str
    title: str
    blocks: tuple[Block, ...]
    in_columns: bool = False
    joins: bool = False


class Page(NamedTuple):
    """A whole document. `foot` is small print at its end, `source` the file that it was made of."""

    title: str
    subtitle: str
    sections: tuple[Section, ...]
    foot: tuple[str, ...] = ()
    source: str = ""

    def only(self, key: str) -> Page:
        """Return the page with one of its sections alone."""
        return self._replace(sections=tuple(section for section in self.sections if section.key == key))
