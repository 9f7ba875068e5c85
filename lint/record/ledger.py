"""The ledger: one SQLite file a house, append-only, each entry sealed over the one before.

An entry's seal is SHA-256 over the canonical JSON of {seq, walk, kind, body, previous}. A chain shows what was
altered, dropped or reordered inside it. That its end was cut off shows only against a seal written down elsewhere,
which is why the sign-off prints one.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from lint.read.load import house_folder
from lint.record.form import is_record
from lint.record.seal import NO_SEAL, canonical
from lint.walk.entry import Entry, LogError, MovedOnError

FORMAT = 1
BUSY_SECONDS = 5.0

_SCHEMA = """
CREATE TABLE entries (
    seq INTEGER PRIMARY KEY,
    walk INTEGER NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    previous TEXT NOT NULL,
    seal TEXT NOT NULL
);
CREATE TRIGGER only_appended BEFORE INSERT ON entries
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entries)
BEGIN SELECT raise(ABORT, 'entries are only appended, in order'); END;
CREATE TRIGGER never_altered BEFORE UPDATE ON entries
BEGIN SELECT raise(ABORT, 'entries are never altered'); END;
CREATE TRIGGER never_dropped BEFORE DELETE ON entries
BEGIN SELECT raise(ABORT, 'entries are never dropped'); END;
"""


_ELSEWHERE = (
    "Make this file and its folder writable for you, or copy the whole house folder to where you may write, and work "
    "there."
)


class RecordError(LogError):
    """Raised where the record can't be kept or read: one sentence that says why and what to do."""


@dataclass(frozen=True, slots=True)
class Broken:
    """The first record that does not hold: its number, and why."""

    seq: int
    why: str


@dataclass(frozen=True, slots=True)
class Proof:
    """What verifying came to: how many records hold, the first that does not, and the last seal that holds."""

    holding: int
    broken: Broken | None
    last_seal: str


def ledger_path(rig: Path) -> Path:
    """Return where the walks of a rig file are kept: `records/walks.sqlite` in its house, or else beside it."""
    own = Path(os.path.abspath(rig)).parent  # noqa: PTH100 - resolve() would follow links out of the house
    return (house_folder(rig) or own) / "records" / "walks.sqlite"


