"""`rigwalk check -`: a rig by standard input, read as a file of the current folder."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest


def called(*words: str, given: bytes) -> subprocess.CompletedProcess[str]:
    code = "from lint.cli import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, *words], input=given, capture_output=True, check=False, timeout=60
    )
    return subprocess.CompletedProcess(words, done.returncode, done.stdout.decode(), done.stderr.decode())


@pytest.fixture
def rigs(house: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(house / "rigs")
    return house / "rigs"


@pytest.mark.parametrize("week", ["clean-week.yaml", "faulty-week.yaml"])
def test_what_is_given_is_checked_as_a_file_beside_the_others(rigs: Path, week: str) -> None:
    by_name = called("check", week, given=b"")
    by_input = called("check", "-", given=(rigs / week).read_bytes())
    assert by_input.returncode == by_name.returncode == (1 if week.startswith("faulty") else 0)
    assert by_name.stdout.count(week) > 0
    rows, named = (" ".join(done.stdout.split()) for done in (by_input, by_name))
    assert rows == named.replace(week, "-")  # extends: and the house's rules and models count alike
    assert by_input.stderr == ""


def test_it_stands_among_others_and_in_reports_for_programs(rigs: Path) -> None:
    week = (rigs / "clean-week.yaml").read_bytes()
    done = called("check", "-", "faulty-week.yaml", "--format", "json", given=week)
    found = {row["rig"]: row["verdict"] for row in json.loads(done.stdout)["rigs"]}
    assert (done.returncode, found) == (1, {"-": "go", "faulty-week.yaml": "no-go"})
    bad = called("check", "-", "clean-week.yaml", "--format", "json", given=b"rig_format: 1\nsources: [\n")
    (unreadable,) = json.loads(bad.stdout)["unreadable"]
    assert (bad.returncode, unreadable["rig"], unreadable["problems"][0]["file"]) == (2, "-", "-")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (b"", "-:1:1: is empty; expected a map such as `rig_format: 1`\n"),
        (b"a: \xff", "-:1:4: byte 0xff is not UTF-8 text; save the file as UTF-8\n"),
        (b"#" * (16 * 1024**2 + 1), "-: is larger than 16 MiB; a rig file is not that long\n"),
        (b"extends: ../../hall.yaml", "-:1:10: extends: ../../hall.yaml lies outside the house folder hall/\n"),
    ],
    ids=["nothing", "no text", "too long", "outside"],
)
def test_what_can_not_be_read_is_told_at_its_place(rigs: Path, given: bytes, told: str) -> None:  # noqa: ARG001
    done = called("check", "-", given=given)
    assert (done.returncode, done.stdout, done.stderr) == (2, "", told)


def test_other_commands_and_a_watch_refuse_it(rigs: Path) -> None:
    week = (rigs / "clean-week.yaml").read_bytes()
    done = called("trace", "-", "kick", given=week)
    told = "-: there is no such file; of the commands `check` alone reads standard input\n"
    assert (done.returncode, done.stdout, done.stderr) == (2, "", told)
    done = called("check", "-", "--watch", given=week)
    assert (done.returncode, done.stderr) == (2, "--watch looks after one rig file, and tells it as text\n")


@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"])
@pytest.mark.parametrize(("rig", "status"), [("clean-week.yaml", 0), ("faulty-week.yaml", 1), ("none.yaml", 2)])
def test_a_stream_that_is_closed_is_no_defect(rigs: Path, rig: str, status: int, closed: str) -> None:
    line = f'exec "{sys.executable}" -c "from lint.cli import main; main()" check {rig} {closed}'
    done = subprocess.run(["sh", "-c", line], capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == status
    assert "Traceback" not in done.stderr
    assert not list(rigs.glob("rigwalk-defect-*"))


def test_a_closed_standard_input_holds_nothing(rigs: Path) -> None:  # noqa: ARG001
    line = f'exec "{sys.executable}" -c "from lint.cli import main; main()" check - <&-'
    done = subprocess.run(["sh", "-c", line], capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stderr) == (2, "-:1:1: is empty; expected a map such as `rig_format: 1`\n")


@pytest.mark.parametrize("words", ["check x.yaml", "history", "models", "rules"])
def test_a_folder_that_is_gone_is_told_and_no_defect(tmp_path: Path, words: str) -> None:
    here = tmp_path / "gone"
    here.mkdir()
    line = f'cd "{here}" && rmdir "{here}" && exec "{sys.executable}" -c "from lint.cli import main; main()" {words}'
    done = subprocess.run(["sh", "-c", line], capture_output=True, text=True, check=False, timeout=60)
    told = "the folder that this is called from is gone; go to one that is there\n"
    assert (done.returncode, done.stderr.rpartition(".yaml: ")[2]) == (2, told)
