"""Code of somebody else, run in a child process: it may crash, loop, eat memory or end the program, and harms nobody.

Where the system can't fork (Windows) it runs here, without a limit of time or memory.
"""

from __future__ import annotations

import faulthandler
import json
import os
import re
import select
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import wraps
from typing import IO, Any

from lint.check.finding import MAX_FINDINGS, Cure, Finding, Severity, cut, require_whole
from lint.check.rule import RuleFailedError
from lint.rig.rig import Place

SECONDS = 5.0
MEMORY_MB = 512
MAX_BYTES = 64 * 1024 * 1024
_GRACE_S = 2.0
_LOOK_S = 0.05
_OURS = os.path.dirname(os.path.dirname(__file__))  # noqa: PTH120 - compared with names of files, as text
_FRAME = re.compile(r'^  File "([^"]+)", line (\d+)', re.MULTILINE)

Work = Callable[[], Iterable[Any]]


@dataclass
class Outcome:
    """What guarded work said before it ended, and what went wrong (empty where nothing did)."""

    said: list[Any] = field(default_factory=list)
    error: str = ""
    file: str = ""
    line: int = 0

    def require_well(self, line: int = 0) -> None:
        """Raise RuleFailedError where something went wrong; `line` is told where nobody knows a better one."""
        if self.error:
            raise RuleFailedError(self.error, self.file, self.line or line)


def guarded(work: Work, file: str) -> Outcome:
    """Run work that yields plain data in a child process, for SECONDS and MEMORY_MB more than is in use at most.

    `file` is the file of whoever wrote it: a failure is told at its innermost line there.
    """
    if not hasattr(os, "fork"):
        return _here(work, file)
    sys.stdout.flush()
    sys.stderr.flush()
    reader, writer = os.pipe()
    with tempfile.TemporaryFile() as dump:
        child = os.fork()
        if child == 0:
            os.close(reader)
            _in_child(work, file, writer, dump)
        os.close(writer)
        outcome = _listen(child, reader, file)
        if outcome.error and not outcome.line:
            dump.seek(0)
            _place(outcome, _FRAME.findall(dump.read().decode(errors="replace")), file)
    return outcome


def _here(work: Work, file: str) -> Outcome:
    outcome = Outcome()
    try:
        outcome.said.extend(work())
    except (Exception, SystemExit) as error:
        outcome.error, outcome.file, outcome.line = _told(error, file)
    return outcome


# -- in the child ----------------------------------------------------------------------------------------------


def _in_child(work: Work, file: str, writer: int, dump: IO[bytes]) -> None:
    """Do the work, write what it says, and end the process without running anything of the parent's on the way out."""
    try:
        os.setsid()  # a group of its own: what it starts can be ended with it
        os.dup2(2, 1)  # what it prints must not get into a report
        sys.stdout = sys.stderr
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        # A watchdog of its own thread: it also ends what never comes back to the interpreter, and leaves the line.
        faulthandler.dump_traceback_later(SECONDS, exit=True, file=dump.fileno())
        restore = _limit_memory()
        with os.fdopen(writer, "w", encoding="utf-8") as pipe:
            try:
                for item in _at_most(MAX_FINDINGS, work()):
                    pipe.write(json.dumps({"said": item}) + "\n")
            except BaseException as error:
                restore()
                message, at, line = _told(error, file)
                kept = not isinstance(error, _TooManyError)
                pipe.write(json.dumps({"error": message, "file": at, "line": line, "kept": kept}) + "\n")
            else:
                pipe.write('{"end": true}\n')
        faulthandler.cancel_dump_traceback_later()
        sys.stderr.flush()
    finally:
        os._exit(0)


class _TooManyError(ValueError):
    """Work that says more than anybody would read: nothing of it is kept."""


def _at_most(most: int, items: Iterable[Any]) -> Iterator[Any]:
    for count, item in enumerate(items):
        if count >= most:
            raise _TooManyError(f"it yields more than {most:,} findings")
        yield item


def _limit_memory() -> Callable[[], None]:
    """Allow MEMORY_MB more than is in use now; return what lifts the limit again, so that a failure can be told."""
    try:
        import resource  # noqa: PLC0415 - not on every system

        soft, hard = resource.getrlimit(resource.RLIMIT_AS)
        with open("/proc/self/statm", encoding="ascii") as stream:  # noqa: PTH123 - one read, in the child
            in_use = int(stream.read().split()[0]) * resource.getpagesize()
        limit = in_use + MEMORY_MB * 1024 * 1024
        if soft == resource.RLIM_INFINITY or limit < soft:
            resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
            return lambda: resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
    except (ImportError, OSError, ValueError):
        pass  # a system that can't say or limit it
    return lambda: None


def _told(error: BaseException, file: str) -> tuple[str, str, int]:
    """Return an error in words, and its innermost line in the author's file, or else in any that is not ours."""
    if isinstance(error, SyntaxError) and error.filename == file:
        return f"{type(error).__name__}: {error.msg}", file, error.lineno or 0
    frames = traceback.extract_tb(error.__traceback__)
    own = [frame for frame in frames if frame.filename == file] or [
        frame for frame in frames if not frame.filename.startswith(_OURS)
    ]
    message = str(error) if not isinstance(error, MemoryError) else f"it takes more than {MEMORY_MB} MB of memory"
    text = message if isinstance(error, _TooManyError) else f"{type(error).__name__}: {message}"
    text = cut(text)
    return (text, own[-1].filename, own[-1].lineno or 0) if own else (text, file, 0)


