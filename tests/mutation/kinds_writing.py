"""Slips of the pen in keys, names and punctuation: each must be refused, with its own line named."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any, NamedTuple

from bench import Base, Site, Slip, kind

from lint.read.document import Trail

NAMED = (
    *("devices", "cables", "sources", "channels", "pairs", "splits", "mixes", "effects", "input_blocks", "feeds"),
    *("destinations", "consoles", "amplifiers", "remote_control", "console_memory", "rules"),
)
NAMED_WITHIN = ("circuits", "loads", "outputs")
CHOICES = ("kind", "width", "tap", "phantom", "pan", "reel", "criterion", "jurisdiction", "powering", "of")
REFERENCES = ("carries", "patched_from", "plugged_into", "model", "circuit", "fed_by", "aligned_to", "expects")
REFERENCES += ("from", "to", "leader", "own_mix", "left", "right")


class Entry(NamedTuple):
    """One `key: value` of the files, where it is written (line and column count from 1)."""

    trail: Trail
    value: Any
    file: str
    line: int
    column: int  # of the key
    value_at: tuple[int, int]

    @property
    def key(self) -> str:
        return str(self.trail[-1])

    @property
    def where(self) -> str:
        return "/".join(map(str, self.trail))


@cache
def entries(base: Base) -> tuple[Entry, ...]:
    """Return every entry of the merged document, outermost first."""
    return tuple(_entries(base))


def _entries(base: Base) -> Iterator[Entry]:
    queue: list[tuple[Trail, Any]] = [((), base.data)]
    while queue:
        above, data = queue.pop(0)
        for key, value in data.items() if isinstance(data, dict) else enumerate(data):
            trail = (*above, key)
            if isinstance(key, str):
                file, line, column = base.document.locate(trail, True)
                yield Entry(trail, value, file, line, column, base.document.locate(trail)[1:])
            if isinstance(value, dict | list):
                queue.append((trail, value))


def is_name(trail: Trail) -> bool:
    """Whether the last key of a trail is a name or number that people choose."""
    own = trail[2:] if trail[0] == "consoles" and len(trail) > 2 else trail
    chosen = len(own) == 2 and own[0] in NAMED
    numbers = own[0] == "feeds" or own[-2:-1] == ("channels",)
    return chosen or numbers or "limits" in own or (len(own) > 2 and own[-2] in NAMED_WITHIN)


def slip(base: Base, entry: Entry, at: tuple[int, int], old: str, new: str, also: int = 0) -> Iterator[Site]:
    """Yield the site where `old` at a line and column is `new`; a refusal may point `also` lines of text further."""
    lines = list(base.lines[entry.file])
    line, column = at
    here = lines[line - 1]
    if old and here[column - 1 :].startswith(old):
        lines[line - 1] = here[: column - 1] + new + here[column - 1 + len(old) :]
        last = line
        while also and last < len(lines):
            last += 1
            also -= bool(lines[last - 1].split("#")[0].strip())
        where = f"{entry.where} ({old.strip()} -> {new.strip() or 'nothing'})"
        yield Site(where, (), Slip(entry.file, "\n".join(lines), range(line, last + 1)))


def at_key(base: Base, entry: Entry, old: str, new: str, also: int = 0) -> Iterator[Site]:
    return slip(base, entry, (entry.line, entry.column), old, new, also)


def at_value(base: Base, entry: Entry, old: str, new: str) -> Iterator[Site]:
    return slip(base, entry, entry.value_at, old, new)


@cache
def rows(base: Base) -> tuple[Entry, ...]:
    """Return the rows that stand on a line of their own, from their name to the closing brace."""
    return tuple(_rows(base))


def _rows(base: Base) -> Iterator[Entry]:
    for entry in entries(base):
        here = line_of(base, entry)
        whole = here.split(" #")[0].rstrip()
        closed = whole.endswith("}") and whole.count("{") == whole.count("}")
        if closed and whole.strip().startswith(f"{entry.key}:") and is_name(entry.trail):
            yield entry


def line_of(base: Base, entry: Entry) -> str:
    return base.lines[entry.file][entry.line - 1]


def in_values(base: Base, keys: tuple[str, ...], change: Callable[[str], str]) -> Iterator[Site]:
    """Yield the sites where the text of a value under one of the keys is written otherwise."""
    for entry in entries(base):
        if entry.key in keys and isinstance(entry.value, str) and not is_name(entry.trail):
            new = change(entry.value)
            if new != entry.value:
                yield from at_value(base, entry, entry.value, new)


# -- keys and names ------------------------------------------------------------------------------------------------


@kind()
def key_misspelt(base: Base) -> Iterator[Site]:
    """A key is written with a letter too few."""
    for entry in entries(base):
        if not is_name(entry.trail) and len(entry.key) > 4:
            yield from at_key(base, entry, f"{entry.key}:", f"{entry.key[:2]}{entry.key[3:]}:")


@kind()
def choice_misspelt(base: Base) -> Iterator[Site]:
    """A value of which there are only a few is written with a letter too few."""
    # cat5 for cat5e is another choice, and no misspelt one
    yield from in_values(base, CHOICES, lambda text: text if text.startswith("cat") else text[:-1])


@kind()
def name_misspelt(base: Base) -> Iterator[Site]:
    """A name that stands for something is written with a letter too many."""
    yield from in_values(base, REFERENCES, lambda text: text[0] + text)


@kind()
def name_with_a_capital(base: Base) -> Iterator[Site]:
    """A row's name begins with a capital, as in a sentence."""
    for entry in entries(base):
        if is_name(entry.trail) and entry.key[0].islower() and "/" not in entry.key:
            yield from at_key(base, entry, f"{entry.key}:", f"{entry.key.capitalize()}:")


