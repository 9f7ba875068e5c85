"""One row of an input list: what it asks for, or why it can't be used."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from lint.page.plain import shown
from lint.rig.address import spans
from lint.start.sockets import CONSOLE_WORDS, Place, other_reading, place_of, plain
from lint.start.words import KINDS, NO, PAIR, STEREO, YES, folded, pair_name, side_of

LONGEST = 60  # letters of a name
LEAST_GAIN_DB, MOST_GAIN_DB = -60, 100  # what a rig file may say of a channel
_CHANNEL = r"0*[1-9][0-9]{0,2}"
_ONE = re.compile(rf"(?:#|ch|chan|channel|kanal|kan|kanaal|canal|voie)?\.? ?({_CHANNEL})(?:[.,]0)?", re.IGNORECASE)
# What a name says of both sides, where each side gets a name of its own: `Keys L/R`.
_BOTH = re.compile(r"[\s,(\[–-]*\bl(?:eft)?\s?[/+&-]\s?r(?:ight)?\b[)\]]*$", re.IGNORECASE)
_TWO = re.compile(rf"({_CHANNEL}) ?[-–/+&] ?({_CHANNEL})")


@dataclass
class Input:
    """One usable row. `channel`, `box` and `socket` are None or empty where the list leaves them open.

    `phantom` is None where its cell says something that is neither yes nor no; `pan` is left, right, centre or empty;
    `pair` names the stereo pair that it is a side of, as (of what, which side). `near` is the channel that the right
    side of a pair would take, where the list gives a channel to its left side alone.
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
    near: int | None = None


class Unusable(NamedTuple):
    """A row that is left out, or a cell of a row that is kept: the line it begins on, and why."""

    line: int
    why: str


class Sockets(NamedTuple):
    """What the whole list says of sockets: boxes known for sure, and (box, input) between others that no row names.

    `house` are the boxes of the house, as names: where there is one, no list makes others. It is among `known`.
    """

    known: frozenset[str] = frozenset()
    gaps: frozenset[tuple[str, int]] = frozenset()
    house: frozenset[str] = frozenset()


class Said(NamedTuple):
    """What a row says: the line that it begins on, its cells by their meaning, and what was assumed to read them."""

    line: int
    cells: Mapping[str, str]
    notes: tuple[str, ...] = ()


def channels_of(text: str) -> tuple[int, ...] | None:
    """Return the channels of a cell: none, one, or two side by side (`6/7`); None where it is something else."""
    if not text:
        return ()
    if one := _ONE.fullmatch(text):
        return (int(one[1]),)
    two = _TWO.fullmatch(text)
    return (int(two[1]), int(two[2])) if two and int(two[2]) == int(two[1]) + 1 else None


def is_idle(said: Said) -> bool:
    """Whether a row lists no input: a heading, a total, a note, or a channel that is not used."""
    cells = said.cells
    if cells.get("kind") or yes_or_no(cells.get("phantom", "")):
        return False
    if channels_of(cells.get("channel", "")) is None:
        return not re.search(r"[^\W\d_]", cells["name"])
    return not re.search(r"[^\W_]", cells["name"])


def yes_or_no(text: str) -> bool | None:
    """Return what a cell says of the phantom power, or None where it is neither yes nor no."""
    said = folded(text)
    said = said.rstrip("!. ") or said
    return said in YES if said in YES | NO else None


def read_row(said: Said, sockets: Sockets) -> list[Input] | Unusable:
    """Return what a row asks for: one input, or the two of a pair."""
    cells = said.cells
    name = cells["name"]
    if problems := list(_problems(cells, sockets)):
        about = f"{name}: " if re.search(r"[^\W_]", name) and len(name) <= LONGEST and shown(name) == name else ""
        return Unusable(said.line, about + "; ".join(problems))
    phantom = yes_or_no(cells.get("phantom", ""))
    kind, assumed = _kind(cells.get("kind", ""), name, phantom, "phantom" in cells)
    place = _place(cells, sockets)
    channels = channels_of(cells.get("channel", "")) or ()
    sides, why = _sides(cells, place, channels)
    stem = _BOTH.sub("", name) or name if len(sides) == 2 else name
    rows = []
    for index, side in enumerate(sides):
        rows.append(
            Input(
                said.line,
                f"{stem} {side}".strip(),
                kind,
                phantom,
                channels[index] if index < len(channels) else None,
                place.box,
                place.numbers[index] if index < len(place.numbers) else None,
                number_of(cells.get("gain", "")),
                cells.get("cable", ""),
                [*said.notes, *assumed, *why],
            )
        )
    if len(rows) == 1:
        rows[0].pan = side_of(cells.get("pan", "")) or ""
        return rows
    for row, which in zip(rows, ("left", "right"), strict=True):
        row.pan, row.pair = which, (folded(stem), which)
    rows[1].near = channels[0] + 1 if len(channels) == 1 else None
    return rows


def _place(cells: Mapping[str, str], sockets: Sockets) -> Place:
    """Return the inputs of a row: as it names them; for a stereo row that names one the next too, if it is a gap."""
    box, text = cells.get("box", ""), cells.get("socket", "")
    place = place_of(box, text, sockets.known) or Place(box, ())
    if len(place.numbers) == 1 and _says_stereo(cells):
        low = place.numbers[0]
        if (plain(place.box), low + 1) in sockets.gaps:
            return Place(place.box, (low, low + 1))
    return place


