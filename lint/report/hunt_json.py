"""A hunt as JSON for programs: what was answered, what is asked next, what is still suspected."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, NamedTuple

from lint.hunt.hunt import CARRY_ON, STOP, Hunt, Question, Suspect
from lint.hunt.replay import Said, answers_to
from lint.hunt.target import Target
from lint.hunt.terminal import care_of
from lint.rig.rig import Channel

FORMAT = 1
WORDS = {"y": "yes", "n": "no", "s": "can't tell"}


class BeforeIt(NamedTuple):
    """What is told before the first question.

    `left` is what earlier hunts left to be put back, `wrong` is so by the rig file itself, `lit` are consoles that are
    taken to be lit, `others` the channels that go by the name that was given too.
    """

    left: Sequence[str]
    wrong: Sequence[str]
    lit: Sequence[str]
    others: Sequence[Channel]


def hunt_json(rig: str, target: Target, hunt: Hunt, said: Sequence[Said], before: BeforeIt) -> str:
    """Return where a hunt stands."""
    found, dark = hunt.found, hunt.unmended
    cure = found.filled(found.cause.cure) if found else dark.filled(CARRY_ON) if dark else None
    report = {
        "format": FORMAT,
        "rig": rig,
        "about": target.name,
        "at": target.end,
        "channel": target.channel.address if target.channel is not None else None,
        "called_as_well": [other.address for other in before.others],
        "symptom": hunt.symptom,
        "to_put_back": list(before.left),
        "wrong_by_the_rig": list(before.wrong),
        "taken_to_be_lit": list(before.lit),
        "answers": [{**_question(row.question), "said": WORDS[row.said]} for row in said],
        "asked": _asked(hunt.question),
        "suspects": [
            {
                "part": suspect.part.title,
                "cause": suspect.cause.name,
                "words": suspect.words,
                "likelihood": round(suspect.share, 4),
            }
            for suspect in ([] if found or dark else hunt.suspects)
        ],
        "reopened": hunt.is_reopened,
        "expected_s": 0.0 if hunt.question is None else round(hunt.expected_s(), 1),
        "stopped": STOP if hunt.is_stopped else None,
        "found": _fault(found),
        "unmended": _fault(dark),
        "cure": cure,
    }
    return json.dumps(report, ensure_ascii=False, indent=2) + "\n"


def _fault(found: Suspect | None) -> dict[str, str] | None:
    return {"part": found.part.title, "cause": found.cause.name, "words": found.words} if found else None


def _question(question: Question) -> dict[str, str]:
    return {"kind": question.kind, "question": question.text}


def _asked(question: Question | None) -> dict[str, Any] | None:
    if question is None:
        return None
    return {
        **_question(question),
        "keys": list(answers_to(question)),
        "seconds": question.seconds,
        "care": care_of(question) if question.handles else None,
    }
