"""Slips in a rule file: each is told at its place, with what was meant; every other rule runs."""

from __future__ import annotations

from typing import Any

import pytest

from lint.check.engine import check_file
from lint.report.junit import check_junit, rig_suite


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("for_each: source\nexpect: {id: x}", "7:11: for_each: found 'source', expected sources, channels, mixes, "),
        ("for_each: sources", "1:1: `expect` is missing (what must hold for each row; or `at_most` or `at_least`)"),
        ("expect: {box: x}", "1:1: `for_each` is missing (the rows that it looks at: sources, channels, mixes, "),
        (
            "for_each: sources\npairs_of: sources\nexpect: {box: x}",
            "8:1: both `for_each` and `pairs_of` stand here; keep one",
        ),
        ("for_each: sources\nexpect: {bax: x}", "8:10: expect: `bax` is not known here; did you mean 'box'?"),
        ("for_each: sources\nexpect: {label: 3}", "8:17: expect/label: found 3, expected text, a list"),
        (
            "for_each: sources\nexpect: {kind: condensor-microphone}",
            "8:16: expect/kind: found 'condensor-microphone', expected dynamic-microphone, condenser-microphone, ",
        ),
        ("for_each: sources\nexpect: {gain_db: {at_mots: 3}}", "`at_mots` is not known here; did you mean 'at_most'?"),
        ("for_each: sources\nexpect: {gain_db: {at_most: high}}", "8:29: expect/gain_db/at_most: found 'high', "),
        ("for_each: sources\nexpect: {needs_phantom: 'yes'}", "found 'yes', expected true or false"),
        ("for_each: sources\nexpect: {mixes: house}", "8:17: expect/mixes: found 'house', expected a map such as {has: "),
        ("for_each: sources\nexpect: {mixes: {count: two}}", "found 'two', expected a whole number, or a map such as"),
        ("for_each: sources\nexpect: {}", "expected at least 1 entries"),
        ("for_each: sources\nexpect: {box: []}", "expected at least 1 of them"),
        ("for_each: sources\nexpect: {box: west-box}\nat_most: 3", "9:1: `expect` and `at_most` both stand here"),
        ("pairs_of: sources\nat_most: 3", "7:1: pairs can't be counted; use `for_each`"),
        ("for_each: sources\nat_most: 3 per bax", "8:10: at_most: sources have no fact 'bax'; did you mean 'box'?"),
        ("for_each: sources\nat_most: few", "8:10: at_most: found 'few', expected a whole number, or such as 8 per box"),
        ("for_each: sources\nat_most: -1", "at_most: found -1, expected at least 0"),
        ("pairs_of: sources\nexpect: {alike: bax}", "found 'bax', expected id, label, kind, "),
        ("pairs_of: sources\nexpect: {box: west-box}", "8:10: expect: `box` is not known here"),
        (
            "for_each: sources\nexpect: {box: west-box}\nmessage: '{idd} is wrong'",
            "9:10: message: there is no fact {idd} here; did you mean 'id'?",
        ),
        ("for_each: sources\nexpect: {box: x}\nmessage: 'a { b'", "message: a brace { or } stands alone"),
        ("for_each: sources\nexpect: {box: x}\nmessage: '{id.__class__}'", "there is no fact {id.__class__} here"),
        ("for_each: sources\nat_most: 3\nmessage: '{box}'", "there is no fact {box} here; known here: count, ids"),
        ("pairs_of: sources\nexpect: {alike: box}\nmessage: '{id}'", "there is no fact {id} here; did you mean"),
        (
            "for_each: sources\nexpect: {box: {schema: {type: strin}}}",
            "8:25: schema: this is not what `type` takes in JSON Schema",
        ),
        ("for_each: sources\nexpect: {schema: {propertys: {}}}", "`propertys` is not a keyword of JSON Schema; did you mean"),
        ("for_each: sources\nexpect: {box: {schema: {$ref: 'http://x/y'}}}", "expected a reference within this schema"),
        ("for_each: sources\nexpect: {box: {schema: {$ref: '#/$defs/a'}}}", "there is nothing at #/$defs/a in this schema"),
        (
            "for_each: sources\nexpect: {box: {schema: {$ref: '#/$defs/a', $defs: {a: {not: {$ref: '#/$defs/a'}}}}}}",
            "#/$defs/a refers to itself",
        ),
        ("for_each: sources\nexpect: {box: {schema: {pattern: '(a+)+$'}}}", "groups and alternatives ( ) | can't be used"),
        ("for_each: sources\nexpect: {schema: {patternProperties: {}}}", "`patternProperties` can't be used in a house rule"),
        ("for_each: sources\nexpect: {box: x}\nwhen: now", "9:1: `when` is not known here"),
        ("for_each: sources\nexpect: {box: x}\nseverity: bad", "found 'bad', expected no-go, caution or note"),
    ],
)  # fmt: skip
def test_a_slip_is_told_where_it_stands(house: Any, body: str, told: str) -> None:
    house.rule(body)
    problems = house.problems()
    assert any(told in problem for problem in problems), problems
    finding = next(one for one in house.check().findings if one.rule == "rule-failed")
    assert finding.weight.value == "no-go"
    assert finding.about == "rules/own-rule"
    assert finding.message.startswith("the house rule own-rule can't be used, so what it checks was not checked: ")
    assert finding.places[0].file.endswith("rules/own-rule.yaml")
    assert finding.places[0].line >= 1


