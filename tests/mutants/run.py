"""Mutation testing: of the small wrong changes that can be made in the code, how many the tests notice.

`python tests/mutants/run.py lint/resolve rules lint/formula [--sample N]`

One process imports all and collects the tests. A fork of it runs them once under coverage, to learn which test runs
which line and how long it takes; then each change is made in memory, in a fork of its own, and the tests that run its
line are run until one fails. What none notices is printed at once, a JSON object a line; the figures come last.
Nothing on the disk is touched. Needs `pip install coverage`.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import pickle
import random
import resource
import sys
import tempfile
import time
import types
from collections import Counter, defaultdict
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any, NamedTuple

import coverage
import pytest
from _pytest.tmpdir import tmppath_result_key
from operators import Mutant, changed_tree, mutants, node_at

ROOT = Path(__file__).parents[2]
# Those that concern the code: everything else is downstream of it and slow.
TESTS = ["tests/resolve", "tests/rules", "tests/formula", "tests/facts", "tests/check", "tests/published"]
LONGEST_S = 1.0  # a test that takes longer, in processor time, is left out
MOST_S = 6.0  # of tests for one change
FUTURE = 0x1000000  # the compiler's flag for annotations that are not evaluated


class Job(NamedTuple):
    """One change of one file."""

    file: Path
    source: str
    mutant: Mutant


class Known(NamedTuple):
    """What the tests do: those that run each line, by file, and the processor time of each test in seconds."""

    by_line: dict[str, dict[int, set[str]]]
    seconds: dict[str, float]


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0] if __doc__ else None)
    parser.add_argument("folders", nargs="+", help="folders or files of the code, such as lint/resolve")
    parser.add_argument("--sample", type=int, help="so many changes of each folder, drawn at random, instead of all")
    parser.add_argument("--tests", nargs="+", default=TESTS, help="the tests that are run")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    given = parser.parse_args()
    os.chdir(ROOT)
    jobs = [job for folder in given.folders for job in _sample(list(_jobs(ROOT / folder)), given.sample)]
    plugin = _Loop(jobs, given.workers)
    quiet = ["-q", "-n0", "-s", "--no-header", "-p", "no:cacheprovider", "-o", "tmp_path_retention_policy=none"]
    with tempfile.TemporaryDirectory() as own:  # what fails here is no example for other runs
        os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = own
        pytest.main([*given.tests, *quiet, f"--basetemp={own}/tests"], plugins=[plugin])
    _report(plugin.results)


def _jobs(path: Path) -> Iterator[Job]:
    for file in [path] if path.is_file() else sorted(path.glob("*.py")):
        source = file.read_text(encoding="utf-8")
        for mutant in mutants(source) if file.name != "__init__.py" else ():
            yield Job(file, source, mutant)


def _sample(jobs: list[Job], size: int | None) -> list[Job]:
    """Draw so many changes, the same ones every time."""
    return random.Random(size).sample(jobs, size) if size and size < len(jobs) else jobs


class _Loop:
    """Takes the place of pytest's own loop over the tests that it collected."""

    def __init__(self, jobs: list[Job], workers: int) -> None:
        self.jobs, self.workers = jobs, workers
        self.results: list[tuple[Job, bool]] = []
        self.rare: dict[object, dict[str, int]] = {}
        self.killers: dict[object, Counter[str]] = defaultdict(Counter)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Learn what the tests run, then make each change."""
        self.items = {item.nodeid: item for item in session.items}
        self.session = session
        session.config._tmp_path_factory.getbasetemp()  # type: ignore[attr-defined]
        for job in self.jobs:
            import_module(_module(job.file))
        self.known: Known = pickle.loads(_in_fork(self._learn, sys.maxsize)[1])
        left_out = sorted(self.items.keys() - self.known.seconds.keys())
        print(
            f"{len(left_out)} of {len(self.items)} tests fail as it is or take too long:",
            *left_out[:9],
            file=sys.stderr,
        )
        waiting = self.jobs[::-1]
        running: dict[int, tuple[Job, int]] = {}
        while waiting or running:
            while waiting and len(running) < self.workers:
                job = waiting.pop()
                tests = self._tests(job)
                limit_s = 3 + 3 * int(sum(self.known.seconds[test] for test in tests))
                pid, pipe = _fork(lambda job=job, tests=tests: self._try(job, tests), limit_s)  # type: ignore[misc]
                running[pid] = job, pipe
            pid, status = os.wait()
            job, pipe = running.pop(pid)
            killer = os.read(pipe, 4096).decode()
            os.close(pipe)
            self.killers[job.file, job.mutant.unit][killer] += bool(killer)
            is_noticed = status != 0 or killer != ""
            self.results.append((job, is_noticed))
            if not is_noticed:
                print(_shown(job), flush=True)
        return True

    def _learn(self) -> bytes:
        """Run every test once; those that fail or take too long are left out."""
        cover = coverage.Coverage(data_file=None, include=sorted({str(job.file) for job in self.jobs}))
        cover.start()
        seconds: dict[str, float] = {}
        for name in self.items:
            cover.switch_context(name)
            start = time.process_time()
            if self._fails(name):
                continue
            taken = time.process_time() - start
            if taken < LONGEST_S:
                seconds[name] = taken
        cover.stop()
        data = cover.get_data()
        lines = {
            file: {
                line: {name for name in names if name in seconds}
                for line, names in data.contexts_by_lineno(file).items()
            }
            for file in data.measured_files()
        }
        return pickle.dumps(Known(lines, seconds))

    def _tests(self, job: Job) -> list[str]:
        """Return the tests that run a change, those first that noticed another one of the same function."""
        lines = self.known.by_line.get(str(job.file), {})
        near = range(job.mutant.line - 1, job.mutant.line + 2)  # a line of its own has no event of its own
        found = lines.get(job.mutant.line) or set().union(*(lines.get(line, set()) for line in near), set())
        if job.mutant.what != "function" or not found:
            found = set().union(*lines.values(), set())
        before, seconds, rare = self.killers[job.file, job.mutant.unit], self.known.seconds, self._rarity(job)
        chosen, taken = [], 0.0
        for name in sorted(found, key=lambda name: (-before[name], rare.get(name, sys.maxsize), seconds[name], name)):
            if taken + seconds[name] <= MOST_S:
                chosen.append(name)
                taken += seconds[name]
        return chosen

    def _rarity(self, job: Job) -> dict[str, int]:
        """Return how many tests run the line of a function that the fewest run, for each: what is meant for it first."""
        unit = job.file, job.mutant.unit
        if unit not in self.rare:
            found: dict[str, int] = {}
            lines = self.known.by_line.get(str(job.file), {})
            for names in (lines[line] for line in job.mutant.span if line in lines):
                found.update((name, min(found.get(name, len(names)), len(names))) for name in names)
            self.rare[unit] = found
        return self.rare[unit]

    def _try(self, job: Job, tests: list[str]) -> bytes:
        """Make a change and return the first test that fails; nothing where none does."""
        try:
            _make(job)
        except Exception as error:  # a change that can't even be made is noticed at once
            return repr(error).encode()
        return next((name.encode() for name in tests if self._fails(name)), b"")

    def _fails(self, name: str) -> bool:
        """Run a test with its fixtures, without pytest's reports: what a failure looks like takes longer than the test."""
        item: Any = self.items[name]
        item.stash[tmppath_result_key] = {"call": True}
        try:
            if getattr(item, "_request", True) is None or not item._request:
                item._initrequest()
            self.session._setupstate.setup(item)
            item.runtest()
        except pytest.skip.Exception:
            return False
        except BaseException:  # whatever it is, the change is noticed
            return True
        finally:
            self.session._setupstate.teardown_exact(None)
        return False


