"""What the record survives, in full: `python tests/torture.py [--kills N] [--flips N] [--answers N]`.

Walks at a real terminal are killed at random moments, single bytes of the record are changed, disks are full, locks are
foreign, and an answer is timed beside a bare fsync in the same run. The suite runs a sample of each.
"""

from __future__ import annotations

import argparse
import os
import pty
import random
import re
import select
import shutil
import signal
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from types import SimpleNamespace

import pexpect
import typer
from houses import write_house
from pexpect.fdpexpect import fdspawn

from lint.cli.walk import walk
from lint.record.ledger import Ledger, RecordError, ledger_path
from lint.record.seal import digest_of
from lint.record.signature import load_key, public_key, sign_seal
from lint.walk.basis import load_basis
from lint.walk.entry import Entry
from lint.walk.entry import times as times_of
from lint.walk.given import Given
from lint.walk.items import Plan
from lint.walk.session import Session

CODE = "import typer; from lint.cli.walk import walk; typer.run(walk)"
PLACE = re.compile(r"Phase (\d+) of \d+ · item (\d+) of")
RECORDED = re.compile(r"(NO-GO|GO)[^\r\n]* recorded|(Words|Cure) recorded")
ITEM = r"q stop\r\n> $"
# What the walk asks beside its items, and what is typed there.
OTHERS = {
    r"Name of the second person[^\r\n]*: $": "S. Second",
    r"do you see, hear or read instead\? $": "it is another",
    r"[Ww]hat was done about it\?[^\r\n]*\) $": "put right",
    r"without the call · q: stop $": "1",
    r"Who looks, together\?[^\r\n]*\) $": "",
    r"q:\s+stop\r\n> $": "1",
    r"go or no-go\? $": "g",
    r"Name of the lead who signs GO: $": "L. Lead",
    r"q: leave\s+it\r\n> $": "n",
    r"go on where it was $": "k",
}


