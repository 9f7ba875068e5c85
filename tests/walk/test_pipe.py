"""The commands as they are run: through a pipe, with their exit statuses and nothing like a traceback."""

from __future__ import annotations

import re
import sqlite3
import subprocess
import sys

import pytest

from lint.record.ledger import Ledger

GO_ALL = ["g", "g", "g", "65", "g"]
SIGN = ["g", "g", "g", "L. Lead", "go"]

pytestmark = pytest.mark.usefixtures("dumb")


def test_a_scripted_walk_of_the_bundled_list_is_signed_go(full_house) -> None:
    items = full_house.basis().plan.items
    lines: list[str] = []
    asked_in = -1
    for item in items:
        if item.second_of and item.phase != asked_in:  # each phase asks anew, and offers the last name
            lines.append("" if asked_in >= 0 else "S. Second")
            asked_in = item.phase
        lines.append(str(item.measure.least) if item.measure else "g")
    done = full_house.run([*lines, "g", "g", "g", "g", "g", "L. Lead", "go"], "--by", "A. Adams")
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr
    assert (
        "✓ GO (91 of 91 answers came within a second of the question, faster than anybody can look) signed by"
        in " ".join(done.stdout.split())
    )
    assert max(map(len, done.stdout.splitlines())) <= 80 or str(full_house.ledger_path) in done.stdout
    seal = re.search(r"^Seal: ((?:[0-9a-f]{4} ?){4})$", done.stdout, re.MULTILINE)
    assert seal is not None
    with Ledger(full_house.ledger_path, reading=True) as ledger:
        entries = ledger.entries()
        assert ledger.verify().broken is None
    assert entries[-1].kind == "signed"
    assert entries[-1].seal.startswith(seal[1].replace(" ", ""))
    assert len(entries[-1].body["answers"]) == len(items)
    assert set(entries[-1].body["versions"]) == {"rigwalk", "python"}
    history = full_house.run([], "--seal", seal[1], check="history")
    assert history.returncode == 0
    assert "✓ GO signed by L. Lead" in history.stdout
    assert f"✓ Each of the {len(entries)} records holds" in history.stdout


def test_the_end_of_the_input_stops_and_saves(small) -> None:
    done = small.run(["A. Adams", "g"])
    assert done.returncode == 1
    assert "Stopped; every answer given is on disk." in done.stdout
    assert f"rigwalk walk {small.rig}" in done.stdout.replace("\n", " ")
    again = small.run(["", "q"], "--by", "B. Brown")
    text = " ".join(again.stdout.split())
    assert re.search(
        r"Resuming the walk begun \d{4}-\d\d-\d\d \d\d:\d\d by A. Adams, at: east-box, output bank: 9–16", text
    )
    assert "Last answered: west-box, output bank: 1–8: ✓ GO (by A. Adams" in text


def test_without_a_name_nothing_is_recorded(small) -> None:
    done = small.run(["", " "])
    assert done.returncode == 1
    assert "Stopped before anything was recorded." in done.stdout
    with Ledger(small.ledger_path, reading=True) as ledger:
        assert ledger.entries() == []


def test_a_signed_no_go_and_then_a_go(small) -> None:
    done = small.run(["g", "g", "g", "n wrong", "", "s", "L. Lead"], "--by", "A")
    assert done.returncode == 1
    assert "✗ NO-GO signed by L. Lead" in done.stdout
    again = small.run(["1", "65", "turned it up", "g", *SIGN], "--by", "A")
    assert again.returncode == 0, again.stdout
    shown = small.run(["unused"], "1", check="history")
    assert "NO-GO, by A (house-mixer)" in shown.stdout
    assert "seen: wrong" in shown.stdout
    assert "signed NO-GO by L. Lead" in shown.stdout
    assert "signed GO by L. Lead" in shown.stdout


def test_a_no_go_finding_is_told_up_front_and_walking_goes_on(small) -> None:
    small.edit("to: east-box/upstream,", "to: east-box/downstream,", "house.yaml")
    done = small.run([*GO_ALL, "s", "L. Lead"], "--by", "A")
    text = " ".join(done.stdout.split())
    assert text.index("a GO can't come of it") < text.index("Phase 1 of 2")
    assert "east-box is in backwards" in text
    assert done.returncode == 1
    assert "NO-GO signed by L. Lead" in text


