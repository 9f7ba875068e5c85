"""`rigwalk check DIR`: every rig of a folder, by all cores, in the order of their names, whatever is wrong with one."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pexpect
import pytest
from typer.testing import CliRunner

import lint
from lint.check.catalogue import load_catalogue
from lint.cli import app, many
from lint.cli.many import FEWEST_AT_ONCE, Job, Told, rigs_in
from lint.read.problem import CannotReadError

RIGWALK = [sys.executable, "-c", "from lint.cli import main; main()"]
JOB = Job("text", (), timings=False)


@pytest.fixture
def weeks(house: Path) -> list[Path]:
    """Weeks enough for several processes: each fifth is faulty, the eighth can't be read."""
    rigs = house / "rigs"
    texts = [(rigs / f"{name}-week.yaml").read_text(encoding="utf-8") for name in ("clean", "faulty")]
    for name in ("clean", "faulty"):
        (rigs / f"{name}-week.yaml").unlink()
    for number in range(FEWEST_AT_ONCE + 4):
        text = texts[number % 5 == 4] if number != 7 else "rig_format: ["
        (rigs / f"week-{number:02}.yaml").write_text(text, encoding="utf-8")
    return sorted(path.relative_to(house.parent) for path in rigs.iterdir())


def check(*arguments: str) -> Any:
    return CliRunner().invoke(app, ["check", *arguments])


def one_core(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0}, raising=False)


def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1}, raising=False)


