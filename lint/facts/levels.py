"""Planned sound levels: every stretch of time that the rig file states, for the crew and for the audience."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint.facts.fact import NUMBER, TEXT, Fact, Kind, Thing, by_name
from lint.facts.signals import Signals
from lint.rig.plant import Exposure


class _Planned(NamedTuple):
    id: str
    who: str
    stretch: Exposure


def _things(signals: Signals) -> Iterator[Thing]:
    plan = signals.rig.sound_levels
    for who, stretches in (("crew", plan.crew), ("audience", plan.audience)) if plan else ():
        for index, stretch in enumerate(stretches):
            planned = _Planned(f"{who}/{index + 1}", who, stretch)
            yield Thing(planned.id, ("sound_levels", who, index), planned.id, planned)


_FACTS = (
    Fact("id", TEXT, "crew or audience, and its place in that list", lambda _, p: p.id),
    Fact("who", TEXT, "crew or audience", lambda _, p: p.who),
    Fact("what", TEXT, "what it is, such as rehearsal", lambda _, p: p.stretch.what or None, "what"),
    Fact("level_dba", NUMBER, "the planned level in dBA", lambda _, p: p.stretch.level_dba, "level_dba"),
    Fact("hours", NUMBER, "for how many hours", lambda _, p: p.stretch.hours, "hours"),
)

LEVELS = Kind("levels", "planned level", "exposure", by_name(*_FACTS), _things)
