"""What the check itself says is documented like the rules, and says what its documentation says."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from lint.check.catalogue import Catalogue, LoadFailure, load_catalogue
from lint.check.engine import Checked
from lint.check.own import OWN_RULES
from lint.check.rule import Rule
from lint.read.problem import CannotReadError
from lint.report.rules import catalogue_page, catalogue_text, rule_text
from lint.report.text import check_text

Made = Callable[..., Any]


def everything(check: Made, says: Made) -> Checked:
    """A check in which the check itself has every one of its say."""
    row = "{{rule: {}, about: {}, because: known, by: M. Okafor, until: 2026-12-06}}"
    own = row.format("light", "desk").replace("by:", "asked_by: M. Okafor, by:")
    long = row.format("long", "desk").replace("2026-12-06", "2099-12-31")
    waivers = ", ".join((row.format("grave", "desk"), row.format("grave", "nowhere"), own, long))
    idle = "rules: {grave: {because: as it is}}"
    fragment = f"sources: {{nobody: null}}\nwaivers: [{waivers}]\n{idle}"
    rules = (says("grave", "desk", waivable=False), says("light", "desk"), says("long", "desk"))
    return check(fragment, *rules, failures=[LoadFailure("house", "OSError: gone")])


def test_all_that_the_check_itself_says_is_documented_and_weighs_what_is_written(check: Made, says: Made) -> None:
    given = {
        finding.rule: finding
        for finding in everything(check, says).findings
        if finding.rule not in ("grave", "light", "long")
    }
    assert set(given) == set(OWN_RULES) - {"waivers-replaced", "rule-unproven"}  # these take files of a house
    for name, finding in given.items():
        assert (finding.weight, finding.family) == (OWN_RULES[name].severity, OWN_RULES[name].family)


def test_the_screen_says_what_to_do_about_each(check: Made, says: Made, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    checked = everything(check, says)
    text = " ".join(
        check_text(checked, Catalogue({name: says(name) for name in ("grave", "light", "long")}, ())).split()
    )
    for rule in (
        OWN_RULES[finding.rule] for finding in checked.findings if finding.rule not in ("grave", "light", "long")
    ):
        assert f" do {' '.join(rule.do.split())} rule {rule.id}" in text


@pytest.mark.parametrize("rule", OWN_RULES.values(), ids=OWN_RULES)
def test_each_is_listed_and_explained_beside_the_rules(rule: Rule) -> None:
    catalogue = load_catalogue()
    assert rule.title and rule.why and rule.do
    assert f"\n{rule.id} " in catalogue_text(catalogue)
    assert f"### {rule.id}\n\n**{rule.title}** ({rule.severity.value})" in catalogue_page(catalogue)
    assert rule_text(rule).startswith(f"{rule.id} ({rule.severity.value})\n{rule.title}\n")


def test_what_the_check_itself_says_cannot_be_set(check: Made, says: Made) -> None:
    fragment = "rules:\n  waiver-forbidden: {off: true, because: we know}"
    with pytest.raises(CannotReadError) as caught:
        check(fragment, says("calm"))
    assert [str(problem) for problem in caught.value.problems] == [
        "example.yaml:2:3: waiver-forbidden is what the check itself says, and can't be set; take it out"
    ]


def test_no_package_takes_the_name_of_one(packages: Any) -> None:
    packages.install(
        "sly",
        "from lint import hookimpl, rule\n"
        "def quiet(rig): return ()\n"
        "quiet.__module__ = 'waiver_forbidden'\n"
        "made = rule(title='T', severity='note', family='control', why='W', do='D')(quiet)\n"
        "@hookimpl\ndef rigwalk_rules(): return [made]\n",
    )
    catalogue = load_catalogue()
    assert [(failure.name, failure.reason) for failure in catalogue.failures] == [
        ("sly", "the rule id 'waiver-forbidden' is taken already")
    ]
    assert catalogue.documented["waiver-forbidden"] is OWN_RULES["waiver-forbidden"]
