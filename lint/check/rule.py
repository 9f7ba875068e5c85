"""A rule: one function over the resolved rig, with its whole documentation and its examples beside it."""

from __future__ import annotations

import inspect
import math
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

_STARRED = 0x04 | 0x08  # the flags of code that takes *args or **kwargs
RuleFunction = Callable[..., Iterable[Finding]]


class RuleFailedError(Exception):
    """A rule of somebody else that failed: what went wrong, and the line of its file."""

    def __init__(self, message: str, file: str, line: int) -> None:
        self.file, self.line = file, line
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class Limit:
    """A number a rule decides by, that a house may set, from `least` to `most`: its default, its unit, its meaning.

    Raises ValueError for a default outside that.
    """

    default: float
    unit: str
    meaning: str
    least: float = -math.inf
    most: float = math.inf

    def __post_init__(self) -> None:
        if not self.allows(self.default):
            raise ValueError(f"the limit's default is {self.default:g}, expected {self.range}")

    def allows(self, value: float) -> bool:
        """Whether a house may set it to that."""
        return self.least <= value <= self.most

    @property
    def range(self) -> str:
        """Return what a house may set it to, with the unit, such as 0 to 30 dB; empty where it may be anything."""
        unit = f" {self.unit}" if self.unit else ""
        if math.isinf(self.least) and math.isinf(self.most):
            return ""
        if math.isinf(self.least) or math.isinf(self.most):
            return f"at most {self.most:g}{unit}" if math.isinf(self.least) else f"at least {self.least:g}{unit}"
        return f"{self.least:g} to {self.most:g}{unit}"

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.default:g}{unit} ({self.meaning})" + (f"; a house may set {self.range}" if self.range else "")


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

    `varies` are the severities that a finding of it may have instead of the rule's own. `guards_people`: it looks after
    what may shock, burn or deafen somebody, so no house may switch it off or lower it, though one finding may be waived
    by name and until a day, where it is waivable.
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
    varies: tuple[Severity, ...] = ()
    safety: str = ""
    file: str = ""
    base: Path | None = None
    guards_people: bool = False

    @property
    def severities(self) -> str:
        """Return its severity in words, and what else a finding of it may weigh: no-go or caution."""
        return " or ".join(severity.value for severity in (self.severity, *self.varies))

    @property
    def heaviest(self) -> Severity:
        """Return the most that a finding of it may weigh."""
        return min((self.severity, *self.varies), key=lambda severity: severity.rank)


def _parameters(function: RuleFunction) -> list[str]:
    """Return the names of what a function takes; a plain one tells them without `inspect`, at every start 85 times."""
    code = getattr(function, "__code__", None)
    if code is None or code.co_flags & _STARRED or hasattr(function, "__wrapped__"):
        return list(inspect.signature(function).parameters)
    return list(code.co_varnames[: code.co_argcount + code.co_kwonlyargcount])


def _require_parameters(function: RuleFunction, limits: list[str], name: str) -> None:
    parameters = _parameters(function)
    if not parameters or parameters != [*parameters[:1], *limits]:
        raise TypeError(f"rule {name}: the function takes ({', '.join(parameters)}), expected the rig, then {limits}")


def _severities(severity: str, name: str) -> list[Severity]:
    weights = [weight.value for weight in Severity]
    words = severity.split(" or ")
    if odd := [word for word in words if word not in weights]:
        raise ValueError(f"rule {name}: severity {odd[0]!r}, expected one of {', '.join(weights)}, or two with or")
    return [Severity(word) for word in words]


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
    guards_people: bool = False,
    safety: str = "",
) -> Callable[[RuleFunction], Rule]:
    """Make a rule of a function that takes the resolved rig (and its limits, as keywords) and yields findings.

    The id is the module's name with hyphens for underscores. `severity` is the rule's own, and after an "or" what a
    finding may weigh instead, such as "no-go or caution". Raises ValueError where severity or family are not known, and
    TypeError where the function does not take exactly the rig and the declared limits.
    """

    def make(function: RuleFunction) -> Rule:
        name = function.__module__.rpartition(".")[2].replace("_", "-")
        own, *varies = _severities(severity, name)
        if family not in FAMILIES:
            raise ValueError(f"rule {name}: family {family!r}, expected one of {', '.join(FAMILIES)}")
        _require_parameters(function, list(limits or ()), name)
        return Rule(
            name,
            title,
            own,
            family,
            why,
            do,
            source,
            tuple(good),
            tuple(bad),
            function,
            dict(limits or {}),
            waivable,
            tuple(varies),
            safety,
            guards_people=guards_people or not waivable,
        )

    return make