def _fork(work: Any, limit_s: int) -> tuple[int, int]:
    """Start work in a fork with so much processor time; return its process and a pipe with the bytes it returns."""
    out, into = os.pipe()
    pid = os.fork()
    if pid:
        os.close(into)
        return pid, out
    status = 1
    try:
        if limit_s < sys.maxsize:
            resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s))
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in range(3):
            os.dup2(nothing, stream)
        with os.fdopen(into, "wb") as pipe:
            pipe.write(work())
        status = 0
    finally:
        os._exit(status)


def _in_fork(work: Any, limit_s: int) -> tuple[int, bytes]:
    pid, pipe = _fork(work, limit_s)
    with os.fdopen(pipe, "rb") as stream:
        found = stream.read()
    return os.waitpid(pid, 0)[1], found


def _module(file: Path) -> str:
    """Return the name of a module: rules/ is lint.rules."""
    name = ".".join(file.relative_to(ROOT).with_suffix("").parts)
    return f"lint.{name}" if name.startswith("rules.") else name


def _make(job: Job) -> None:
    """Put a change into the running module: a function's code, or a value wherever it was imported to."""
    module, mutant = import_module(_module(job.file)), job.mutant
    tree = changed_tree(job.source, mutant)
    unit = node_at(tree, mutant.start)

    def value(node: ast.expr) -> Any:
        return eval(compile(ast.Expression(node), str(job.file), "eval"), vars(module))

    if mutant.what == "constant":
        _replace(mutant.unit[0], vars(module)[mutant.unit[0]], value(unit))
    elif mutant.what == "limits":
        object.__setattr__(vars(module)[mutant.unit[0]], "limits", value(unit))
    else:
        found: Any = module
        for name in mutant.unit:
            found = vars(found)[name]
        function = _function(found)
        if mutant.what == "default":
            function.__defaults__ = tuple(map(value, unit.args.defaults))
            pairs = zip(unit.args.kwonlyargs, unit.args.kw_defaults, strict=True)
            function.__kwdefaults__ = {name.arg: value(node) for name, node in pairs if node is not None}
        else:
            code = compile(tree, str(job.file), "exec", flags=FUTURE, dont_inherit=True)
            for name in mutant.unit:
                code = next(c for c in code.co_consts if isinstance(c, types.CodeType) and c.co_name == name)
            function.__code__ = code


