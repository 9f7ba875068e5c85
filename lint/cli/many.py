"""Many rigs at once: found in folders, checked by all cores, told in the order of their names whatever ends first."""

from __future__ import annotations

import gc
import os
import re
import signal
import sys
from collections.abc import Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import typer

from lint.read.parse import MOST_MIB
from lint.read.problem import cannot_read
from lint.read.showable import unshowable

if TYPE_CHECKING:
    from lint.check.catalogue import Catalogue
    from lint.check.engine import Checked
    from lint.read.problem import Problem

HOUSE_FILE = "house.yaml"
RIGS = "rigs"
_RIG_KEY = re.compile(rb"(^|[{,\s])[\"']?(rig_format|extends)[\"']?[ \t]*:")
# Fewer are checked sooner than further processes have started.
FEWEST_AT_ONCE = 12


class Job(NamedTuple):
    """How every rig of a call is checked and told; `given` is what came by standard input."""

    output: str
    trust: tuple[str, ...]
    timings: bool
    given: bytes = b""


class Told(NamedTuple):
    """What is said of one rig, in plain data that passes between processes.

    `verdict` is empty where it could not be checked: for the `problems` of its files or, where there are none, for a
    defect of ours. `files` are the rig and all that it extends, or those that the problems are in.
    """

    path: Path
    verdict: str = ""
    report: Any = None
    timings: str = ""
    problems: tuple[Problem, ...] = ()
    files: tuple[str, ...] = ()


# Why a file of a folder is no rig that is meant.
NO_RIG = "neither rig_format: nor extends: stands in it"
BESIDE = "a house's rigs stand in its folder rigs/; name it to have it checked"


def rigs_in(paths: Iterable[Path]) -> list[Path]:
    """Return the rig files that are meant: each file, and for a folder those in it.

    In a house those are the YAML files of its `rigs/` (without them the house itself), in any other folder those that
    are rigs, with those of the folders below.
    """
    found: list[Path] = []
    for path in paths:
        if not path.is_dir():
            found.append(path)
            continue
        inside = list(_inside(path))
        for name, _ in inside:
            if what := unshowable(str(name.relative_to(path))):
                raise cannot_read(str(path), f"the name of a file or folder in it holds {what}; rename it")
        meant = [name for name, why in inside if not why]
        for reason in (NO_RIG, BESIDE):
            if others := [str(name) for name, why in inside if why == reason]:
                shown = ", ".join(others[:5]) + (f" and {len(others) - 5:,} more" if len(others) > 5 else "")
                typer.echo(f"Left out, since {reason}: {shown}", err=True)
        if not meant:
            typer.echo(f"{path}: there is no rig file (*.yaml) in this folder", err=True)
            raise typer.Exit(2)
        found += meant
    return list(dict.fromkeys(found))


def _inside(folder: Path) -> Iterator[tuple[Path, str]]:
    """Yield the YAML files in which rigs may stand, and why each is left out; empty where it is meant."""

    def unreadable(error: OSError) -> None:
        raise cannot_read(str(error.filename), f"can't look into it: {(error.strerror or str(error)).lower()}")

    houses = [folder.parent] if folder.name == RIGS and (folder.parent / HOUSE_FILE).is_file() else []
    for name, folders, files in os.walk(folder, onerror=unreadable):
        place = Path(name)
        folders[:] = sorted(one for one in folders if not one.startswith((".", "_")))
        if HOUSE_FILE in files:
            houses.append(place)
            folders[:] = [one for one in folders if one == RIGS]
            if not folders:  # a house whose weeks are all alike is a rig itself
                yield place / HOUSE_FILE, ""
            beside = [place / one for one in sorted(files) if _may_be_a_rig(one) and one != HOUSE_FILE]
            yield from ((one, BESIDE) for one in beside if _says_so(one))
            continue
        is_of_house = any(house in place.parents for house in houses)
        for one in sorted(files):
            if _may_be_a_rig(one):
                yield place / one, "" if is_of_house or _says_so(place / one) else NO_RIG


def _may_be_a_rig(name: str) -> bool:
    return name.endswith((".yaml", ".yml")) and not name.startswith((".", "_"))


def _says_so(path: Path) -> bool:
    """Whether a YAML file says in a key that it is meant for a rig. What can't be read is: that must be told."""
    try:
        if not path.is_file():  # a pipe or a device, which may never end: the reader refuses it
            return True
        with path.open("rb") as stream:
            return _RIG_KEY.search(stream.read(MOST_MIB * 1024**2)) is not None
    except OSError:
        return True


