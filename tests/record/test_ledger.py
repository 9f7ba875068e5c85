"""The ledger: what is refused, and what tampering is found."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import pytest

from lint.record.ledger import Ledger, RecordError, ledger_path
from lint.record.seal import NO_SEAL, canonical, matches, seal_of, short

# What every record says; kinds that rigwalk does not know may say what they like beside it.
SAID = {"by": "Ä", "utc": "2026-11-25T17:00:00Z", "local": "2026-11-25T18:00:00+01:00"}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A ledger of five entries in two walks."""
    file = tmp_path / "records" / "walks.sqlite"
    with Ledger(file) as ledger:
        for number in range(3):
            ledger.append(None if number == 0 else 1, "first" if number == 0 else "entry", {**SAID, "n": number})
        ledger.append(None, "first", {**SAID, "n": 3, "by": "B"})
        ledger.append(2, "word", {**SAID, "n": 4, "none": None, "list": [True, "x"]})
    return file


def tamper(path: Path, *statements: str) -> None:
    """Do what the triggers refuse, as somebody with the file in hands could."""
    connection = sqlite3.connect(path)
    for trigger in ("only_appended", "never_altered", "never_dropped"):
        connection.execute(f"DROP TRIGGER {trigger}")
    for statement in statements:
        connection.execute(statement)
    connection.commit()
    connection.close()


def proof(path: Path):
    with Ledger(path, reading=True) as ledger:
        return ledger.verify()


def test_entries_are_numbered_chained_and_read_back(path: Path) -> None:
    with Ledger(path, reading=True) as ledger:
        entries = ledger.entries()
    assert [(entry.seq, entry.walk, entry.kind, entry.body["n"]) for entry in entries] == [
        (1, 1, "first", 0),
        (2, 1, "entry", 1),
        (3, 1, "entry", 2),
        (4, 2, "first", 3),
        (5, 2, "word", 4),
    ]
    assert [entry.previous for entry in entries] == [NO_SEAL, *(entry.seal for entry in entries[:-1])]
    last = entries[-1]
    assert last.seal == seal_of(
        {
            "seq": 5,
            "walk": 2,
            "kind": "word",
            "body": {**SAID, "n": 4, "none": None, "list": [True, "x"]},
            "previous": last.previous,
        }
    )


def test_entries_are_found_by_walk_number_and_kind(path: Path) -> None:
    with Ledger(path, reading=True) as ledger:
        assert [entry.seq for entry in ledger.entries(2)] == [4, 5]
        assert [entry.seq for entry in ledger.entries(after=3)] == [4, 5]
        assert [entry.seq for entry in ledger.entries(kinds=("first",))] == [1, 4]
        assert [entry.seq for entry in ledger.entries(1, up_to=2)] == [1, 2]


def test_a_whole_chain_holds(path: Path) -> None:
    found = proof(path)
    assert (found.holding, found.broken) == (5, None)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entries SET kind = 'go'",
        "DELETE FROM entries WHERE seq = 5",
        "INSERT OR REPLACE INTO entries VALUES (5, 2, 'note', '{}', '', '')",
        "INSERT INTO entries VALUES (7, 2, 'note', '{}', '', '')",
        "INSERT INTO entries VALUES (NULL, 2, 'note', '{}', '', '')",
    ],
)
def test_the_file_itself_refuses_changes(path: Path, statement: str) -> None:
    connection = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match="entries are"):
        connection.execute(statement)
    connection.close()
    assert proof(path).holding == 5


@pytest.mark.parametrize("seq", [1, 2, 3, 4, 5])
@pytest.mark.parametrize(
    "change",
    [
        """body = replace(body, '"n":', '"m":')""",
        "kind = 'sworn'",
        "walk = walk + 1",
        "seal = replace(seal, substr(seal, 1, 1), 'z')",
        "previous = replace(previous, substr(previous, 1, 1), 'z')",
        "body = '{'",
        "body = x'ff00'",
        "kind = x'00'",
    ],
)
def test_an_altered_record_is_named(path: Path, seq: int, change: str) -> None:
    tamper(path, f"UPDATE entries SET {change} WHERE seq = {seq}")
    found = proof(path)
    assert found.broken is not None
    assert (found.holding, found.broken.seq) == (seq - 1, seq)


@pytest.mark.parametrize("seq", [1, 2, 3, 4])
def test_a_dropped_record_is_named(path: Path, seq: int) -> None:
    tamper(path, f"DELETE FROM entries WHERE seq = {seq}")
    found = proof(path)
    assert found.broken is not None
    assert found.broken.seq == seq
    assert "missing" in found.broken.why