def spawn(rig: Path, by: str = "A. Adams", *options: str) -> pexpect.spawn:
    """Start a walk at a terminal of its own, 80 by 24."""
    return pexpect.spawn(
        sys.executable,
        ["-c", CODE, str(rig), "--by", by, *options],
        encoding="utf-8",
        timeout=60,
        dimensions=(24, 80),
        env={
            "PATH": "/usr/bin:/bin",
            "TERM": "dumb",
            "LANG": "C.UTF-8",
            "PYTHONPATH": os.environ.get("PYTHONPATH", ""),
        },
        # A shell in the background hands on an ignored SIGINT; a person's terminal does not.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )


def spawn_forked(rig: Path) -> pexpect.spawn:
    """Start a walk as a fork of this program, which has everything loaded: a process and a terminal of its own.

    What it spares is the start of Python, so that a thousand kills take minutes.
    """
    pid, terminal = pty.fork()
    if pid == 0:
        os.environ.update(TERM="dumb", COLUMNS="80", LINES="24")
        sys.stdin, sys.stdout = open(0, encoding="utf-8"), open(1, "w", encoding="utf-8")  # noqa: SIM115
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        try:
            walk(rig, "full-walk", role=None, by="A. Adams", new=False, key=None, plain=False)
        except typer.Exit:
            pass
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            os._exit(0)
    child = fdspawn(terminal, encoding="utf-8", timeout=60)
    child.kill = lambda number: os.kill(pid, number)
    child.wait = lambda: os.waitpid(pid, 0)
    return child


@dataclass
class Killing:
    """Walks of one rig, killed again and again; what was acknowledged on the screen must stay answered.

    `acknowledged` has, in order, what the screen said was recorded in the walk under way: answers with their items, the
    words of a no-go, cures. `settled` are the items that no longer come up: go, and no second look saw otherwise.
    """

    rig: Path
    chance: random.Random
    spawn: Callable[[Path], pexpect.spawn] = spawn
    acknowledged: list[tuple[str, ...]] = field(default_factory=list)
    settled: set[str] = field(default_factory=set)
    kills: int = 0
    signed: set[int] = field(default_factory=set)
    unacknowledged: int = 0
    startups: int = 0
    checks: int = 0
    on_disk: int = 0
    no_gos: int = 0
    together: int = 0
    problems: list[str] = field(default_factory=list)

    def plan(self) -> Plan:
        return load_basis(self.rig, "full-walk", digest_of, date(2026, 11, 25)).plan

    def run(self, kills: int) -> None:
        """Kill that many walks."""
        plan = self.plan()
        while self.kills < kills:
            child = self.spawn(self.rig)
            child.delaybeforesend = None
            try:
                ended = self._walk_until(child, plan)
            finally:
                child.kill(signal.SIGKILL)
                child.wait()
            self._acknowledge(_rest(child), plan, child)
            child.close()
            self.kills += not ended
            self._compare()

    def _walk_until(self, child: pexpect.spawn, plan: Plan) -> bool:
        """Answer whatever is asked until the moment comes; return whether the walk was signed before it did.

        One in five is killed while it starts, the others within a second and a half of their first question.
        """
        child.asked = ""
        patterns = [ITEM, *OTHERS, pexpect.EOF]
        first = True
        in_start = self.chance.random() < 0.2
        deadline = time.monotonic() + (self.chance.uniform(0, 1.5) if in_start else 60)
        while True:
            left = deadline - time.monotonic()
            try:
                found = child.expect(patterns, timeout=max(left, 0)) if left > 0 else -1
            except pexpect.TIMEOUT:
                found = -1
            if found == -1:
                self.startups += first
                return False
            if first and not in_start:
                deadline = time.monotonic() + self.chance.uniform(0, 1.5)
            first = False
            self._acknowledge(child.before + str(child.after), plan, child)
            if found == len(patterns) - 1:
                return "signed by" in child.before
            if found > 0:
                child.sendline(list(OTHERS.values())[found - 1])
                if list(OTHERS.values())[found - 1] == "n":
                    self.acknowledged, self.settled = [], set()
                continue
            item = plan.by_key[child.asked]
            go = str(item.measure.least) if item.measure else "g"
            child.sendline(go if item.is_call or self.chance.random() < 0.9 else "n")

    def _acknowledge(self, text: str, plan: Plan, child: pexpect.spawn) -> None:
        """Read what the screen showed: an answer acknowledged, then the next item asked."""
        for match in re.finditer(f"{PLACE.pattern}|{RECORDED.pattern}", text):
            if match[1] is not None:
                rows = [item for item in plan.items if item.phase == int(match[1]) - 1]
                child.asked = rows[int(match[2]) - 1].key
                if child.asked in self.settled:
                    self.problems.append(f"asked twice: {child.asked}")
            elif match[4] is not None:
                self.acknowledged.append(({"Words": "seen", "Cure": "cure"}[match[4]],))
            elif child.asked:  # in the poll, nothing is
                self.acknowledged.append(("answer", child.asked, match[3].lower()))
                self._settle(child.asked, match[3].lower())
                child.asked = ""

    def _settle(self, key: str, answer: str) -> None:
        """A go settles an item; a no-go unsettles it, and the other look at it with it."""
        first = key.removeprefix("second/")
        if answer == "go":
            self.settled.add(key)
        else:
            self.settled -= {first, f"second/{first}"}

    def _compare(self) -> None:
        path = ledger_path(self.rig)
        if not path.exists():
            return
        # First as any other program would find it, which is also what rolls back a half-written entry.
        connection = sqlite3.connect(path)
        if (found := connection.execute("PRAGMA integrity_check").fetchall()) != [("ok",)]:
            self.problems.append(f"integrity check: {found}")
        connection.close()
        self.checks += 1
        try:
            with Ledger(path, reading=True) as ledger:
                proof, entries = ledger.verify(), ledger.entries()
        except RecordError as error:
            if "no record of rigwalk's" not in str(error):  # killed before the very first entry: an empty file
                self.problems.append(str(error))
            return
        if proof.broken is not None:
            self.problems.append(f"record {proof.broken.seq}: {proof.broken.why}")
        walk = entries[-1].walk if entries else 0
        last = [entry for entry in entries if entry.walk == walk]
        on_disk = [_told(entry) for entry in last if entry.kind in ("answer", "seen", "cure")]
        known = len(self.acknowledged)
        if walk not in self.signed:
            if on_disk[:known] != self.acknowledged:
                self.problems.append(f"lost: {self.acknowledged} became {on_disk[:known]}")
            fresh = on_disk[known:]
            self.problems += [f"more on disk than was typed: {fresh}"] if len(fresh) > 1 else []
            self.unacknowledged += len(fresh)
            for kind, *answer in fresh:
                if kind == "answer":
                    self._settle(*answer)
        self.acknowledged = on_disk
        self.on_disk = sum(entry.kind == "answer" for entry in entries)
        self.no_gos = sum(entry.kind == "answer" and entry.body["answer"] == "no-go" for entry in entries)
        self.together = sum(bool(entry.body.get("together_with")) for entry in entries)
        if last and last[-1].kind == "signed":
            self.signed.add(walk)
            self.acknowledged, self.settled = [], set()


def _told(entry: Entry) -> tuple[str, ...]:
    """Return an entry as the screen acknowledges it."""
    answer = (entry.body["item"], entry.body["answer"]) if entry.kind == "answer" else ()
    return (entry.kind, *answer)


def _rest(child: pexpect.spawn) -> str:
    """Return what had still reached the screen when it was killed."""
    text = child.buffer
    while select.select([child.child_fd], [], [], 0)[0]:
        try:
            text += os.read(child.child_fd, 65536).decode("utf-8", "replace")
        except OSError:
            break
    return str(text)


def flip_bytes(path: Path, changes: int, seed: int) -> SimpleNamespace:
    """Change single bytes of a record, one at a time, and look whether that is noticed.

    Returns how many changes there were, how many of them `touched` a record (a plain reader of the database finds
    other rows, or none), and how many of these were `missed`.
    """
    chance = random.Random(seed)
    whole = path.read_bytes()
    good = _rows(path)
    result = SimpleNamespace(changes=changes, touched=0, noticed=0, missed=[])
    with tempfile.TemporaryDirectory() as folder:
        changed = Path(folder) / "walks.sqlite"
        for _ in range(changes):
            place, bits = chance.randrange(len(whole)), chance.randrange(1, 256)
            data = bytearray(whole)
            data[place] ^= bits
            changed.write_bytes(data)
            touched = _rows(changed) != good
            result.touched += touched
            if _is_noticed(changed):
                result.noticed += 1
            elif touched:
                result.missed.append(place)
    return result


def _rows(path: Path) -> list[tuple[object, ...]] | None:
    connection = sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)
    connection.text_factory = bytes
    try:
        return connection.execute("SELECT rowid, * FROM entries ORDER BY rowid").fetchall()
    except (sqlite3.Error, UnicodeDecodeError, OverflowError):
        return None
    finally:
        connection.close()