def test_another_day_than_the_events_is_said_in_a_line(small) -> None:
    small.write("extends: ../house.yaml\nevent: {name: Sunday, date: 2020-01-05}\n")
    text = " ".join(small.run([], "--by", "A").stdout.split())
    assert re.search(r"Note: today is \d{4}-\d\d-\d\d, and the rig file says that the event is on 2020-01-05\.", text)


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda h: h.write("extends: ["), "is not readable as YAML"),
        (lambda h: h.rig.unlink(), "there is no such file"),
        (lambda h: h.edit("min: 60", "min: 99", "checklists/full-walk.yaml"), "min 99 is more than max 70.5"),
    ],
)
def test_what_can_not_be_read_is_told_and_leaves_no_record(small, spoil, told) -> None:
    spoil(small)
    done = small.run(["g"], "--by", "A")
    assert done.returncode == 2
    assert told in done.stderr
    assert "Traceback" not in done.stderr
    assert not small.ledger_path.exists()


def test_wrong_calls_are_told(small) -> None:
    assert small.run([], "--role", "drummer").returncode == 2
    done = small.run([], "--checklist", "smal")
    assert (done.returncode, done.stderr) == (
        2,
        "smal: no checklist is called 'smal'; known here: close-down, full-walk, short-walk\n",
    )


def test_a_record_that_can_not_be_kept_is_told_before_any_question(small) -> None:
    (small.folder / "records").write_text("in the way", encoding="utf-8")
    done = small.run(["g"], "--by", "A")
    assert done.returncode == 2
    assert "can't be kept here" in done.stderr
    assert "Phase" not in done.stdout


def _alter(path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("DROP TRIGGER never_altered")
    connection.execute("UPDATE entries SET body = replace(body, 'no-go', 'go') WHERE seq = 2")
    connection.commit()
    connection.close()


def test_an_altered_record_is_named_and_not_walked_on_from(small) -> None:
    small.run(["n wrong", "", "g"], "--by", "A")
    _alter(small.ledger_path)
    history = small.run([], check="history")
    assert history.returncode == 1
    assert "✗ Record 2 does not hold" in history.stdout
    walk = small.run(["g"], "--by", "A")
    assert walk.returncode == 2
    assert "record 2 does not hold" in walk.stderr


def test_history_of_nothing_of_one_rig_and_of_a_walk_that_is_not_there(small) -> None:
    assert "No walk has been recorded here yet" in small.run([], check="history").stdout
    small.run(["g"], "--by", "A")
    missing = small.run([], "7", check="history")
    assert missing.returncode == 2
    assert "there is no walk 7 here that holds; it has walk 1" in missing.stderr
    wrong = small.run([], "--seal", "0123 4567 89ab cdef", check="history")
    assert wrong.returncode == 1
    assert "✗ No record that holds has the seal" in wrong.stdout


def test_output_that_nobody_reads_is_no_go(small) -> None:
    """A pipe that breaks must not look like a signed go."""
    code = "import typer; from lint.cli.walk import walk; typer.run(walk)"
    child = subprocess.Popen(
        [sys.executable, "-c", code, str(small.rig), "--by", "A"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert child.stdin is not None
    assert child.stdout is not None
    child.stdout.close()
    child.stdin.close()
    assert child.wait(timeout=60) == 1


def test_bytes_that_are_no_text_stop_nothing(small) -> None:
    code = "import typer; from lint.cli.walk import walk; typer.run(walk)"
    done = subprocess.run(
        [sys.executable, "-c", code, str(small.rig), "--by", "A"],
        input=b"n \xff\xfe bad \x00\x1b[2J\n\ng\n",
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 1, done.stderr
    with Ledger(small.ledger_path, reading=True) as ledger:
        assert [entry.body["answer"] for entry in ledger.entries(kinds=("answer",))] == ["no-go", "go"]
