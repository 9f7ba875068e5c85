"""The message of a house rule: text with facts in braces, filled in from a row. Nothing in it is run."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from lint.facts.fact import in_words
from lint.read.nearest import did_you_mean
from lint.read.problem import shortened

_FIELD = re.compile(r"\{([^{}]*)\}")
MAX_VALUE = 200


def unknown_fields(template: str, known: Iterable[str]) -> list[str]:
    """Return what is wrong with the braces of a message, a sentence each."""
    names = list(known)
    wrong = [name for name in _FIELD.findall(template) if name not in names]
    told = [f"there is no fact {{{shortened(name)}}} here{_hint(name, names)}" for name in wrong]
    if re.search(r"[{}]", _FIELD.sub("", template)):
        told.append("a brace { or } stands alone; braces hold the name of a fact, such as {id}")
    return told


def _hint(name: str, names: list[str]) -> str:
    """Suggest the nearest fact; in a rule over pairs a bare name stands for that of the first."""
    of_first = f"first.{name}"
    return f"; did you mean '{of_first}'?" if of_first in names else did_you_mean(name, names)


def fill(template: str, values: Mapping[str, Any]) -> str:
    """Return a message with its facts filled in; a long list is cut."""
    return _FIELD.sub(lambda found: shortened(in_words(values[found[1]]), MAX_VALUE), template)
