"""Names of people: however a name is typed, it is one person's."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

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
    """Whether one name may be the other cut short: `Kim` may be `Kim Pell`."""
    short, long = sorted((_words(one), _words(other)), key=len)
    return bool(short) and len(short) < len(long) and long[: len(short)] == short


def each_once(names: Iterable[str]) -> list[str]:
    """Return the people in the order they first come, each as first spelt."""
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(person_key(name), name)
    return list(found.values())
