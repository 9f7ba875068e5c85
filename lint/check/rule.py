"""A rule: one function over the resolved rig, with its whole documentation and its examples beside it."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from lint.check.finding import Finding, Severity

# The order in which a signal flows, and so in which findings are told.
FAMILIES = (
    "files",
    "power",
    "chain",
    "clock",
    "plugs",
    "wireless",
    "patch",
    "phantom",
    "level",
    "mixes",
    "loops",
    "outputs",
    "loudspeakers",
    "latency",
    "exposure",
    "control",
)

RuleFunction = Callable[..., Iterable[Finding]]


class RuleFailedError(Exception):
    """A rule of somebody else that failed: what went wrong, and the line of its file."""

    def __init__(self, message: str, file: str, line: int) -> None:
        self.file, self.line = file, line
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class Limit:
    """A number a rule decides by, that a house may set: its default, its unit and what it means."""

    default: float
    unit: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Bad:
    """A rig fragment that a rule must find fault with, and the exact messages it must give for it.

    `also` names other rules that honestly say no-go to the same fragment, because it holds a second fault.
    """

    rig: str
    gives: tuple[str, ...]
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule with its documentation; `id` is the name of the module it stands in, with hyphens.

    A rule of a house's own has the `file` that it stands in; its examples are merged into the rig file `base`, or into
    the small example rig where that is None.
    """

    id: str
    title: str
    severity: Severity
    family: str
    why: str
    do: str
    source: str
    good: tuple[str, ...]
    bad: tuple[Bad, ...]
    function: RuleFunction
    limits: Mapping[str, Limit] = field(default_factory=dict)
    waivable: bool = True
    safety: str = ""
    file: str = ""
    base: Path | None = None


def rule(  # noqa: PLR0913 - a rule is its whole documentation, each part named
    *,
    title: str,
    severity: str,
    family: str,
    why: str,
    do: str,
    source: str = "common practice",
    good: Iterable[str] = (),
    bad: Iterable[Bad] = (),
    limits: Mapping[str, Limit] | None = None,
    waivable: bool = True,
    safety: str = "",
) -> Callable[[RuleFunction], Rule]:
    """Make a rule of a function that takes the resolved rig (and its limits, as keywords) and yields findings.

    The id is the module's name with hyphens for underscores. Raises ValueError where severity or family are not
    known, and TypeError where the function does not take exactly the rig and the declared limits.
    """

    def make(function: RuleFunction) -> Rule:
        name = function.__module__.rpartition(".")[2].replace("_", "-")
        if family not in FAMILIES:
            raise ValueError(f"rule {name}: family {family!r}, expected one of {', '.join(FAMILIES)}")
        parameters = list(inspect.signature(function).parameters)
        wanted = [*parameters[:1], *(limits or {})]
        if not parameters or parameters != wanted:
            given = ", ".join(parameters)
            raise TypeError(f"rule {name}: the function takes ({given}), expected the rig, then {list(limits or ())}")
        return Rule(
            name,
            title,
            Severity(severity),
            family,
            why,
            do,
            source,
            tuple(good),
            tuple(bad),
            function,
            dict(limits or {}),
            waivable,
            safety,
        )

    return make