def test_all_slips_of_a_file_are_told_at_once(house: Any) -> None:
    house.rule("for_each: sources\nwhere: {grup: choir, kind: mike}\nexpect: {bax: x}")
    assert len(house.problems()) == 3


@pytest.mark.parametrize("key", ["title", "because", "do", "rule_format", "rule"])
def test_what_must_be_there_is_named(house: Any, key: str) -> None:
    path = house.rule("for_each: sources\nexpect: {box: x}")
    lines = [line for line in path.read_text().splitlines() if not line.startswith(f"{key}:")]
    path.write_text("\n".join(lines), encoding="utf-8")
    (problem,) = house.problems()
    assert problem.startswith(f"1:1: `{key}` is missing (")


def test_the_name_is_that_of_the_file(house: Any) -> None:
    house.rule("for_each: sources\nexpect: {box: x}").rename(house.folder / "rules" / "other-name.yaml")
    (problem,) = house.problems("other-name.yaml")
    assert problem == "2:7: rule: found 'own-rule', but the file is other-name.yaml; name them alike"


@pytest.mark.parametrize(
    "content", [b"", b"\xff\xfe\x00", b"- a list\n", b"{", b"a: [1, 2\n", b"\x00", b"a: *nothing\n", b"[" * 200]
)
def test_a_file_that_is_no_rule_at_all_hides_no_other(house: Any, content: bytes) -> None:
    (house.folder / "rules" / "broken.yaml").write_bytes(content)
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}")
    found = [(finding.rule, finding.about) for finding in house.check().findings]
    assert found == [("rule-failed", "rules/broken"), ("own-rule", "piano")]


def test_two_rules_of_one_name_are_told_and_the_first_stays(house: Any) -> None:
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}")
    house.python("own_rule", "def check(rig):\n    return []\n")
    findings = house.check().findings
    failure = next(finding for finding in findings if finding.rule == "rule-failed")
    first, second = sorted(("own-rule.yaml", "own_rule.py"))
    assert failure.places[0].file.endswith(second)
    assert f"its name is taken already, by {house.folder}/rules/{first}" in failure.message


def test_a_setting_of_a_rule_that_failed_is_not_called_unknown(house: Any) -> None:
    house.rule("for_each: nothing\nexpect: {}")
    house.rig("rules: {own-rule: {severity: note, because: we say so}}")
    assert {finding.rule for finding in house.check().findings} == {"rule-failed"}


def test_a_setting_of_a_rule_that_is_not_there_is_an_error_even_where_another_rule_failed(house: Any) -> None:
    from lint.read.problem import CannotReadError

    house.rule("for_each: nothing\nexpect: {}")
    house.rig("rules: {own-rul: {severity: note, because: we say so}}")
    with pytest.raises(CannotReadError, match="no rule is called 'own-rul'; did you mean 'own-rule'"):
        house.check()


def test_a_defect_of_ours_in_reading_one_file_hides_no_other(house: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from lint.house import load

    house.rule("for_each: sources\nexpect: {box: x}", "broken")
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}")
    whole = load.load_rule

    def sometimes(path: Any, trust: Any) -> Any:
        if path.stem == "broken":
            raise RecursionError("too deep")
        return whole(path, trust)

    monkeypatch.setattr(load, "load_rule", sometimes)
    found = [(finding.rule, finding.about) for finding in house.check().findings]
    assert found == [("rule-failed", "rules/broken"), ("own-rule", "piano")]