def test_a_dropped_record_is_named_though_the_rest_is_renumbered(path: Path) -> None:
    tamper(path, "DELETE FROM entries WHERE seq = 2", "UPDATE entries SET seq = seq - 1 WHERE seq > 2")
    found = proof(path)
    assert found.broken is not None
    assert found.broken.seq == 2


def test_swapped_records_are_named(path: Path) -> None:
    tamper(
        path,
        "UPDATE entries SET seq = 99 WHERE seq = 2",
        "UPDATE entries SET seq = 2 WHERE seq = 3",
        "UPDATE entries SET seq = 3 WHERE seq = 99",
    )
    found = proof(path)
    assert found.broken is not None
    assert found.broken.seq == 2


def test_an_altered_record_that_is_sealed_again_breaks_the_next(path: Path) -> None:
    with Ledger(path, reading=True) as ledger:
        entry = ledger.entries()[1]
    other = {**SAID, "n": 77}
    seal = seal_of({"seq": 2, "walk": 1, "kind": "entry", "body": other, "previous": entry.previous})
    tamper(path, f"UPDATE entries SET body = '{canonical(other).decode()}', seal = '{seal}' WHERE seq = 2")
    found = proof(path)
    assert found.broken is not None
    assert found.broken.seq == 3


def test_a_body_that_says_a_thing_twice_is_named(path: Path) -> None:
    """The last of two equal keys is what JSON readers keep: the first would be hidden behind an unchanged seal."""
    tamper(path, """UPDATE entries SET body = replace(body, '{', '{"n":77,') WHERE seq = 2""")
    found = proof(path)
    assert found.broken is not None
    assert found.broken.seq == 2


def test_a_cut_tail_holds_and_shows_only_against_the_seal_on_paper(path: Path) -> None:
    with Ledger(path, reading=True) as ledger:
        on_paper = short(ledger.entries()[-1].seal)
    assert matches(proof(path).last_seal, on_paper)
    tamper(path, "DELETE FROM entries WHERE seq = 5")
    found = proof(path)
    assert (found.holding, found.broken) == (4, None)
    assert not matches(found.last_seal, on_paper)


# -- what the disk and the database may do ------------------------------------------------------------------------