def _is_noticed(path: Path) -> bool:
    try:
        with Ledger(path, reading=True) as ledger:
            return ledger.verify().broken is not None
    except RecordError:
        return True


def walked_ledger(folder: Path, key: Path | None = None) -> Path:
    """Return the record of one whole walk, signed with a key as well where there is one."""
    rig = write_house(folder) / "rigs" / "sunday.yaml"
    with Ledger(ledger_path(rig)) as ledger:
        session = open_session(rig, ledger)
        while (item := session.state.next_item()) is not None:
            value = item.measure.least if item.measure else None
            session.answer(item, Given("go", value), "S. Second" if item.second_of else "")
        for role in session.state.plan.roles:
            session.poll(role, "go", "go")
        session.signs_with = public_key(load_key(key)) if key is not None else ""
        signed = session.sign("L. Lead", wants_go=True)
        assert signed.body["verdict"] == "go"
        if key is not None:
            session.add_signature(sign_seal(load_key(key), signed.seal))
    return ledger_path(rig)


def open_session(rig: Path, ledger: Ledger) -> Session:
    def load():  # type: ignore[no-untyped-def]
        return load_basis(rig, "full-walk", digest_of, date(2026, 11, 25))

    session = Session(ledger, load(), load, digest_of, lambda: datetime.now().astimezone())
    session.open("A. Adams")
    return session


