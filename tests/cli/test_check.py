"""`rigwalk check`: verdict lines, exit statuses, JSON by its schema, and how it looks on a terminal and in a pipe."""

from __future__ import annotations

import json
import os
import re
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pexpect
import pytest
from closed import closed
from jsonschema import Draft202012Validator
from typer.testing import CliRunner, Result

from lint.cli import app

ROOT = Path(__file__).parents[2]
CLEAN, FAULTY = "hall/rigs/clean-week.yaml", "hall/rigs/faulty-week.yaml"
# What was done wrong in the faulty week, by the rule that must say so, and about what. Each once: one cause, one finding.
FAULTS = {
    ("stream-without-talkback", "stream", "no-go"),
    ("chain-input-from-downstream", "loft-box", "no-go"),
    ("bank-clash", "east-box", "no-go"),
    ("patch-carries-other", "desk/channel/10", "no-go"),
    ("phantom-unbalanced", "bass", "no-go"),
    ("phantom-missing", "violin", "no-go"),
    ("monitor-to-house", "foyer", "no-go"),
    ("link-cable-kind", "crossing", "caution"),
    ("source-unheard", "clarinet", "caution"),
    ("stereo-crossed", "piano", "caution"),
    ("phantom-on-ribbon", "trumpet", "caution"),
    ("phantom-while-patching", "desk", "note"),
}
Run = Callable[..., Any]


def check(*arguments: str) -> Result:
    return CliRunner().invoke(app, ["check", *arguments])


def report(*arguments: str) -> tuple[int, dict[str, Any]]:
    done = check("--format", "json", *arguments)
    loaded: dict[str, Any] = json.loads(done.stdout)
    Draft202012Validator(closed("check-report")).validate(loaded)
    return done.exit_code, loaded


def last_line(text: str) -> str:
    return text.rstrip().splitlines()[-1]


# -- the demo weeks --------------------------------------------------------------------------------------------


def test_the_clean_week_is_go_with_one_note(house: Path) -> None:  # noqa: ARG001
    done = check(CLEAN)
    assert done.exit_code == 0
    assert last_line(done.stdout) == "GO (1 note)"
    assert re.findall(r"^    rule   (\S+)$", done.stdout, re.MULTILINE) == ["phantom-while-patching"]
    assert done.stdout.startswith(f"{CLEAN} — Sunday gathering, 2026-11-29\n36 sources, 38 channels, ")


def test_the_faulty_week_is_no_go_with_every_fault_once(house: Path) -> None:  # noqa: ARG001
    status, told = report(FAULTY)
    assert status == 1
    (rig,) = told["rigs"]
    assert rig["verdict"] == "no-go"
    found = [(row["rule"], row["places"][0]["address"], row["severity"]) for row in rig["findings"]]
    assert Counter(found) == Counter(FAULTS)
    assert last_line(check(FAULTY).stdout) == "NO-GO (7 no-go, 4 cautions, 1 note)"


def test_the_text_tells_the_findings_of_the_json_in_its_order(house: Path) -> None:  # noqa: ARG001
    _, told = report(FAULTY)
    text = check(FAULTY).stdout
    flat = " ".join(text.split())
    places = [flat.index(" ".join(row["message"].split())) for row in told["rigs"][0]["findings"]]
    assert places == sorted(places)
    for row in told["rigs"][0]["findings"]:
        assert f"rule   {row['rule']}" in text
        assert all(" ".join(cure.split()) in flat for cure in row["cures"])


def test_every_no_go_and_caution_of_the_faulty_week_says_where_why_and_what_to_do(house: Path) -> None:  # noqa: ARG001
    text = check(FAULTY).stdout
    blocks = [block for block in text.split("\n\n") if "\n    rule   " in block]
    assert len(blocks) == len(FAULTS)
    for block in blocks:
        assert re.search(r"^    where  hall/(house|rigs/faulty-week)\.yaml:\d+:\d+ \(\S+\)$", block, re.MULTILINE)
        assert re.search(r"^    do     \S", block, re.MULTILINE)
        assert re.search(r"^    why    \S", block, re.MULTILINE) or "phantom-while-patching" in block


def test_what_the_rig_does_not_speak_of_is_told_before_the_verdict_in_text_as_in_json(tmp_path: Path) -> None:
    path = tmp_path / "small.yaml"
    path.write_text("rig_format: 1\ndevices: {desk: {model: console-16}}\ncrew: {lead: A. Person}\n", encoding="utf-8")
    _, told = report(str(path))
    silent = [(row["section"], row["what"]) for row in told["rigs"][0]["unchecked"]]
    assert ("power", "mains power") in silent
    assert "crew" not in {section for section, _ in silent}
    *_, paragraph, never, verdict = check(str(path)).stdout.rstrip().split("\n\n")
    listed = ", ".join(f"{what} ({section})" for section, what in silent)
    assert " ".join(paragraph.split()) == f"Not checked, because the rig does not speak of it: {listed}."
    assert never.startswith("Never checked by rigwalk: rigging")
    assert verdict.startswith("GO")


