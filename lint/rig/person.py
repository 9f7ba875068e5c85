"""Names of people: however a name is typed, it is one person's."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from itertools import permutations

MOST_WORDS = 5
_ACCENT = re.compile("([A-Za-z])[\u0300-\u036f]+")


def person_key(name: str) -> str:
    """Return what two spellings of one name share: `Ann`, `ann.` and ` ÄNN ` are one person, `K. P.` and `KP` too."""
    return "".join(_words(name))


def _words(name: str) -> list[str]:
    # An accent over a Latin letter may be left out; marks of other scripts make other letters.
    bare = _ACCENT.sub(r"\1", unicodedata.normalize("NFKD", name))
    return re.findall(r"\w+", unicodedata.normalize("NFKC", bare).casefold())


def is_name(text: str) -> bool:
    """Whether a text can be somebody's name: more than one sign, a letter among them, and no whole sentence."""
    return len(text) > 1 and any(map(str.isalpha, text)) and len(text.split()) <= MOST_WORDS


def same_person(one: str, other: str) -> bool:
    """Whether two names are one person's; no name is nobody's."""
    return bool(person_key(one)) and person_key(one) == person_key(other)


def may_be_same(one: str, other: str) -> bool:
    """Whether one name may be the other cut short or turned round: `Kim`, `K. Pell`, `Pell, Kim` may be `Kim Pell`."""
    short, long = sorted((_words(one), _words(other)), key=len)
    if len(short) < len(long):
        return bool(short) and long[: len(short)] == short
    orders = permutations(long) if len(long) <= MOST_WORDS else ()
    return short != long and any(all(map(_may_be, short, order)) and set(short) & set(order) for order in orders)


def _may_be(one: str, other: str) -> bool:
    """Whether two words of a name may be the same: alike, or one the initial of the other."""
    short, long = sorted((one, other), key=len)
    return one == other or (len(short) == 1 and long.startswith(short))


def each_once(names: Iterable[str]) -> list[str]:
    """Return the people in the order they first come, each as first spelt."""
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(person_key(name), name)
    return list(found.values())
