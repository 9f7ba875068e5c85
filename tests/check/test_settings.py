"""What a house may set about a rule, and what nobody may."""

from __future__ import annotations

import inspect
import operator
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from lint.check.catalogue import load_catalogue
from lint.check.example import check_example
from lint.check.finding import Finding, Severity
from lint.check.rule import Limit, Rule
from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig

Made = Callable[..., Any]
RULES = load_catalogue().rules
ID = operator.attrgetter("id")
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


def test_what_may_shock_burn_or_deafen_cannot_be_switched_off_by_a_whole_house() -> None:
    """One finding may be waived, by name and until a day, where a plug has a fuse of its own; the rule stays on."""
    guarding = {rule.id for rule in RULES.values() if rule.guards_people}
    assert guarding == {rule.id for rule in FORBIDDEN} | {
        "breaker-over-conductor",
        "circuit-overloaded",
        "reel-not-unwound",
        "stage-without-residual-current-device",
    }


@pytest.mark.parametrize("rule", [rule for rule in RULES.values() if rule.guards_people and rule.waivable], ids=ID)
def test_what_guards_people_is_neither_switched_off_nor_lowered(rule: Rule) -> None:
    for key, value, words in (("off", "true", "switched off"), ("severity", "note", "lowered from")):
        (told,) = refused(f"rules: {{{rule.id}: {{{key}: {value}, because: we like it}}}}")
        assert f"{rule.id} can't be {words}" in told
        assert "may shock or burn somebody. Put right what it finds, or waive that by name" in told


@pytest.mark.parametrize("rule", FORBIDDEN, ids=lambda rule: rule.id)
def test_what_cannot_be_waived_may_be_raised_or_left(rule: Rule) -> None:
    check_example(f"rules: {{{rule.id}: {{severity: no-go, because: we mean it}}}}")


def test_a_package_that_failed_to_load_opens_no_way_round(check: Made, says: Made) -> None:
    from lint.check.catalogue import LoadFailure

    fragment = "rules: {grave: {off: true, because: x}, lost: {off: true, because: x}}"
    with pytest.raises(CannotReadError, match="grave can't be switched off") as caught:
        check(fragment, says("grave", "desk", waivable=False), failures=[LoadFailure("house", "ImportError: no")])
    assert len(caught.value.problems) == 1


# -- limits ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "limit", "value", "says"),
    [
        ("voltage-drop", "share", "3", "share is 3, expected 0.005 to 0.1 (share of the nominal volts"),
        ("link-cable-length", "caution_share", "8", "caution_share is 8, expected 0.1 to 1 (share of the longest"),
        ("level-headroom", "headroom_db", "-10", "headroom_db is -10, expected 0 to 30 dB (the least that remains"),
        ("level-noise", "least_dbfs", "40", "least_dbfs is 40, expected -80 to -12 dB (under which level"),
        ("monitor-latency", "ears_ms", "5000", "ears_ms is 5000, expected 1 to 42 ms (the most that ears"),
    ],
)
def test_a_limit_out_of_its_range_is_refused_at_its_place(rule: str, limit: str, value: str, says: str) -> None:
    (problem,) = refused(f"rules:\n  {rule}:\n    because: x\n    limits: {{{limit}: {value}}}")
    assert problem.startswith(f"example.yaml:4:{len(limit) + 16}: {rule}: {says}")


def test_a_share_written_in_percent_is_told_how_to_write_it() -> None:
    (problem,) = refused("rules: {voltage-drop: {limits: {share: 3}, because: lights too}}")
    assert problem.endswith("before a person must look); 3 % is written 0.03")
    (problem,) = refused("rules: {voltage-drop: {limits: {share: 0.2}, because: a long run}}")
    assert problem.endswith("before a person must look)")


@pytest.mark.parametrize("rule", [rule for rule in RULES.values() if rule.limits], ids=lambda rule: rule.id)
def test_every_bundled_limit_has_a_range_and_its_ends_are_in_it(rule: Rule) -> None:
    for name, limit in rule.limits.items():
        for value in (limit.least, limit.most):
            check_example(f"rules: {{{rule.id}: {{limits: {{{name}: {value:g}}}, because: x}}}}")
        for value in (limit.least - 0.001, limit.most + 0.001):
            assert len(refused(f"rules: {{{rule.id}: {{limits: {{{name}: {value:f}}}, because: x}}}}")) == 1


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        (Limit(1, "ms", "m"), "1 ms (m)"),
        (Limit(1, "ms", "m", least=0), "1 ms (m); a house may set at least 0 ms"),
        (Limit(1, "", "m", most=2), "1 (m); a house may set at most 2"),
        (Limit(1, "ms", "m", 0, 2), "1 ms (m); a house may set 0 to 2 ms"),
    ],
)
def test_a_limit_says_what_it_may_be(limit: Limit, words: str) -> None:
    assert str(limit) == words


def test_a_default_outside_its_own_range_is_refused() -> None:
    with pytest.raises(ValueError, match="default is 3, expected 0 to 2 dB"):
        Limit(3, "dB", "m", 0, 2)


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