class Ledger:
    """The ledger of one house, open for appending (or for reading alone, where `reading` says so)."""

    def __init__(self, path: Path, *, reading: bool = False, busy_seconds: float = BUSY_SECONDS) -> None:
        """Open the file, and make it where there is none. Raises RecordError."""
        self.path = path
        if reading and not path.is_file():
            raise RecordError(f"{path}: no walk has been recorded here; there is no such file.")
        with self._told():
            self._connection = self._connect(reading, busy_seconds)
        try:
            with self._told():
                self._prepare(reading)
        except BaseException:
            self._connection.close()
            raise

    def _connect(self, reading: bool, busy_seconds: float) -> sqlite3.Connection:
        if not reading:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            _make_for_the_crew_alone(self.path)
        absolute = Path(os.path.abspath(self.path))  # noqa: PTH100
        # Reading too asks for both: it may have to roll back what a killed program left half written. SQLite opens
        # a file that can't be written for reading alone.
        mode = "rw" if reading else "rwc"
        address = f"{absolute.as_uri()}?mode={mode}"
        connection = sqlite3.connect(address, uri=True, timeout=busy_seconds, isolation_level=None)
        # Bytes that are no text any more are read all the same, so that the record they are in can be named.
        connection.text_factory = lambda raw: raw.decode("utf-8", "surrogateescape")
        return connection

    def _prepare(self, reading: bool) -> None:
        run = self._connection.execute
        version = run("PRAGMA user_version").fetchone()[0]
        if version > FORMAT:
            raise RecordError(
                f"{self.path}: written by a newer rigwalk (record format {version}, this one knows {FORMAT}); "
                "use that one, or update this one."
            )
        if not reading:
            # One file that is whole whenever it is copied, on any kind of disk: hence not write-ahead logging. EXTRA
            # is FULL and the folder synced as well: after a power cut a committed answer can't come back undone.
            run("PRAGMA journal_mode=DELETE")
            run("PRAGMA synchronous=EXTRA")
            with self._transaction():  # finds out here, before any answer is taken, that the file can't be written
                self._create_if_new()
        found = run("PRAGMA quick_check(1)").fetchone()[0]
        if found != "ok":
            raise sqlite3.DatabaseError(found)
        tables = {name for (name,) in run("SELECT name FROM sqlite_master WHERE type = 'table'")}
        if "entries" not in tables or run("PRAGMA user_version").fetchone()[0] < 1:
            raise RecordError(f"{self.path}: this is a database, but no record of rigwalk's; move it away.")

    def _create_if_new(self) -> None:
        run = self._connection.execute
        if run("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0:
            for statement in _statements(_SCHEMA):
                run(statement)
            run(f"PRAGMA user_version = {FORMAT}")
        # Written even where it stands already: a transaction on a file that can't be written fails only at a write.
        run(f"PRAGMA user_version = {run('PRAGMA user_version').fetchone()[0]}")

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._connection.execute("COMMIT")
        except BaseException:
            if self._connection.in_transaction:
                with suppress(sqlite3.Error):  # the disk may refuse this too; the journal undoes it at the next opening
                    self._connection.execute("ROLLBACK")
            raise

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Tell whatever the database or the disk refuses as one sentence."""
        try:
            yield
        except sqlite3.Error as error:
            raise RecordError(f"{self.path}: {_reason(error)}") from None
        except (UnicodeDecodeError, OverflowError) as error:  # names or numbers that no database of ours holds
            raise RecordError(f"{self.path}: {_reason(sqlite3.DatabaseError(str(error)))}") from None
        except OSError as error:
            raise RecordError(
                f"{self.path}: the record can't be kept here ({error.strerror or error}). {_ELSEWHERE}"
            ) from None

    def append(self, walk: int | None, kind: str, body: Mapping[str, Any], after: int | None = None) -> Entry:
        """Write one entry and return it once it is on disk; None begins a new walk.

        Raises RecordError, MovedOnError where the last entry is another than `after`, and TypeError for what is no
        record of its kind.
        """
        text = canonical(dict(body))
        if not is_record(walk or 1, kind, json.loads(text)):  # it would be read back by nobody
            raise TypeError(f"this is no record of the kind {kind!r}: {text[:200]!r}")
        with self._told(), self._transaction():
            run = self._connection.execute
            seq, previous = run("SELECT seq, seal FROM entries ORDER BY seq DESC LIMIT 1").fetchone() or (0, NO_SEAL)
            if after not in (None, seq):
                raise MovedOnError
            if walk is None:
                walk = run("SELECT coalesce(max(walk), 0) + 1 FROM entries").fetchone()[0]
            seal = _seal(seq + 1, walk, kind, text, previous)
            run(
                "INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?)",
                (seq + 1, walk, kind, text.decode("utf-8"), previous, seal),
            )
        return Entry(seq + 1, walk, kind, body, previous, seal)

    def last(self) -> int:
        """Return the number of the last entry; 0 where there is none. Raises RecordError."""
        with self._told():
            return int(self._connection.execute("SELECT coalesce(max(seq), 0) FROM entries").fetchone()[0])

    def entries(
        self, walk: int | None = None, after: int = 0, kinds: Sequence[str] = (), up_to: int | None = None
    ) -> list[Entry]:
        """Return entries in order: of one walk or all, `after` a number and `up_to` one, of some kinds or all.

        Raises RecordError.
        """
        query = "SELECT seq, walk, kind, body, previous, seal FROM entries WHERE seq > ?"
        values: list[Any] = [after]
        if up_to is not None:
            query += " AND seq <= ?"
            values.append(up_to)
        if walk is not None:
            query += " AND walk = ?"
            values.append(walk)
        if kinds:
            query += f" AND kind IN ({', '.join('?' * len(kinds))})"
            values.extend(kinds)
        with self._told():
            rows = self._connection.execute(query + " ORDER BY seq", values).fetchall()
        try:
            found = [Entry(seq, number, kind, json.loads(body), *seals) for seq, number, kind, body, *seals in rows]
        except (ValueError, TypeError, RecursionError):
            found = None
        if found is None or not all(is_record(entry.walk, entry.kind, entry.body) for entry in found):
            raise RecordError(f"{self.path}: holds a record that is no longer readable; see `rigwalk history`.")
        return found

    def require_whole(self) -> None:
        """Raise RecordError where a record does not hold: nothing is added to it."""
        broken = self.verify().broken
        if broken is not None:
            raise RecordError(
                f"{self.path}: record {broken.seq} does not hold ({broken.why}), so nothing is added to it."
            )

    def verify(self) -> Proof:
        """Compute every seal again, from the first record on, and stop at the first that does not hold.

        Raises RecordError where the file can't be read at all.
        """
        query = "SELECT seq, walk, kind, body, previous, seal FROM entries ORDER BY seq"
        previous, holding = NO_SEAL, 0
        with self._told():
            for row in self._connection.execute(query):
                why = _why_broken(row, holding + 1, previous)
                if why:
                    return Proof(holding, Broken(holding + 1, why), previous)
                holding, previous = holding + 1, row[5]
        return Proof(holding, None, previous)

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _make_for_the_crew_alone(path: Path) -> None:
    """Make the file where there is none, so that others than its owner and group can't read who did what.

    The group may: several volunteers share one machine. What the umask withholds of that stays withheld.
    """
    if not path.exists():
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o660))


def _seal(seq: int, walk: int, kind: str, body: bytes, previous: str) -> str:
    """Return the seal of an entry whose body is canonical JSON already: the same as `seal_of` the whole entry.

    `body` is the first of its keys in canonical order, so that it need not be written a second time.
    """
    rest = canonical({"seq": seq, "walk": walk, "kind": kind, "previous": previous})
    return hashlib.sha256(b'{"body":' + body + b"," + rest[1:]).hexdigest()


_UNREADABLE = "what it says is not readable as a record"


def _why_broken(row: tuple[Any, ...], expected: int, before: str) -> str:
    seq, walk, kind, body, previous, seal = row
    if seq != expected:
        return f"it is missing: the next record is number {seq}"
    if previous != before:
        return "it does not follow on the record before it: one was altered, dropped or put in between"
    try:
        # Read back and written again it must be the same text: of two equal keys a reader keeps the last alone.
        said = json.loads(body)
        text = canonical(said)
        holds = text == body.encode("utf-8") and seal == _seal(seq, walk, kind, text, previous)
    except (ValueError, TypeError, AttributeError, RecursionError):
        return _UNREADABLE
    if not holds:
        return "what it says is not what was sealed: it was altered"
    return "" if is_record(walk, kind, said) else _UNREADABLE


def _statements(script: str) -> Iterator[str]:
    """Split a script into statements; `executescript` would end the transaction it runs in."""
    waiting = ""
    for line in script.strip().splitlines():
        waiting += line + "\n"
        if sqlite3.complete_statement(waiting):
            yield waiting
            waiting = ""


def _reason(error: sqlite3.Error) -> str:
    code = getattr(error, "sqlite_errorcode", 0) or 0
    primary = code & 0xFF
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return "another program is using the record; close it there and try again."
    if primary in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_AUTH):
        return f"the record can't be opened for writing, so nothing can be recorded. {_ELSEWHERE}"
    if primary == sqlite3.SQLITE_FULL:
        return "the disk is full, so nothing more can be recorded; make room and try again."
    if primary == sqlite3.SQLITE_IOERR:
        return "the disk does not take what is written (full, or failing); make room or look at it, and try again."
    if primary in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB) or type(error) is sqlite3.DatabaseError:
        return (
            f"the record is damaged ({error}); keep the file, move it away and bring back a copy, or begin a new one."
        )
    return f"the record can't be used: {error}."
