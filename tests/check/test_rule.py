"""`@rule`: what it takes, what it refuses, and what the example rig is."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pytest

from lint.check.example import check_example
from lint.check.finding import Finding, Severity
from lint.check.rule import FAMILIES, Bad, Limit, Rule
from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig

Made = Callable[..., Any]


def quiet(_rig: ResolvedRig) -> Iterable[Finding]:
    return ()


def test_a_rule_has_its_whole_documentation_and_the_id_of_its_module(make: Made) -> None:
    def function(_rig: ResolvedRig, most: float) -> Iterable[Finding]:  # noqa: ARG001
        return ()

    made = make(
        "some-rule",
        function,
        severity="no-go",
        family="chain",
        good=["a: 1"],
        bad=[Bad("b: 2", ("wrong",))],
        limits={"most": Limit(3, "m", "the most")},
        safety="Care.",
    )
    assert isinstance(made, Rule)
    assert (made.id, made.severity, made.family) == ("some-rule", Severity.NO_GO, "chain")
    assert (made.good, made.bad, made.limits["most"].default) == (("a: 1",), (Bad("b: 2", ("wrong",)),), 3)
    assert (made.source, made.waivable, made.safety) == ("common practice", True, "Care.")
    assert made.function is function


def test_the_id_is_the_last_part_of_the_module_name(make: Made) -> None:
    assert make("deep.inside.a_rule", quiet).id == "a-rule"


def test_an_unknown_family_is_refused_with_those_that_are_known(make: Made) -> None:
    with pytest.raises(ValueError, match="rule odd: family 'lights', expected one of files, power, chain") as caught:
        make("odd", quiet, family="lights")
    assert all(family in str(caught.value) for family in FAMILIES)


@pytest.mark.parametrize("severity", ["fatal", "NO_GO", ""])
def test_an_unknown_severity_is_refused(make: Made, severity: str) -> None:
    with pytest.raises(ValueError, match=f"severity '{severity}', expected one of no-go, caution, note"):
        make("odd", quiet, severity=severity)


def _takes_nothing() -> Any: ...


def _takes_more(rig: Any, most: float, least: float) -> Any: ...


def _takes_other(rig: Any, mots: float) -> Any: ...


def _takes_only_the_rig(rig: Any) -> Any: ...


def _takes_anything(*rig: Any) -> Any: ...


@pytest.mark.parametrize(
    ("function", "limits"),
    [
        (_takes_nothing, ()),
        (_takes_more, ("most",)),
        (_takes_more, ("least", "most")),
        (_takes_other, ("most",)),
        (_takes_only_the_rig, ("most",)),
        (_takes_more, ()),
    ],
)
def test_a_function_that_does_not_take_the_rig_and_the_limits_is_refused(
    make: Made, function: Any, limits: tuple[str, ...]
) -> None:
    with pytest.raises(TypeError, match=r"rule odd: the function takes \(.*\), expected the rig, then \["):
        make("odd", function, limits={name: Limit(1, "", "") for name in limits})


def test_all_of_the_documentation_must_be_said() -> None:
    from lint import rule

    with pytest.raises(TypeError, match="'do'"):
        rule(title="T", severity="note", family="chain", why="W")  # type: ignore[call-arg]


def test_the_example_rig_has_nothing_wrong_with_it() -> None:
    checked = check_example("")
    assert [finding.rule for finding in checked.findings] == ["phantom-while-patching"]


def test_an_example_that_does_not_fit_the_schema_is_refused() -> None:
    with pytest.raises(CannotReadError, match="`plugged_in` is not known here; did you mean 'plugged_into'"):
        check_example("sources: {lead-vocal: {plugged_in: west-box/in/2}}")
