"""What a rule says: a finding, with its places, its facts and the ways to put it right."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from lint.read.showable import UNSHOWABLE
from lint.rig.rig import Place, Waiver

# What others' rules may say, in findings a rule and letters a text.
MAX_FINDINGS = 1_000
MAX_TEXT = 2_000


class Severity(Enum):
    """How much a finding weighs, heaviest first."""

    NO_GO = "no-go"
    CAUTION = "caution"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the heaviest."""
        return list(Severity).index(self)


class Verdict(Enum):
    """What the findings of a rig come to."""

    GO = "go"
    GO_WITH_CAUTIONS = "go-with-cautions"
    NO_GO = "no-go"


@dataclass(frozen=True, slots=True)
class Cure:
    """One way to put a finding right: what to do, and where it is a change of the rig file, that change.

    `change` is a JSON Merge Patch (RFC 7396) on the rig document.
    """

    text: str
    change: Mapping[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a rule says. A rule gives message, places, facts and cures; the engine stamps the rest.

    The first place is what the finding is about: its address is what a waiver names. `explains` lists findings of
    other rules, as (rule, address), that have the same cause and are therefore not reported beside this one.
    `members` are the addresses of all that it is about, where those are several that somebody may accept one by one; a
    waiver then counts for the member that it names. `severity` is given by a rule only where it differs from the rule's
    own. `is_first` says that it comes before all others of its weight: what may be harmed while the rest is read.
    """

    message: str
    places: tuple[Place, ...]
    cures: tuple[Cure, ...] = ()
    facts: Mapping[str, str | int | float] = field(default_factory=dict)
    severity: Severity | None = None
    explains: frozenset[tuple[str, str]] = frozenset()
    members: tuple[str, ...] = ()
    is_first: bool = False
    rule: str = ""
    family: str = ""
    waived: Waiver | None = None

    @property
    def about(self) -> str:
        """The rig address that the finding is about."""
        return self.places[0].address if self.places else ""

    @property
    def waivable_parts(self) -> tuple[str, ...]:
        """The addresses that waivers name, one waiver each: the members, or what the finding is about."""
        return self.members or (self.about,)

    @property
    def weight(self) -> Severity:
        """The severity, as stamped."""
        return self.severity or Severity.NO_GO


def require_whole(finding: object) -> None:
    """Refuse what a rule of somebody else may yield and no report could tell: types are only hints in Python.

    Raises TypeError for what is of another type, and ValueError for what no screen or report can show.
    """
    if not isinstance(finding, Finding) or not finding.places:
        raise TypeError(f"yielded {finding!r}, expected a Finding with at least one place")
    odd: list[object] = [place for place in finding.places if not isinstance(place, Place)]
    odd += [cure for cure in finding.cures if not isinstance(cure, Cure)]
    odd += [value for value in finding.facts.values() if not isinstance(value, str | int | float)]
    odd += [] if isinstance(finding.message, str) else [finding.message]
    odd += [] if isinstance(finding.members, tuple) else [finding.members]
    odd += [member for member in finding.members if not isinstance(member, str)]
    if odd:
        raise TypeError(f"yielded a finding with {odd[0]!r} in it, expected text, places, cures and plain facts")
    _require_showable(finding)


def _require_showable(finding: Finding) -> None:
    if not finding.message.strip():
        raise ValueError("yielded a finding without a message")
    for place in finding.places:
        if place.line < 0 or place.column < 0:
            raise ValueError(f"yielded a finding at {place.line}:{place.column}; lines and columns count from 1")
    for name, value in finding.facts.items():
        if isinstance(value, float) and not math.isfinite(value):
            raise ValueError(f"yielded a finding with the fact {name} = {value}, which is no number")
    texts = [finding.message, *(cure.text for cure in finding.cures), *finding.members, *finding.facts]
    texts += [value for value in finding.facts.values() if isinstance(value, str)]
    texts += [text for place in finding.places for text in (place.file, place.address)]
    if forged := next(filter(UNSHOWABLE.search, texts), None):
        raise ValueError(f"yielded a finding with {forged!r} in it, which could forge a screen")


def verdict_of(findings: list[Finding]) -> Verdict:
    """Return the verdict: no-go if any unwaived no-go stands, else go with cautions, else go."""
    standing = {finding.weight for finding in findings if finding.waived is None}
    if Severity.NO_GO in standing:
        return Verdict.NO_GO
    return Verdict.GO_WITH_CAUTIONS if Severity.CAUTION in standing else Verdict.GO


def cut(text: str) -> str:
    """Return a text, cut to what anybody would read."""
    return text if len(text) <= MAX_TEXT else text[: MAX_TEXT - 3] + "..."
