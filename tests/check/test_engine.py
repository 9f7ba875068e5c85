"""The engine: settings, limits, one cause one finding, the order of telling, and rules that break."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest

import lint
from lint.check.catalogue import LoadFailure
from lint.check.engine import Checked
from lint.check.finding import Finding, Severity, Verdict, verdict_of
from lint.check.rule import FAMILIES, Limit
from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Place

Made = Callable[..., Any]


def told(checked: Checked) -> list[tuple[str, str, str]]:
    return [(finding.rule, finding.about, finding.weight.value) for finding in checked.findings]


def refused(check: Made, fragment: str, *rules: Any) -> list[str]:
    with pytest.raises(CannotReadError) as caught:
        check(fragment, *rules)
    return [str(problem) for problem in caught.value.problems]


# -- verdict ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("severities", "verdict"),
    [
        ((), Verdict.GO),
        (("note",), Verdict.GO),
        (("note", "caution"), Verdict.GO_WITH_CAUTIONS),
        (("note", "caution", "no-go"), Verdict.NO_GO),
    ],
)
def test_the_heaviest_standing_finding_decides(
    check: Made, says: Made, severities: tuple[str, ...], verdict: Verdict
) -> None:
    rules = [says(f"rule-{severity}", "desk", severity=severity) for severity in severities]
    assert check("", *rules).verdict is verdict


def test_a_finding_that_nobody_has_stamped_counts_as_no_go() -> None:
    assert verdict_of([Finding("unstamped", (Place("a.yaml", 1, 1, "desk"),))]) is Verdict.NO_GO


# -- settings --------------------------------------------------------------------------------------------------


def test_a_rules_own_severity_is_stamped_and_a_finding_may_differ(check: Made, make: Made) -> None:
    def function(rig: ResolvedRig) -> Iterator[Finding]:
        place = rig.rig.place(("devices",), "desk")
        yield Finding("as the rule", (place,))
        yield Finding("lighter", (place,), severity=Severity.NOTE)

    checked = check("", make("two-weights", function, severity="no-go"))
    assert [(f.message, f.weight.value, f.family) for f in checked.findings] == [
        ("as the rule", "no-go", "patch"),
        ("lighter", "note", "patch"),
    ]


@pytest.mark.parametrize("severity", ["no-go", "caution", "note"])
def test_a_house_sets_the_severity_of_all_that_a_rule_says(check: Made, make: Made, severity: str) -> None:
    def function(rig: ResolvedRig) -> Iterator[Finding]:
        place = rig.rig.place(("devices",), "desk")
        yield Finding("as the rule", (place,))
        yield Finding("its own", (place,), severity=Severity.NO_GO)

    fragment = f"rules: {{weighs: {{severity: {severity}, because: we say so}}}}"
    checked = check(fragment, make("weighs", function))
    assert [finding.weight.value for finding in checked.findings] == [severity, severity]


def test_a_rule_that_is_off_does_not_run_and_is_told_as_unchecked(check: Made, says: Made) -> None:
    fragment = "rules: {loud: {off: true, because: we have no loft}}"
    checked = check(fragment, says("loud", "desk", severity="no-go"), says("quiet", "desk"))
    assert told(checked) == [("quiet", "desk", "caution")]
    assert [(setting.rule, setting.because) for setting in checked.switched_off] == [("loud", "we have no loft")]


@pytest.mark.parametrize("setting", ["{off: true}", "{severity: note}", "{limits: {most: 2}}"])
def test_a_setting_without_a_reason_is_refused(check: Made, says: Made, setting: str) -> None:
    (problem,) = refused(check, f"rules: {{loud: {setting}}}", says("loud"))
    assert "`because` is missing" in problem


def test_a_limit_has_its_default_until_the_house_sets_it(check: Made, make: Made) -> None:
    def function(rig: ResolvedRig, most: float, least: float) -> Iterator[Finding]:
        yield Finding(f"{least:g} to {most:g}", (rig.rig.place(("devices",), "desk"),))

    limits = {"most": Limit(10, "dB", "the most"), "least": Limit(-3, "dB", "the least")}
    rule = make("limited", function, limits=limits)
    (plain,) = check("", rule).findings
    (house,) = check("rules: {limited: {limits: {most: 12.5}, because: a loud house}}", rule).findings
    assert (plain.message, house.message) == ("-3 to 10", "-3 to 12.5")


def test_a_setting_of_a_rule_that_does_not_exist_names_the_nearest(check: Made, says: Made) -> None:
    fragment = "rules:\n  socket-shred: {off: true, because: we share}"
    (problem,) = refused(check, fragment, says("socket-shared", "desk"))
    assert problem == "example.yaml:2:3: rules: no rule is called 'socket-shred'; did you mean 'socket-shared'?"


def test_a_limit_that_does_not_exist_names_the_nearest(check: Made, make: Made) -> None:
    def function(_rig: ResolvedRig, caution_share: float) -> Iterable[Finding]:  # noqa: ARG001
        return ()

    rule = make("cable-length", function, limits={"caution_share": Limit(0.9, "", "share")})
    fragment = "rules: {cable-length: {limits: {caution_sare: 0.8}, because: hot roof}}"
    (problem,) = refused(check, fragment, rule)
    assert problem == (
        "example.yaml:1:33: the rule cable-length has no limit 'caution_sare'; did you mean 'caution_share'?"
    )


def test_all_unknown_names_are_told_in_one_go(check: Made, says: Made) -> None:
    fragment = (
        "rules:\n  aaa: {off: true, because: x}\n  bbb: {off: true, because: x}\n"
        "waivers:\n  - {rule: ccc, about: desk, because: x, by: x, until: 2026-12-01}"
    )
    problems = refused(check, fragment, says("zzzz"))
    assert [problem.split(":")[1] for problem in problems] == ["2", "3", "5"]


def test_unknown_names_are_let_be_where_a_package_failed_to_load(check: Made, says: Made) -> None:
    # The rule may well be in that package; its failure is a no-go in any case.
    fragment = (
        "rules: {house-own: {off: true, because: x}}\n"
        "waivers: [{rule: house-other, about: desk, because: x, by: x, until: 2026-12-01}]"
    )
    checked = check(fragment, says("calm"), failures=[LoadFailure("house", "ImportError: no")])
    assert told(checked) == [("rule-failed", "rules/house", "no-go"), ("waiver-unused", "desk", "note")]


# -- one cause, one finding ------------------------------------------------------------------------------------


def test_what_another_finding_explains_is_not_told(check: Made, says: Made) -> None:
    cause = says("cause", "west-box", explains=[("effect", "desk/channel/1"), ("effect", "desk/channel/2")])
    effect = says("effect", "desk/channel/1", "desk/channel/2", "desk/channel/3")
    for order in ((cause, effect), (effect, cause)):
        assert told(check("", *order)) == [("effect", "desk/channel/3", "caution"), ("cause", "west-box", "caution")]


@pytest.mark.parametrize("severity", ["note", "caution"])
def test_a_rule_of_others_leaves_out_nothing_that_is_heavier(check: Made, says: Made, severity: str) -> None:
    cause = says("cause", "west-box", explains=[("effect", "desk")], severity=severity)
    checked = check("", cause, says("effect", "desk", severity="no-go"))
    assert told(checked) == [("effect", "desk", "no-go"), ("cause", "west-box", severity)]
    assert checked.verdict is Verdict.NO_GO


def test_a_rule_of_others_leaves_out_nothing_that_guards_people(check: Made, says: Made) -> None:
    cause = says("cause", "west-box", explains=[("effect", "desk")], severity="no-go", guards_people=True)
    effect = says("effect", "desk", severity="no-go", guards_people=True)
    assert sorted(told(check("", cause, effect))) == [("cause", "west-box", "no-go"), ("effect", "desk", "no-go")]


def test_a_finding_never_explains_findings_of_its_own_rule(check: Made, says: Made) -> None:
    rule = says("selfish", "desk", "west-box", explains=[("selfish", "desk"), ("selfish", "west-box")])
    assert told(check("", rule)) == [("selfish", "desk", "caution"), ("selfish", "west-box", "caution")]


def test_an_explanation_of_what_is_not_there_does_nothing(check: Made, says: Made) -> None:
    rule = says("cause", "west-box", explains=[("effect", "desk"), ("nothing", "nowhere")])
    assert told(check("", rule, says("effect", "west-box"))) == [
        ("cause", "west-box", "caution"),
        ("effect", "west-box", "caution"),
    ]


def test_what_an_explained_finding_explains_is_not_told_either(check: Made, says: Made) -> None:
    rules = [
        says("first", "desk", explains=[("second", "desk")]),
        says("second", "desk", explains=[("third", "desk")]),
        says("third", "desk"),
    ]
    assert told(check("", *rules)) == told(check("", *reversed(rules))) == [("first", "desk", "caution")]


def test_findings_that_explain_each_other_do_not_all_vanish(check: Made, says: Made) -> None:
    rules = [
        says("one", "desk", explains=[("two", "desk")], severity="no-go"),
        says("two", "desk", explains=[("three", "desk")], severity="no-go"),
        says("three", "desk", explains=[("one", "desk")], severity="no-go"),
    ]
    checked = check("", *rules)
    assert told(checked) == [("one", "desk", "no-go")]
    assert checked.verdict is Verdict.NO_GO


# -- order -----------------------------------------------------------------------------------------------------


def test_findings_are_told_by_severity_then_along_the_signal_then_by_number(check: Made, says: Made) -> None:
    rules = [
        says("note-early", "desk", family="chain", severity="note"),
        *(says(f"go-{family}", "desk", family=family, severity="no-go") for family in reversed(FAMILIES)),
        says("numbers", "desk/channel/10", "desk/channel/9", "desk/channel/2", "east-box", severity="caution"),
        says("another", "desk/channel/9", severity="caution"),
    ]
    assert [(rule, about) for rule, about, _ in told(check("", *rules))] == [
        *((f"go-{family}", "desk") for family in FAMILIES),
        ("numbers", "desk/channel/2"),
        ("another", "desk/channel/9"),
        ("numbers", "desk/channel/9"),
        ("numbers", "desk/channel/10"),
        ("numbers", "east-box"),
        ("note-early", "desk"),
    ]


def test_the_order_does_not_hang_on_the_order_of_the_rules(check: Made, says: Made) -> None:
    rules = [says(f"rule-{index}", f"desk/channel/{12 - index}", "desk") for index in range(12)]
    assert told(check("", *rules)) == told(check("", *reversed(rules)))


def test_a_null_that_removes_nothing_is_a_note(check: Made) -> None:
    (finding,) = check("sources:\n  lead-vocals: null").findings
    assert (finding.rule, finding.weight.value, finding.places[0].line) == ("removal-idle", "note", 2)
    assert "did you mean 'lead-vocal'?" in finding.message


# -- rules that break ------------------------------------------------------------------------------------------


def test_a_rule_that_breaks_midway_keeps_what_it_found(check: Made, make: Made, says: Made) -> None:
    def function(rig: ResolvedRig) -> Iterator[Finding]:
        yield Finding("found before", (rig.rig.place(("devices",), "desk"),))
        raise KeyError("no-such-box")

    checked = check("", make("breaks", function), says("other", "west-box"))
    assert told(checked) == [
        ("rule-failed", "rules/breaks", "no-go"),
        ("breaks", "desk", "caution"),
        ("other", "west-box", "caution"),
    ]
    assert checked.verdict is Verdict.NO_GO
    message = checked.findings[0].message
    assert message.startswith("the rule breaks failed, so what it checks was not checked: KeyError: 'no-such-box' (")
    assert "test_engine.py:" in message


def _gives_nothing(_rig: ResolvedRig) -> Any:
    return None


def _gives_text(_rig: ResolvedRig) -> Any:
    yield "desk is wrong"


def _gives_no_place(_rig: ResolvedRig) -> Any:
    yield Finding("nowhere", ())


def _gives_a_message_that_is_no_text(rig: ResolvedRig) -> Any:
    yield Finding(None, (rig.rig.place(("devices",), "desk"),))  # type: ignore[arg-type]


def _gives_a_place_that_is_none(_rig: ResolvedRig) -> Any:
    yield Finding("desk is wrong", ("desk",))  # type: ignore[arg-type]


def _gives_a_cure_that_is_none(rig: ResolvedRig) -> Any:
    yield Finding("desk is wrong", (rig.rig.place(("devices",), "desk"),), ("move it",))  # type: ignore[arg-type]


def _gives_a_fact_that_is_no_number(rig: ResolvedRig) -> Any:
    yield Finding("desk is wrong", (rig.rig.place(("devices",), "desk"),), facts={"sockets": [1, 2]})  # type: ignore


def _gives_a_text_as_members(rig: ResolvedRig) -> Any:
    yield Finding("desk is wrong", (rig.rig.place(("devices",), "desk"),), members="desk")  # type: ignore[arg-type]


def _forges_a_screen(rig: ResolvedRig) -> Any:
    yield Finding("desk\x1b[2J all is go", (rig.rig.place(("devices",), "desk"),))


def _fails_with_a_forged_screen(_rig: ResolvedRig) -> Any:
    raise ValueError("\x1b[2J all is go")


def _ends_the_program(_rig: ResolvedRig) -> Any:
    raise SystemExit(0)


def _goes_round(rig: ResolvedRig) -> Any:
    return _goes_round(rig)


@pytest.mark.parametrize(
    ("function", "says_why"),
    [
        (_gives_nothing, "TypeError: 'NoneType' object is not iterable"),
        (_gives_text, "TypeError: yielded 'desk is wrong', expected a Finding with at least one place"),
        (_gives_no_place, "expected a Finding with at least one place"),
        (_gives_a_message_that_is_no_text, "yielded a finding with None in it"),
        (_gives_a_place_that_is_none, "yielded a finding with 'desk' in it"),
        (_gives_a_cure_that_is_none, "yielded a finding with 'move it' in it"),
        (_gives_a_fact_that_is_no_number, "yielded a finding with [1, 2] in it"),
        (_gives_a_text_as_members, "yielded a finding with 'desk' in it"),
        (_forges_a_screen, "yielded a finding with 'desk\\x1b[2J all is go' in it, which could forge a screen"),
        (_fails_with_a_forged_screen, "ValueError: \ufffd[2J all is go"),
        (_ends_the_program, "SystemExit: 0"),
        (_goes_round, "RecursionError"),
    ],
)
def test_a_rule_that_gives_nonsense_is_told_as_failed(
    check: Made, make: Made, says: Made, function: Any, says_why: str
) -> None:
    checked = check("", make("nonsense", function), says("other", "desk"))
    assert told(checked) == [("rule-failed", "rules/nonsense", "no-go"), ("other", "desk", "caution")]
    assert says_why in checked.findings[0].message


def test_a_broken_rule_is_not_made_harmless_by_a_setting(check: Made, make: Made) -> None:
    fragment = "rules: {nonsense: {severity: note, because: it is new}}"
    checked = check(fragment, make("nonsense", _gives_text))
    assert told(checked) == [("rule-failed", "rules/nonsense", "no-go")]


def test_switching_a_broken_rule_off_is_the_way_out(check: Made, make: Made) -> None:
    checked = check("rules: {nonsense: {off: true, because: its author mends it}}", make("nonsense", _gives_text))
    assert told(checked) == []
    assert [setting.rule for setting in checked.switched_off] == ["nonsense"]


def test_without_a_catalogue_a_rig_is_checked_by_the_rules_of_its_house_too(tmp_path: Path) -> None:
    house = tmp_path / "house"
    shutil.copytree(Path(str(lint.__file__)).parent / "demo", house)
    path = house / "rigs" / "faulty-week.yaml"
    by_file, by_rig = lint.check_file(path), lint.check_rig(lint.resolve_rig(lint.load_rig(path)))
    assert "choir-in-the-gallery" in by_rig.catalogue.rules
    assert by_file.findings == by_rig.findings
