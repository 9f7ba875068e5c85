"""What may be typed at an item: single keys and words alike."""

from __future__ import annotations

import re
from collections.abc import Container, Sequence
from decimal import Decimal

from lint.walk.items import Item

MOST_DIGITS = 20
_PLAIN_NUMBER = re.compile(r"[-+]?[0-9]+(\.[0-9]+)?")
_PARTS = re.compile(r"([0-9]+(?:\s*(?:,|and|\s)\s*[0-9]+)*)[\s:,]*(.*)")

WORDS = {
    "g": "go", "go": "go",
    "n": "no-go", "no": "no-go", "no-go": "no-go", "nogo": "no-go",
    "h": "hold", "hold": "hold",
    "x": "not-applicable", "na": "not-applicable", "n/a": "not-applicable",
    "v": "value", "value": "value",
    "l": "trace", "look": "trace", "trace": "trace",
    "b": "back", "back": "back",
    "o": "open", "open": "open",
    "p": "progress", "progress": "progress",
    "t": "note", "note": "note",
    "s": "sign", "sign": "sign",
    "thunder": "thunder",
    "who": "who",
    "accept": "accept",
    "?": "help", "help": "help",
    "q": "stop", "quit": "stop", "stop": "stop",
}  # fmt: skip
HELP = (
    ("g go", "it is as it says: look first; touch only what is whole, dry, off"),
    ("n no WHAT", "no-go, with what is seen; what was done about it is asked next"),
    ("v value N", "the value measured; the number alone will do"),
    ("h hold WHY", "comes back at the end of the phase; keeps the poll waiting"),
    ("x n/a WHY", "not applicable here, and why"),
    ("l look", "the path of this signal, from end to end"),
    ("b back", "the item answered before, to answer it anew; Enter goes forward"),
    ("o open", "picks one of what is not settled; o WORDS finds any item"),
    ("p progress", "what remains, by phase and role"),
    ("t note TEXT", "notes something about this item"),
    ("s sign", "signs off now: a no-go while anything is open"),
    ("q quit", "stops here; the same command comes back to this item"),
    ("who", "another name for the second look"),
    ("accept WHY", "the lead takes a measured no-go as it is; no killer item"),
    ("thunder WHO", "holds the walk: 30 minutes past the last one, and WHO's word"),
)
HELP_LABEL = 13


def help_rows() -> list[tuple[str, str]]:
    """Return each key with the words for it: what it does."""
    return [(f"{key + ':':<{HELP_LABEL}}", words) for key, words in HELP]


def keys_line(item: Item) -> str:
    """Return the keys of an item in a line; a call is said or not, and nothing else."""
    if item.is_call:
        return "g said  n no-go  b back  o open  ? help  q stop"
    first = "v value" if item.measure is not None else "g go"
    trace = "l look  " if item.subject.signal else ""
    return f"{first}  n no-go  h hold  x not applicable  {trace}b back  o open  ? help  q stop"


def key_and_rest(line: str) -> tuple[str, str]:
    """Return what a line's first word does (empty: nothing), and the rest of the line."""
    word, _, rest = line.partition(" ")
    return WORDS.get(word.casefold(), ""), rest.strip()


def number(text: str) -> Decimal | None:
    """Read a measured value, with a point or a comma; None where it is no plain number of a sane length."""
    plain = text.strip().replace(",", ".").replace("−", "-")
    return Decimal(plain) if len(plain) <= MOST_DIGITS and _PLAIN_NUMBER.fullmatch(plain) else None


def parts_and_words(text: str, known: Container[str]) -> tuple[list[str], str]:
    """Split `3 and 5: dead` into the numbers, where they are known ones, and the words after them."""
    match = _PARTS.fullmatch(text)
    numbers = re.findall("[0-9]+", match[1]) if match else []
    if match is None or not all(each in known for each in numbers):
        return [], text
    return numbers, match[2].strip()


def worded(parts: Sequence[str], seen: str) -> str:
    """Return what was seen, with the numbers that it is about before it: what `parts_and_words` took apart."""
    return f"{', '.join(parts)}: {seen}" if parts else seen
