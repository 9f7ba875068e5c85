"""What a house may set about a rule, and what nobody may."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from lint.check.catalogue import load_catalogue
from lint.check.example import check_example
from lint.check.finding import Finding, Severity
from lint.check.rule import Rule
from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig

Made = Callable[..., Any]
RULES = load_catalogue().rules
FORBIDDEN = [rule for rule in RULES.values() if not rule.waivable]


def refused(fragment: str) -> list[str]:
    with pytest.raises(CannotReadError) as caught:
        check_example(fragment)
    return [str(problem) for problem in caught.value.problems]


# -- what can't be waived --------------------------------------------------------------------------------------


@pytest.mark.parametrize("rule", FORBIDDEN, ids=lambda rule: rule.id)
def test_what_cannot_be_waived_cannot_be_switched_off(rule: Rule) -> None:
    assert refused(f"rules:\n  {rule.id}: {{off: true, because: it hums}}") == [
        f"example.yaml:2:{len(rule.id) + 11}: {rule.id} can't be switched off, just as it can't be waived: put right "
        "what it finds, and take `off` out"
    ]


@pytest.mark.parametrize(
    ("rule", "severity", "heaviest"),
    [
        ("earth-lifted", "note", "no-go"),
        ("earth-lifted", "caution", "no-go"),
        ("outdoor-without-residual-current-device", "caution", "no-go"),
        ("exposure-audience", "note", RULES["exposure-audience"].heaviest.value),
        ("exposure-crew", "caution", "no-go"),  # its own severity, but a day over the limit is a no-go
    ],
)
def test_what_cannot_be_waived_cannot_be_lowered(rule: str, severity: str, heaviest: str) -> None:
    assert refused(f"rules:\n  {rule}: {{severity: {severity}, because: it hums}}") == [
        f"example.yaml:2:{len(rule) + 16}: {rule} can't be lowered from {heaviest} to {severity}, just as it can't be "
        "waived: put right what it finds, and take `severity` out"
    ]


@pytest.mark.parametrize("rule", FORBIDDEN, ids=lambda rule: rule.id)
def test_what_cannot_be_waived_may_be_raised_or_left(rule: Rule) -> None:
    check_example(f"rules: {{{rule.id}: {{severity: no-go, because: we mean it}}}}")


def test_a_package_that_failed_to_load_opens_no_way_round(check: Made, says: Made) -> None:
    from lint.check.catalogue import LoadFailure

    fragment = "rules: {grave: {off: true, because: x}, lost: {off: true, because: x}}"
    with pytest.raises(CannotReadError, match="grave can't be switched off") as caught:
        check(fragment, says("grave", "desk", waivable=False), failures=[LoadFailure("house", "ImportError: no")])
    assert len(caught.value.problems) == 1


# -- severities that a rule declares ---------------------------------------------------------------------------


def test_a_rule_says_which_other_severities_its_findings_may_have(make: Made) -> None:
    def function(_rig: ResolvedRig) -> Iterator[Finding]:
        yield from ()

    varies = make("weighs", function, severity="caution or no-go")
    assert (varies.severity, varies.varies) == (Severity.CAUTION, (Severity.NO_GO,))
    assert (varies.severities, varies.heaviest) == ("caution or no-go", Severity.NO_GO)
    with pytest.raises(ValueError, match="perhaps"):
        make("weighs", function, severity="caution or perhaps")


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_a_bundled_rule_declares_exactly_the_severities_that_it_gives(rule: Rule) -> None:
    module = inspect.getmodule(rule.function)
    assert module is not None
    given = {Severity[name] for name in re.findall(r"\bSeverity\.([A-Z_]+)", inspect.getsource(module))}
    assert given == set(rule.varies)
