"""Every report in JSON, as a command really prints it, by its schema; and `rigwalk schema`, which lists and prints them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from closed import closed
from jsonschema import Draft202012Validator
from typer.testing import CliRunner, Result

import lint
from lint.cli import app
from lint.facts.kinds import KINDS
from lint.read.schema import schema, schema_names

DEMO = Path(lint.__file__).parent / "demo"
CLEAN, FAULTY = "hall/rigs/clean-week.yaml", "hall/rigs/faulty-week.yaml"
CALLS = [
    ("check-report", ["check", CLEAN, FAULTY, "hall/rigs/none.yaml", "--format", "json"]),
    ("handover-report", ["handover", FAULTY, "--since", CLEAN, "--format", "json"]),
    ("whatif-report", ["whatif", CLEAN, "order", "east-box", "west-box", "loft-box", "--format", "json"]),
    ("whatif-report", ["whatif", CLEAN, "lose", "stage-right", "--format", "json"]),
    ("spares-report", ["spares", CLEAN, "east-box", "--format", "json"]),
    ("hunt-report", ["hunt", CLEAN, "lead-vocal", "--format", "json"]),
    ("hunt-report", ["hunt", CLEAN, "lead-vocal", "noise", "--answers", "ysnsy", "--format", "json"]),
    ("hunt-report", ["hunt", CLEAN, "lead-vocal", "--answers", "yyyyny", "--format", "json"]),
    (
        "hunt-report",
        ["hunt", FAULTY, "kick", "elsewhere", "--at", "singer-wedge", "--answers", "n", "--format", "json"],
    ),
    ("trace-report", ["trace", CLEAN, "lead-vocal", "--format", "json"]),
    ("trace-report", ["trace", FAULTY, "house-left", "--format", "json"]),
    ("trace-report", ["trace", CLEAN, "stage-right", "--downstream", "--format", "json"]),
    ("trace-report", ["trace", CLEAN, "lead-vocal", "--to", "singer-wedge", "--format", "json"]),
    ("history-report", ["history", "hall", "--format", "json"]),
    ("rules-report", ["rules", "--house", "hall", "--format", "json"]),
    ("rules-report", ["rules", "explain", "phantom-group", "--format", "json"]),
    ("models-report", ["models", "hall", "--format", "json"]),
    *(("facts-report", ["rules", "facts", kind, CLEAN, "--format", "json"]) for kind in KINDS),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo house, with a walk begun and a hunt that found its fault."""
    path = tmp_path_factory.mktemp("reports")
    shutil.copytree(DEMO, path / "hall", ignore=shutil.ignore_patterns("__pycache__", "*.py"))
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(path)
        call("walk", CLEAN, "--by", "R. Adeyemi", "--checklist", "short-walk", typed="y\nq\n")
        said = ["R. Adeyemi", *["walk it to the end"] * 30]
        call("handover", CLEAN, "--since", FAULTY, "--received-by", "M. Moss", typed="\n".join(said) + "\n")
        call("hunt", CLEAN, "lead-vocal", "dead", "--answers", "yyyyny", "--by", "T. Lindqvist")
    return path


def call(*arguments: str, typed: str = "") -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, list(arguments), input=typed)


@pytest.mark.parametrize(("name", "arguments"), CALLS)
def test_a_report_follows_its_schema(
    name: str, arguments: list[str], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    data = json.loads(call(*arguments).stdout)
    validator = Draft202012Validator(closed(name))
    assert [error.message for error in validator.iter_errors(data)] == []
    for key in data:  # and the schema says something: nothing of it may be missing or be something else
        assert list(validator.iter_errors({other: value for other, value in data.items() if other != key}))
        assert list(validator.iter_errors({**data, key: ["nonsense", 1.5]}))


def test_the_reports_hold_something(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder)
    past = json.loads(call("history", "hall", "--format", "json").stdout)
    assert past["walks"]
    assert past["walks"][0]["entries"]
    (received,) = past["received"]
    assert (received["kind"], received["body"]["by"], received["body"]["given_by"]) == (
        "received",
        "M. Moss",
        "R. Adeyemi",
    )
    assert [set(row) for row in received["body"]["read_back"]] == [{"point", "said"}] * len(
        received["body"]["read_back"]
    )
    assert received["body"]["read_back"][0]["said"] == "walk it to the end"
    assert json.loads(call("history", "hall", "1", "--format", "json").stdout)["received"] == []
    handed = json.loads(call("handover", FAULTY, "--since", CLEAN, "--format", "json").stdout)
    assert [row["about"] for row in handed["hunts"]] == ["lead-vocal"]
    plan = json.loads(call(*CALLS[2][1]).stdout)
    assert plan["cures"]
    assert plan["cures"][0]["moves"] or plan["cures"][1]["moves"]


def test_every_report_has_a_schema_that_is_listed_and_printed() -> None:
    names = {name for name, _ in CALLS}
    assert names == {name for name in schema_names() if name.endswith("-report")}
    listed = call("schema", "--list").stdout
    for name in schema_names():
        assert f"\n{name} " in f"\n{listed}"
        if name != "rig":
            assert json.loads(call("schema", name).stdout) == schema(name)
        Draft202012Validator.check_schema(schema(name))
    wrong = call("schema", "handover")
    assert wrong.exit_code == 2
    assert "did you mean" in wrong.output
