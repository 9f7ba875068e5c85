"""Every kind of rows by name, and the rows of a rig, made once."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any
from weakref import WeakKeyDictionary

from lint.facts.cables import CABLES
from lint.facts.channels import CHANNELS
from lint.facts.circuits import CIRCUITS
from lint.facts.destinations import DESTINATIONS
from lint.facts.devices import DEVICES
from lint.facts.event import EVENT
from lint.facts.fact import Fact, Kind, Row
from lint.facts.levels import LEVELS
from lint.facts.mixes import MIXES
from lint.facts.paths import PATHS
from lint.facts.signals import Signals
from lint.facts.sources import SOURCES
from lint.read.schema import schema
from lint.resolve.resolved import ResolvedRig

_ALL = (SOURCES, CHANNELS, MIXES, DESTINATIONS, DEVICES, CABLES, CIRCUITS, PATHS, LEVELS, EVENT)
KINDS: Mapping[str, Kind] = {kind.name: kind for kind in _ALL}

_made: WeakKeyDictionary[ResolvedRig, tuple[Signals, dict[str, list[Row]]]] = WeakKeyDictionary()


def rows_of(kind: str, resolved: ResolvedRig) -> list[Row]:
    """Return the rows of one kind; they are made when first asked for and shared by all who ask."""
    if resolved not in _made:
        _made[resolved] = (Signals(resolved), {})
    signals, rows = _made[resolved]
    if kind not in rows:
        rows[kind] = KINDS[kind].rows(signals)
    return rows[kind]


@cache
def choices_of(fact: Fact) -> tuple[str, ...]:
    """Return all that a fact can be where the rig schema lists it, else nothing."""
    if not fact.choices:
        return ()
    definitions: dict[str, Any] = schema("rig")["$defs"]
    definition, key = fact.choices.split("/")
    entry = definitions[definition]["properties"][key]
    named = definitions.get(str(entry.get("$ref", "")).removeprefix("#/$defs/"), {})
    return tuple(entry.get("enum") or named["enum"])
