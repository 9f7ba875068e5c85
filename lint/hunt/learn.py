"""How likely each cause is: a first guess, and more and more of what this house found before."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from lint.hunt.part import Part

STATED_TIMES = 19  # what the rig file states to be so is that many times likelier than all else together
GUESS_COUNTS = 20  # the first guess weighs as much as that many hunts of the house's own


class Found(NamedTuple):
    """One hunt that ended: under which symptom which cause was found in which part."""

    symptom: str
    cause: str
    part: str


def likelihoods(parts: Sequence[Part], symptom: str, past: Iterable[Found] = ()) -> Mapping[tuple[str, str], float]:
    """Return the weight of each (part, cause): guessed hunts and the house's own, counted together.

    A past hunt counts for its cause, shared among the parts of this path that may have it, and once more for the
    very part where it was found: what failed before fails again. What the rig file states weighs more than all else.
    """
    suspects = [(part.name, cause.name, cause.odds[symptom]) for part in parts for cause in part.causes(symptom)]
    whole = sum(odds for _, _, odds in suspects)
    sharing = Counter(cause for _, cause, _ in suspects)
    same = [found for found in past if found.symptom == symptom]
    by_cause = Counter(found.cause for found in same)
    by_part = Counter((found.part, found.cause) for found in same)
    weights = {
        (part, cause): GUESS_COUNTS * odds / whole + by_cause[cause] / sharing[cause] + by_part[part, cause]
        for part, cause, odds in suspects
    }
    stated = {(part.name, cause) for part in parts for cause in part.known} & weights.keys()
    others = sum(weight for key, weight in weights.items() if key not in stated)
    return weights | dict.fromkeys(stated, STATED_TIMES * (others or 1) / (len(stated) or 1))