def test_a_rig_that_leaves_nothing_out_is_told_of_nothing(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: ARG001
    monkeypatch.setattr("lint.report.text.unchecked", lambda _: [])
    assert "does not speak of it" not in check(CLEAN).stdout


def test_putting_the_faults_right_as_told_gives_go(house: Path) -> None:
    path = house / "rigs" / "faulty-week.yaml"
    text = path.read_text(encoding="utf-8")
    for wrong, right in (
        ("  stairwell: {to: loft-box/downstream}\n", ""),
        ("  crossing: {shielded: false}\n", "  crossing: {shielded: true}\n"),
        ("output_bank: 1-8}\n\nsources", "output_bank: 9-16}\n\nsources"),
        ("west-box/in/7, connection: unbalanced-adapter", "west-box/in/7"),
        ("lead-vocal,  patched_from: desk/link-1/10", "lead-vocal,  patched_from: desk/link-1/11"),
        ("backing-1,   patched_from: desk/link-1/11", "backing-1,   patched_from: desk/link-1/10"),
        ("desk/link-1/17, phantom: off", "desk/link-1/17, phantom: on"),
        ("desk/link-1/20, phantom: on", "desk/link-1/20, phantom: off"),
        ("piano-left,  patched_from: desk/link-1/23", "piano-left,  patched_from: desk/link-1/22"),
        ("piano-right, patched_from: desk/link-1/22", "piano-right, patched_from: desk/link-1/23"),
        ("  clarinet:    {kind: dynamic-microphone,   plugged_into: east-box/in/8}\n", ""),
        ("  desk/out: {5: band-mon}\n", ""),
        ("  stream:      {takes: {mixes: [house.left, house.right, talk]}}\n", ""),
    ):
        assert text.count(wrong) == 1, wrong
        text = text.replace(wrong, right)
    path.write_text(text, encoding="utf-8")
    done = check(FAULTY)
    assert last_line(done.stdout) == "GO (1 note)"
    assert done.exit_code == 0


@pytest.mark.parametrize("parts", [1, 2])
def test_the_example_of_the_readme_is_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, parts: int) -> None:
    blocks = re.findall(r"^```yaml\n(.*?)^```$", (ROOT / "README.md").read_text("utf-8"), re.MULTILINE | re.DOTALL)
    assert len(blocks) == 2  # the least, and what goes on with it
    (tmp_path / "rig.yaml").write_text("\n".join(blocks[:parts]), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    status, told = report("rig.yaml")
    assert status == 0
    assert told["rigs"][0]["verdict"] in ("go", "go-with-cautions")
    # That phantom power is in use is told of every rig; the example must give nothing else.
    assert [row["rule"] for row in told["rigs"][0]["findings"]] == ["phantom-while-patching"]


# -- exit statuses and what can't be read ----------------------------------------------------------------------


def test_cautions_are_go(house: Path) -> None:
    setting = "\nrules:\n  phantom-while-patching: {severity: caution, because: new volunteers this month}\n"
    path = house / "house.yaml"
    path.write_text(path.read_text(encoding="utf-8") + setting, encoding="utf-8")
    done = check(CLEAN)
    assert (done.exit_code, last_line(done.stdout)) == (0, "GO WITH CAUTIONS (1 caution)")


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("nowhere.yaml", None, "nowhere.yaml: there is no such file"),
        ("noise.yaml", bytes(range(256)) * 8, "noise.yaml:"),
        ("empty.yaml", b"", "empty.yaml:"),
        ("list.yaml", b"- 1\n- 2\n", "list.yaml:1:1: the file holds a list"),
        ("word.yaml", b"rig_format: 1\ndevices: {desk: {modell: console-32}}\n", "word.yaml:2:18: "),
        ("later.yaml", b"rig_format: 2\ndevices: {}\n", "later.yaml:1:13: rig_format: found 2, expected 1"),
    ],
)
def test_what_cannot_be_read_is_2_and_told_at_its_place(
    house: Path, name: str, content: bytes | None, says: str
) -> None:
    if content is not None:
        (house.parent / name).write_bytes(content)
    done = check(name)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.startswith(says)
    assert "Traceback" not in done.stderr
    status, told = report(name)
    assert status == 2
    assert told["rigs"] == []
    (unreadable,) = told["unreadable"]
    assert unreadable["rig"] == name
    assert [problem["file"] for problem in unreadable["problems"]] == [name] * len(unreadable["problems"])


