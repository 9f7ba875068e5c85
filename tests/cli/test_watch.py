"""`rigwalk check --watch` at a real terminal: it checks at every save, and what can't be read hides no good verdict."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pexpect
import pytest
from typer.testing import CliRunner

from lint.cli import app
from lint.cli.watch import _stamps

WEEK = "hall/rigs/clean-week.yaml"


def hears_ctrl_c() -> None:
    """Undo what a shell does to its background jobs: tests that run there would have a program deaf to ctrl-c."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def watching(house: Path) -> Iterator[Any]:  # noqa: ARG001
    code = "from lint.cli import main; main()"
    child = pexpect.spawn(
        sys.executable,
        ["-c", code, "check", WEEK, "--watch"],
        encoding="utf-8",
        timeout=20,
        dimensions=(24, 80),
        preexec_fn=hears_ctrl_c,
    )
    child.expect("Checked at .*Watching for changes; ctrl-c ends")
    yield child
    child.close(force=True)


def save(name: str, old: str, new: str) -> None:
    path = Path(name)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_every_save_is_checked_and_the_last_good_verdict_stays(watching: Any) -> None:
    start = time.monotonic()
    save(WEEK, "patched_from: desk/link-1/1,", "patched_from: desk/link-1/2,")
    watching.expect(r"NO-GO\S* \(.*Checked at")
    assert time.monotonic() - start < 5  # a shared machine: tests/benchmark.py says how soon
    good = Path(WEEK).read_text(encoding="utf-8")
    Path(WEEK).write_text(good + "sources: [\n", encoding="utf-8")
    watching.expect(r"clean-week.yaml:\d+:\d+: .*Can't be read at .* The last good check was at .*NO-GO\S* \(")
    Path(WEEK).write_text(good.replace("link-1/2,", "link-1/1,", 1), encoding="utf-8")
    watching.expect(r"GO\S* \(1 note\)\s+Checked at")
    watching.sendintr()
    watching.expect("Stopped watching")
    watching.expect(pexpect.EOF)
    watching.wait()
    assert watching.exitstatus == 0


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("hall/rules/own-one.py", "1 /", "own-one"),
        ("hall/rules/own-two.yaml", "rule_format: 1\n", "own-two"),
        ("hall/house.yaml", "rig_format: 2\n", "Can't be read"),
        ("hall/models/console-48.yaml", "model_format: 2\n", r"console-48.yaml:1:\d+: .*Can't be read"),
    ],
)
def test_what_the_house_says_is_watched_as_well(watching: Any, name: str, text: str, told: str) -> None:
    Path(name).parent.mkdir(exist_ok=True)
    Path(name).write_text(text, encoding="utf-8")
    watching.expect(told)


def test_a_file_saved_twice_in_one_tick_of_the_clock_is_told_by_what_it_says(tmp_path: Path) -> None:
    import os

    path = tmp_path / "rig.yaml"
    path.write_text("a: 1", encoding="utf-8")
    status = path.stat()
    before = _stamps([path], {})
    path.write_text("a: 2", encoding="utf-8")
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))
    assert _stamps([path], before)[path].digest != before[path].digest


def test_touching_a_file_changes_nothing(tmp_path: Path) -> None:
    import os

    path = tmp_path / "rig.yaml"
    path.write_text("a: 1", encoding="utf-8")
    before = _stamps([path], {})
    os.utime(path, ns=(0, 0))
    assert _stamps([path], before)[path].digest == before[path].digest


@pytest.mark.parametrize("saves", [False, True])
def test_once_nobody_reads_any_more_it_ends_quietly(house: Path, saves: bool) -> None:  # noqa: ARG001
    code = "from lint.cli import main; main()"
    with subprocess.Popen(
        [sys.executable, "-c", code, "check", WEEK, "--watch"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    ) as watching:
        assert watching.stdout is not None
        assert watching.stderr is not None
        try:
            while not watching.stdout.readline().startswith("Watching"):
                pass
            assert watching.poll() is None
            watching.stdout.close()
            if saves:
                save(WEEK, "patched_from: desk/link-1/1,", "patched_from: desk/link-1/2,")
            assert watching.wait(timeout=20) == 1  # as every command whose reader has seen enough
            assert watching.stderr.read() == ""
        finally:
            watching.kill()


@pytest.mark.parametrize("more", [["hall"], [WEEK, "--format", "json"], [WEEK, "hall/rigs/faulty-week.yaml"]])
def test_it_looks_after_one_rig(house: Path, more: list[str]) -> None:  # noqa: ARG001
    done = CliRunner().invoke(app, ["check", "--watch", *more])
    assert done.exit_code == 2
    assert done.stderr == "--watch looks after one rig file, and tells it as text\n"