def _sides(cells: Mapping[str, str], place: Place, channels: tuple[int, ...]) -> tuple[tuple[str, ...], list[str]]:
    """Return what is put behind the names, L and R for a pair, and what had to be assumed to say so."""
    asks = next((text for text in _pair_words(cells) if text), "")
    if len(place.numbers) == 2:
        low, high = place.numbers
        where = f"is read as a pair on {place.box} {low} and {high}".replace("  ", " ")
        if re.search(rf"(?<![0-9])0*{high}$", cells["socket"]):
            return ("L", "R"), [f"“{cells['socket']}” {where}"]
        return ("L", "R"), [f"“{asks or cells['name']}” {where}, as the list puts nothing on {high}"]
    if len(channels) == 2:
        return ("L", "R"), [f"“{cells['channel']}” is read as the two channels of a pair"]
    if not place.numbers and _says_stereo(cells):
        return ("L", "R"), [f"“{asks or cells['name']}” is read as a pair with a socket for each side"]
    if _says_pair(cells) and pair_name(cells["name"]) is None:
        return ("",), [f"“{asks or cells['name']}” asks for a pair, but one input is listed, so it is read as one"]
    return ("",), []


def _pair_words(cells: Mapping[str, str]) -> Iterator[str]:
    """Yield the cells, other than the name, that ask for a pair."""
    pair = cells.get("pair", "")
    if folded(pair) in YES or PAIR.search(folded(pair)):
        yield pair
    if PAIR.search(folded(cells.get("kind", ""))):
        yield cells["kind"]


def _says_stereo(cells: Mapping[str, str]) -> bool:
    """Whether a row without sockets surely means two: `stereo` or `pair` in so many words, or yes below that."""
    if pair_name(cells["name"]) is not None:
        return False
    words = " ".join(cells.get(key, "") for key in ("name", "kind", "pair"))
    return bool(STEREO.search(folded(words))) or ("stereo" in cells and folded(cells["pair"]) in YES)


def _says_pair(cells: Mapping[str, str]) -> bool:
    """Whether a row says that it is both sides of a pair: in its name, its kind, or a column for that."""
    return any(_pair_words(cells)) or bool(PAIR.search(folded(cells["name"])))


def _problems(cells: Mapping[str, str], sockets: Sockets) -> Iterator[str]:
    for meaning, text in cells.items():
        if len(text) > 200 or shown(text) != text:
            yield f"the {meaning} is too long, or holds a sign that can't be shown"
            return
    if not re.search(r"[^\W_]", cells["name"]):
        yield f"it has no name ({' | '.join(filter(None, cells.values()))})"
    elif len(cells["name"]) > LONGEST:
        yield f"its name is longer than {LONGEST} letters"
    channels = channels_of(cells.get("channel", ""))
    if channels is None:
        yield f"the channel is '{cells['channel']}', expected a whole number, or two side by side such as 6/7"
    if cells.get("socket"):
        yield from _socket_problems(cells, sockets, channels or ())
    if len(cells["name"]) > LONGEST - 2 and len(_sides(cells, _place(cells, sockets), channels or ())[0]) == 2:
        yield f"its name is longer than {LONGEST - 2} letters, and each of a pair has a letter more"


def _socket_problems(cells: Mapping[str, str], sockets: Sockets, channels: tuple[int, ...]) -> Iterator[str]:
    text = cells["socket"]
    place = place_of(cells.get("box", ""), text, sockets.known)
    if place is None:
        yield f"the socket is '{text}', expected a number, or a box and a number such as west-box 3"
        return
    box, there = plain(cells.get("box", "")), plain(place.box)
    if box and there and box not in there and there not in box:
        yield f"the box is '{cells['box']}', but the socket is '{text}'"
        return
    low, *rest = place.numbers
    if rest and there and sockets.house and there not in {*sockets.known, *CONSOLE_WORDS}:
        boxes = sorted(sockets.house)
        example = f"“{boxes[0]} {place.numbers[-1]}”"
        there_are = f"'{text}' names no box of the house ({', '.join(boxes)})"
        yield f"{there_are}; write one of them and the input, such as {example}"
        return
    is_two = rest == [low + 1]
    # Of two inputs of a box of the house joined by a sign there is one reading; a hyphen may stand for anything.
    is_joined = bool(sockets.house) and there in sockets.known and bool(re.search(r"[0-9]\s*[+&/][^+&/]*$", text))
    if rest and not (is_two and (is_joined or _says_pair(cells) or len(channels) == 2)):
        many = f"sockets {spans(list(place.numbers))}" + (f" of {place.box}" if place.box else "")
        other = other_reading(text)
        if other and sockets.house and plain(other.box) not in sockets.known:
            other = None
        box = f", or input {other.numbers[0]} of {other.box}" if other else ""
        yield (
            f"'{text}' is {many}{box}; write a row for each socket"
            + (", or “stereo” beside its name" if is_two else "")
            + (f", or {other.box} in {other.numbers[0]}" if other else "")
        )


def number_of(text: str) -> float | None:
    """Return the number of decibels that a cell says, or None where it says none that a channel can have."""
    match = re.fullmatch(r"([-+]?[0-9]{1,3}(?:[.,][0-9]{1,3})?) ?(?:dB)?", text, re.IGNORECASE)
    number = float(match[1].replace(",", ".")) if match else None
    return number if number is not None and LEAST_GAIN_DB <= number <= MOST_GAIN_DB else None


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
