"""A trace as JSON for programs, one shape for all of its questions; what was not asked is null."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from lint.report.trace import summary_of
from lint.resolve.step import Step
from lint.resolve.ways import Ways

FORMAT = 1
PATH, UPSTREAM, DOWNSTREAM, WAYS = "path", "upstream", "downstream", "ways"


class Asked(NamedTuple):
    """What was traced in which rig file: one of the questions above, and to what where ways were asked for."""

    rig: str
    what: str
    question: str
    to: str | None = None


def trace_json(
    asked: Asked,
    whole: bool,
    traces: Sequence[Step] | None = None,
    reached: Mapping[str, Sequence[str]] | None = None,
    ways: Ways | None = None,
    silent: Sequence[str] = (),
    stops: Sequence[str] = (),
) -> str:
    """Return the answer to one question.

    `whole` says that the signal gets through, or that something was found and nothing stops it; `stops` says why not.
    """
    found = None if ways is None else [[node._asdict() for node in way] for way in ways.found]
    report = {
        "format": FORMAT,
        **asked._asdict(),
        "whole": whole,
        "wrong": [] if traces is None else summary_of(traces),
        "steps": None if traces is None else list(map(_step, traces)),
        "reached": None if reached is None else {kind: list(names) for kind, names in reached.items()},
        "silent_without": list(silent),
        "stopped_by": list(stops),
        "ways": found,
        "ways_stopped_by": None if ways is None else list(map(list, ways.stops)),
        "more_ways": ways is not None and ways.more,
    }
    return json.dumps(report, ensure_ascii=False, indent=2) + "\n"


def _step(step: Step) -> dict[str, Any]:
    return {"text": step.text, "stops": step.stops, "below": list(map(_step, step.below))}