# -- in the parent ---------------------------------------------------------------------------------------------


def _listen(child: int, reader: int, file: str) -> Outcome:
    """Read what the child says until it ends, or end it when its time is up, and with it all that it has started.

    The end of the pipe says nothing: what the child has started may hold it open for longer, or the child close it.
    """
    deadline = time.monotonic() + SECONDS + _GRACE_S
    raw = bytearray()
    status: int | None = None
    is_open = True
    os.set_blocking(reader, False)
    try:
        while status is None and (left := deadline - time.monotonic()) > 0 and len(raw) <= MAX_BYTES:
            select.select([reader] if is_open else [], [], [], min(left, _LOOK_S if is_open else _LOOK_S / 20))
            status = _status(child)  # asked before the pipe is read: what the child said before it ended is there now
            is_open = is_open and _drain(reader, raw)
    finally:
        os.close(reader)
        late = status is None
        _end_all(child, is_running=late)
    return _outcome(bytes(raw), status or 0, late, file)


def _status(child: int) -> int | None:
    """Return how the child ended, or None while it runs."""
    ended, status = os.waitpid(child, os.WNOHANG)
    return status if ended else None


def _drain(reader: int, raw: bytearray) -> bool:
    """Add what stands in the pipe, to a little more than MAX_BYTES; return whether more may come."""
    try:
        while len(raw) <= MAX_BYTES:
            piece = os.read(reader, 1 << 16)
            if not piece:
                return False
            raw += piece
    except BlockingIOError:
        pass
    return True


def _end_all(child: int, is_running: bool) -> None:
    """End whatever is left of the child's group, which bears the child's number."""
    with suppress(ProcessLookupError, PermissionError):
        os.killpg(child, signal.SIGKILL)
    if is_running:
        with suppress(ProcessLookupError):  # it may not have come so far as to have a group
            os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def _outcome(raw: bytes, status: int, late: bool, file: str) -> Outcome:
    outcome = Outcome(file=file)
    ended = False
    for line in raw.split(b"\n"):
        try:
            entry = json.loads(line)
        except ValueError:
            continue  # a line that was broken off
        if "said" in entry:
            outcome.said.append(entry["said"])
        else:
            ended = True
            if not entry.get("kept", True):
                outcome.said.clear()
            outcome.error = entry.get("error", "")
            outcome.file, outcome.line = entry.get("file", file), entry.get("line", 0)
    if ended:
        return outcome
    if len(raw) > MAX_BYTES:
        outcome.error = "it says more than can be kept"
    elif late or os.waitstatus_to_exitcode(status) == 1:
        outcome.error = f"it took longer than {SECONDS:g} s"
    else:
        outcome.error = "it ended without an answer"
    return outcome


def _place(outcome: Outcome, frames: list[tuple[str, str]], file: str) -> None:
    """Set the place of a failure from the frames of a dump, innermost first: the author's own line if there is one."""
    own = [frame for frame in frames if frame[0] == file] or frames
    if own:
        outcome.file, outcome.line = own[0][0], int(own[0][1])


# -- rules -----------------------------------------------------------------------------------------------------


def guarded_function(function: Callable[..., Iterable[Finding]]) -> Callable[..., Iterator[Finding]]:
    """Return a rule's function that does the same in a child process; raises RuleFailedError after what it found."""
    code = getattr(function, "__code__", None)
    file = code.co_filename if code else ""

    @wraps(function)  # what it is, where it comes from and what it says stay those of the rule
    def run(resolved: Any, **limits: float) -> Iterator[Finding]:
        outcome = guarded(lambda: map(finding_data, function(resolved, **limits)), file)
        yield from map(finding_of, outcome.said)
        outcome.require_well(code.co_firstlineno if code else 0)

    return run


def finding_data(finding: Any) -> dict[str, Any]:
    """Return a finding as plain data; raises TypeError for what is none."""
    require_whole(finding)
    return {
        "message": cut(finding.message),
        "places": [list(place) for place in finding.places],
        "cures": [[cut(cure.text), cure.change] for cure in finding.cures],
        "facts": dict(finding.facts),
        "severity": finding.severity.value if finding.severity else None,
        "explains": sorted(map(list, finding.explains)),
        "members": list(finding.members),
        "is_first": bool(finding.is_first),
    }


def finding_of(data: Mapping[str, Any]) -> Finding:
    """Return the finding of plain data."""
    return Finding(
        data["message"],
        tuple(Place(*place) for place in data["places"]),
        tuple(Cure(text, change) for text, change in data["cures"]),
        data["facts"],
        Severity(data["severity"]) if data["severity"] else None,
        frozenset((rule, address) for rule, address in data["explains"]),
        members=tuple(data["members"]),
        is_first=data["is_first"],
    )