@kind()
def name_with_a_space(base: Base) -> Iterator[Site]:
    """A row's name has a space in it."""
    for entry in entries(base):
        if is_name(entry.trail) and "-" in entry.key and entry.key[0].islower() and "/" not in entry.key:
            yield from at_key(base, entry, f"{entry.key}:", f"{entry.key.replace('-', ' ')}:")


@kind()
def row_copied_and_not_renamed(base: Base) -> Iterator[Site]:
    """A row is copied to make another one, and its name or number is left as it was."""
    for entry in rows(base):
        lines = list(base.lines[entry.file])
        lines.insert(entry.line, lines[entry.line - 1])
        yield Site(entry.where, (), Slip(entry.file, "\n".join(lines), range(entry.line + 1, entry.line + 2)))


@kind()
def value_left_out(base: Base) -> Iterator[Site]:
    """A value that must be there is left out."""
    for entry in entries(base):
        if entry.key in ("kind", "plugged_into", "from", "to") and isinstance(entry.value, str):
            yield from at_value(base, entry, entry.value, "")


# -- punctuation ---------------------------------------------------------------------------------------------------


@kind()
def no_space_after_the_colon(base: Base) -> Iterator[Site]:
    """The space after a colon is left out."""
    for entry in entries(base):
        if not isinstance(entry.value, dict | list):
            yield from at_key(base, entry, f"{entry.key}: ", f"{entry.key}:")


@kind()
def hard_space_after_the_colon(base: Base) -> Iterator[Site]:
    """A row is pasted from a web page, with a no-break space after a colon."""
    for entry in entries(base):
        if not isinstance(entry.value, dict | list):
            yield from at_key(base, entry, f"{entry.key}: ", f"{entry.key}:\u00a0")


@kind()
def no_colon_after_the_name(base: Base) -> Iterator[Site]:
    """The colon after a row's name is left out."""
    for entry in rows(base):
        yield from at_key(base, entry, f"{entry.key}:", entry.key, also=1)


@kind()
def comma_left_out(base: Base) -> Iterator[Site]:
    """A comma between two entries of a row is left out."""
    for entry in rows(base):
        found = re.search(r", *(?=[a-z_]+: )", line_of(base, entry))
        if found:
            yield from slip(base, entry, (entry.line, found.start() + 1), ", ", " ")


@kind()
def brace_not_closed(base: Base) -> Iterator[Site]:
    """The closing brace of a row is left out."""
    for entry in rows(base):
        end = len(line_of(base, entry).split(" #")[0].rstrip())
        yield from slip(base, entry, (entry.line, end), "}", "", also=1)


@kind()
def quote_not_closed(base: Base) -> Iterator[Site]:
    """A quote is opened and never closed."""
    for entry in entries(base):
        if isinstance(entry.value, str):
            yield from at_value(base, entry, entry.value, f'"{entry.value}')


@kind()
def curly_quotes(base: Base) -> Iterator[Site]:
    """A word processor has turned the quotes round a time into curly ones."""
    for entry in entries(base):
        if entry.key in ("doors", "start"):
            yield from at_value(base, entry, f'"{entry.value}"', f"\u201c{entry.value}\u201d")


@kind()
def tab_for_spaces(base: Base) -> Iterator[Site]:
    """A row is indented with a tab."""
    for entry in rows(base):
        if line_of(base, entry).startswith("  "):
            yield from slip(base, entry, (entry.line, 1), "  ", "\t")


@kind()
def row_a_space_too_far_left(base: Base) -> Iterator[Site]:
    """A row stands a space farther left than its neighbours."""
    for entry in rows(base):
        if line_of(base, entry).startswith("  "):
            yield from slip(base, entry, (entry.line, 1), "  ", " ", also=1)