def _replace(name: str, old: object, new: object) -> None:
    for module in [entry for entry in sys.modules.values() if isinstance(entry, types.ModuleType)]:
        if vars(module).get(name) is old:
            setattr(module, name, new)


def _function(found: Any) -> types.FunctionType:
    """Return the function within a rule, a property, a cached one or a class's own."""
    while not isinstance(found, types.FunctionType):
        ways = ("function", "func", "fget", "__func__", "__wrapped__")
        found = next(getattr(found, way) for way in ways if hasattr(found, way))
    return found


def _shown(job: Job) -> str:
    mutant = job.mutant
    row = {"file": str(job.file.relative_to(ROOT)), "line": mutant.line, "in": mutant.unit[-1], "kind": mutant.kind}
    return json.dumps(row | {"before": mutant.before, "after": mutant.after}, ensure_ascii=False)


def _report(results: list[tuple[Job, bool]]) -> None:
    """Print the figures, a folder a line, with and without the words of messages."""
    for folder in dict.fromkeys(job.file.parent for job, _ in results):
        rows = [(job, is_noticed) for job, is_noticed in results if job.file.parent == folder]
        logic = [is_noticed for job, is_noticed in rows if job.mutant.kind != "text"]
        every = _share([is_noticed for _, is_noticed in rows])
        print(f"{folder.relative_to(ROOT)}: {every}; without words {_share(logic)}")


def _share(noticed: list[bool]) -> str:
    return f"{sum(noticed)} of {len(noticed)} noticed ({sum(noticed) / max(1, len(noticed)):.1%})"


if __name__ == "__main__":
    main()