@contextmanager
def filled_disk(place: Path, size: str = "400k") -> Iterator[Path | None]:
    """Mount a file system in memory of that size; None where that is not allowed."""
    place.mkdir(parents=True)
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(place)]
    try:
        is_mounted = subprocess.run(mount, capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        is_mounted = False
    try:
        yield place if is_mounted else None
    finally:
        if is_mounted:
            subprocess.run(["umount", str(place)], check=False)


def time_answers(folder: Path, answers: int) -> dict[str, list[float]]:
    """Return milliseconds, sorted: of an answer from typed to on disk, of an entry, and of a bare write and fsync."""
    rig = write_house(folder) / "rigs" / "sunday.yaml"
    times: dict[str, list[float]] = {"answer": [], "entry": [], "fsync": []}
    bare = os.open(folder / "bare", os.O_WRONLY | os.O_CREAT)
    with Ledger(ledger_path(rig)) as ledger:
        session = open_session(rig, ledger)
        item = session.state.plan.items[0]
        for number in range(answers):
            start = time.perf_counter()
            session.answer(item, Given("no-go", seen=f"trial {number}"))
            times["answer"].append(time.perf_counter() - start)
            start = time.perf_counter()
            ledger.append(session.walk, "note", {"by": "A", "note": "trial", "item": None, **times_of(datetime.now())})
            times["entry"].append(time.perf_counter() - start)
            start = time.perf_counter()
            os.write(bare, b"x" * 500)
            os.fsync(bare)
            times["fsync"].append(time.perf_counter() - start)
    os.close(bare)
    return {name: sorted(1000 * seconds for seconds in found) for name, found in times.items()}


def kill_many(folder: Path, kills: int, seed: int, house_kills: int = 50) -> None:
    """Kill walks in one house after the other, every tenth house with programs started anew, and print the figures."""
    done: list[Killing] = []
    for number in range(-(-kills // house_kills)):
        rig = write_house(folder / f"kills-{number}") / "rigs" / "sunday.yaml"
        how = spawn if number % 10 == 0 else spawn_forked
        killing = Killing(rig, random.Random(f"{seed}/{number}"), how)
        killing.run(min(house_kills, kills - number * house_kills))
        done.append(killing)
        print(f"killed so far: {sum(each.kills for each in done)}, problems: {killing.problems[:3]}", flush=True)
    print(f"killed: {sum(each.kills for each in done)}, while starting: {sum(each.startups for each in done)}")
    print(f"walks signed: {sum(len(each.signed) for each in done)}")
    no_gos, together = (sum(getattr(each, name) for each in done) for name in ("no_gos", "together"))
    print(f"no-gos among the answers: {no_gos}, looks together after a difference: {together}")
    print(
        f"answers on disk: {sum(each.on_disk for each in done)}, integrity checks: {sum(each.checks for each in done)}"
    )
    print(f"on disk though not yet acknowledged: {sum(each.unacknowledged for each in done)}")
    print(f"problems: {sum(len(each.problems) for each in done)}")


def main() -> None:
    """Run everything in full and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--flips", type=int, default=10_000)
    parser.add_argument("--answers", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="torture-"))
    try:
        if wanted.answers:
            for name, found_ms in time_answers(folder / "times", wanted.answers).items():
                best, median = found_ms[len(found_ms) // 10], statistics.median(found_ms)
                print(f"{name}: median {median:.1f} ms, best tenth {best:.1f} ms, over {wanted.answers}")
        if wanted.flips:
            found = flip_bytes(walked_ledger(folder / "flips"), wanted.flips, wanted.seed)
            print(f"bytes changed: {found.changes}, touching a record: {found.touched}, missed: {len(found.missed)}")
            print(f"noticed in all, with those that touch no record: {found.noticed}")
        if wanted.kills:
            kill_many(folder, wanted.kills, wanted.seed)
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
