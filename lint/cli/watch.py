"""`rigwalk check --watch`: checks again whenever the rig, or what its house says, is saved."""

from __future__ import annotations

import gc
import hashlib
import os
import select
import sys
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import typer

from lint.cli.many import HOUSE_FILE, Job, Told, tell

if TYPE_CHECKING:
    from lint.check.catalogue import Catalogue

LOOK_S = 0.04
# A file system's clock may stand still while a file is saved twice: a fresh one is told by what is in it.
FRESH_S = 2.0
# An editor that writes beside and renames leaves a moment without a file.
GONE_S = 0.3
FOLDERS = ("models", "rules")


class Stamp(NamedTuple):
    """What tells one state of a file from another."""

    changed_ns: int
    size: int
    digest: bytes


def keep_checking(path: Path, catalogue: Catalogue, job: Job) -> None:
    """Check a rig, and again at every change, until ctrl-c; what can't be read stands below the last good check.

    Raises BrokenPipeError once nobody reads what it prints any more.
    """
    gc.enable()
    good: tuple[Told, str] | None = None
    files = {path}
    try:
        while True:
            before = _stamps(_watched(path, files), {})
            row = tell(path, catalogue, job)
            now = time.strftime("%H:%M:%S")
            if not row.problems:
                good = (row, now)
            _show(row, good, now)
            fresh = set(map(Path, row.files)) - files
            files |= fresh
            before |= _stamps(fresh, {})
            _wait_for_change(path, files, before)
    except KeyboardInterrupt:
        typer.echo("\nStopped watching.")


def _show(row: Told, good: tuple[Told, str] | None, now: str) -> None:
    """Show the last good check and, below it, what keeps the file from being read now."""
    if sys.stdout.isatty():
        typer.echo("\x1b[H\x1b[2J\x1b[3J", nl=False)
    if good is not None and (not row.problems or sys.stdout.isatty()):
        typer.echo(good[0].report)
    if row.timings:
        typer.echo(row.timings)
    if row.problems:
        typer.echo("\n".join(map(str, row.problems)) + "\n")
    if not row.problems:
        told = f"Checked at {now}."
    elif good is not None:
        verdict = good[0].report.rstrip().rpartition("\n")[2]
        told = f"Can't be read at {now}. The last good check was at {good[1]}:\n{verdict}\n"
    else:
        told = f"Can't be read at {now}."
    typer.echo(f"{told}\nWatching for changes; ctrl-c ends.")
    sys.stdout.flush()


def _wait_for_change(path: Path, files: set[Path], stamps: dict[Path, Stamp]) -> None:
    says = {file: stamp.digest for file, stamp in stamps.items()}
    reader = _reader()
    while True:
        if reader is None:
            time.sleep(LOOK_S)
        elif reader.poll(LOOK_S * 1000):
            raise BrokenPipeError
        stamps = _stamps(_watched(path, files), stamps)
        if {file: stamp.digest for file, stamp in stamps.items()} != says:
            deadline = time.monotonic() + GONE_S
            while not path.exists() and time.monotonic() < deadline:
                time.sleep(LOOK_S / 4)
            return


def _reader() -> select.poll | None:
    """Return what wakes when the reader of a pipe is gone, which nothing else would tell until the next save.

    Asked for no event it tells of errors and of a hang-up alone. None where the system has no such call.
    """
    if not hasattr(select, "poll"):
        return None
    reader = select.poll()
    reader.register(sys.stdout, 0)
    return reader


def _stamps(files: Iterable[Path], before: dict[Path, Stamp]) -> dict[Path, Stamp]:
    """Return the state of each file that is there, reading those alone that may have changed."""
    found: dict[Path, Stamp] = {}
    for file in files:
        try:
            status = file.stat()
            known = before.get(file)
            is_old = time.time() - status.st_mtime > FRESH_S
            if known is not None and is_old and known[:2] == (status.st_mtime_ns, status.st_size):
                found[file] = known
            else:
                digest = hashlib.sha256(file.read_bytes()).digest()
                found[file] = Stamp(status.st_mtime_ns, status.st_size, digest)
        except OSError:
            continue
    return found


def _watched(path: Path, files: Iterable[Path]) -> Iterator[Path]:
    """Yield the files that a check of the rig reads: itself and what it extends, and its house's models and rules."""
    from lint.read.load import house_folder

    yield from files
    house = house_folder(path)
    if house is None:
        return
    yield house / HOUSE_FILE
    for name in FOLDERS:
        try:
            with os.scandir(house / name) as entries:
                names = sorted(entry.name for entry in entries if entry.name.endswith((".yaml", ".yml", ".py")))
        except OSError:
            continue
        yield from (house / name / found for found in names)
