"""The other commands, and what all have in common: help, version, exit statuses, broken pipes, defects."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from lint import cli
from lint.check.catalogue import load_catalogue
from lint.cli import COMMANDS, app
from lint.cli.demo import FILES
from lint.rig.model import bundled_names

ROOT = Path(__file__).parents[2]
RIGWALK = [sys.executable, "-c", "from lint.cli import main; main()"]
CLEAN, FAULTY = "hall/rigs/clean-week.yaml", "hall/rigs/faulty-week.yaml"
Run = Callable[..., Any]


def call(*arguments: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, arguments)


def tree(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


# -- demo ------------------------------------------------------------------------------------------------------


def test_the_demo_makes_a_house_checks_both_weeks_and_says_what_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = call("demo")
    assert done.exit_code == 0
    assert tree(tmp_path / "demo-house") == {name: (ROOT / "lint" / "demo" / name).read_bytes() for name in FILES}
    assert re.findall(r"^(GO|NO-GO) \(", done.stdout, re.MULTILINE) == ["GO", "NO-GO"]
    following = done.stdout.split("Try next:\n")[1]
    commands = re.findall(r"^  rigwalk (trace|rules|whatif|hunt|walk) (.+)$", following, re.MULTILINE)
    assert [name for name, _ in commands] == ["trace", "rules", "rules", "whatif", "hunt", "walk"]
    # What it says can be done.
    assert call("trace", *commands[0][1].split()).exit_code == 1
    assert call("rules", *commands[1][1].split()).exit_code == 0
    assert call("rules", *commands[2][1].split("  ")[0].split()).exit_code == 0
    assert call("whatif", *commands[3][1].split()).exit_code == 1
    assert call("hunt", *commands[4][1].split(), "--answers", "y").exit_code == 1


def test_the_files_that_the_demo_copies_are_all_there_are() -> None:
    demo = ROOT / "lint" / "demo"
    assert {str(path.relative_to(demo)) for path in demo.rglob("*") if path.suffix in (".yaml", ".csv")} == set(FILES)


def test_the_demo_never_writes_into_a_folder_that_is_there(house: Path) -> None:
    before = tree(house)
    done = call("demo", "--into", "hall")
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr == "hall is there already, and is left as it is; name another folder with --into\n"
    assert tree(house) == before


def test_the_demo_leaves_an_empty_folder_and_a_file_alone_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty").mkdir()
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    assert [call("demo", "--into", name).exit_code for name in ("empty", "file")] == [2, 2]
    assert tree(tmp_path) == {"file": b"mine"}


@pytest.mark.parametrize("into", ["file/house", "x" * 300, "/dev/null/house"])
def test_a_place_where_the_demo_cannot_be_made_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, into: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    done = call("demo", "--into", into)
    assert done.exit_code == 2
    assert done.stderr.startswith(f"{into} can't be made: ")
    assert tree(tmp_path) == {"file": b"mine"}


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a device that is always full")  # noqa: PTH110
def test_a_full_disk_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    whole = Path.write_text

    def full(path: Path, text: str, encoding: str) -> int:
        del path
        return whole(Path("/dev/full"), text, encoding=encoding)  # the real error of a full disk

    monkeypatch.setattr(Path, "write_text", full)
    done = call("demo")
    assert (done.exit_code, done.stderr) == (2, "demo-house can't be written: No space left on device\n")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a device that is always full")  # noqa: PTH110
@pytest.mark.parametrize("output", ["text", "json", "sarif", "junit"])
def test_a_report_that_goes_where_no_room_is_left_is_no_defect(house: Path, output: str) -> None:  # noqa: ARG001
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            [*RIGWALK, "check", FAULTY, "--format", output], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert (done.returncode, done.stderr) == (
        2,
        "what is printed goes where there is no room for it: no space left on device\n",
    )
    assert not list(Path().glob("rigwalk-defect*"))


@pytest.mark.parametrize("output", ["json", "sarif", "junit"])
def test_what_programs_read_is_utf_8_whatever_the_system_speaks(house: Path, output: str) -> None:  # noqa: ARG001
    done = subprocess.run(
        [*RIGWALK, "check", FAULTY, "--format", output],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "cp1252"},
        check=False,
    )
    assert "–" in done.stdout.decode("utf-8")
    assert done.returncode == 1


@pytest.mark.parametrize(("name", "holds"), [("rig", "output_bank"), ("house-rule", "for_each")])
def test_the_page_on_a_schema_is_printed(name: str, holds: str) -> None:
    done = call("schema", name, "--page")
    assert done.exit_code == 0
    assert done.stdout.startswith("# ")
    assert holds in done.stdout


def test_a_schema_without_a_page_says_which_have_one() -> None:
    done = call("schema", "trace-report", "--page")
    assert (done.exit_code, done.stderr) == (
        2,
        "schema trace-report: there is no page on it; there are rig, house-rule\n",
    )


# -- trace -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("what", "first"),
    [
        ("lead-vocal", "lead-vocal, dynamic-microphone"),
        ("Hand held red", "radio-1 “Hand held red”, wireless-receiver"),
        ("10", "channel 10 (Lead vox)"),
        ("channel/10", "channel 10 (Lead vox)"),
        ("desk/channel/10", "channel 10 (Lead vox)"),
        ("lead VOX", "channel 10 (Lead vox)"),
        ("singer-mon", "singer-mon (monitor mix)"),
        ("house.left", "house"),
        ("house-left", "house-left, house-loudspeaker"),
        ("west-box/in/10", "west-box/in/10: lead-vocal plugged in"),
        ("desk/link-1/17", "desk/link-1/17, towards the console"),
        ("desk/in/1", "desk/in/1: radio-1 plugged in"),
        ("desk/out/5", "desk/out/5"),
        ("west-box/out/1", "west-box/out/1"),
    ],
)
def test_a_signal_is_found_by_name_label_number_and_address(house: Path, what: str, first: str) -> None:  # noqa: ARG001
    done = call("trace", CLEAN, what)
    assert done.exit_code == 0, done.stdout
    assert done.stdout.splitlines()[:3] == ["✓ Nothing stops it and nothing is wrong on its way.", "", first]
    assert "✗" not in done.stdout


def test_a_trace_follows_a_source_from_its_plug_to_the_loudspeaker(house: Path) -> None:  # noqa: ARG001
    text = call("trace", CLEAN, "lead-vocal").stdout
    steps = [
        "west-box/in/10",
        "desk/link-1/10",
        "channel 10 (Lead vox)",
        "desk/link-1/15",
        "east-box/out/7",
        "house-left",
    ]
    places = [text.index(step) for step in steps]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("what", "where"),
    [
        ("lead-vocal", "✗ channel 11 (Backing 1), which should carry backing-1: WRONG"),
        ("house-left", "✗ "),
        ("clarinet", "✗ "),
        ("foyer", "✗ "),
        ("soprano", "✗ "),
        ("west-box/in/99", "✗ west-box/in/99: west-box (stage-box-16x8) has no such socket"),
    ],
)
def test_a_signal_that_stops_is_1_and_marked(house: Path, what: str, where: str) -> None:  # noqa: ARG001
    done = call("trace", FAULTY, what)
    assert done.exit_code == 1
    assert where in done.stdout


@pytest.mark.parametrize(
    ("what", "near"),
    [
        ("led-vocal", "; did you mean 'lead-vocal'?"),
        ("singer-mom", "; did you mean 'singer-mon'?"),
        ("house-lft", "; did you mean 'house-left'?"),
        ("99", ""),
        ("", ""),
        ("nowhere/in/1", ""),
    ],
)
def test_what_is_not_there_is_2_with_the_nearest_name(house: Path, what: str, near: str) -> None:  # noqa: ARG001
    done = call("trace", CLEAN, what)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert " ".join(done.stderr.split()).startswith(f"{CLEAN}: nothing here is called '{what}'{near} (")


def test_a_trace_of_a_rig_that_cannot_be_read_is_2(house: Path) -> None:  # noqa: ARG001
    done = call("trace", "nowhere.yaml", "house")
    assert (done.exit_code, done.stderr) == (2, "nowhere.yaml: there is no such file\n")


# -- rules and models ------------------------------------------------------------------------------------------


def test_the_list_of_rules_has_every_rule_with_its_severity() -> None:
    done = call("rules")
    assert done.exit_code == 0
    found = dict(re.findall(r"^([a-z0-9]+(?:-[a-z0-9]+)+) +[✗!·] (\S+)", done.stdout, re.MULTILINE))
    assert found == {entry.id: entry.severity.value for entry in load_catalogue().documented.values()}
    assert max(map(len, done.stdout.splitlines())) <= 80


@pytest.mark.parametrize("name", sorted(load_catalogue().documented))
def test_every_rule_is_explained_in_full(name: str) -> None:
    done = call("rules", "explain", name)
    entry = load_catalogue().documented[name]
    assert done.exit_code == 0
    flat = " ".join(done.stdout.split())
    assert flat.startswith(f"{name} ({entry.severities}) {' '.join(entry.title.split())} why ")
    for text in (entry.why, entry.do, entry.source, entry.safety, *entry.limits):
        assert " ".join(text.split()) in flat
    assert done.stdout.count("This is not:") == len(entry.bad)
    for bad in entry.bad:
        assert all(" ".join(message.split()) in flat for message in bad.gives)
    # A label never runs into its text.
    assert re.search(r"^source \S", done.stdout, re.MULTILINE)


def test_an_unknown_rule_is_2_with_the_nearest() -> None:
    done = call("rules", "explain", "bank-clsh")
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr == "no rule is called 'bank-clsh'; did you mean 'bank-clash'?\n"


def test_a_package_of_rules_that_fails_is_told_and_hides_nothing(house: Path, run: Run) -> None:
    packages = house.parent / "packages"
    metadata = packages / "tallow_broken-1.0.dist-info"
    metadata.mkdir(parents=True)
    (metadata / "entry_points.txt").write_text("[rigwalk.rules]\ntallow = tallow_broken\n", encoding="utf-8")
    (packages / "tallow_broken.py").write_text("raise OSError('the disk is gone')\n", encoding="utf-8")
    done = run("check", CLEAN, PYTHONPATH=str(packages))
    assert done.returncode == 1
    flat = " ".join(done.stdout.split())
    assert "the rule package 'tallow' could not be loaded, so its rules were not run: OSError: the disk is gone" in flat
    assert "phantom-while-patching" in flat
    assert "Traceback" not in done.stdout + done.stderr
    listed = run("rules", PYTHONPATH=str(packages))
    assert listed.returncode == 1
    assert (
        listed.stderr
        == "the rule package 'tallow' could not be loaded: OSError: the disk is gone (tallow_broken.py:1)\n"
    )
    assert "bank-clash" in listed.stdout


def test_the_models_are_listed_with_the_houses_own(house: Path) -> None:
    (house / "models").mkdir()
    own = "model_format: 1\nkind: console\ntitle: our small desk\nchannels: 8\n"
    (house / "models" / "aisle-desk.yaml").write_text(own, encoding="utf-8")
    listed = call("models", "hall")
    rows = dict(line.split(None, 1) for line in listed.stdout.splitlines())
    assert listed.exit_code == 0
    assert set(rows) == {*bundled_names(), "aisle-desk"}
    assert rows["aisle-desk"] == "our small desk"
    assert list(rows) == sorted(rows)
    assert "aisle-desk" not in call("models").stdout


def test_a_model_with_mistakes_is_told_beside_the_others(house: Path) -> None:
    (house / "models").mkdir()
    (house / "models" / "odd.yaml").write_text("model_format: 1\nkind: tuba\n", encoding="utf-8")
    done = call("models", "hall")
    assert done.exit_code == 2
    (line,) = done.stderr.splitlines()
    assert line.endswith("hall/models/odd.yaml:2:7: kind: found 'tuba', expected console, stage-box or other")
    assert set(bundled_names()) <= {line.split()[0] for line in done.stdout.splitlines()}


def test_the_rules_for_programs_are_those_for_people(house: Path) -> None:
    (house / "rules").mkdir(exist_ok=True)
    (house / "rules" / "own-one.yaml").write_text("rule_format: 2\n", encoding="utf-8")
    documented = load_catalogue().documented
    done = call("rules", "--house", "hall", "--format", "json")
    assert done.exit_code == 1
    data = json.loads(done.stdout)
    rows = {row["id"]: row for row in data["rules"]}
    listed = re.findall(r"^([a-z0-9]+(?:-[a-z0-9]+)+) +[✗!·] ", call("rules", "--house", "hall").stdout, re.MULTILINE)
    assert list(rows) == listed
    for name, rule in documented.items():
        assert rows[name]["severity"] == rule.severity.value
        assert rows[name]["why"] == " ".join(rule.why.split())
        assert [bad["gives"] for bad in rows[name]["bad"]] == [list(bad.gives) for bad in rule.bad]
        assert {key: limit["default"] for key, limit in rows[name]["limits"].items()} == {
            key: limit.default for key, limit in rule.limits.items()
        }
    (failure,) = data["failures"]
    assert (failure["name"], failure["line"]) == ("own-one", 1)
    assert failure["file"].endswith("own-one.yaml")
    (alone,) = json.loads(call("rules", "explain", "bank-clash", "--format", "json").stdout)["rules"]
    assert alone == rows["bank-clash"]


def test_the_models_for_programs_are_those_for_people(house: Path) -> None:
    (house / "models").mkdir()
    (house / "models" / "odd.yaml").write_text("model_format: 1\nkind: tuba\n", encoding="utf-8")
    own = "model_format: 1\nkind: console\ntitle: our small desk\nchannels: 8\n"
    (house / "models" / "aisle-desk.yaml").write_text(own, encoding="utf-8")
    done = call("models", "hall", "--format", "json")
    assert (done.exit_code, done.stderr) == (2, "")
    data = json.loads(done.stdout)
    rows = {row["name"]: row for row in data["models"]}
    assert list(rows) == sorted({*bundled_names(), "aisle-desk"})
    assert (rows["aisle-desk"]["title"], rows["aisle-desk"]["channels"]) == ("our small desk", 8)
    box = rows["stage-box-16x8"]
    assert (box["inputs"]["count"], box["outputs"]["count"], box["chain"]["slots"]["48000"]) == (16, 8, 48)
    (problem,) = data["problems"]
    assert (problem["line"], problem["column"]) == (2, 7)
    assert problem["message"].startswith("kind: found 'tuba'")


def test_the_models_of_a_folder_that_is_not_there(house: Path) -> None:  # noqa: ARG001
    done = call("models", "hull")
    assert done.exit_code == 2
    assert "'hull' does not exist" in done.stderr


# -- what all have in common -----------------------------------------------------------------------------------


def test_the_version_is_that_of_the_distribution() -> None:
    assert call("--version").stdout == f"rigwalk {version('rigwalk')}\n"


def test_the_help_names_every_command() -> None:
    done = call("--help")
    assert done.exit_code == 0
    listed = re.findall(r"^  ([a-z]+) +", done.stdout.split("Commands:\n")[1], re.MULTILINE)
    assert sorted(listed) == sorted(COMMANDS)
    assert len(COMMANDS) >= 7


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("flag", ["--help", "-h"])
def test_every_command_says_what_it_does(command: str, flag: str) -> None:
    done = call(command, flag)
    assert done.exit_code == 0
    assert done.stdout.startswith(f"Usage: rigwalk {command}") or done.stdout.startswith(f"Usage: root {command}")
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "╭" not in done.stdout


@pytest.mark.parametrize("arguments", [(), ("chek",), ("--loud",)])
def test_a_call_that_means_nothing_is_2(arguments: tuple[str, ...]) -> None:
    assert call(*arguments).exit_code == 2


def test_a_misspelt_command_names_the_nearest(run: Run) -> None:
    done = run("chek", CLEAN)
    assert done.returncode == 2
    assert "Did you mean 'check'" in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", CLEAN, FAULTY),
        ("check", "--format", "json", FAULTY),
        ("rules",),
        ("trace", CLEAN, "house"),
        ("--help",),
    ],
)
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_pipe_that_nobody_reads_leaves_no_traceback_and_is_no_go(
    house: Path,  # noqa: ARG001
    arguments: tuple[str, ...],
    unbuffered: str,
) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run(
            [str(Path(sys.executable).parent / "rigwalk"), *arguments],
            stdout=writing,
            stderr=subprocess.PIPE,
            env={**os.environ, "PYTHONUNBUFFERED": unbuffered},
            check=False,
            timeout=60,
        )
    finally:
        os.close(writing)
    assert done.stderr == b""
    assert done.returncode == 1


def test_head_takes_one_line_and_nothing_else_is_heard(house: Path) -> None:  # noqa: ARG001
    program = Path(sys.executable).parent / "rigwalk"
    shell = f"'{program}' check {CLEAN} {FAULTY} {FAULTY} {FAULTY} | head -1"
    done = subprocess.run(shell, shell=True, capture_output=True, text=True, encoding="utf-8", check=False, timeout=60)
    assert done.stdout == f"{CLEAN} — Sunday gathering, 2026-11-29\n"
    assert done.stderr == ""


@pytest.mark.parametrize("error", [RuntimeError("a wire came loose"), KeyError("desk"), RecursionError("too deep")])
def test_a_defect_of_ours_is_3_and_one_sentence_and_a_report(
    house: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    error: Exception,
) -> None:
    def broken(*_: object, **_options: object) -> None:
        raise error

    monkeypatch.setattr("lint.check.engine.check_file", broken)
    monkeypatch.setattr(sys, "argv", ["rigwalk", "check", CLEAN])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    said = capsys.readouterr()
    assert ended.value.code == 3
    assert said.out == ""
    name = type(error).__name__
    assert said.err == (
        f"rigwalk itself failed ({name}), and that is a defect in it, not in your rig; rigwalk-defect-1.txt tells where, "
        "without a word of your rig: please read it and pass it on.\n"
    )
    text = Path("rigwalk-defect-1.txt").read_text(encoding="utf-8")
    assert f"builtins.{name}\n" in text
    assert "called as: rigwalk check ...\n" in text
    assert "lint/cli/__init__.py:" in text
    for private in (str(error.args[0]), "clean", str(house), "test_commands"):
        assert private not in text


def test_a_broken_pipe_that_reaches_the_outermost_layer_is_quiet_and_no_go() -> None:
    program = "import lint.cli\ndef broken(*_): raise BrokenPipeError\nlint.cli.app = broken\nlint.cli.main()\n"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stdout, done.stderr) == (1, "", "")
