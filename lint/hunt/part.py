"""A part of a path, and the points behind it at which something can be seen or heard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from lint.hunt.causes import DISTORTED, NOISE, SYMPTOMS, CauseKind, causes


class Point(NamedTuple):
    """Where one can see whether the signal is right so far.

    `substitute` turns the answer round: what is known to work is put in here, so right means that what is before it
    is at fault. `handles` says that plugs are pulled. `behind` names the parts that are right if what is put in is, or
    at fault if the signal is right so far: by default all parts that the signal passes from here on, and `also` those
    that only what is put in passes. `maybe` names parts of which the answer tells nothing either way. `symptoms` are
    those under which it tells anything (empty: all). `after` names causes that are looked at before it is asked, since
    they would fool it or come before hands on plugs. `back` says how to leave all as it was, where that is asked for
    before anything else. `borrows` is the key of the words for what is muted where another source lends its own.
    `name` stands in the record.
    """

    name: str
    ask: str
    seconds: int
    substitute: bool = False
    handles: bool = False
    behind: frozenset[str] = frozenset()
    also: frozenset[str] = frozenset()
    maybe: frozenset[str] = frozenset()
    symptoms: frozenset[str] = frozenset()
    after: frozenset[str] = frozenset()
    back: str = ""
    borrows: str = ""


def muted_for(point: Point, key: str) -> tuple[Point, Point]:
    """Return a question that listens to something else at an end twice: as it is, and for what sounds along there.

    Noise would be heard with whatever is listened to: what brings it, by the `key` of the part's words, is muted for
    that question. A mix that is in the red by it would be right then, so that is looked at first.
    """
    ask = f"Mute {{{key}}} for this question alone: {point.ask[0].lower()}{point.ask[1:]}"
    heard = frozenset((NOISE, DISTORTED))
    after = point.after | {"mix-in-red"}
    back = f"Unmute {{{key}}} again, slowly."
    return (
        point._replace(symptoms=frozenset(SYMPTOMS) - heard),
        point._replace(ask=ask, seconds=point.seconds + 5, symptoms=heard, after=after, back=back),
    )


@dataclass(frozen=True)
class Part:
    """One part of the path: what it is, its words, what may be wrong with it, and what can be asked behind it.

    `known` has by the cause's name what the rig file itself says of it: that is looked at first.
    `harmful` names causes that do harm as long as they stand: they are looked at next, whatever that costs.
    `only` limits it to some symptoms (empty: all).
    """

    name: str
    title: str
    kinds: tuple[str, ...]
    words: Mapping[str, str]
    points: tuple[Point, ...] = ()
    known: Mapping[str, str] = field(default_factory=dict)
    harmful: frozenset[str] = frozenset()
    only: frozenset[str] = frozenset()

    def causes(self, symptom: str) -> tuple[CauseKind, ...]:
        """Return what may be wrong with it under a symptom."""
        return _causes_of(self.kinds, symptom) if not self.only or symptom in self.only else ()


@cache
def _causes_of(kinds: tuple[str, ...], symptom: str) -> tuple[CauseKind, ...]:
    """Return what may be wrong with such a part: asked many times a question."""
    return tuple(cause for cause in causes() if cause.part in kinds and symptom in cause.odds)
