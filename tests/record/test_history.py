"""What is told of past walks: found wherever it is kept, failing again and again, exported, signed with a key."""

from __future__ import annotations

import csv
import json
import re
import shutil
import sqlite3
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from houses import write_house
from torture import open_session, walked_ledger

from lint.record.ledger import Ledger, RecordError, ledger_path
from lint.record.recurring import recurring
from lint.record.signature import load_key, make_key, sign_seal, signature_holds
from lint.record.walks import past_walks
from lint.walk.given import Given


def history(*words: str | Path) -> subprocess.CompletedProcess[str]:
    code = "import typer; from lint.cli.history import history; typer.run(history)"
    command = [sys.executable, "-c", code, *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    return write_house(tmp_path / "house") / "rigs" / "sunday.yaml"


def fail(rig: Path, item: str, seen: str, cure: str = "", parts: tuple[str, ...] = ()) -> None:
    """Walk once, with one item a no-go, and sign that."""
    with Ledger(ledger_path(rig)) as ledger:
        session = open_session(rig, ledger)
        row = session.state.plan.by_key[item]
        session.answer(row, Given("no-go", seen=seen, parts=parts))
        if cure:
            session.cure(row, cure)
        session.answer(session.state.plan.by_key["mains-leads"], Given("go"))
        session.sign("L. Lead", wants_go=False)
        session.open("A. Adams", fresh=True)
        session.answer(session.state.plan.by_key["mains-leads"], Given("go"))


def often(rig: Path, last: int = 10):
    with Ledger(ledger_path(rig), reading=True) as ledger:
        return recurring(past_walks(ledger, ledger.verify()), last)


def test_what_fails_in_one_walk_is_not_told(rig) -> None:
    fail(rig, "line/1", "crackles")
    assert often(rig) == []


def test_a_source_with_its_socket_and_box_failing_again_is_told_once(rig) -> None:
    fail(rig, "line/1", "crackles", "new cable")
    fail(rig, "line/1", "crackles again")
    (found,) = often(rig)
    assert found.addresses == ["desk/channel/1", "lead-vocal", "west-box/in/1", "west-box"]
    assert (found.walks, found.of) == ([1, 2], 3)
    assert [(row.walk, row.seen, row.cure) for row in found.failures] == [
        (1, "crackles", "new cable"),
        (2, "crackles again", ""),
    ]
    text = " ".join(history(rig.parent.parent).stdout.split())
    assert "west-box/in/1, west-box: in 2 of the last 3 walks" in text
    assert "walk 1: crackles; then new cable" in text


def test_a_box_that_fails_at_two_sockets_is_told_as_the_box(rig) -> None:
    fail(rig, "line/1", "crackles")
    fail(rig, "plugs/west-box/in/1-8", "2: dead", parts=("2",))
    (found,) = often(rig)
    assert found.addresses == ["west-box"]
    assert [row.seen for row in found.failures] == ["crackles", "2: dead"]


def test_what_failed_before_the_last_walks_is_past(rig) -> None:
    fail(rig, "house-level", "90 dBA")
    fail(rig, "house-level", "91 dBA")
    assert [row.addresses for row in often(rig)] == [["Walk-in music at the mix position, slow, A-weighted"]]
    assert often(rig, last=2) == []


def test_records_beside_a_rig_without_a_house_are_found(tmp_path: Path) -> None:
    whole = write_house(tmp_path / "house")
    lone = tmp_path / "lone"
    lone.mkdir()
    shutil.copy(whole / "house.yaml", lone / "week.yaml")
    with Ledger(ledger_path(lone / "week.yaml")) as ledger:
        open_session(lone / "week.yaml", ledger)
    for where in (lone, lone / "week.yaml", lone / "records", lone / "records" / "walks.sqlite", tmp_path):
        done = history(where)
        assert done.returncode == 0, done.stderr
        assert "week.yaml, full-walk" in done.stdout, where
    fail(whole / "rigs" / "sunday.yaml", "line/1", "x")
    several = history(tmp_path)
    assert several.returncode == 2
    assert "there are several records here" in several.stderr
    assert str(lone) in several.stderr and str(whole) in several.stderr


def test_json_has_every_entry_and_the_proof(rig) -> None:
    fail(rig, "line/1", "crackles")
    done = history(rig, "--format", "json")
    data = json.loads(done.stdout)
    assert done.returncode == 0
    assert data["proof"]["broken"] is None
    assert [walk["number"] for walk in data["walks"]] == [1, 2]
    entries = [entry for walk in data["walks"] for entry in walk["entries"]]
    assert [entry["seq"] for entry in entries] == list(range(1, data["proof"]["holding"] + 1))
    assert data["proof"]["last_seal"] == entries[-1]["seal"]
    assert [walk["number"] for walk in json.loads(history(rig, "2", "--format", "json").stdout)["walks"]] == [2]


@pytest.mark.parametrize("said", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", '=HYPERLINK("x")', 'a,b"c', "-12.5"])
def test_csv_is_no_formula_and_reads_back(rig, said: str) -> None:
    fail(rig, "line/1", said)
    rows = list(csv.DictReader(StringIO(history(rig, "--format", "csv").stdout, newline="")))
    assert [row["answer"] for row in rows] == ["no-go", "go", "second look due"]
    row = rows[0]
    guarded = said[0] in "=+-@\t" and said != "-12.5"
    assert row["seen"] == ("'" + said if guarded else said)
    assert row["about"] == "desk/channel/1 lead-vocal west-box/in/1 west-box"
    assert row["verdict"] == "no-go"


def test_an_altered_record_is_told_in_every_form(rig) -> None:
    fail(rig, "line/1", "crackles")
    connection = sqlite3.connect(ledger_path(rig))
    connection.execute("DROP TRIGGER never_altered")
    connection.execute("UPDATE entries SET body = replace(body, 'crackles', 'purrs') WHERE seq = 2")
    connection.commit()
    connection.close()
    text, data, table = (history(rig, "--format", form) for form in ("text", "json", "csv"))
    assert [done.returncode for done in (text, data, table)] == [1, 1, 1]
    assert "✗ Record 2 does not hold: what it says is not what was sealed" in text.stdout
    assert json.loads(data.stdout)["proof"]["broken"]["seq"] == 2
    assert "Record 2 does not hold" in table.stderr
    assert "purrs" not in text.stdout + data.stdout + table.stdout


def test_the_time_that_each_phase_took_is_told(tmp_path: Path) -> None:
    """R02: the timing log; ninety seconds are a target."""
    walked_ledger(tmp_path / "house")
    text = history(tmp_path / "house", "1").stdout
    told = re.findall(r"^ +[0-9]+:[0-9]{2} since (the call before|the walk began)$", text, re.MULTILINE)
    assert told == ["the walk began", *["the call before"] * 12]


# -- signed with a key --------------------------------------------------------------------------------------------


def test_a_signature_holds_for_its_seal_and_key_alone(tmp_path: Path) -> None:
    make_key(tmp_path / "lead.pem")
    make_key(tmp_path / "other.pem")
    seal = "ab" * 32
    body = sign_seal(load_key(tmp_path / "lead.pem"), seal)
    other = sign_seal(load_key(tmp_path / "other.pem"), seal)
    assert signature_holds(body, seal)
    assert not signature_holds(body, "cd" * 32)
    assert not signature_holds({**body, "public_key": other["public_key"]}, seal)
    assert not signature_holds({**body, "signature": other["signature"]}, seal)
    assert not signature_holds({**body, "signature": "zz"}, seal)
    assert not signature_holds({**body, "of_seal": "cd" * 32}, seal)
    assert (tmp_path / "lead.pem").stat().st_mode & 0o777 == 0o600


def test_what_is_no_key_is_told(tmp_path: Path) -> None:
    (tmp_path / "bad.pem").write_text("nonsense", encoding="utf-8")
    make_key(tmp_path / "lead.pem")
    with pytest.raises(RecordError, match="expected a private Ed25519 key in PEM"):
        load_key(tmp_path / "bad.pem")
    with pytest.raises(RecordError, match="can't be read"):
        load_key(tmp_path / "none.pem")
    with pytest.raises(RecordError, match="can't be written"):
        make_key(tmp_path / "lead.pem")


def test_a_signed_walk_is_told_and_a_forged_signature_too(tmp_path: Path) -> None:
    path = walked_ledger(tmp_path / "house")
    rig = tmp_path / "house" / "rigs" / "sunday.yaml"
    make_key(tmp_path / "lead.pem")
    with Ledger(path) as ledger:
        session = open_session(rig, ledger)
        session.open("A. Adams", again=True)
        signed = session.sign("L. Lead", wants_go=False)
        session.add_signature(sign_seal(load_key(tmp_path / "lead.pem"), signed.seal))
    told = history(rig)
    assert told.returncode == 0
    assert "the signature with the key" in told.stdout and "holds" in told.stdout
    with Ledger(path) as ledger:
        session = open_session(rig, ledger)
        body = sign_seal(load_key(tmp_path / "lead.pem"), signed.seal)
        session.add_signature({**body, "signature": "00" * 64})
    forged = history(rig)
    assert forged.returncode == 1
    assert "does not hold" in forged.stdout


def test_a_walk_is_signed_with_a_key_that_is_made_when_asked(tmp_path: Path) -> None:
    house = write_house(tmp_path / "house", "event: {name: Sunday}\n")
    (house / "checklists").mkdir()
    (house / "checklists" / "tiny.yaml").write_text(
        "checklist_format: 1\ntitle: Tiny\nphases:\n  - {id: a, title: A, mode: read-do, completion: A complete,\n"
        '     items: [{id: tea, role: lead, challenge: "Tea: made"}]}\n',
        encoding="utf-8",
    )
    code = "import typer; from lint.cli.walk import walk; typer.run(walk)"
    key = tmp_path / "lead.pem"
    command = [sys.executable, "-c", code, str(house / "rigs" / "sunday.yaml"), "--checklist", "tiny", "--by", "A"]
    done = subprocess.run(
        [*command, "--key", str(key)],
        input="y\ng\ng\ng\nL. Lead\ngo\n",
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Signed with the key" in done.stdout
    assert "the signature with the key" in history(house).stdout
