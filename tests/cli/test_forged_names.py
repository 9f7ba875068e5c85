"""Names of files and words of the call come from anywhere; none of them may move a cursor or turn the reading round."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

FORGED = "a\x1b[2J\u202eb"
Run = Callable[..., Any]
UNSEEN = re.compile("[\x1b\u202e]")


@pytest.mark.parametrize("command", ["check", "trace", "sheet", "handover", "picture", "walk", "whatif", "history"])
def test_a_word_of_the_call_that_could_forge_a_screen_is_refused(house: Path, run: Run, command: str) -> None:
    path = house / "rigs" / f"{FORGED}.yaml"
    shutil.copy(house / "rigs" / "clean-week.yaml", path)
    done = run(command, str(path), "lead-vocal")
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == "word 2 of the call holds U+001B, which could forge a screen; rename what it names\n"


def test_a_name_that_is_no_text_is_refused(house: Path, run: Run) -> None:  # noqa: ARG001
    done = run("check", "rigs/caf\udce9.yaml")
    assert done.returncode == 2
    assert done.stderr == "word 2 of the call holds bytes that are no text in UTF-8; rename what it names\n"


@pytest.mark.parametrize("arguments", [("check", "hall/rigs/clean-week.yaml"), ("rules", "try", "--house", "hall")])
def test_a_rule_file_with_such_a_name_is_named_without_it(house: Path, run: Run, arguments: tuple[str, ...]) -> None:
    (house / "rules" / f"{FORGED}.yaml").write_text("x: 1\n", encoding="utf-8")
    done = run(*arguments)
    assert done.returncode == 2
    said = done.stdout + done.stderr
    assert "the name of a file in it holds U+001B, which could forge a screen; rename it" in said
    assert not UNSEEN.search(said)


def test_a_folder_with_such_a_rig_is_named_without_it(house: Path, run: Run) -> None:
    shutil.copy(house / "rigs" / "clean-week.yaml", house / "rigs" / f"{FORGED}.yaml")
    done = run("check", "hall")
    assert done.returncode == 2
    assert (
        done.stderr == "hall: the name of a file or folder in it holds U+001B, which could forge a screen; rename it\n"
    )


@pytest.mark.parametrize(
    ("folder", "arguments"),
    [
        ("models", ("models", "hall")),
        ("checklists", ("walk", "hall/rigs/clean-week.yaml", "--checklist", "nothing")),
        ("rigs", ("check", "hall/rigs/extends.yaml")),
    ],
)
def test_a_model_checklist_or_rig_with_such_a_name_is_passed_over(
    house: Path, run: Run, folder: str, arguments: tuple[str, ...]
) -> None:
    (house / folder).mkdir(exist_ok=True)
    (house / folder / f"{FORGED}.yaml").write_text("x: 1\n", encoding="utf-8")
    (house / "rigs" / "extends.yaml").write_text("rig_format: 1\nextends: a.yaml\n", encoding="utf-8")
    done = run(*arguments)
    said = done.stdout + done.stderr
    assert said
    assert not UNSEEN.search(said)
    assert "rigwalk itself failed" not in said
