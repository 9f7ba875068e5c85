"""What a stopped hunt left changed: in the record, the handover, and first in the next hunt and walk until it is done."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from test_hunt_stopped import HALL, keys_to
from typer.testing import CliRunner, Result

from lint.cli import app
from lint.record.form import is_record
from lint.record.hunts import past_hunts
from lint.record.ledger import Ledger, ledger_path
from lint.record.put_back import left_open, read_left

BORROWED = "look source violin / source-broken"
BACK = "put harp-r back into riser/in/2"


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    house = tmp_path / "house"
    shutil.copytree(HALL.parents[1], house)
    return house / "rigs" / "hall.yaml"


def call(*arguments: str, typed: str = "") -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, list(arguments), input=typed)


def stop_within_a_test(rig: Path, keys: str = "nq") -> None:
    ended = call("hunt", str(rig), "violin", "--answers", keys_to(BORROWED) + keys, "--by", "M. Mixer")
    assert ended.exit_code == 1


def told(result: Result) -> str:
    return " ".join(result.stdout.split())


def test_it_is_recorded_with_the_hunt_and_stands_first_among_the_next_steps(rig: Path) -> None:
    stop_within_a_test(rig)
    with Ledger(ledger_path(rig), reading=True) as ledger:
        (entry,) = past_hunts(ledger)
        assert ledger.verify().broken is None
    assert BACK in entry.body["put_back"]
    steps = json.loads(call("handover", str(rig), "--format", "json").stdout)["next_steps"]
    assert steps[0].startswith("Put back what was left by the hunt of violin (dead) on 20")
    assert BACK in steps[0]
    assert json.loads(call("hunt", str(rig), "kick", "--format", "json").stdout)["to_put_back"] == [
        steps[0].removeprefix("Put back what was ")
    ]


def test_the_next_hunt_of_anything_in_that_house_asks_first_until_it_is_done(rig: Path) -> None:
    stop_within_a_test(rig)
    other = rig.with_name("other.yaml")
    other.write_text(rig.read_text(encoding="utf-8"), encoding="utf-8")
    for _ in range(2):  # not yet is asked again
        asked = told(call("hunt", str(other), "kick", "--plain", typed="n\nq\n"))
        assert asked.startswith("FIRST: Left by the hunt of violin (dead) on 20")
        assert BACK in asked.partition("Is all of that done? y yes n not yet q stop")[0]
        assert asked.partition("Is all of that done")[2].count("Hunt: kick") == 1
    nameless = told(call("hunt", str(other), "kick", "--plain", typed="y\n\nq\n"))
    assert "Not recorded, so the next hunt asks again." in nameless
    done = told(call("hunt", str(other), "kick", "--plain", typed="bogus\ny\nA. Ade\nq\n"))
    assert "Recorded as done: entry 2." in done
    assert "FIRST" not in told(call("hunt", str(other), "kick", "--plain", typed="q\n"))
    with Ledger(ledger_path(rig), reading=True) as ledger:
        assert ledger.verify().broken is None
        assert not read_left(ledger)
    handed = json.loads(call("handover", str(rig), "--format", "json").stdout)
    assert not any(step.startswith("Put back") for step in handed["next_steps"])
    kept = json.loads(call("history", str(rig), "--format", "json").stdout)["hunts"]
    assert [(row["kind"], row["body"]["by"]) for row in kept] == [("hunt", "M. Mixer"), ("put-back", "A. Ade")]
    assert kept[1]["body"]["of"] == kept[0]["seq"]


def test_stopped_there_no_hunt_begins_and_it_stands(rig: Path) -> None:
    stop_within_a_test(rig)
    ended = call("hunt", str(rig), "kick", "--plain", typed="q\n")
    assert ended.exit_code == 1
    assert "Stopped before the first question." in ended.stdout
    with Ledger(ledger_path(rig), reading=True) as ledger:
        assert len(read_left(ledger)) == 1


def test_with_keys_given_it_is_told_and_no_key_is_taken_for_it(rig: Path) -> None:
    stop_within_a_test(rig)
    ended = call("hunt", str(rig), "kick", "--answers", "n")
    assert told(ended).startswith("FIRST: Left by the hunt of violin")
    assert "WARNING: Stop here." in ended.stdout


def test_a_walk_tells_it_at_its_start(rig: Path) -> None:
    stop_within_a_test(rig)
    assert told(call("walk", str(rig), "--by", "A. Ade", typed="q\n")).startswith("FIRST: Left by the hunt of violin")


def test_a_hunt_that_left_nothing_is_told_of_nowhere_and_older_records_are_read(rig: Path) -> None:
    stop_within_a_test(rig, keys="nyq")  # it was put back before it was stopped, and the next test is not begun
    with Ledger(ledger_path(rig), reading=True) as ledger:
        (entry,) = past_hunts(ledger)
    assert BACK not in entry.body.get("put_back", "")
    body = {name: said for name, said in entry.body.items() if name != "put_back"}
    assert is_record(1, "hunt", body)
    assert not is_record(1, "hunt", {**body, "put_back": 3})
    assert not is_record(1, "put-back", {**body, "of": "one"})
    assert not left_open([type(entry)(1, 1, "hunt", body, "", "")])


def test_unrecorded_it_says_that_nobody_else_is_told(rig: Path) -> None:
    keys = "".join(f"{key}\n" for key in keys_to(BORROWED))
    ended = call("hunt", str(rig), "violin", "--plain", typed=f"{keys}n\nq\n\n")
    assert told(ended).endswith("Not recorded, so nobody else is told what to put back.")


def test_what_was_not_to_be_touched_is_told_first_until_somebody_says_that_it_is_seen_to(rig: Path) -> None:
    assert call("hunt", str(rig), "violin", "--answers", "n", "--by", "M. Mixer").exit_code == 1
    steps = json.loads(call("handover", str(rig), "--format", "json").stdout)["next_steps"]
    assert steps[0].startswith("Mind what was left by the hunt of violin (dead) on 20")
    assert steps[0].endswith("touch nothing until a licensed electrician has seen it.")
    asked = told(call("hunt", str(rig), "kick", "--plain", typed="y\nA. Ade\nq\n"))
    assert asked.startswith("FIRST: Left by the hunt of violin (dead) on 20")
    assert "Recorded as done: entry 2." in asked
    assert "FIRST" not in told(call("hunt", str(rig), "kick", "--plain", typed="q\n"))
