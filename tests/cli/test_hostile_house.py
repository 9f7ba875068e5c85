"""A house by somebody hostile, opened by every command: nothing of it runs, forges what is shown, or leaves the house."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from lint.check.example import BASE
from lint.cli import app
from lint.cli.commands import COMMANDS

RAN = "the-rule-ran"
NAMES = [
    "<script>alert(1)</script>",
    "=HYPERLINK(1)",
    "@SUM(1)",
    "+1+1",
    "a\u200bb",
    "[x](javascript:1)",
    "| --- |",
]
WEEK = """\
rig_format: 1
extends: ../house.yaml
event: {name: %s, date: 2026-11-29}
crew: {lead: %s}
devices: {west-box: {label: %s, location: %s}}
cables: {trunk: {label: %s}}
sources: {choir: {label: %s, cable: %s}}
channels: {2: {label: %s}}
mixes: {singer-mon: {label: %s}}
destinations: {singer-wedge: {label: %s, location: %s}}
gear: {stands: {state: borrowed, what: %s, who: %s, note: %s}}
"""
RULE = f"""\
from pathlib import Path
Path({RAN!r}).write_text("")
"""
WEEKS, LIST = "hall/rigs/week.yaml", "list.csv"
ANSWERS = "g\n" * 200 + "q\n"
CALLS: dict[str, list[list[str]]] = {
    "demo": [["demo", "--into", "copy"]],
    "new": [
        ["new", "hall/rigs/listed.yaml", "--from-inputs", LIST],
        ["new", "hall/rigs/next.yaml", "--from", WEEKS, "--date", "2026-12-06"],
    ],
    "check": [["check", "hall"], *(["check", WEEKS, "--format", form] for form in ("text", "json", "sarif", "junit"))],
    "trace": [["trace", WEEKS, "choir"], ["trace", WEEKS, "west-box"], ["trace", WEEKS, "choir", "--format", "json"]],
    "whatif": [
        ["whatif", WEEKS, "order", "east-box", "west-box", "--write", "hall/rigs/turned.yaml"],
        ["whatif", WEEKS, "lose", "west-box", "--format", "json"],
    ],
    "spares": [["spares", WEEKS, "west-box", "--write", "hall/rigs/rescued.yaml"], ["spares", WEEKS, "west-box", "--format", "json"]],
    "walk": [["walk", WEEKS, "--by", NAMES[1] + "<b>", "--checklist", "short-walk"]],
    "hunt": [["hunt", WEEKS, "choir", "dead", "--by", NAMES[0], "--answers", "y" + "n" * 30], ["hunt", WEEKS, "singer-wedge", "--answers", "yy", "--format", "json"]],
    "history": [["history", "hall"], ["history", "hall", "1"], *(["history", "hall", "--format", form] for form in ("json", "csv"))],
    "handover": [["handover", WEEKS, "--since", "hall/house.yaml", "--format", form] for form in ("text", "markdown", "html", "json")],
    "sheet": [*(["sheet", WEEKS, "--format", form] for form in ("text", "markdown", "html")), ["sheet", WEEKS, "--only", "boxes", "--format", "csv"]],
    "picture": [["picture", WEEKS, what] for what in ("chain", "stage", "signals", "choir")],
    "rules": [["rules", "--house", "hall"], ["rules", "try", "--house", "hall"], ["rules", "explain", "evil", "--house", "hall"], ["rules", "facts", "sources", WEEKS]],
    "models": [["models", "hall"]],
    "schema": [["schema"]],
}  # fmt: skip
# Our own line breaks and colours may stand in what is printed; nothing else that moves a cursor, turns text or hides.
UNSEEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1a\x1c-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufffe]|\x1b(?!\\[[0-9]{1,2}m)"
)
TELLS_AS_IT_IS = ("json", "sarif")  # escaped where a program needs it


@pytest.fixture
def hall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder around a house whose free texts are hostile, with a Python rule that nobody trusts."""
    folder = tmp_path / "around"
    for name in ("rigs", "rules", "models", "checklists"):
        (folder / "hall" / name).mkdir(parents=True)
    names = tuple(json.dumps(NAMES[number % len(NAMES)]) for number in range(WEEK.count("%s")))
    (folder / "hall" / "house.yaml").write_text(BASE, encoding="utf-8")
    (folder / WEEKS).write_text(WEEK % names, encoding="utf-8")
    (folder / "hall" / "rules" / "evil.py").write_text(RULE, encoding="utf-8")
    rows = [f'{number},"{name}",dynamic' for number, name in enumerate(NAMES, start=10)]
    (folder / LIST).write_text("\n".join(["Channel,Name,Mic", *rows, "20,\x1b[2Jgone,dynamic"]), encoding="utf-8")
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return folder


