"""The README is true: each of its commands is run in its order, and what it shows is what they print.

A line that holds only ⋮ stands for lines that are left out.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
GAP = "⋮"
NAME = "R. Adeyemi\n"  # who walks
ASKED = ("new house.yaml", "--key")  # asks at length, or takes what only the reader has


class Shown(NamedTuple):
    commands: list[str]
    output: str


def blocks() -> list[Shown]:
    """Return each block of commands with what is shown as their output, if anything is."""
    found = re.findall(r"^```sh\n(.*?)^```\n(?:\n```text\n(.*?)^```\n)?", README, re.M | re.S)
    return [Shown([line.partition("  #")[0].strip() for line in lines.splitlines()], output) for lines, output in found]


def matches(shown: str, printed: str) -> str:
    """Return the first run of shown lines that was not printed in its place, or nothing."""
    rest = printed.rstrip().splitlines()
    start = 0
    for number, part in enumerate(re.split(rf"^ *{GAP}\n", shown, flags=re.M)):
        wanted = part.splitlines()
        places = range(start, len(rest) - len(wanted) + 1) if number else [0]
        at = next((place for place in places if rest[place : place + len(wanted)] == wanted), None)
        if at is None:
            return part
        start = at + len(wanted)
    return "" if start == len(rest) or shown.rstrip().endswith(GAP) else "(the end)"


@pytest.mark.parametrize(
    ("shown", "printed", "missing"),
    [
        ("a\nb\n", "a\nb\n", ""),
        ("a\n⋮\nc\n", "a\nb\nc\n", ""),
        ("a\n⋮\n", "a\nb\n", ""),
        ("a\n", "a\nb\n", "(the end)"),
        ("b\n⋮\n", "a\nb\n", "b\n"),
        ("a\n⋮\nc\n", "a\nb\n", "c\n"),
        ("a\n⋮\nb\n⋮\na\n", "a\nb\n", "a\n"),
    ],
)
def test_how_shown_and_printed_are_compared(shown: str, printed: str, missing: str) -> None:
    assert matches(shown, printed) == missing


def test_every_command_of_the_readme_runs_and_prints_what_is_shown(tmp_path: Path) -> None:
    environment = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR")}
    environment |= {"COLUMNS": "80", "PYTHONIOENCODING": "utf-8"}
    environment["PATH"] = f"{Path(sys.executable).parent}{os.pathsep}{environment['PATH']}"
    folder = tmp_path
    ran = 0
    for shown in blocks():
        printed = ""
        for line in shown.commands:
            words = shlex.split(line)
            if ".venv/bin/rigwalk demo" in line:
                words = ["rigwalk", "demo"]
            elif words[0] == "cd":
                folder /= words[1]
                continue
            elif words[0] != "rigwalk" or any(part in line for part in ASKED):
                continue
            if "rigs/2026-11-29.yaml" in words:
                words[words.index("rigs/2026-11-29.yaml")] = "rigs/clean-week.yaml"
            done = subprocess.run(
                words, cwd=folder, env=environment, capture_output=True, encoding="utf-8", input=NAME if "walk" in words else "", check=False
            )  # fmt: skip
            assert done.returncode in (0, 1), (line, done.stdout, done.stderr)
            printed += done.stdout
            ran += 1
        if shown.output:
            assert not (missing := matches(shown.output, printed)), (
                f"{shown.commands}\nshows\n{missing}\nand prints\n{printed}"
            )
    assert ran > 20


def test_the_pictures_are_what_the_program_draws(tmp_path: Path) -> None:
    program = Path(sys.executable).parent / "rigwalk"
    subprocess.run([program, "demo"], cwd=tmp_path, check=True, capture_output=True)
    drawn = subprocess.run(
        [program, "picture", "demo-house/rigs/faulty-week.yaml", "chain"],
        cwd=tmp_path,
        capture_output=True,
        check=False,
    )
    assert (ROOT / "tests" / "readme" / "faulty-chain.svg").read_bytes() == drawn.stdout


def test_the_input_list_that_is_shown_is_the_demo_s() -> None:
    assert (ROOT / "lint" / "demo" / "inputs.csv").read_text(encoding="utf-8") in README