@pytest.mark.parametrize("kind", ["broken YAML", "broken Python", "not trusted"])
def test_a_house_rule_that_cannot_be_used_and_is_off_is_told_as_off_and_no_more(
    house: Any, tmp_path: Any, kind: str
) -> None:
    ran = tmp_path / "ran"
    if kind == "broken YAML":
        house.rule("for_each: sauces\nexpect: {box: west-box}")
    else:
        house.python("own_rule", f"open({str(ran)!r}, 'w')\n1 / 0\n", trusted=kind == "broken Python")
    assert house.check().verdict.value == "no-go"
    house.rig("rules: {own-rule: {off: true, because: R. Adeyemi mends it next week}}")
    checked = house.check()
    assert (checked.findings, checked.verdict.value) == ((), "go")
    assert [(row.rule, row.because) for row in checked.switched_off] == [("own-rule", "R. Adeyemi mends it next week")]
    assert ran.exists() == (kind == "broken Python")
    assert "off in this house: R. Adeyemi mends it next week" in check_junit([rig_suite(checked)], [])


def test_switching_off_a_rule_does_not_hide_a_file_that_takes_its_name(house: Any) -> None:
    house.rule("for_each: sources\nexpect: {box: west-box}")
    (house.folder / "rules" / "own-rule.yml").write_text((house.folder / "rules" / "own-rule.yaml").read_text())
    house.rig("rules: {own-rule: {off: true, because: x}}")
    assert ["its name is taken already" in finding.message for finding in house.check().findings] == [True]


def test_a_rule_that_is_not_trusted_says_how_to_trust_it_and_not_to_ask_its_author(house: Any) -> None:
    house.python("own_rule", "1 / 0\n", trusted=False)
    (finding,) = house.check().findings
    assert finding.cures[0].text.startswith(
        "Read it, or have it read by one who can, and if it does only what you want,"
    )


@pytest.mark.parametrize(
    ("written", "where"),
    [
        ("rules: {xylophone: {off: true, because: x}}", "rules"),
        ("waivers: [{rule: xylophone, about: desk, because: x, by: A. B., until: 2026-12-01}]", "waivers"),
    ],
)
def test_a_setting_for_a_rule_whose_file_is_gone_says_what_may_be_missing(house: Any, written: str, where: str) -> None:
    from lint.read.problem import CannotReadError

    house.rig(written)
    with pytest.raises(CannotReadError) as caught:
        check_file(house.folder / "rigs" / "sunday.yaml")
    (problem,) = caught.value.problems
    assert problem.message == (
        f"{where}: no rule is called 'xylophone'; a package of rules, or a file in the house's folder rules/, may be "
        "missing: put it back, or take this out, and the check runs without that rule"
    )


def test_a_yaml_rule_that_finds_too_much_is_one_failure_and_none_of_its_findings(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    house.rule("for_each: sources\nexpect: {box: moon}")
    assert len(house.found()) == 3
    monkeypatch.setattr("lint.house.budget.MAX_FINDINGS", 2)
    (finding,) = house.check().findings
    assert "was not checked: TooLongError: it finds more than 2 faults; narrow it with `where`" in finding.message


def test_a_message_of_many_long_values_is_cut(house: Any) -> None:
    house.rig(f"sources: {{piano: {{label: {'m' * 190}}}}}")
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: moon}\nmessage: '" + "{label}" * 50 + "'")
    assert house.messages() == ["m" * 1_997 + "..."]


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("for_each: sources\nwhere: {box: {not: null}}\nat_most: 8 per boxes", "have no fact 'boxes'; did you mean 'box'?"),
        ("for_each: sources\nat_most: 8 per qqqq", "have no fact 'qqqq'; known here: id, label, kind"),
        (
            "for_each: sources\nexpect: {id: {schema: {pattern: 'a{2,99999999}'}}}",
            "{2,99999999} is too large; a letter of a pattern may stand 400 times at most",
        ),
        ("for_each: sources\nexpect: {box: x}\nmessage: {id} is on {box}", "9:15: message: put the message in quotes"),
        ("for_each: sources\nexpect: {box: x}\nmessage: {id}", "9:11: message: put the message in quotes"),
        ("for_each: sources\nexpect: {box: x}\nmessage: wrong: {id}", "9:15: message: put the message in quotes"),
    ],
)  # fmt: skip
def test_a_slip_is_told_in_the_words_of_a_rule_file(house: Any, body: str, told: str) -> None:
    house.rule(body)
    (problem,) = house.problems()
    assert told in problem


def test_an_empty_rule_file_and_a_list_say_what_a_rule_file_begins_with(house: Any) -> None:
    for text in ("", "- a\n"):
        house.file("own-rule.yaml", text)
        (problem,) = house.problems()
        assert "expected a map such as `rule_format: 1`" in problem


def test_a_name_must_begin_with_a_letter_and_the_message_says_so(house: Any) -> None:
    house.rule("for_each: sources\nexpect: {box: x}", "2-spare")
    assert "hyphens, a letter first, such as" in house.problems("2-spare.yaml")[0]