@pytest.mark.parametrize("output", ["text", "json", "sarif", "junit"])
def test_all_cores_say_what_one_says(weeks: list[Path], output: str, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: ARG001
    two_cores(monkeypatch)
    both = check("hall", "--format", output)
    one_core(monkeypatch)
    alone = check("hall", "--format", output)
    assert both.exit_code == alone.exit_code == 2
    assert both.stdout == alone.stdout
    assert both.stderr == alone.stderr
    assert len(both.stdout) > 1000


def test_the_order_is_that_of_the_names(weeks: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    two_cores(monkeypatch)
    report = json.loads(check("hall", "--format", "json").stdout)
    assert [rig["rig"] for rig in report["rigs"]] == [str(path) for path in weeks if "07" not in path.name]
    assert [rig["rig"] for rig in report["unreadable"]] == ["hall/rigs/week-07.yaml"]


def test_a_folder_ends_in_its_sum_and_names_what_is_not_go(weeks: list[Path]) -> None:
    done = check("hall")
    sum_of_all = done.stdout[done.stdout.index(f"{len(weeks)} rigs: ") :]
    assert sum_of_all.splitlines() == [
        f"{len(weeks)} rigs: 12 go, 3 no-go, 1 can't be read.",
        "  no-go: hall/rigs/week-04.yaml, hall/rigs/week-09.yaml, hall/rigs/week-14.yaml",
        "  can't be read: hall/rigs/week-07.yaml",
    ]


def test_the_exit_status_is_the_worst(weeks: list[Path]) -> None:
    weeks[7].unlink()
    assert check("hall").exit_code == 1
    for number in (4, 9, 14):
        weeks[number].unlink()
    assert check("hall").exit_code == 0


def test_what_is_a_rig_in_a_folder(house: Path) -> None:
    for name in (".hidden.yaml", "_draft.yaml", "notes.txt", "below/second.yml"):
        path = house / "rigs" / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("", encoding="utf-8")
    (house / "models").mkdir(exist_ok=True)
    (house / "models" / "own.yaml").write_text("", encoding="utf-8")
    found = [str(path) for path in rigs_in([Path("hall")])]
    assert found == ["hall/rigs/clean-week.yaml", "hall/rigs/faulty-week.yaml", "hall/rigs/below/second.yml"]
    assert [str(path) for path in rigs_in([Path()])] == found
    assert rigs_in([Path(found[0]), Path("hall")])[0] == Path(found[0])


def test_outside_a_house_what_is_no_rig_is_left_out_and_named(house: Path) -> None:
    Path("all/below").mkdir(parents=True)
    Path("all/site.yml").write_text("site_name: ours\n", encoding="utf-8")
    Path("all/below/rig.yaml").write_bytes((house / "rigs" / "clean-week.yaml").read_bytes())
    Path("all/broken.yaml").write_text("{'extends' : nowhere.yaml", encoding="utf-8")
    done = check("all", "--format", "brief")
    assert "Left out, since neither rig_format: nor extends: stands in it: all/site.yml\n" in done.stderr
    assert done.stdout.endswith("2 rigs: 2 can't be read.\n  can't be read: all/broken.yaml, all/below/rig.yaml\n")
    Path("only").mkdir()
    Path("only/site.yml").write_text("site_name: ours\n", encoding="utf-8")
    assert check("only").stderr.endswith("only: there is no rig file (*.yaml) in this folder\n")


def test_a_house_without_weeks_is_a_rig_itself(house: Path) -> None:
    Path("new").mkdir()
    Path("new/house.yaml").write_bytes((house / "house.yaml").read_bytes())
    assert rigs_in([Path("new")]) == [Path("new/house.yaml")]


def test_a_folder_that_may_not_be_looked_into_is_told(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: ARG001
    real = os.scandir

    def refusing(path: Any) -> Any:
        if str(path).endswith("rigs"):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr("os.scandir", refusing)
    with pytest.raises(CannotReadError, match="hall/rigs: can't look into it: permission denied"):
        rigs_in([Path("hall")])


def test_a_rig_is_told_in_one_line_and_a_caution_may_fail(weeks: list[Path]) -> None:
    weeks[7].unlink()
    done = check("hall", "--format", "brief")
    rows = done.stdout.splitlines()
    assert rows[0] == f"{weeks[0]}: GO (1 note)"
    assert rows[4].startswith(f"{weeks[4]}: NO-GO (")
    assert len(rows) == len(weeks) - 1 + 2
    text = weeks[0].read_text(encoding="utf-8")
    careful = Path("careful.yaml")
    careful.write_text(
        text.replace("../house.yaml", "hall/house.yaml") + "cables: {trunk: {length_m: 95}}\n", encoding="utf-8"
    )
    assert check(str(careful)).exit_code == 0
    assert "GO WITH CAUTIONS" in check(str(careful)).stdout
    assert check(str(careful), "--fail-on", "caution").exit_code == 1
    assert check(str(weeks[0]), "--fail-on", "caution").exit_code == 0


def test_a_folder_without_rigs_is_told(house: Path) -> None:  # noqa: ARG001
    Path("empty").mkdir()
    done = check("empty")
    assert (done.exit_code, done.stderr) == (2, "empty: there is no rig file (*.yaml) in this folder\n")


@pytest.mark.parametrize("cores", [one_core, two_cores])
def test_a_defect_at_one_rig_stops_none_of_the_others(
    weeks: list[Path], cores: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    cores(monkeypatch)

    def failing(path: Path, *_: Any) -> Told:
        if path == weeks[3]:
            raise ZeroDivisionError("of ours")
        return Told(path, "go", "fine")

    monkeypatch.setattr(many, "tell", failing)  # the processes are forked, or it would not reach them
    rows = list(many.told(weeks, load_catalogue(), JOB))
    assert [row.path for row in rows] == weeks
    assert [row.path for row in rows if not row.verdict] == [weeks[3]]
    done = check("hall")
    assert isinstance(done.exception, ZeroDivisionError)
    assert "15 go, 1 could not be checked" in done.stdout


def test_a_process_that_is_killed_takes_only_its_own_rig_with_it(
    weeks: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    two_cores(monkeypatch)

    def killed(path: Path, *_: Any) -> Told:
        if path == weeks[5]:
            os.kill(os.getpid(), signal.SIGKILL)
        return Told(path, "go", "fine")

    monkeypatch.setattr(many, "tell", killed)
    rows = list(many.told(weeks, load_catalogue(), JOB))
    assert [row.path for row in rows] == weeks
    assert [row.path for row in rows if not row.verdict] == [weeks[5]]


def test_the_bar_is_seen_on_a_terminal_alone(weeks: list[Path], tmp_path: Path) -> None:
    piped = subprocess.run([*RIGWALK, "check", "hall"], capture_output=True, text=True, check=False)
    assert "[#" not in piped.stderr
    shell = f"{sys.executable} -c 'from lint.cli import main; main()' check hall > {tmp_path / 'out.txt'}"
    done, _ = pexpect.run(f"sh -c {json.dumps(shell)}", withexitstatus=True, encoding="utf-8", timeout=60)
    assert f"[{'#' * 30}] {len(weeks)} of {len(weeks)} rigs" in done
    assert "#" not in (tmp_path / "out.txt").read_text(encoding="utf-8")


# A shell in the background hands on an ignored SIGINT; a person's terminal does not.
SLOW = """
import os, signal, time
signal.signal(signal.SIGINT, signal.default_int_handler)
from lint.cli import main, many
def slow(path, *_):
    os.write(1, b"under way\\n")
    time.sleep(60)
many.tell = slow
many.os.sched_getaffinity = lambda _: {0, 1}
main()
"""


def test_ctrl_c_waits_for_no_rig_that_is_under_way(weeks: list[Path]) -> None:  # noqa: ARG001
    """A terminal sends it to every process of the command."""
    command = [sys.executable, "-c", SLOW, "check", "hall"]
    pipe = subprocess.PIPE
    started = subprocess.Popen(
        command,
        stdout=pipe,
        stderr=pipe,
        text=True,
        start_new_session=True,
    )
    assert started.stdout is not None
    assert started.stdout.readline() == "under way\n"
    os.killpg(started.pid, signal.SIGINT)
    said, errors = started.communicate(timeout=20)
    assert started.returncode == 130
    assert "Traceback" not in said + errors
    with pytest.raises(ProcessLookupError):  # and no process of it is left
        os.killpg(started.pid, 0)


@pytest.mark.parametrize("module", ["typer", "lint.cli.commands"])
def test_ctrl_c_while_it_starts_shows_no_traceback(module: str) -> None:
    """What a start imports first takes most of its time."""
    stop = f"""
import sys
class Stop:
    def find_spec(self, name, *_):
        if name == {module!r}:
            raise KeyboardInterrupt
sys.meta_path.insert(0, Stop())
from lint.cli import main
"""
    done = subprocess.run([sys.executable, "-c", stop], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (130, "")


def test_a_rig_beside_those_of_a_house_is_named_as_left_out(tmp_path: Path) -> None:
    house = tmp_path / "hall"
    shutil.copytree(Path(str(lint.__file__)).parent / "demo", house)
    (house / "top.yaml").write_text("rig_format: 1\nextends: house.yaml\n", encoding="utf-8")
    (house / "notes.yaml").write_text("a: 1\n", encoding="utf-8")
    told = CliRunner().invoke(app, ["check", str(house), "--format", "brief"])
    said = " ".join(told.stderr.split())
    assert "Left out, since a house's rigs stand in its folder rigs/; name it to have it checked: " in said
    assert "top.yaml" in said
    assert "notes.yaml" not in said


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files there")
def test_a_pipe_or_a_device_among_the_rigs_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "good.yaml").write_bytes((Path(str(lint.__file__)).parent / "demo" / "house.yaml").read_bytes())
    os.mkfifo(tmp_path / "pipe.yaml")
    (tmp_path / "zero.yaml").symlink_to("/dev/zero")
    run = [*RIGWALK, "check", str(tmp_path), "--format", "brief"]
    done = subprocess.run(run, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 2
    assert done.stderr.count("this is a device or a pipe, expected a file") == 2
    assert "good.yaml: " in done.stdout


def test_the_rigs_folder_of_a_house_is_checked_as_the_house_is(tmp_path: Path) -> None:
    house = tmp_path / "hall"
    shutil.copytree(Path(str(lint.__file__)).parent / "demo", house)
    (house / "rigs" / "cut-off.yaml").write_text("# a week whose head was lost\n", encoding="utf-8")
    for path in (house, house / "rigs"):
        told = CliRunner().invoke(app, ["check", str(path), "--format", "brief"])
        assert told.exit_code == 2
        assert "cut-off.yaml:1:1: is empty" in told.stderr