def test_a_newer_format_is_refused(path: Path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA user_version = 2")
    connection.close()
    for reading in (False, True):
        with pytest.raises(RecordError, match="written by a newer rigwalk"):
            Ledger(path, reading=reading)


def test_what_is_no_database_is_refused_and_kept(path: Path) -> None:
    path.write_bytes(b"not a database at all" * 100)
    with pytest.raises(RecordError, match="is damaged"):
        Ledger(path)
    assert path.read_bytes().startswith(b"not a database")


def test_a_damaged_database_is_refused(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[4096 : len(data)] = b"\xa5" * (len(data) - 4096)
    path.write_bytes(data)
    with pytest.raises(RecordError, match="is damaged"):
        Ledger(path)


def test_another_programs_database_is_refused(path: Path) -> None:
    path.unlink()
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE recipes (name TEXT)")
    connection.commit()
    connection.close()
    with pytest.raises(RecordError, match="no record of rigwalk's"):
        Ledger(path)


def test_a_locked_database_is_told_before_any_answer(path: Path) -> None:
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(RecordError, match="another program is using the record"):
        Ledger(path, busy_seconds=0.05)
    other.execute("ROLLBACK")
    other.close()
    Ledger(path).close()


def test_a_full_disk_is_told_and_nothing_is_half_written(path: Path) -> None:
    with Ledger(path) as ledger:
        ledger._connection.execute("PRAGMA max_page_count = 1")
        with pytest.raises(RecordError, match="the disk is full"):
            ledger.append(2, "word", {**SAID, "text": "x" * 100_000})
    assert proof(path).holding == 5


def test_a_folder_that_can_not_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "records").write_text("in the way", encoding="utf-8")
    with pytest.raises(RecordError, match="can't be kept here"):
        Ledger(tmp_path / "records" / "walks.sqlite")


def test_a_read_only_folder_without_a_record_says_what_can_be_done(tmp_path: Path, monkeypatch) -> None:
    def refused(*_words: object, **_more: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", refused)
    with pytest.raises(RecordError) as caught:
        Ledger(tmp_path / "records" / "walks.sqlite")
    told = str(caught.value)
    assert "the record can't be kept here (Permission denied). Make this file and its folder writable for you" in told
    assert "or copy the whole house folder to where you may write, and work there." in told


_AS_NOBODY = """
import os, sys, urllib.parse  # before it may read no more
from pathlib import Path
from lint.record.ledger import Ledger, RecordError
from lint.record.seal import canonical
canonical({"a": 1})  # loads what nobody may not read from root's own library folder
if os.geteuid() == 0:
    os.seteuid(65534)
path = Path(sys.argv[1])
with Ledger(path, reading=True) as ledger:
    print(ledger.verify().holding)
try:
    Ledger(path)
except RecordError as error:
    print(error)
"""


def test_a_read_only_file_is_told_before_any_answer_and_can_still_be_read(path: Path) -> None:
    for folder in path.parents:
        if folder == Path(tempfile.gettempdir()):
            break
        folder.chmod(0o555 if folder == path.parent else folder.stat().st_mode | 0o055)
    path.chmod(0o444)
    done = subprocess.run(
        [sys.executable, "-c", _AS_NOBODY, str(path)], capture_output=True, text=True, check=False, timeout=60
    )
    path.parent.chmod(0o755)
    assert done.stdout.startswith("5\n"), done.stderr
    assert "can't be opened for writing" in done.stdout


def test_there_is_nothing_to_read_where_there_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="no walk has been recorded here"):
        Ledger(tmp_path / "walks.sqlite", reading=True)
    assert not (tmp_path / "walks.sqlite").exists()


def test_many_writers_keep_one_chain(path: Path) -> None:
    def write(name: str) -> None:
        with Ledger(path, busy_seconds=60) as ledger:
            for number in range(20):
                ledger.append(1, "word", {**SAID, "by": name, "n": number})

    writers = [threading.Thread(target=write, args=(name,)) for name in "ABCD"]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    found = proof(path)
    assert (found.holding, found.broken) == (85, None)


def test_many_make_one_new_ledger(tmp_path: Path) -> None:
    file = tmp_path / "records" / "walks.sqlite"
    gate = threading.Barrier(8)

    def make() -> None:
        gate.wait()
        with Ledger(file, busy_seconds=60) as ledger:
            ledger.append(None, "first", SAID)

    makers = [threading.Thread(target=make) for _ in range(8)]
    for maker in makers:
        maker.start()
    for maker in makers:
        maker.join()
    with Ledger(file, reading=True) as ledger:
        assert [entry.walk for entry in ledger.entries()] == [1, 2, 3, 4, 5, 6, 7, 8]


_APPENDS = """
import sys
from pathlib import Path
from lint.record.ledger import Ledger
with Ledger(Path(sys.argv[1])) as ledger:
    while True:
        print(ledger.append(1, "word", {**eval(sys.argv[2]), "text": "x" * 3000}).seq, flush=True)
"""


@pytest.mark.parametrize("seed", range(8))
def test_killed_while_appending_what_was_said_to_be_on_disk_is_there(path: Path, seed: int) -> None:
    chance = random.Random(seed)
    child = subprocess.Popen([sys.executable, "-c", _APPENDS, str(path), repr(SAID)], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    child.stdout.readline()
    time.sleep(chance.random() * 0.1)
    child.kill()
    said = child.stdout.read().split()
    child.wait()
    child.stdout.close()
    found = proof(path)
    assert found.broken is None
    assert found.holding - int(said[-1] if said else 6) in (0, 1)


def test_fractions_are_refused_before_anything_is_written(path: Path) -> None:
    with Ledger(path) as ledger, pytest.raises(TypeError):
        ledger.append(1, "word", {**SAID, "level": 1.5})
    assert proof(path).holding == 5


@pytest.mark.parametrize("kind", ["note", "word"])
def test_what_could_not_be_read_back_is_refused_before_anything_is_written(path: Path, kind: str) -> None:
    with Ledger(path) as ledger, pytest.raises(TypeError, match="no record of the kind"):
        ledger.append(1, kind, {"note": "no name and no time"})
    assert proof(path).holding == 5


def test_commits_are_synced_to_the_disk(path: Path) -> None:
    """SQLite's documentation of PRAGMA synchronous: 3 is EXTRA, which is FULL (2) and the folder as well."""
    with Ledger(path) as ledger:
        assert ledger._connection.execute("PRAGMA synchronous").fetchone() == (3,)
        assert ledger._connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_the_ledger_is_the_houses_or_beside_the_rig(tmp_path: Path) -> None:
    (tmp_path / "house" / "rigs").mkdir(parents=True)
    (tmp_path / "house" / "house.yaml").touch()
    assert ledger_path(tmp_path / "house" / "rigs" / "a.yaml") == tmp_path / "house" / "records" / "walks.sqlite"
    assert ledger_path(tmp_path / "lone.yaml") == tmp_path / "records" / "walks.sqlite"
