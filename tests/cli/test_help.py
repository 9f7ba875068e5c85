"""The help of every command: a line in the list that is not cut, and examples that do what they say."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from lint.cli import app

ASKING = ("new", "walk", "hunt", "rules new", "rules trust")  # ask, or need a file of the reader's own


def leaves(group: Any, above: str = "") -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name in group.commands:
        command = group.get_command(None, name)
        if hasattr(command, "commands"):
            found |= leaves(command, f"{above}{name} ")
        else:
            found[above + name] = command
    return found


COMMANDS = leaves(typer.main.get_command(app))
EXAMPLES = [
    (name, example)
    for name, command in COMMANDS.items()
    for example in re.findall(r"^  rigwalk (.+)$", command.epilog or "", re.M)
]


def test_every_command_that_takes_anything_has_an_example() -> None:
    assert {name for name, _ in EXAMPLES} == set(COMMANDS) - {"rules page"}


@pytest.mark.parametrize("arguments", [["--help"], ["rules", "--help"]])
def test_no_line_of_the_list_is_cut_at_80_columns(arguments: list[str]) -> None:
    shown = CliRunner().invoke(app, arguments, env={"COLUMNS": "80"}).output
    assert "..." not in shown.partition("Commands:")[2]


@pytest.mark.parametrize(("name", "example"), EXAMPLES, ids=[example for _, example in EXAMPLES])
def test_an_example_is_a_call_that_is_understood_and_does_its_work(
    house: Path, monkeypatch: pytest.MonkeyPatch, name: str, example: str
) -> None:
    monkeypatch.chdir(house)
    arguments = [
        str(path) for word in shlex.split(example) for path in (sorted(Path().glob(word)) if "*" in word else [word])
    ]
    if name in ASKING or "--watch" in arguments:
        words = arguments[len(name.split()) :]
        COMMANDS[name].make_context(name, words)  # raises where an option or an argument is not one
        return
    done = CliRunner().invoke(app, arguments)
    assert done.exit_code in ((0, 1, 2) if name in ("history", "handover", "demo") else (0, 1)), done.output
    assert done.output
    assert not isinstance(done.exception, Exception), done.exception