def told(paths: Sequence[Path], catalogue: Catalogue, job: Job) -> Generator[Told, None, None]:
    """Yield what is said of each rig, in the order given; a rig that fails stops none of the others."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if len(paths) >= FEWEST_AT_ONCE and cores > 1:
        yield from _by_all_cores(paths, job, min(cores, len(paths)))
        return
    for number, path in enumerate(paths):
        if number:
            gc.enable()
        try:
            row = tell(path, catalogue, job)
        except Exception:
            if len(paths) == 1:
                raise
            row = Told(path)
        yield row


def tell(path: Path, catalogue: Catalogue, job: Job) -> Told:
    """Check one rig and return what is said of it."""
    from lint.check.engine import check_file
    from lint.read.parse import STANDARD_INPUT, text_of
    from lint.read.problem import CannotReadError

    try:
        text = text_of(job.given, STANDARD_INPUT) if str(path) == STANDARD_INPUT else None
        checked = check_file(path, catalogue, trust=job.trust, text=text)
    except CannotReadError as error:
        return Told(path, problems=error.problems, files=tuple(problem.file for problem in error.problems))
    timings = ""
    if job.timings:
        from lint.report.timings import timings_text

        timings = timings_text(checked)
    files = checked.resolved.rig.document.files
    return Told(path, checked.verdict.value, _report(checked, job.output), timings, files=files)


def _report(checked: Checked, output: str) -> Any:
    if output == "json":
        from lint.report.json_report import rig_json

        return rig_json(checked)
    if output == "sarif":
        from lint.report.sarif import rig_run

        return rig_run(checked)
    if output == "junit":
        from lint.report.junit import rig_suite

        return rig_suite(checked)
    from lint.report.text import check_text, verdict_line

    if output == "brief":
        return f"{checked.resolved.rig.file}: {verdict_line(checked)}"
    return check_text(checked, checked.catalogue)


# -- by all cores ----------------------------------------------------------------------------------------------

_catalogue: Catalogue | None = None  # of a process that checks: loaded once


@contextmanager
def _ctrl_c_waits() -> Iterator[None]:
    """Hold ctrl-c back for a moment; a process that is started meanwhile never has it at all."""
    if not hasattr(signal, "pthread_sigmask"):  # not on every system
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin() -> None:
    """Make a process ready; it leaves ctrl-c to the one that started it."""
    from lint.check.catalogue import load_catalogue

    global _catalogue  # noqa: PLW0603 - what a process of the pool starts with has no other place
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _catalogue = load_catalogue()
    gc.freeze()
    gc.enable()


def _tell(path: Path, job: Job) -> Told:
    assert _catalogue is not None  # set when the process began
    try:
        return tell(path, _catalogue, job)
    except Exception:  # a defect of ours: whoever asked checks it again, and has it told as any other
        return Told(path)


def _tell_all(paths: Sequence[Path], job: Job) -> list[Told]:
    return [_tell(path, job) for path in paths]


def _by_all_cores(paths: Sequence[Path], job: Job, cores: int) -> Generator[Told, None, None]:
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import active_children

    done = 0
    at_once = max(1, min(8, len(paths) // cores // 4))
    pool = ProcessPoolExecutor(cores, initializer=_begin)
    try:
        # Not by `map`: left by ctrl-c it cancels what waits, and the pool's own thread fails at what was cancelled.
        with _ctrl_c_waits():
            waiting = [pool.submit(_tell_all, paths[at : at + at_once], job) for at in range(0, len(paths), at_once)]
        waiting.reverse()
        while waiting:
            for row in waiting.pop().result():
                done += 1
                yield row
    except BrokenProcessPool:  # one was ended from outside, such as for want of memory: the rest one by one
        for path in paths[done:]:
            with ProcessPoolExecutor(1, initializer=_begin) as alone:
                try:
                    yield alone.submit(_tell, path, job).result()
                except BrokenProcessPool:
                    yield Told(path)
    except BaseException:  # ctrl-c, or nobody reads any more: what is under way is waited for by nobody
        for process in active_children():
            process.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


class Bar:
    """How far it has come, on a terminal alone and beside what is reported: on the error stream, one line, wiped."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._shown = 0
        self._is_seen = most >= FEWEST_AT_ONCE and sys.stderr.isatty()

    def show(self, done: int) -> None:
        """Draw it at so many done."""
        if self._is_seen:
            filled = 30 * done // self._most
            line = f"[{'#' * filled}{'.' * (30 - filled)}] {done:,} of {self._most:,} rigs"
            self._shown = len(line)
            sys.stderr.write(f"\r{line}")
            sys.stderr.flush()

    def wipe(self) -> None:
        """Take it off, before anything else is written."""
        if self._shown:
            sys.stderr.write(f"\r{' ' * self._shown}\r")
            sys.stderr.flush()
            self._shown = 0
