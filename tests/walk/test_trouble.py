"""A record that can't be written in the middle of a walk: said in a sentence, tried again, nothing half kept."""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import subprocess
import sys

import pytest
from torture import filled_disk

from lint.record.ledger import Ledger

CODE = "import typer; from lint.cli.walk import walk; typer.run(walk)"

pytestmark = pytest.mark.usefixtures("dumb")


def answers(house) -> list[str]:
    with Ledger(house.ledger_path, reading=True) as ledger:
        assert ledger.verify().broken is None
        return [entry.body["item"] for entry in ledger.entries(kinds=("answer",))]


def run_limited(house, lines: list[str], most_bytes: int) -> subprocess.CompletedProcess[str]:
    """Walk while no file may grow past a size: what a full disk comes to."""
    return subprocess.run(
        [sys.executable, "-c", CODE, str(house.rig), "--by", "A"],
        input="".join(line + "\n" for line in lines),
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        # Where coverage is measured it would want to write as well.
        env={name: value for name, value in os.environ.items() if not name.startswith("COVERAGE")},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes)),
    )


def test_a_full_disk_is_told_and_every_acknowledged_answer_is_there(full_house) -> None:
    full_house.run([], "--by", "A")
    room = full_house.ledger_path.stat().st_size + 8192  # a resumed walk, and some answers
    done = run_limited(full_house, ["g", "B. Brown"] * 40 + ["q"], room)
    assert done.returncode == 1, done.stderr
    assert "Traceback" not in done.stderr
    text = " ".join(done.stdout.split())
    assert "Not recorded:" in text and "the disk does not take what is written (full, or failing)" in text
    acknowledged = done.stdout.count("GO recorded")
    assert 0 < acknowledged < 20
    assert len(answers(full_house)) == acknowledged
    again = full_house.run(["k", "", "n", "seen", ""], "--by", "B. Brown")
    assert "Resuming the walk" in again.stdout
    assert len(answers(full_house)) == acknowledged + 1


def test_a_disk_that_is_full_from_the_start_is_told_before_any_question(full_house) -> None:
    done = run_limited(full_house, ["g"], 0)
    assert done.returncode == 2
    assert "full" in done.stderr and "Traceback" not in done.stderr
    assert "Phase" not in done.stdout


def test_a_disk_of_its_own_that_runs_full(full_house, tmp_path) -> None:
    """On a file system of a few hundred kilobytes, where one may be mounted; by RLIMIT_FSIZE above."""
    with filled_disk(tmp_path / "disk") as disk:
        if disk is None:
            pytest.skip("no file system may be mounted here")
        shutil.copytree(full_house.folder, disk / "house")
        full_house.folder = disk / "house"
        (disk / "ballast").write_bytes(b"x" * 150_000)
        done = full_house.run(["g", "g", *[f"t {'x' * 480}"] * 300, "q"], "--by", "A")
        assert "Not recorded:" in done.stdout
        assert "Traceback" not in done.stderr
        noted = done.stdout.count("Note recorded.")
        assert noted > 3
        assert len(answers(full_house)) == 2
        with Ledger(full_house.ledger_path, reading=True) as ledger:
            assert len(ledger.entries(kinds=("note",))) == noted
        (disk / "ballast").unlink()
        full_house.run(["g"], "--by", "A")
        assert len(answers(full_house)) == 3


def test_a_lock_held_by_another_program_is_told_and_waited_out(small, ways) -> None:
    with Ledger(small.ledger_path, busy_seconds=0.05) as ledger:
        session = small.session(ledger)
        session.open("A")
        other = sqlite3.connect(small.ledger_path, isolation_level=None)
        other.execute("BEGIN EXCLUSIVE")
        text = ways.typed(session, ["", ""]).text
        assert text.count("another program is using the record") == 3
        assert session.state.given == []
        other.execute("ROLLBACK")
        other.close()
        ways.typed(session, ["g"])
        assert [answer.answer for answer in session.state.given] == ["go"]


def test_an_answer_that_was_not_recorded_is_recorded_once_when_it_can_be(small, ways, monkeypatch) -> None:
    with Ledger(small.ledger_path, busy_seconds=0.05) as ledger:
        session = small.session(ledger)
        session.open("A")
        other = sqlite3.connect(small.ledger_path, isolation_level=None)
        whole = ledger.append
        tries = []

        def append(*words, **more):
            tries.append(words)
            if len(tries) == 1:
                other.execute("BEGIN IMMEDIATE")
            elif len(tries) == 2:
                other.execute("ROLLBACK")
            return whole(*words, **more)

        monkeypatch.setattr(ledger, "append", append)
        text = ways.typed(session, ["g", ""]).text
        other.close()
        assert "Not recorded:" in text and "✓ GO recorded" in text
        assert [answer.item for answer in session.state.given] == ["bank/west-box"]


def test_a_record_of_a_newer_rigwalk_is_left_alone(small) -> None:
    small.run(["g"], "--by", "A")
    connection = sqlite3.connect(small.ledger_path)
    connection.execute("PRAGMA user_version = 99")
    connection.close()
    before = small.ledger_path.read_bytes()
    done = small.run(["g"], "--by", "A")
    assert (done.returncode, "written by a newer rigwalk" in done.stderr) == (2, True)
    assert small.ledger_path.read_bytes() == before