def called(*words: str) -> Any:
    done = CliRunner().invoke(app, list(words), input=ANSWERS)
    assert not isinstance(done.exception, Exception), (words, done.exception)
    assert done.exit_code in (0, 1, 2), words
    return done


def test_every_command_is_tried() -> None:
    assert set(CALLS) == set(COMMANDS)


@pytest.mark.parametrize("command", CALLS)
def test_a_hostile_house_opened_by(hall: Path, command: str) -> None:
    before = {path for path in hall.parent.rglob("*") if path.is_file()}
    texts = {path: path.read_bytes() for path in before}
    for words in [*(CALLS["walk"] + CALLS["hunt"] if command in ("history", "handover") else []), *CALLS[command]]:
        done = called(*words)
        assert done.output
        if words[-1] not in TELLS_AS_IT_IS:
            assert not UNSEEN.search(done.output), (words, UNSEEN.search(done.output))
        if words[-1] == "html" or command == "picture":
            assert "<script>alert" not in done.output
        if words[-1] == "csv":
            hold_no_formula(done.output)
    assert not list(hall.rglob(RAN))
    assert {path: path.read_bytes() for path in before} == texts
    made = {path for path in hall.parent.rglob("*") if path.is_file()} - before
    assert all(path.is_relative_to(hall / "hall") or path.is_relative_to(hall / "copy") for path in made), made


def hold_no_formula(text: str) -> None:
    rows = list(csv.reader(io.StringIO(text)))
    assert len(rows) > 1
    cells = [cell for row in rows for cell in row if not re.fullmatch(r"[-+]?[0-9]+([.,][0-9]+)?", cell)]
    assert not [cell for cell in cells if re.match(r"\s*[=+\-@]", cell)]


@pytest.mark.parametrize(
    "words",
    [
        ["whatif", WEEKS, "lose", "west-box", "--write", "../out.yaml"],
        ["spares", WEEKS, "west-box", "--write", "hall/out.yaml"],
        ["whatif", WEEKS, "lose", "west-box", "--write", WEEKS],
        ["new", "hall/house.yaml", "--from", WEEKS, "--date", "2026-12-06"],
        ["handover", WEEKS, "--since", "hall/house.yaml", "--into", "hall/house.yaml", "--replace"],
    ],
)
def test_nothing_is_written_where_it_does_not_belong(hall: Path, words: list[str]) -> None:
    before = {path: path.read_bytes() for path in hall.parent.rglob("*") if path.is_file()}
    assert called(*words).exit_code == 2
    assert {path: path.read_bytes() for path in hall.parent.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize(
    ("file", "text"),
    [
        (WEEKS, "rig_format: 1\nextends: ../../list.csv\n"),
        (WEEKS, "rig_format: 1\nextends: /etc/passwd\n"),
        (WEEKS, "rig_format: 1\nextends: ../house.yaml\ndevices: {east-box: {model: ../../../secret}}\n"),
        ("hall/checklists/own.yaml", "checklist_format: 1\nextends: ../../secret\nphases: []\n"),
        ("hall/rules/own.yaml", "rule_format: 1\nrule: own\nbase: ../../secret.yaml\n"),
    ],
)
def test_no_name_in_a_file_reads_what_lies_outside_the_house(hall: Path, file: str, text: str) -> None:
    (hall / "secret.yaml").write_text("word: s3cr3t\n", encoding="utf-8")
    (hall / file).write_text(text, encoding="utf-8")
    done = called("walk", WEEKS, "--checklist", "own") if "checklists" in file else called("check", WEEKS)
    assert done.exit_code == (1 if "rules" in file else 2)
    assert "s3cr3t" not in done.output
    assert "root:" not in done.output