def test_one_unreadable_rig_does_not_keep_the_others_from_being_told(house: Path) -> None:  # noqa: ARG001
    done = check(FAULTY, "nowhere.yaml", CLEAN)
    assert done.exit_code == 2
    assert done.stderr == "nowhere.yaml: there is no such file\n"
    assert re.findall(r"^(GO|NO-GO)\b.* \(", done.stdout, re.MULTILINE) == ["NO-GO", "GO"]
    status, told = report(FAULTY, "nowhere.yaml", CLEAN)
    assert status == 2
    assert [(rig["rig"], rig["verdict"]) for rig in told["rigs"]] == [(FAULTY, "no-go"), (CLEAN, "go")]
    assert [rig["rig"] for rig in told["unreadable"]] == ["nowhere.yaml"]


def test_one_no_go_among_several_is_1(house: Path) -> None:  # noqa: ARG001
    assert check(CLEAN, FAULTY).exit_code == 1
    assert check(CLEAN, CLEAN).exit_code == 0


@pytest.mark.parametrize("arguments", [[], ["--format", "xml", CLEAN], ["--loud", CLEAN]])
def test_a_wrong_call_is_2(house: Path, arguments: list[str]) -> None:  # noqa: ARG001
    assert check(*arguments).exit_code == 2


def test_json_keeps_letters_of_every_language(house: Path) -> None:
    path = house / "rigs" / "clean-week.yaml"
    text = path.read_text(encoding="utf-8").replace("flute", "flöte")
    path.write_text(text.replace("west-box/in/9}", "west-box/in/8}"), encoding="utf-8")
    done = check("--format", "json", CLEAN)
    assert "\\u" not in done.stdout
    assert done.exit_code == 1


def test_a_waiver_and_what_is_switched_off_are_shown(house: Path) -> None:
    path = house / "rigs" / "faulty-week.yaml"
    text = path.read_text(encoding="utf-8") + (
        "rules:\n  link-cable-kind: {off: true, because: the crossing lies in steel}\n"
        "waivers:\n  - {rule: source-unheard, about: clarinet, because: next week, by: M. Okafor, until: 2026-12-13}\n"
    )
    path.write_text(text, encoding="utf-8")
    done = check(FAULTY)
    assert "WAIVED: accepted on purpose\n\n  clarinet (east-box/in/8) reaches no channel" in done.stdout
    assert "\n    waived by M. Okafor until 2026-12-13: next week\n" in done.stdout
    assert "Not checked in this house: link-cable-kind, because the crossing lies in steel" in done.stdout
    assert last_line(done.stdout) == "NO-GO (7 no-go, 2 cautions, 1 note, 1 waived)"
    _, told = report(FAULTY)
    waived = [row["waived"] for row in told["rigs"][0]["findings"] if row["waived"]]
    assert waived == [
        {"by": "M. Okafor", "because": "next week", "until": "2026-12-13", "asked_by": None, "instead": None}
    ]


# -- how it looks ----------------------------------------------------------------------------------------------


def test_a_real_run_in_a_pipe_has_no_colour_and_no_long_line(house: Path, run: Run) -> None:  # noqa: ARG001
    done = run("check", CLEAN, FAULTY)
    assert done.returncode == 1
    assert done.stderr == ""
    assert "\x1b" not in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_a_wide_terminal_is_not_filled_beyond_what_reads_well(house: Path, run: Run) -> None:  # noqa: ARG001
    lines = run("check", FAULTY, COLUMNS="250").stdout.splitlines()
    assert 80 < max(map(len, lines)) <= 100


def test_a_narrow_terminal_breaks_between_words_only(house: Path, run: Run) -> None:  # noqa: ARG001
    done = run("check", FAULTY, COLUMNS="40")
    long = [line for line in done.stdout.splitlines() if len(line) > 40]
    # What is longer is one address with its place, which nothing may break.
    assert [line for line in long if len(re.sub(r"^ *(where)? *", "", line).split()) > 2] == []
    assert "desk/link-1/10" in done.stdout


@pytest.mark.parametrize(("no_color", "coloured"), [("", True), ("1", False)])
def test_colour_is_for_terminals_and_can_be_refused(house: Path, no_color: str, coloured: bool) -> None:  # noqa: ARG001
    environment = {**os.environ, "TERM": "xterm", "NO_COLOR": no_color}
    child = pexpect.spawn(
        str(Path(sys.executable).parent / "rigwalk"),
        ["check", FAULTY],
        env=environment,
        encoding="utf-8",
        dimensions=(400, 80),
        timeout=60,
    )
    text = child.read()
    child.close()
    assert child.exitstatus == 1
    assert ("\x1b[" in text) is coloured
    assert "NO-GO" in text  # the words say it, with or without


def test_a_terminal_that_knows_only_ascii_still_gets_its_verdict(house: Path, run: Run) -> None:  # noqa: ARG001
    done = run("check", FAULTY, PYTHONIOENCODING="ascii")
    assert done.returncode == 1
    assert last_line(done.stdout) == "NO-GO (7 no-go, 4 cautions, 1 note)"
    assert done.stderr == ""
